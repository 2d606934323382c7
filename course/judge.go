package course

import (
	"cmp"
	"slices"

	"coilwright/measure"
	"coilwright/plane"
	"coilwright/steel"
)

// slivers counts the strips of a raw part that are thinner than limit: between a
// level edge below and a level edge above it (a top rip, or what is left over or
// under an opening), or the whole part where it has none.
func slivers(p plane.Part, limit measure.Length) int {
	var low, high []plane.Edge
	for _, e := range levelEdges(append([]plane.TaggedRing{p.Outer}, p.Holes...)) {
		if e.To.X > e.From.X {
			low = append(low, e)
		} else {
			high = append(high, e)
		}
	}
	var runs [][2]measure.Length
	for _, a := range low {
		for _, b := range high {
			x1, x2 := max(a.From.X, b.To.X), min(a.To.X, b.From.X)
			if gap := b.From.Y - a.From.Y; x1 < x2 && gap > 0 && gap < limit {
				runs = append(runs, [2]measure.Length{x1, x2})
			}
		}
	}
	if n := separate(runs); n > 0 {
		return n
	}
	if p.Outer.Points.Box().Height() < limit {
		return 1
	}
	return 0
}

// separate counts stretches that do not touch.
func separate(runs [][2]measure.Length) int {
	slices.SortFunc(runs, func(a, b [2]measure.Length) int { return cmp.Compare(a[0], b[0]) })
	n := 0
	var end measure.Length
	for i, r := range runs {
		if i == 0 || r[0] > end {
			n++
			end = r[1]
		}
		end = max(end, r[1])
	}
	return n
}

// notchesAt counts the heads and sills that bite into a raw part: those of its
// openings' edges that do not lie on the band's own lines.
func notchesAt(p plane.Part, o *outline, low, high measure.Length) int {
	type side struct {
		opening  int
		receiver string
	}
	var seen []side
	for _, r := range append([]plane.TaggedRing{p.Outer}, p.Holes...) {
		for i := range r.Points {
			e := r.Edge(i)
			b, ok := o.at(e.Tag)
			if !ok || b.opening < 0 || b.receiver == steel.OpeningSide {
				continue
			}
			if e.From.Y == e.To.Y && (e.From.Y == low || e.From.Y == high) {
				continue
			}
			if s := (side{b.opening, b.receiver}); !slices.Contains(seen, s) {
				seen = append(seen, s)
			}
		}
	}
	return len(seen)
}

// judge scores the raw parts of one share.
func judge(parts []plane.Part, g grid, o *outline, p steel.Panel, limit measure.Length) Score {
	var s Score
	for _, part := range parts {
		box := part.Outer.Points.Box()
		s.Slivers += slivers(part, limit)
		s.RipsAndNotches += notchesAt(part, o, g.lines[part.Band], g.lines[part.Band+1])
		if box.Height() < p.Cover() {
			s.RipsAndNotches++
		}
		s.Steel += measure.Length(int64(box.Width()/measure.Sixteenth) * int64(p.BlankWidth/measure.Sixteenth))
	}
	return s
}

func (s Score) add(t Score) Score {
	return Score{s.Slivers + t.Slivers, s.RipsAndNotches + t.RipsAndNotches, s.Steel + t.Steel}
}

// Less says whether s is the better score.
func (s Score) Less(t Score) bool {
	if s.Slivers != t.Slivers {
		return s.Slivers < t.Slivers
	}
	if s.RipsAndNotches != t.RipsAndNotches {
		return s.RipsAndNotches < t.RipsAndNotches
	}
	return s.Steel < t.Steel
}
