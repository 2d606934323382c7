package main

import (
	"fmt"
	"io"

	"coilwright/course"
	"coilwright/job"
	"coilwright/measure"
)

type layoutCmd struct {
	jobArg
	schemeFlag
	jsonFlag
	Raw bool `help:"Leave out set-backs and planned joints, so that the pieces tile the wall: for checking."`
}

// Run lays a scheme out.
func (c layoutCmd) Run(w *world) error {
	j, id, err := c.open(w, c.schemeFlag)
	if err != nil {
		return err
	}
	finished := slowly(w.err, "laying out the house")
	l, err := j.Layout(id, c.Raw)
	finished()
	if err != nil {
		return err
	}
	warn(w.err, l.Problems)
	if c.JSON {
		return writeJSON(w.out, j.LayoutAnswer(l))
	}
	return printLayout(w.out, j, l)
}

// printLayout writes a layout for a person: datum, areas, pieces, totals.
func printLayout(w io.Writer, j *job.Job, l *course.Layout) error {
	n, err := j.Scheme(l.Scheme)
	if err != nil {
		return err
	}
	s := j.Schemes[n]
	zones := newTable("zone", "wall", ">sq ft")
	for _, z := range l.Zones {
		zones.row(s.Zones[z.Zone].ID, j.House.Walls[z.Wall].ID, fmt.Sprintf("%.1f", z.Area.SquareFeet()))
	}
	pieces := newTable("piece", "wall", "zone", ">course", "panel", ">length", ">rip", ">notches", "")
	for _, p := range l.Pieces {
		pieces.row(p.ID, j.House.Walls[p.Wall].ID, s.Zones[p.Zone].ID, p.Course, p.Panel,
			p.Length.Text(j.Units), ripText(p, j.Units), len(p.Notches), fitText(p))
	}
	t := l.Totals
	_, err = fmt.Fprintf(w, "Scheme %s: %s\n%s\n\n%s\n%s\n%s, %.1f sq ft of wall, %.1f ft of panel, %s, %s\n",
		s.ID, s.Title, datumText(j.Units, l.Datum), zones, pieces,
		count(t.Pieces, "piece"), t.Region.SquareFeet(), t.PanelLength.Feet(), count(t.Joints, "joint"), count(t.Slivers, "sliver"))
	return err
}

// datumText says where course 1 starts and what choosing it gained.
func datumText(u measure.Units, d course.DatumChoice) string {
	if !d.Chosen {
		return "Datum " + d.Datum.Text(u) + ", as the scheme says."
	}
	return fmt.Sprintf("Datum %s: %s.\nThe plain datum, %s, would have %s; the worst, %s, %s.",
		d.Datum.Text(u), scoreText(d.Best), d.Plain.Text(u), scoreText(d.AtPlain), d.WorstDatum.Text(u), scoreText(d.Worst))
}

func scoreText(s course.Score) string {
	return fmt.Sprintf("%s, %d rips and notches", count(s.Slivers, "sliver"), s.RipsAndNotches)
}

func ripText(p course.Piece, u measure.Units) string {
	if p.Rip == 0 {
		return ""
	}
	return p.Rip.Near(u, u.Step())
}

func fitText(p course.Piece) string {
	if p.Fit {
		return ""
	}
	return "not fit to cut yet"
}
