package main

import (
	"fmt"
	"os"
	"strconv"
	"time"

	"coilwright/course"
	"coilwright/job"
	"coilwright/sheet"
)

type sheetsCmd struct {
	jobArg
	schemeFlag
	jsonFlag
	wordFlag
	Out string `required:"" placeholder:"DIR" help:"Folder to write the papers into; made if it is missing."`
}

// Run makes the papers of a scheme: all of them, or none.
func (c sheetsCmd) Run(w *world) error {
	j, id, err := c.open(w, c.schemeFlag)
	if err != nil {
		return err
	}
	finished := slowly(w.err, "drawing the papers")
	defer finished()
	warn(w.err, j.See(c.photos))
	paths, warned, err := papers(j, id, c.Out, c.OnMyWord)
	if err != nil {
		return wordError(err)
	}
	warn(w.err, warned.Problems)
	if c.JSON {
		return writeJSON(w.out, map[string][]string{"files": paths})
	}
	for _, p := range paths {
		fmt.Fprintln(w.out, p)
	}
	return nil
}

// papers works scheme id out, draws it and writes the files into dir.
func papers(j *job.Job, id, dir, word string) ([]string, *course.Layout, error) {
	r, err := j.RunOnWord(id, word)
	if err != nil {
		return nil, nil, err
	}
	slitting, err := j.SlittingOf(r)
	if err != nil {
		return nil, nil, err
	}
	in, err := sheet.Of(j, id, r, slitting)
	if err != nil {
		return nil, nil, err
	}
	in.Date = today()
	files, err := sheet.Papers(in)
	if err != nil {
		return nil, nil, err
	}
	paths, err := sheet.Write(dir, files)
	return paths, r.Layout, err
}

// today is the papers' date; SOURCE_DATE_EPOCH (reproducible-builds.org) fixes it,
// so that equal jobs give equal bytes.
func today() time.Time {
	if s, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64); err == nil {
		return time.Unix(s, 0).UTC()
	}
	return time.Now()
}
