package main

import (
	"fmt"
	"io"

	"coilwright/job"
	"coilwright/measure"
	"coilwright/photo"
)

type measureCmd struct {
	Marks string `arg:"" name:"marks" help:"The file of marks on a photo."`
	jsonFlag
	Metric bool `help:"Give sizes in millimetres."`
}

// Run works sizes out of a photo's marks.
func (c measureCmd) Run(w *world) error {
	marks, found := job.ReadMarks(c.Marks)
	if err := found.Err(); err != nil {
		return err
	}
	warn(w.err, found)
	units := measure.Imperial
	if c.Metric {
		units = measure.Metric
	}
	answer, err := job.Measure(units, marks)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(w.out, answer)
	}
	return printMeasure(w.out, answer, units)
}

// printMeasure writes sizes for a person, each with its plus-minus of 95 %.
func printMeasure(w io.Writer, a job.MeasureAnswer, u measure.Units) error {
	sizes := newTable("wall", "size", ">length", ">+/-")
	text := func(value, sigma float64) (string, string) {
		return job.PlusMinusText(photo.Size{Value: value, Sigma: sigma}, u)
	}
	for _, wall := range a.Walls {
		for i, s := range wall.Sides {
			sizes.row(wall.ID, fmt.Sprintf("edge %d", i), s.Length, s.PlusMinus)
		}
		for _, o := range wall.Openings {
			for _, d := range []struct {
				what         string
				value, sigma float64
			}{{"wide", o.W, o.Sigma.W}, {"high", o.H, o.Sigma.H}, {"from left", o.X, o.Sigma.X}, {"above base", o.Y, o.Sigma.Y}} {
				size, plusMinus := text(d.value, d.sigma)
				sizes.row(wall.ID, o.ID+" "+d.what, size, plusMinus)
			}
		}
	}
	if _, err := fmt.Fprintf(w, "%s\nThe marks fit to %.1f pixels.\n\n", sizes, a.ResidualPx); err != nil {
		return err
	}
	for _, c := range a.Cautions {
		if _, err := fmt.Fprintf(w, "%s: %s.\n", c.Where, c.Text); err != nil {
			return err
		}
	}
	return nil
}
