package course

import (
	"cmp"
	"slices"

	"coilwright/measure"
	"coilwright/plane"
	"coilwright/steel"
)

// joinLong splits parts that are longer than the shop's longest piece at planned
// joints: as few as will do, lapped, clear of openings, and staggered from the
// joints of the course below. Where no place satisfies all of that, the piece says
// so.
func (l *layer) joinLong(blanks []blank, sh share) []blank {
	var out []blank
	below := map[int][]measure.Length{} // joints by band
	for _, b := range blanks {
		if b.raw <= l.in.Book.LongestPiece {
			out = append(out, b)
			continue
		}
		at, clean := l.jointsOf(b.part, sh, below[b.part.Band-1])
		below[b.part.Band] = append(below[b.part.Band], at...)
		out = append(out, l.splitAt(b, at, clean)...)
	}
	return out
}

// jointsOf chooses the joints of one part, each as far along as the rules let it and
// no nearer to the part's end than a stagger, so that the last piece is no stub.
func (l *layer) jointsOf(p plane.Part, sh share, below []measure.Length) (at []measure.Length, clean bool) {
	box := p.Outer.Points.Box()
	longest, lap := l.in.Book.LongestPiece, l.in.Book.Joint.Lap
	stagger := l.in.Book.Joint.Stagger
	clean = true
	from, last := box.Min.X, box.Max.X-min(stagger, longest/4)
	for box.Max.X-from > longest {
		limit := min(from+longest-lap, last).FloorTo(l.step)
		x, ok := l.placeJoint(p, sh, below, from, limit, stagger)
		if !ok {
			x, clean = limit, false
		}
		at = append(at, x)
		from = x - lap
	}
	return at, clean
}

// placeJoint finds the farthest place in (from, limit] that is clear of openings,
// staggered from the joints below, and leaves a piece that is longer than its laps.
func (l *layer) placeJoint(p plane.Part, sh share, below []measure.Length, from, limit, stagger measure.Length) (measure.Length, bool) {
	blocked := l.blockedBy(sh, p, below, stagger)
	x := limit
	for x > from+max(stagger, 2*l.in.Book.Joint.Lap) { // else the next piece would not begin past this one
		moved := false
		for _, b := range blocked {
			if x > b[0] && x < b[1] {
				x, moved = b[0].FloorTo(l.step), true
			}
		}
		if !moved {
			return x, true
		}
	}
	return 0, false
}

// blockedBy lists the stretches in which no joint may stand: near an opening that
// reaches into the part's band or its neighbours, and near a joint below.
func (l *layer) blockedBy(sh share, p plane.Part, below []measure.Length, stagger measure.Length) [][2]measure.Length {
	var out [][2]measure.Length
	clear := l.in.Book.Joint.ClearOfOpening
	box := p.Outer.Points.Box()
	reach := l.panels[sh.zone].Cover()
	for _, o := range l.in.House.Walls[sh.wall].Openings {
		rings := []plane.TaggedRing{{Points: o.Outline, Tags: make([]plane.Tag, len(o.Outline))}}
		if l.panels[sh.zone].Kind == steel.Vertical {
			rings = turned(rings)
		}
		b := rings[0].Points.Box()
		if b.Min.Y < box.Max.Y+reach && b.Max.Y > box.Min.Y-reach {
			out = append(out, [2]measure.Length{b.Min.X - clear, b.Max.X + clear})
		}
	}
	for _, x := range below {
		out = append(out, [2]measure.Length{x - stagger, x + stagger})
	}
	slices.SortFunc(out, func(a, b [2]measure.Length) int { return cmp.Compare(b[1], a[1]) })
	return out
}

// splitAt cuts a blank at its joints; the left piece of each runs on by the lap.
func (l *layer) splitAt(b blank, at []measure.Length, clean bool) []blank {
	box := b.part.Outer.Points.Box()
	var out []blank
	from := box.Min.X
	for i := range len(at) + 1 {
		to := box.Max.X
		if i < len(at) {
			to = at[i]
		}
		for _, p := range slice(b.part, from, to) {
			q := blank{part: p, raw: p.Outer.Points.Box().Width()}
			if i == 0 {
				q.slivers = b.slivers
			}
			if !clean {
				q.warn = append(q.warn, "no place for its joint is both clear of openings and staggered: look before you cut")
			}
			out = append(out, q)
		}
		if i < len(at) {
			from = at[i] - l.in.Book.Joint.Lap
		}
	}
	return out
}

// slice gives what lies of a part between two upright lines; the new ends carry
// the tag of a joint.
func slice(p plane.Part, x1, x2 measure.Length) []plane.Part {
	box := p.Outer.Points.Box()
	rings := turned(append([]plane.TaggedRing{p.Outer}, p.Holes...))
	var out []plane.Part
	for _, q := range plane.Bands(rings, []measure.Length{-x2, -x1}) {
		back := plane.Part{Band: p.Band, Outer: turnedBack(q.Outer, box)}
		for _, h := range q.Holes {
			back.Holes = append(back.Holes, turnedBack(h, box))
		}
		out = append(out, back)
	}
	return out
}

// turnedBack undoes turned; an end that slice made becomes a joint.
func turnedBack(r plane.TaggedRing, box plane.Box) plane.TaggedRing {
	out := plane.TaggedRing{Points: make(plane.Ring, len(r.Points)), Tags: slices.Clone(r.Tags)}
	for i, p := range r.Points {
		out.Points[i] = plane.Point{X: -p.Y, Y: p.X}
	}
	for i, t := range out.Tags {
		e := out.Edge(i)
		if t == plane.Cut && e.From.X == e.To.X && e.From.X != box.Min.X && e.From.X != box.Max.X {
			out.Tags[i] = jointTag
		}
	}
	return out
}
