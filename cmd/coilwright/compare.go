package main

import (
	"fmt"
	"io"
	"strings"

	"coilwright/job"
)

type compareCmd struct {
	jobArg
	schemeFlag
	jsonFlag
	Plan bool `help:"List every section of box siding too, with what is cut from it: for checking, or for a crew that hangs it."`
}

// Run compares a scheme formed from coil with the same walls in box siding.
func (c compareCmd) Run(w *world) error {
	j, id, err := c.open(w, c.schemeFlag)
	if err != nil {
		return err
	}
	finished := slowly(w.err, "laying the walls in box siding")
	r, l, err := j.Compare(id)
	finished()
	if err != nil {
		return err
	}
	warn(w.err, l.Problems)
	a := j.CompareAnswer(r, c.Plan)
	if c.JSON {
		return writeJSON(w.out, a)
	}
	n, err := j.Scheme(id)
	if err != nil {
		return err
	}
	return printCompare(w.out, j.Schemes[n].Title, a)
}

// printCompare writes a comparison for a person: what each way takes, where its
// waste goes, what is proven, who needs least, and by what rules.
func printCompare(w io.Writer, title string, a job.CompareAnswer) error {
	if a.Strips == 0 {
		_, err := fmt.Fprintf(w, "Scheme %s: %s\nThere is nothing to compare: no zone hangs in courses.\n", a.Scheme, title)
		return err
	}
	f := a.Formed
	takes := newTable("", ">takes", "", ">pieces", ">joints", ">waste sq ft", ">waste %", ">weight lb")
	takes.row("formed", fmt.Sprintf("%.1f", f.CoilFt), "ft of coil", f.Pieces, f.Joints, tenth(f.WasteFt2), tenth(f.WastePct), pounds(f.WeightLb))
	goes := newTable("waste, sq ft", ">rips, notches, rakes", ">laps", ">offcuts", ">threading", ">cuts", ">short tails")
	goes.row("formed", tenth(f.TrimmedFt2), tenth(f.LapsFt2), "-", tenth(f.ThreadingFt2), tenth(f.CutLossFt2), tenth(f.ShortTailsFt2))
	for _, b := range a.Box {
		takes.row(boxName(b), b.Sections, "sections", b.Pieces, b.Joints, tenth(b.WasteFt2), tenth(b.WastePct), pounds(b.WeightLb))
		goes.row(boxName(b), tenth(b.TrimmedFt2), tenth(b.LapsFt2), tenth(b.OffcutsFt2), "-", "-", "-")
	}
	_, err := fmt.Fprintf(w, "Scheme %s: %s\nBoth ways cover the same %s of wall, %.1f sq ft.\n\n%s\n%s\n%s%s%s\n%s\n%s", a.Scheme, title,
		count(a.Strips, "strip"), a.HungFt2, takes, goes, tailText(f), leastText(a), provenText(a), assumptionText(a), compareCautions(a))
	if err != nil {
		return err
	}
	for _, b := range a.Box {
		if b.Plan != nil {
			if _, err := fmt.Fprintf(w, "\n%s", sectionTable(b)); err != nil {
				return err
			}
		}
	}
	return nil
}

func boxName(b job.BoxAnswer) string { return fmt.Sprintf("box %g ft", b.SectionFt) }

func tenth(v float64) string { return fmt.Sprintf("%.1f", v) }

func pounds(w *float64) string {
	if w == nil {
		return "not known"
	}
	return fmt.Sprintf("%.0f", *w)
}

// tailText says what is ordered, what stays on the coils, and what the shop cannot form.
func tailText(f job.FormedAnswer) string {
	s := fmt.Sprintf("%s threaded, %.0f ft of new coil to order; %.1f ft stay on the coils for another job, not counted as waste.\n",
		count(f.Coils, "coil"), f.BuyFt, f.UsableTailsFt)
	if n := len(f.NoCoil); n > 0 {
		s += fmt.Sprintf("For %s the shop's book has no coil, in stock or to buy; they are counted by their length: see run.\n", count(n, "piece"))
	}
	return s
}

// leastText says who needs least of each thing.
func leastText(a job.CompareAnswer) string {
	var parts []string
	for _, l := range a.Least {
		parts = append(parts, fmt.Sprintf("least %s: %s", l.What, strings.Join(l.Who, ", ")))
	}
	s := strings.Join(parts, "; ")
	return strings.ToUpper(s[:1]) + s[1:] + ".\n"
}

// provenText sets each count of sections beside its bounds.
func provenText(a job.CompareAnswer) string {
	var b strings.Builder
	for _, x := range a.Box {
		fmt.Fprintf(&b, "In %s sections: length and laps alone ask for %d; ", fmt.Sprintf("%g ft", x.SectionFt), x.BareSections)
		if x.Optimal {
			fmt.Fprintf(&b, "%d is proven the fewest by the rules below.\n", x.Sections)
		} else {
			fmt.Fprintf(&b, "not proven the fewest: between %d and %d by the rules below.\n", x.BoundSections, x.Sections)
		}
		for _, c := range x.Compromises {
			fmt.Fprintf(&b, "  No place found for %s that keeps the rules: it %s.\n", c.Piece, c.Rule)
		}
	}
	return b.String()
}

func assumptionText(a job.CompareAnswer) string {
	var b strings.Builder
	r := a.Rules
	fmt.Fprintf(&b, "Box siding is laid with laps of %g in, joints %g in apart from course to course and from the ends, "+
		"%g in clear of an opening's corners, offcuts used wherever they fit: fewest sections, then fewest joints.\n",
		r.LapIn, r.StaggerIn, r.ClearIn)
	for _, s := range a.Assumptions {
		b.WriteString(s + "\n")
	}
	return b.String()
}

func compareCautions(a job.CompareAnswer) string {
	var b strings.Builder
	for _, c := range a.Cautions {
		fmt.Fprintf(&b, "Caution: %s\n", c.Text)
	}
	return b.String()
}

// sectionTable lists every section with what is cut from it: the strip, and for a
// joined one the number of its piece from the left.
func sectionTable(b job.BoxAnswer) string {
	t := newTable(fmt.Sprintf("%g ft section", b.SectionFt), "panel", "colour", "cut to", ">left, in")
	for i, s := range *b.Plan {
		var cuts []string
		for _, p := range s.Parts {
			cuts = append(cuts, fmt.Sprintf("%s/%d %.4g in", p.Piece, p.N, p.LengthIn))
		}
		t.row(i+1, s.Panel, s.Colour, strings.Join(cuts, ", "), fmt.Sprintf("%.4g", s.LeftIn))
	}
	return t.String()
}
