package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"coilwright/job"
	"coilwright/problem"
)

// jobArg is the job file that a command takes.
type jobArg struct {
	Job string `arg:"" name:"job" help:"The job file."`
}

// jsonFlag asks for the answer as JSON.
type jsonFlag struct {
	JSON bool `name:"json" help:"Answer in JSON, for other programs."`
}

// schemeFlag names one scheme of the job.
type schemeFlag struct {
	Scheme string `name:"scheme" placeholder:"ID" help:"Which scheme; may be left out where the job has only one."`
}

// photos reads a file that the job names, never more than may be decoded.
func (a jobArg) photos(name string) ([]byte, error) {
	if !filepath.IsAbs(name) {
		name = filepath.Join(filepath.Dir(a.Job), name)
	}
	return job.LoadPhoto(name)
}

// wordFlag names who answers for cutting what is not fit to cut.
type wordFlag struct {
	OnMyWord string `name:"on-my-word" placeholder:"NAME" help:"Cut the pieces that are not fit to cut too; the name of who answers for that is recorded and printed."`
}

// wordError says what is wrong with the name.
func wordError(err error) error {
	if errors.Is(err, job.ErrNoName) {
		return &usageError{"--on-my-word: " + err.Error()}
	}
	return err
}

// open reads a job that is to be worked on and finds its scheme: warnings go to
// stderr, errors end the work.
func (a jobArg) open(w *world, f schemeFlag) (*job.Job, string, error) {
	j, found := job.Read(a.Job)
	if err := found.Err(); err != nil {
		return nil, "", err
	}
	warn(w.err, found)
	id, err := f.choose(j)
	return &j, id, err
}

func warn(w io.Writer, found problem.List) {
	for _, p := range found {
		fmt.Fprintln(w, p)
	}
}

// choose finds the scheme that the flag names, or the only one.
func (f schemeFlag) choose(j job.Job) (string, error) {
	var ids []string
	for _, s := range j.Schemes {
		if s.ID == f.Scheme {
			return s.ID, nil
		}
		ids = append(ids, s.ID)
	}
	have := strings.Join(ids, ", ")
	switch {
	case f.Scheme != "":
		return "", &usageError{fmt.Sprintf("the job has no scheme %q; it has %s", f.Scheme, have)}
	case len(ids) == 1:
		return ids[0], nil
	}
	return "", &usageError{"say which scheme with --scheme; the job has " + have}
}

// writeJSON writes an answer for other programs.
func writeJSON(w io.Writer, answer any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(answer)
}

// slowly says on w what is being done if it takes over a second; call the answer
// when it is done.
func slowly(w io.Writer, what string) (finished func() bool) {
	return time.AfterFunc(time.Second, func() { fmt.Fprintf(w, "coilwright: %s ...\n", what) }).Stop
}
