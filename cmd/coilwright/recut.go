package main

import (
	"errors"
	"fmt"
	"io"
	"math/big"
	"strings"

	"coilwright/coil"
	"coilwright/job"
)

// recut answers which coils give spoiled pieces again.
func (c runCmd) recut(w *world, j *job.Job, r *job.RunResult) error {
	if len(c.Spoiled) == 0 {
		return &usageError{"--formed goes with --spoiled: name the pieces that are to be formed again"}
	}
	m, err := j.Recut(r, c.Spoiled, c.Formed)
	if spoiled := (*coil.SpoiledError)(nil); errors.As(err, &spoiled) {
		return &usageError{err.Error()}
	}
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(w.out, j.RecutAnswer(m))
	}
	return printRemedy(w.out, j, m)
}

// printRemedy says for a person which coil gives each spoiled piece, what moves,
// what is bought, and what every coil that changes has yet to give.
func printRemedy(w io.Writer, j *job.Job, m coil.Remedy) error {
	var b strings.Builder
	b.WriteString(cautionText() + "\n")
	touched := map[string]bool{}
	for _, g := range m.Given {
		touched[g.Coil] = true
		fmt.Fprintf(&b, "Form %s again from coil %s%s.\n", g.Piece, g.Coil, givenText(g))
	}
	for _, x := range m.Moved {
		touched[x.From], touched[x.To] = true, true
		fmt.Fprintf(&b, "Form %s from coil %s, no longer from %s.\n", x.Piece, x.To, x.From)
	}
	if len(m.Moved) == 0 && len(m.Given) > 0 {
		b.WriteString("No other piece changes its coil.\n")
	}
	for _, r := range m.Rest {
		if touched[r.ID] {
			fmt.Fprintf(&b, "\nCoil %s has yet to give, in this order; then %s are left:\n%s", r.ID, r.Tail.Near(j.Units, j.Units.Step()), wrapped(r.ToCut))
		}
	}
	b.WriteString("\n")
	if len(m.Buy) == 0 {
		b.WriteString("Nothing to buy for it.\n")
	} else {
		b.WriteString(buyText(j, coil.Plan{Buy: m.Buy}) + boundText(j, coil.Plan{Buy: m.Buy, Bound: m.Bound}))
	}
	_, err := io.WriteString(w, b.String()+leftOutText(m.LeftOut))
	return err
}

func givenText(g coil.Given) string {
	text := map[string]string{
		coil.FromTail: ", from its tail", coil.ByMoving: ", where other pieces make room", coil.FromStock: ", which the plan did not use",
		coil.ByBuying: ", which must be bought",
	}[g.How]
	if g.Thread {
		text += "; thread it for this"
	}
	if g.OtherLot {
		text += "; its lot is another than the wall's: hold it against the wall in daylight first"
	}
	return text
}

// boundText says what no plan can beat, and what keeping lots apart costs.
func boundText(j *job.Job, p coil.Plan) string {
	var b strings.Builder
	paid := new(big.Rat)
	for _, q := range p.Buy {
		paid.Add(paid, q.Price)
	}
	switch {
	case len(p.Buy) > 0 && p.Bound.Optimal:
		b.WriteString("Proven: no plan buys these pieces' coils for less.\n")
	case len(p.Buy) > 0:
		fmt.Fprintf(&b, "At least %s must be spent; this plan spends %s and may not be the cheapest.\n", j.PriceText(p.Bound.Price), j.PriceText(paid))
	}
	if more := p.Lots.PriceIfMixed; more != nil {
		fmt.Fprintf(&b, "Of that, up to %s keeps one lot on %s.\n", j.PriceText(paid.Sub(paid, more)), lotsText[p.Lots.Kept])
	}
	for _, m := range p.Lots.Mixed {
		fmt.Fprintf(&b, "Caution: %s on %s comes from lots %s: %s.\n", m.Colour, strings.Join(m.Walls, ", "), strings.Join(m.Lots, ", "), m.Why)
	}
	return b.String()
}

var lotsText = map[string]string{coil.LotsMeet: "walls that meet", coil.LotsWall: "each wall"}

// doubtText says what hangs on the length of a coil that is known to a plus-minus.
func doubtText(j *job.Job, p coil.Plan) string {
	var b strings.Builder
	for _, r := range p.Reels {
		if len(r.InDoubt) == 0 {
			continue
		}
		other := "no other coil could give the last: measure the coil before it is threaded"
		if r.Spare != "" {
			other = "coil " + r.Spare + " could give the last"
		}
		hang := "pieces hang"
		if len(r.InDoubt) == 1 {
			hang = "piece hangs"
		}
		fmt.Fprintf(&b, "Coil %s may be %s short, and %d %s on that; %s.\n", r.ID, r.PlusMinus.Text(j.Units), len(r.InDoubt), hang, other)
	}
	if b.Len() > 0 {
		return b.String() + "\n"
	}
	return ""
}
