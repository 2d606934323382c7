package main

import (
	"fmt"
	"io"
	"strings"

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
	warn(w.err, append(found, j.See(c.photos)...))
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
	pieces := count(answer.Pieces, "piece")
	if n := len(j.Schemes); c.Scheme == "" && n > 1 {
		pieces += fmt.Sprintf(" of all %d schemes", n)
	}
	return printTape(w.out, answer, pieces)
}

// printTape writes the list for a person to walk round the house with: misread
// numbers first, then what to measure, then what all readings together give.
func printTape(w io.Writer, a job.TapeAnswer, pieces string) error {
	_, err := io.WriteString(w, misreadText(a.Misread)+readingText(a, pieces)+adjustedText(a.Adjusted))
	if err != nil {
		return err
	}
	return printCautions(w, a.Cautions)
}

func misreadText(all []job.MisreadAnswer) string {
	var b strings.Builder
	for _, m := range all {
		fmt.Fprintf(&b, "%s: %s; %s.\n", m.Where, m.Text, m.Mend)
	}
	if len(all) > 0 {
		b.WriteString("\n")
	}
	return b.String()
}

func readingText(a job.TapeAnswer, pieces string) string {
	if a.Waiting == 0 {
		return fmt.Sprintf("Every number is fit to cut from: %s.\n", pieces)
	}
	list := newTable("", "wall", "measure", ">now", "known by", ">pieces", "")
	for i, r := range a.Readings {
		high := ""
		if r.High {
			high = "high"
		}
		list.row(i+1, r.Wall, r.What, r.Length, r.Known, len(r.Pieces), high)
	}
	text := fmt.Sprintf("%d of %s wait for %s, in walking order:\n\n%s\n", a.Waiting, pieces, count(len(a.Readings), "number"), list)
	if n := a.Next; n != nil {
		does := "it takes most doubt off the lengths to cut"
		if n.Settled > 0 {
			does = "it settles the length of " + count(n.Settled, "piece")
		}
		text += fmt.Sprintf("If only one is measured: %s; %s.\n", n.What, does)
	}
	return text
}

// adjustedText lists the numbers that all readings together give better.
func adjustedText(all []job.AdjustedAnswer) string {
	if len(all) == 0 {
		return ""
	}
	list := newTable("wall", "all readings together", ">before", "known by", ">after", ">+/-", "rests on", "")
	for _, a := range all {
		fit := ""
		if a.FitToCut {
			fit = "fit to cut"
		}
		list.row(a.Wall, a.What, a.Before, a.Known, a.After, a.PM, a.By, fit)
	}
	return fmt.Sprintf("\n%s\nThe page takes them over, and so does the patch of tape --json.\n", list)
}

func printCautions(w io.Writer, cautions []job.CautionAnswer) error {
	for _, c := range cautions {
		if _, err := fmt.Fprintf(w, "%s: %s.\n", c.Where, c.Text); err != nil {
			return err
		}
	}
	return nil
}
