package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"coilwright/job"
	"coilwright/photo"
	"coilwright/picture"
)

type pictureCmd struct {
	jobArg
	schemeFlag
	jsonFlag
	Photo string `required:"" placeholder:"ID" help:"Which photo of the job, by its id or its file."`
	Out   string `required:"" short:"o" placeholder:"FILE" help:"JPEG file to write."`
}

// pictureAnswer is `picture --json`.
type pictureAnswer struct {
	File   string  `json:"file"`
	Width  int     `json:"width"`
	Height int     `json:"height"`
	MS     float64 `json:"ms"`
}

// Run paints a scheme on a photo of the house.
func (c pictureCmd) Run(w *world) error {
	if e := strings.ToLower(filepath.Ext(c.Out)); e != ".jpg" && e != ".jpeg" {
		return &usageError{fmt.Sprintf("the picture is a JPEG: give -o a name that ends in .jpg, not %q", c.Out)}
	}
	j, id, err := c.open(w, c.schemeFlag)
	if err != nil {
		return err
	}
	entry, err := c.find(j)
	if err != nil {
		return err
	}
	finished := slowly(w.err, "painting the picture")
	defer finished()
	begun := time.Now()
	fitted, err := picture.Fit(j, entry, c.read)
	if err != nil {
		return err
	}
	painted, file, err := fitted.Picture(j, id)
	if err != nil {
		return err
	}
	if err := writeWhole(c.Out, file); err != nil {
		return err
	}
	took := float64(time.Since(begun).Microseconds()) / 1000
	for _, n := range fitted.Notes {
		fmt.Fprintf(w.err, "note: %s\n", n)
	}
	size := painted.Bounds().Size()
	if c.JSON {
		return writeJSON(w.out, pictureAnswer{c.Out, size.X, size.Y, took})
	}
	_, err = fmt.Fprintf(w.out, "%s, %d x %d pixels\nAn illustration: approve a physical sample.\n", c.Out, size.X, size.Y)
	return err
}

// find finds the photo in the job: by id, else by its file, as the job or as the
// shell names it.
func (c pictureCmd) find(j *job.Job) (job.Photo, error) {
	var have []string
	for _, p := range j.Photos {
		if p.ID == c.Photo {
			return p, nil
		}
		have = append(have, p.ID)
	}
	for _, p := range j.Photos {
		if p.File == c.Photo || filepath.Clean(c.beside(p.File)) == filepath.Clean(c.Photo) {
			return p, nil
		}
	}
	if len(have) == 0 {
		return job.Photo{}, &usageError{"the job has no photo; add one with its marks under house.photos"}
	}
	return job.Photo{}, &usageError{fmt.Sprintf("the job has no photo %q; it has %s", c.Photo, strings.Join(have, ", "))}
}

// beside is a file that the job names, seen from where the command runs.
func (c pictureCmd) beside(name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(filepath.Dir(c.Job), name)
}

// read reads a file that the job names, but never more than may be decoded.
func (c pictureCmd) read(name string) ([]byte, error) {
	f, err := os.Open(c.beside(name))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, photo.MaxFile+1))
}

// writeWhole writes a file whole or not at all: beside its place first.
func writeWhole(path string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".picture-*")
	if err != nil {
		return unwritten(path, err)
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(0o666 &^ 0o022)
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
		return unwritten(path, err)
	}
	return nil
}

// unwritten names the file that was asked for, not the one written beside it first.
func unwritten(path string, err error) error {
	var at *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &at):
		err = at.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return fmt.Errorf("%s cannot be written: %w. Name a folder that there is and that you may write to", path, err)
}
