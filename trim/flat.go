package trim

import (
	"fmt"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/scheme"
	"coilwright/steel"
)

// Flat is one strip of flat coil that a length of trim is bent from. Runs longer than
// the brake are split: Part of Parts lengths, each lapping the next.
type Flat struct {
	ID            string // F1, F2, ... in the order of the lines
	Kind          Kind
	What          string
	Wall          int // as of its Line
	From          string
	Width, Length measure.Length
	Part, Parts   int
}

// NotFlat is trim that is bent from flat coil but not in the plan, and why.
type NotFlat struct{ What, From, Why string }

// leastLength is the shortest length that a split leaves at the end of a run; a
// shorter rest is shared with the length before it (assumed: less is hard to hold
// in a brake).
const leastLength = measure.Foot

// girth is the width of flat strip that a kind is bent from in the shop's book; zero
// where it is bought formed. A frieze board takes the board's own height and what
// the book adds to it for hems.
func girth(k Kind, s scheme.Scheme, b *steel.Book) measure.Length {
	g := b.Trim.Girths[string(k)]
	switch k {
	case PostFlat:
		return b.Trim.PostFlat
	case Frieze:
		if g <= 0 || s.Frieze <= 0 {
			return 0
		}
		return s.Frieze + g
	}
	return g
}

// bentHere says whether the shop bends a kind itself.
func bentHere(k Kind, b *steel.Book) bool {
	return b.Trim.BrakeLength > 0 && (k == PostFlat && b.Trim.PostFlat > 0 || b.Trim.Girths[string(k)] > 0)
}

// flats lists the strips that the lines are bent from, and the lines that must not be
// cut yet or cannot be.
func flats(h house.House, s scheme.Scheme, b *steel.Book, step measure.Length, lines []Line) (out []Flat, not []NotFlat) {
	brake := b.Trim.BrakeLength.FloorTo(step)
	for _, l := range lines {
		width := girth(l.Kind, s, b)
		if width <= 0 || l.Length <= 0 {
			continue
		}
		if why := notYet(h, b, l); why != "" {
			not = append(not, NotFlat{l.What, l.From, why})
			continue
		}
		lap := b.Trim.Lap
		if l.Kind == PostFlat {
			lap = 0 // the line has its laps already
		}
		for _, run := range l.Runs {
			parts := split(run, brake, lap, step)
			for i, n := range parts {
				out = append(out, Flat{
					ID: fmt.Sprintf("F%d", len(out)+1), Kind: l.Kind, What: l.What, Wall: l.Wall, From: l.From,
					Width: width, Length: n, Part: i + 1, Parts: len(parts),
				})
			}
		}
	}
	return out, not
}

// split cuts a run into the fewest lengths that the brake takes, whole brake lengths
// first. Lengths are rounded up to the step: what is over is trimmed on the wall.
func split(run, brake, lap, step measure.Length) []measure.Length {
	if run <= 0 || brake <= 0 {
		return nil
	}
	if lap < 0 || lap >= brake {
		lap = 0
	}
	n, laps := lapped(run, brake, lap)
	out := make([]measure.Length, n)
	for i := range out {
		out[i] = brake
	}
	out[n-1] = (run + laps - measure.Length(n-1)*brake).CeilTo(step)
	if least := min(leastLength, brake/2); n > 1 && out[n-1] < least {
		both := out[n-2] + out[n-1]
		out[n-1] = (both / 2).FloorTo(step)
		out[n-2] = both - out[n-1]
	}
	return out
}

// notYet says why steel is not cut from a line's numbers, by the shop's own rule for
// pieces; empty where it may be.
func notYet(h house.House, b *steel.Book, l Line) string {
	if l.Wall < 0 || l.Wall >= len(h.Walls) {
		return ""
	}
	w, f := h.Walls[l.Wall], b.FitToCut
	if f.Over == string(house.Substrate) && w.Over == house.OldCladding {
		return "measured over the old cladding"
	}
	worst := worstOf(w.Measured, w.Readings)
	if l.Opening > 0 && l.Opening <= len(w.Openings) {
		o := w.Openings[l.Opening-1]
		worst = worstOf(o.Measured, o.Readings)
	}
	switch {
	case worst.By.Rank() < house.Source(f.By).Rank():
		return worst.By.Word() + "; the shop cuts from " + string(f.By)
	case worst.PlusMinus < 0:
		return "no +/- stated"
	case worst.PlusMinus > f.PlusMinus:
		return "its +/- is wider than the shop cuts from"
	}
	return ""
}

func worstOf(own house.Pedigree, readings [][2]house.Pedigree) house.Pedigree {
	for _, r := range readings {
		own = house.Worse(own, house.Worse(r[0], r[1]))
	}
	return own
}
