package course

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
)

// blank is a piece before its set-backs: a raw part, or one of those that planned
// joints make of it.
type blank struct {
	part    plane.Part
	raw     measure.Length // R
	slivers int
	warn    []string
}

// pieces makes the pieces of one share, in hanging order.
func (l *layer) pieces(sh share, z scheme.Zone, p steel.Panel, parts []plane.Part, g grid) ([]Piece, error) {
	blanks := make([]blank, len(parts))
	for i, part := range parts {
		blanks[i] = blank{part: part, raw: part.Outer.Points.Box().Width(), slivers: l.judging.slivers(part, l.in.Book.Sliver)}
	}
	if !l.raw && l.in.Book.LongestPiece > 0 {
		blanks = l.joinLong(blanks, sh)
	}
	moves := l.movementOf(p)
	out := make([]Piece, 0, len(blanks))
	for _, b := range blanks {
		left := []plane.Part{b.part}
		var e ends
		if !l.raw {
			e = moves.of(b.raw)
			var err error
			if left, err = plane.Inset(b.part, l.setBack(sh.bounds, e)); err != nil {
				return nil, err
			}
			if len(left) == 0 {
				l.now.found.Warnf(fmt.Sprintf("$.house.walls[%d]", sh.wall), "nothing hangs there; let the trim cover it",
					"on wall %s course %d of zone %s a piece of %s is narrower than its set-backs and is left out",
					l.in.House.Walls[sh.wall].ID, g.number(b.part.Band), z.ID, b.raw.Near(l.in.Units, l.step))
			}
		}
		for i, part := range left {
			q := l.piece(sh, z, p, b, part, g.number(part.Band), e)
			if i > 0 {
				q.Slivers = 0 // counted once for the raw part
			}
			out = append(out, q)
		}
	}
	slices.SortStableFunc(out, func(a, b Piece) int {
		if a.Course != b.Course {
			return cmp.Compare(a.Course, b.Course)
		}
		if a.Vertical {
			return cmp.Compare(a.At.Y, b.At.Y)
		}
		return cmp.Compare(a.At.X, b.At.X)
	})
	name(out, l.in.House.Walls[sh.wall].ID, z.ID)
	return out, nil
}

// name gives each piece its id: wall, zone, course, and a letter from the left.
func name(pieces []Piece, wall, zone string) {
	n := 0
	for i := range pieces {
		if i > 0 && pieces[i].Course != pieces[i-1].Course {
			n = 0
		}
		pieces[i].ID = fmt.Sprintf("%s.%s.%d%s", wall, zone, pieces[i].Course, letters(n))
		n++
	}
}

// letters counts a, b … z, aa, ab …
func letters(n int) string {
	if n < 26 {
		return string(rune('a' + n))
	}
	return letters(n/26-1) + string(rune('a'+n%26))
}

// setBack gives how far each edge of a piece is drawn back.
func (l *layer) setBack(o *outline, e ends) func(plane.Edge) measure.Length {
	return func(edge plane.Edge) measure.Length {
		b, ok := o.at(edge.Tag)
		if !ok || b.receiver == Joint {
			return 0
		}
		pocket := l.in.Book.Receiver(b.receiver).Pocket
		switch {
		case edge.To.Y < edge.From.Y:
			return pocket + e.gap[0]
		case edge.To.Y > edge.From.Y:
			return pocket + e.gap[1]
		}
		return pocket
	}
}

func (l *layer) piece(sh share, z scheme.Zone, p steel.Panel, b blank, part plane.Part, course int, e ends) Piece {
	box := part.Outer.Points.Box()
	q := Piece{
		Wall: sh.wall, Zone: sh.zone, Course: course, Panel: p.ID,
		Texture: z.Texture, Colour: z.Colour, Thickness: thickness(z, p, l.in.Book),
		Vertical: p.Kind == steel.Vertical, At: box.Min, Cover: p.Cover(),
		Extent: box.Width(), Length: box.Width().FloorTo(l.step), Raw: b.raw,
		Slivers: b.slivers, Gaps: e.gap, Warnings: slices.Clone(b.warn),
	}
	if q.Vertical {
		q.At = plane.Point{X: -box.Max.Y, Y: box.Min.X}
	}
	if box.Height() < q.Cover {
		q.Rip = box.Height()
	}
	q.Shape.Outer = moved(part.Outer.Points, box.Min)
	for _, h := range part.Holes {
		q.Shape.Holes = append(q.Shape.Holes, moved(h.Points, box.Min))
	}
	l.describe(&q, sh, part, box.Min, e)
	if b.slivers > 0 {
		q.Warnings = append(q.Warnings, fmt.Sprintf("a strip of it is under %s: hard to lock and nail", l.in.Book.Sliver.Text(l.in.Units)))
	}
	return q
}

