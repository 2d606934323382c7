// Command sheet paints every scheme on the scenes and on the marked real photos, one
// picture each, into a folder, for a person to look at.
package main

import (
	"flag"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"

	scenes "coilwright/bench/picture"
	"coilwright/job"
	"coilwright/picture"
)

const schemes = `[
 {"id":"A","zones":[{"id":"field","walls":"all","where":"rest","panel":"dutch-double-5","texture":"smooth","colour":"slate"}],"frieze":"6 in","trim_colour":"bone"},
 {"id":"B","zones":[{"id":"field","walls":"all","where":"rest","panel":"lap-double-4","texture":"grain","colour":"barn"}],"frieze":"6 in","trim_colour":"slate"},
 {"id":"C","zones":[{"id":"skirt","walls":"all","where":{"below":"40 in"},"panel":"vertical-12","texture":"smooth","colour":"slate"},{"id":"field","walls":"all","where":"rest","panel":"dutch-double-5","texture":"smooth","colour":"bone"}],"trim_colour":"barn"}]`

func main() {
	out := flag.String("o", "", "folder to write into; it is made")
	width := flag.Int("width", 1600, "width of the pictures in pixels")
	flag.Parse()
	if err := run(*out, *width); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(out string, width int) error {
	if out == "" {
		return fmt.Errorf("say where to with -o FOLDER")
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	for _, name := range []string{"alder", "birch"} {
		s, err := scenes.Load(name)
		if err != nil {
			return err
		}
		j, open, err := s.Job(schemes)
		if err == nil {
			err = sheet(out, name, j, open, width)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	for _, name := range scenes.Marked {
		j, open, err := scenes.MarkedJob(name)
		if err == nil {
			err = sheet(out, name, j, open, width)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return nil
}

// sheet writes one job's photo in every scheme.
func sheet(out, name string, j *job.Job, open job.Open, width int) error {
	f, err := picture.FitAt(j, j.Photos[0], open, width)
	if err != nil {
		return err
	}
	for _, n := range f.Notes {
		fmt.Printf("%s: %s\n", name, n)
	}
	if err := write(filepath.Join(out, name+"_matte.png"), f.Prepared.Covered()); err != nil {
		return err
	}
	for _, s := range j.Schemes {
		im, err := f.Paint(j, s.ID)
		if err != nil {
			return err
		}
		if err := write(filepath.Join(out, name+"_"+s.ID+".png"), im); err != nil {
			return err
		}
	}
	return nil
}

func write(path string, im image.Image) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(f, im); err != nil {
		f.Close() //nolint:errcheck // the first error tells
		return err
	}
	return f.Close()
}
