package course

import (
	"cmp"
	"slices"

	"coilwright/measure"
	"coilwright/plane"
	"coilwright/steel"
)

// judging scores raw parts; it only keeps its memory from one to the next.
type judging struct {
	low, high []plane.Edge // level edges under and over the part
	runs      [][2]measure.Length
	seen      []biting
}

// biting is one opening's head or sill that bites into a part.
type biting struct {
	opening  int
	receiver string
}

// slivers counts the strips of a raw part that are thinner than limit: between a
// level edge below and a level edge above it (a top rip, or what is left over or
// under an opening), or the whole part where it has none.
func (j *judging) slivers(p plane.Part, limit measure.Length) int {
	j.low, j.high, j.runs = j.low[:0], j.high[:0], j.runs[:0]
	j.level(p.Outer)
	for _, h := range p.Holes {
		j.level(h)
	}
	slices.SortFunc(j.high, func(a, b plane.Edge) int { return cmp.Compare(a.From.Y, b.From.Y) })
	for _, a := range j.low {
		from, _ := slices.BinarySearchFunc(j.high, a.From.Y+1, func(b plane.Edge, y measure.Length) int { return cmp.Compare(b.From.Y, y) })
		for _, b := range j.high[from:] {
			if b.From.Y-a.From.Y >= limit {
				break
			}
			if x1, x2 := max(a.From.X, b.To.X), min(a.To.X, b.From.X); x1 < x2 {
				j.runs = append(j.runs, [2]measure.Length{x1, x2})
			}
		}
	}
	if n := separate(j.runs); n > 0 {
		return n
	}
	if p.Outer.Points.Box().Height() < limit {
		return 1
	}
	return 0
}

// level collects the level edges of a ring.
func (j *judging) level(r plane.TaggedRing) {
	n := len(r.Points)
	for i, p := range r.Points {
		q := r.Points[(i+1)%n]
		switch {
		case p.Y != q.Y:
		case q.X > p.X:
			j.low = append(j.low, plane.Edge{From: p, To: q, Tag: r.Tags[i]})
		default:
			j.high = append(j.high, plane.Edge{From: p, To: q, Tag: r.Tags[i]})
		}
	}
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
func (j *judging) notchesAt(p plane.Part, o *outline, low, high measure.Length) int {
	j.seen = j.seen[:0]
	j.bites(p.Outer, o, low, high)
	for _, h := range p.Holes {
		j.bites(h, o, low, high)
	}
	slices.SortFunc(j.seen, func(a, b biting) int {
		if a.opening != b.opening {
			return cmp.Compare(a.opening, b.opening)
		}
		return cmp.Compare(a.receiver, b.receiver)
	})
	return len(slices.Compact(j.seen))
}

func (j *judging) bites(r plane.TaggedRing, o *outline, low, high measure.Length) {
	n := len(r.Points)
	for i, tag := range r.Tags {
		b, ok := o.at(tag)
		if !ok || b.opening < 0 || b.receiver == steel.OpeningSide {
			continue
		}
		if y := r.Points[i].Y; y == r.Points[(i+1)%n].Y && (y == low || y == high) {
			continue
		}
		j.seen = append(j.seen, biting{b.opening, b.receiver})
	}
}

// judge scores the raw parts of one share.
func (j *judging) judge(parts []plane.Part, g grid, o *outline, p steel.Panel, limit measure.Length) Score {
	var s Score
	for _, part := range parts {
		box := part.Outer.Points.Box()
		s.Slivers += j.slivers(part, limit)
		s.RipsAndNotches += j.notchesAt(part, o, g.lines[part.Band], g.lines[part.Band+1])
		if box.Height() < p.Cover() {
			s.RipsAndNotches++
		}
		s.Steel += int64(box.Width()/measure.Sixteenth) * int64(p.BlankWidth/measure.Sixteenth)
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