func thickness(z scheme.Zone, p steel.Panel, b *steel.Book) measure.Length {
	for _, t := range [...]measure.Length{z.Thickness, p.Thickness} {
		if t > 0 {
			return t
		}
	}
	return b.Steel.Thickness
}

// moved gives r with at as its origin, beginning at its lowest, then leftmost corner.
func moved(r plane.Ring, at plane.Point) plane.Ring {
	first := 0
	for i, p := range r {
		if p.Y < r[first].Y || p.Y == r[first].Y && p.X < r[first].X {
			first = i
		}
	}
	out := make(plane.Ring, len(r))
	for i := range r {
		out[i] = r[(first+i)%len(r)].Sub(at)
	}
	return out
}

// describe finds a piece's ends, notches and pedigree from what its edges are: the
// worst of the numbers that its edges lie on, or the wall's own where there is none.
func (l *layer) describe(q *Piece, sh share, part plane.Part, at plane.Point, e ends) {
	w := l.in.House.Walls[sh.wall]
	q.Measured = w.Measured
	first := true
	for _, r := range runs(part.Outer, sh.bounds) {
		if n, ok := r.notch(part, at, w); ok {
			q.Notches = append(q.Notches, n)
		}
	}
	for _, h := range part.Holes {
		q.Notches = append(q.Notches, holeNotch(h, sh.bounds, at, w))
	}
	for _, t := range append([]plane.TaggedRing{part.Outer}, part.Holes...) {
		for i := range t.Points {
			edge := t.Edge(i)
			b, ok := sh.bounds.at(edge.Tag)
			if !ok {
				continue
			}
			if b.edge >= 0 {
				known := pedigree(w, b, w.Measured)
				if !first {
					known = house.Worse(q.Measured, known)
				}
				q.Measured, first = known, false
			}
			if edge.From.Y != edge.To.Y && b.receiver != Joint {
				l.warnCold(q, edge, b, e)
			}
		}
	}
	q.Ends = l.endsSeen(part.Outer, sh.bounds, e)
	f := l.in.Book.FitToCut
	q.Fit = q.Measured.By.Rank() >= house.Source(f.By).Rank() && q.Measured.PlusMinus >= 0 &&
		q.Measured.PlusMinus <= f.PlusMinus && (f.Over != string(house.Substrate) || w.Over != house.OldCladding)
}

// pedigree is how the numbers of one bound are known; otherwise stands in where
// the readings are not given.
func pedigree(w house.Wall, b bound, otherwise house.Pedigree) house.Pedigree {
	readings, own := w.Readings, otherwise
	if b.opening >= 0 {
		o := w.Openings[b.opening]
		readings, own = o.Readings, o.Measured
	}
	if b.edge < 0 {
		return otherwise
	}
	if len(readings) == 0 {
		return own
	}
	from, to := readings[b.edge], readings[(b.edge+1)%len(readings)]
	return house.Worse(house.Worse(from[0], from[1]), house.Worse(to[0], to[1]))
}

// warnCold says where a piece would leave its receiver on the coldest day.
func (l *layer) warnCold(q *Piece, e plane.Edge, b bound, en ends) {
	if l.raw {
		return
	}
	r := l.in.Book.Receiver(b.receiver)
	gap, draw := en.gap[0], en.draw[0]
	if e.To.Y > e.From.Y {
		gap, draw = en.gap[1], en.draw[1]
	}
	draw *= math.Sin(slope(e) * math.Pi / 180)
	if float64(r.Pocket+gap)+draw <= float64(r.Cover) {
		return
	}
	cold, _ := l.in.Book.Gap.ColdestF.Float64()
	text := fmt.Sprintf("at %.0f F it would leave its %s, which hides only %s", cold, b.receiver, r.Cover.Text(l.in.Units))
	if !slices.Contains(q.Warnings, text) {
		q.Warnings = append(q.Warnings, text)
	}
}

// endsSeen lists what stands at the piece's ends: every edge across the strip
// that reaches the piece's left or right, or slants.
func (l *layer) endsSeen(r plane.TaggedRing, o *outline, en ends) []End {
	var out []End
	box := r.Points.Box()
	for i := range r.Points {
		e := r.Edge(i)
		b, ok := o.at(e.Tag)
		if !ok || e.From.Y == e.To.Y {
			continue
		}
		end := End{Side: LeftEnd, Receiver: b.receiver, Angle: math.Round(slope(e)*100) / 100, Gap: en.gap[0], Pocket: l.in.Book.Receiver(b.receiver).Pocket, Cover: l.in.Book.Receiver(b.receiver).Cover}
		reach := min(e.From.X, e.To.X) == box.Min.X
		if e.To.Y > e.From.Y {
			end.Side, end.Gap, reach = RightEnd, en.gap[1], max(e.From.X, e.To.X) == box.Max.X
		}
		if b.receiver == Joint {
			end.Gap = 0
		}
		if (reach || b.receiver == string(house.Rake)) && !slices.Contains(out, end) {
			out = append(out, end)
		}
	}
	return out
}
