// Package steel is the panel and the strip it is formed from: cross-sections,
// blank width with bend allowance, weight and length of coil, movement with
// temperature, and the book of a shop.
//
// Thickness is always a decimal length, never a gauge number; where a gauge table
// is used, its nominal weights and the weights of the metal itself are two types
// ([NominalWeight], [PhysicalWeight]), since they differ by 2.4 %.
package steel

import (
	"math"

	"coilwright/measure"
	"coilwright/plane"
)

// Span is one stretch of a cross-section: a straight line to To, or, where Arc is
// set, a circular arc about Centre.
type Span struct {
	To        plane.Point
	Arc       bool
	Centre    plane.Point
	Clockwise bool
}

// Slots are the nail slots of the hem. The zero value is "none".
type Slots struct {
	Length, Width measure.Length
	Spacing       measure.Length // centre to centre along the strip
	FromTop       measure.Length // from the hem's free edge to the slot's middle
}

// Drawing is what a shop writes down of a panel's cross-section, in the plane
// square to the strip: X is the depth out from the sheathing, Y the height (for a
// vertical panel, the place across the wall). Heights start at 0 at the butt of
// the lowest lap.
//
// The line is the PAINTED FACE of the strip, and the metal lies on its left as one
// goes along it; so a panel is drawn from the lip of its bottom lock, over its
// laps, up to the free edge of its nail hem. A corner is a bend of InsideRadius; a
// fold of 170 degrees or more is drawn as an arc. An arc is the painted face too.
type Drawing struct {
	Start        plane.Point
	Spans        []Span
	InsideRadius measure.Length
	K            float64 // neutral axis as a share of the thickness; 0: DefaultK
	Slots        Slots
}

// DefaultK is where the neutral axis lies in thin cold-rolled steel, as a share of
// the thickness from the inside of the bend: 0.420 to 0.467 in Machinery's
// Handbook, 26th ed., for R of 0.030 to 0.188 in.
const DefaultK = 0.44

// Section is a panel's cross-section that keeps the rules of NewSection. It does
// not change. The zero value is "not drawn".
type Section struct{ d Drawing }

// NewSection checks a drawing. Errors are *SectionError and match ErrSection.
func NewSection(d Drawing) (Section, error) {
	if d.K == 0 {
		d.K = DefaultK
	}
	d.Spans = append([]Span(nil), d.Spans...)
	s := Section{d}
	for _, rule := range []func() error{s.checkNumbers, s.checkSpans, s.checkCorners, s.checkSlots, s.checkCrossing} {
		if err := rule(); err != nil {
			return Section{}, err
		}
	}
	return s, nil
}

// Drawn says whether there is a cross-section at all.
func (s Section) Drawn() bool { return len(s.d.Spans) > 0 }

// Drawing gives a copy of what the section was made from, K filled in.
func (s Section) Drawing() Drawing {
	d := s.d
	d.Spans = append([]Span(nil), d.Spans...)
	return d
}

// K is the section's own K-factor.
func (s Section) K() float64 { return s.d.K }

// Slots gives the nail slots; the zero value where there are none.
func (s Section) Slots() Slots { return s.d.Slots }

// Box is the smallest upright rectangle around the drawn line, to the tolerance
// of its flattened arcs (0.001 in).
func (s Section) Box() plane.Box { return plane.Ring(s.Points(measure.Inch / 1000)).Box() }

// from is the point where span i begins.
func (s Section) from(i int) plane.Point {
	if i == 0 {
		return s.d.Start
	}
	return s.d.Spans[i-1].To
}

// vector is a plane vector in inches.
type vector struct{ x, y float64 }

func inches(p plane.Point) vector { return vector{p.X.Inches(), p.Y.Inches()} }

func (v vector) length() float64 { return math.Hypot(v.x, v.y) }

// turned is v turned by 90 degrees, left for a counter-clockwise arc.
func (v vector) turned(clockwise bool) vector {
	if clockwise {
		return vector{v.y, -v.x}
	}
	return vector{-v.y, v.x}
}

// tangents gives the directions in which span i begins and ends.
func (s Section) tangents(i int) (begin, end vector) {
	sp, from := s.d.Spans[i], s.from(i)
	if !sp.Arc {
		v := inches(sp.To.Sub(from))
		return v, v
	}
	begin = inches(from.Sub(sp.Centre)).turned(sp.Clockwise)
	end = inches(sp.To.Sub(sp.Centre)).turned(sp.Clockwise)
	return begin, end
}

// turn is the signed angle in radians by which the line turns after span i,
// positive to the left; 0 after the last.
func (s Section) turn(i int) float64 {
	if i < 0 || i+1 >= len(s.d.Spans) {
		return 0
	}
	_, a := s.tangents(i)
	b, _ := s.tangents(i + 1)
	return math.Atan2(a.x*b.y-a.y*b.x, a.x*b.x+a.y*b.y)
}

// arc gives the radius in inches and the angle in radians, both positive, of the
// arc that is span i. The radius is the mean of its two ends'.
func (s Section) arc(i int) (radius, angle float64) {
	sp := s.d.Spans[i]
	a, b := inches(s.from(i).Sub(sp.Centre)), inches(sp.To.Sub(sp.Centre))
	angle = math.Atan2(a.x*b.y-a.y*b.x, a.x*b.x+a.y*b.y)
	if sp.Clockwise {
		angle = -angle
	}
	if angle <= 0 {
		angle += 2 * math.Pi
	}
	return (a.length() + b.length()) / 2, angle
}
