package main

import (
	"fmt"
	"io"

	"coilwright/job"
)

type tapeCmd struct {
	jobArg
	Scheme string `name:"scheme" placeholder:"ID" help:"Look at one scheme only; without it, at all."`
	jsonFlag
}

// Run lists what to measure on the next visit.
func (c tapeCmd) Run(w *world) error {
	j, found := job.Read(c.Job)
	if err := found.Err(); err != nil {
		return err
	}
	warn(w.err, found)
	var schemes []string
	if c.Scheme != "" {
		id, err := schemeFlag{c.Scheme}.choose(j)
		if err != nil {
			return err
		}
		schemes = append(schemes, id)
	}
	finished := slowly(w.err, "looking at what the pieces depend on")
	answer, err := j.Tape(schemes...)
	finished()
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(w.out, answer)
	}
	return printTape(w.out, answer)
}

// printTape writes the list for a person to walk round the house with.
func printTape(w io.Writer, a job.TapeAnswer) error {
	if a.Waiting == 0 {
		_, err := fmt.Fprintf(w, "Every number is fit to cut from: %s.\n", count(a.Pieces, "piece"))
		if err != nil {
			return err
		}
		return printCautions(w, a.Cautions)
	}
	list := newTable("", "wall", "measure", ">now", "known by", ">pieces", "")
	for i, r := range a.Readings {
		high := ""
		if r.High {
			high = "high"
		}
		list.row(i+1, r.Wall, r.What, r.Length, r.Known, len(r.Pieces), high)
	}
	if _, err := fmt.Fprintf(w, "%d of %s wait for %s, in walking order:\n\n%s\n", a.Waiting, count(a.Pieces, "piece"), count(len(a.Readings), "number"), list); err != nil {
		return err
	}
	if n := a.Next; n != nil {
		does := "it takes most doubt off the lengths to cut"
		if n.Settled > 0 {
			does = "it settles the length of " + count(n.Settled, "piece")
		}
		if _, err := fmt.Fprintf(w, "If only one is measured: %s; %s.\n", n.What, does); err != nil {
			return err
		}
	}
	return printCautions(w, a.Cautions)
}

func printCautions(w io.Writer, cautions []job.CautionAnswer) error {
	for _, c := range cautions {
		if _, err := fmt.Fprintf(w, "%s: %s.\n", c.Where, c.Text); err != nil {
			return err
		}
	}
	return nil
}
