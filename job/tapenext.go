package job

import (
	"math"

	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/survey"
)

// bound is one measured line that an edge of a piece lies on, and where.
type bound struct {
	wall, opening int
	from, to      plane.Point
	mid           plane.Point // of the piece's edge
}

// places are the numbers that draw the line.
func (b bound) places() []Place {
	p := func(axis int, at measure.Length) Place { return Place{b.wall, b.opening, axis, at} }
	return []Place{p(0, b.from.X), p(0, b.to.X), p(1, b.from.Y), p(1, b.to.Y)}
}

// bounds finds the lines of wall and openings that a raw piece's edges lie on; under
// a frieze they lie square to eave and rake by its depth.
func (j *Job) bounds(p *course.Piece, frieze measure.Length) []bound {
	w := j.House.Walls[p.Wall]
	on := p.OnWall()
	var out []bound
	for _, ring := range append([]plane.Ring{on.Outer}, on.Holes...) {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			at := bound{wall: p.Wall, opening: -1, mid: plane.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}}
			for e, kind := range w.Edges {
				at.from, at.to = w.Outline[e], w.Outline[(e+1)%len(w.Outline)]
				if at.holds(0) || (kind == house.Eave || kind == house.Rake) && at.holds(frieze) {
					out = append(out, at)
				}
			}
			for k, o := range w.Openings {
				at.opening = k
				for e := range o.Outline {
					at.from, at.to = o.Outline[e], o.Outline[(e+1)%len(o.Outline)]
					if at.holds(0) {
						out = append(out, at)
					}
				}
			}
		}
	}
	return out
}

// off is how far a point on a line may lie beside it: where bands cross a slanted
// edge both ends were rounded to the nanometre, and a frieze's corners before that.
const off = 8 * measure.Nanometre

// holds says whether the middle of the piece's edge lies inwards of the line by so
// much (outlines run counter-clockwise), and beside no other part of the wall.
func (b bound) holds(inwards measure.Length) bool {
	slack := off + inwards
	if b.mid.X < min(b.from.X, b.to.X)-slack || b.mid.X > max(b.from.X, b.to.X)+slack ||
		b.mid.Y < min(b.from.Y, b.to.Y)-slack || b.mid.Y > max(b.from.Y, b.to.Y)+slack {
		return false
	}
	dx, dy := float64(b.to.X-b.from.X), float64(b.to.Y-b.from.Y)
	inside := (dx*float64(b.mid.Y-b.from.Y) - dy*float64(b.mid.X-b.from.X)) / math.Hypot(dx, dy)
	return math.Abs(inside-float64(inwards)) <= float64(off)
}

// length is a raw piece's length: its far end less its near end.
func (n *network) length(p *course.Piece, bounds []bound) survey.Sum {
	axis := 0
	if p.Vertical {
		axis = 1
	}
	box := p.OnWall().Outer.Box()
	low, high := box.Min, box.Max
	var near, far *bound
	for i := range bounds {
		b := &bounds[i]
		if coordinate(b.from, 1-axis) == coordinate(b.to, 1-axis) {
			continue // runs along the strip
		}
		at := coordinate(b.mid, axis)
		switch twice := 2 * at; {
		case twice < coordinate(low, axis)+coordinate(high, axis):
			if near == nil || at < coordinate(near.mid, axis) {
				near = b
			}
		case far == nil || at > coordinate(far.mid, axis):
			far = b
		}
	}
	var out survey.Sum
	if far != nil {
		out = append(out, n.end(*far, axis, 1)...)
	}
	if near != nil {
		out = append(out, n.end(*near, axis, -1)...)
	}
	return out
}

func coordinate(p plane.Point, axis int) measure.Length {
	if axis == 1 {
		return p.Y
	}
	return p.X
}

// end is by times the place, along the axis, where the line crosses the strip's
// middle, to first order in the four numbers of the line.
func (n *network) end(b bound, axis int, by float64) survey.Sum {
	across := 1 - axis
	a1, a2 := coordinate(b.from, axis), coordinate(b.to, axis)
	c1, c2 := coordinate(b.from, across), coordinate(b.to, across)
	share := float64(coordinate(b.mid, across)-c1) / float64(c2-c1)
	slope := float64(a2-a1) / float64(c2-c1)
	place := func(axis int, at measure.Length, times float64) survey.Sum {
		if times == 0 {
			return nil
		}
		return n.terms(Place{b.wall, b.opening, axis, at}, times)
	}
	if a1 == a2 { // one number, not two that are half of it each
		return place(axis, a1, by)
	}
	out := place(axis, a1, by*(1-share))
	out = append(out, place(axis, a2, by*share)...)
	out = append(out, place(across, c1, -by*slope*(1-share))...)
	return append(out, place(across, c2, -by*slope*share)...)
}

// mostWhole is how many numbers are adjusted as one for the choice of the next
// reading (assumed); beyond, the reading that most pieces wait for is named.
const mostWhole = 1200

// next finds the reading that would do most for the lengths of the pieces that
// wait: a length counts as settled at the plus-minus that its numbers would have
// together if each were read as the shop wants it.
func (j *Job) next(w *waiting, list []entry) *TapeNext {
	var candidates []survey.Candidate
	var of []entry
	most := -1
	good := survey.Sigma(max(j.Book.FitToCut.PlusMinus, finest))
	for _, e := range list {
		if e.reading < 0 {
			continue
		}
		candidates = append(candidates, survey.Candidate{Of: w.n.Readings[e.reading].Of, Sigma: good})
		of = append(of, e)
		if most < 0 || len(e.answer.Pieces) > len(of[most].answer.Pieces) {
			most = len(of) - 1
		}
	}
	if most < 0 {
		return nil
	}
	best, settled := most, 0
	if a, err := w.n.adjusted(); err == nil {
		if gain := a.Next(w.goals(good), candidates)[0]; gain.Variance > 0 {
			best, settled = gain.Candidate, gain.Reached
		}
	}
	return &TapeNext{of[best].answer.Where, of[best].answer.What, settled}
}

// rounding widens a goal: it is met by readings that are just as good as it asks.
const rounding = 1 + 1e-6

// goals are the lengths of the pieces that wait.
func (w *waiting) goals(good float64) []survey.Goal {
	readings := make([]float64, len(w.n.Unknowns)) // that draw each place
	for place, list := range w.n.givers() {
		if i, ok := w.n.at[home(w.n.one, place)]; ok {
			readings[i] = max(readings[i], float64(len(list)))
		}
	}
	var out []survey.Goal
	for _, l := range w.lengths {
		square := 0.0
		for _, t := range l {
			square += t.By * t.By * readings[t.At]
		}
		if square > 0 {
			out = append(out, survey.Goal{Terms: l, Sigma: good * math.Sqrt(square) * rounding})
		}
	}
	return out
}

// tooMany says that a house has more numbers than are adjusted as one.
type tooMany struct{}

func (tooMany) Error() string { return "too many numbers to be adjusted as one" }

// adjusted solves the whole network.
func (n *network) adjusted() (survey.Adjustment, error) {
	if len(n.Unknowns) > mostWhole {
		return survey.Adjustment{}, tooMany{}
	}
	return survey.Adjust(n.Network)
}
