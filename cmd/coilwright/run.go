package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"coilwright/coil"
	"coilwright/job"
	"coilwright/measure"
)

type runCmd struct {
	jobArg
	schemeFlag
	jsonFlag
	wordFlag
	Spoiled []string `name:"spoiled" sep:"," placeholder:"PIECE,..." help:"Pieces spoiled on site, by id or number: which coil gives them again, and what that does to the rest."`
	Formed  string   `name:"formed" placeholder:"PIECE" help:"With --spoiled: the last piece that the machine has formed, when it is past the spoiled ones."`
}

// Run plans the machine's run of a scheme, or mends it where pieces are spoiled.
func (c runCmd) Run(w *world) error {
	j, id, err := c.open(w, c.schemeFlag)
	if err != nil {
		return err
	}
	finished := slowly(w.err, "planning the run")
	r, err := j.RunOnWord(id, c.OnMyWord)
	finished()
	if err != nil {
		return wordError(err)
	}
	warn(w.err, r.Layout.Problems)
	if len(c.Spoiled) > 0 || c.Formed != "" {
		return c.recut(w, j, r)
	}
	finished = slowly(w.err, "slitting the trim")
	slitting, err := j.SlittingOf(r)
	finished()
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(w.out, j.RunAnswer(r, slitting))
	}
	if err := printRun(w.out, j, r); err != nil {
		return err
	}
	_, err = io.WriteString(w.out, slitText(j, slitting))
	return err
}

// printRun writes the plan for a person: cautions, set-ups with their pieces in
// order, coils, what to buy, and what must not be cut yet.
func printRun(w io.Writer, j *job.Job, r *job.RunResult) error {
	if len(r.Plan.Runs) == 0 {
		_, err := fmt.Fprintf(w, "There is nothing to run.\n%s", leftOutText(r.LeftOut))
		return err
	}
	coils := newTable("coil", "lot", "colour", ">pieces", ">used", ">tail", "")
	for _, c := range r.Plan.Reels {
		coils.row(c.ID, c.Lot, c.Colour, len(c.Pieces), c.Used.Near(j.Units, j.Units.Step()), c.Tail.Near(j.Units, j.Units.Step()), bought(c))
	}
	_, err := fmt.Fprintf(w, "%s%s\n%s\n%s\n%s%s%s\nThreading scrap %s.\n%s",
		cautionText(), wordText(r.OnWord), setupText(j, r.Plan), coils, doubtText(j, r.Plan), buyText(j, r.Plan), boundText(j, r.Plan),
		r.Plan.Scrap.Text(j.Units), leftOutText(r.LeftOut))
	return err
}

// setupText lists the set-ups, each with its pieces in the order they are formed.
func setupText(j *job.Job, p coil.Plan) string {
	var b strings.Builder
	for i, s := range p.Runs {
		fmt.Fprintf(&b, "Set-up %d: %s, %s, %s, %s thick; %s, about %.0f minutes\n%s", i+1, s.Setup.Panel, s.Setup.Texture,
			s.Setup.Colour, thickness(s.Setup.Thickness, j.Units), count(len(s.Pieces), "piece"), math.Ceil(s.Minutes), wrapped(s.Pieces))
	}
	return b.String()
}

// thickness is written as a decimal, never as a gauge.
func thickness(t measure.Length, u measure.Units) string {
	if u == measure.Metric {
		return t.Text(u)
	}
	return fmt.Sprintf("%.4f in", t.Inches())
}

func bought(c coil.Reel) string {
	if c.Bought {
		return "to buy"
	}
	return ""
}

func buyText(j *job.Job, p coil.Plan) string {
	if len(p.Buy) == 0 {
		return "Nothing to buy: the stock is enough.\n"
	}
	t := newTable("to buy", ">count", ">length of each", ">price of all")
	for _, b := range p.Buy {
		t.row(b.Colour, b.Count, b.Length.Text(j.Units), j.PriceText(b.Price))
	}
	return t.String()
}

// leftOutText lists what must not be cut yet, one line for each reason.
func leftOutText(left []coil.LeftOut) string {
	var b strings.Builder
	reasons, pieces := job.LeftOutByWhy(left)
	for _, why := range reasons {
		fmt.Fprintf(&b, "\nNot cut: %s\n%s", why, wrapped(pieces[why]))
	}
	return b.String()
}

// wordText says who answers for what is cut though it is not fit to cut.
func wordText(o *job.OnWord) string {
	if o == nil || len(o.Pieces) == 0 {
		return ""
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\nNot fit to cut, and cut on the word of %s:\n", o.Name)
	var all []coil.LeftOut
	for _, p := range o.Pieces {
		all = append(all, p.LeftOut)
	}
	reasons, pieces := job.LeftOutByWhy(all)
	for _, why := range reasons {
		fmt.Fprintf(&b, "%s\n%s", why, wrapped(pieces[why]))
	}
	return b.String()
}

func cautionText() string {
	var b strings.Builder
	for _, c := range job.RunCautions {
		fmt.Fprintf(&b, "Caution: %s\n", c.Text)
	}
	return b.String()
}
