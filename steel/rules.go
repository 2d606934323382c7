package steel

import (
	"errors"
	"fmt"
	"math"

	"coilwright/measure"
	"coilwright/plane"
)

// ErrSection is matched by every error of a cross-section.
var ErrSection = errors.New("not a cross-section that can be formed")

// SectionError names the rule that a cross-section breaks, the place and the mend.
type SectionError struct {
	Rule  string
	Span  int    // index of the span, -1 where the whole section is meant
	Place string // for people: "span 3 (to 0.5, 0)"
	Mend  string
}

func (e *SectionError) Error() string {
	return fmt.Sprintf("cross-section, %s: %s; %s", e.Place, e.Rule, e.Mend)
}

// Unwrap makes errors.Is(err, ErrSection) true.
func (e *SectionError) Unwrap() error { return ErrSection }

func (s Section) broken(span int, rule, mend string) error {
	place := "as a whole"
	if span >= 0 {
		to := s.d.Spans[span].To
		place = fmt.Sprintf("span %d (to %.4f, %.4f in)", span+1, to.X.Inches(), to.Y.Inches())
	}
	return &SectionError{Rule: rule, Span: span, Place: place, Mend: mend}
}

// Bounds of a drawing, assumed: far beyond any panel, near enough that checking
// one is work for less than a second.
const (
	mostSpans    = 100
	largestPlace = 100 * measure.Inch
	largestBend  = measure.Inch
	// sharpest is the largest corner that is a bend between two legs; beyond it
	// the legs' outside lines meet too far off to mean anything.
	sharpest = 170 * math.Pi / 180
	// roundness is how far the two radii of an arc may differ: decimals written
	// to 0.001 in.
	roundness = 0.001
)

func (s Section) checkNumbers() error {
	d := s.d
	switch {
	case len(d.Spans) == 0:
		return s.broken(-1, "it has no spans", "draw at least one line from its start")
	case len(d.Spans) > mostSpans:
		return s.broken(-1, fmt.Sprintf("it has more than %d spans", mostSpans), "draw curves as arcs")
	case d.InsideRadius < 0 || d.InsideRadius > largestBend:
		return s.broken(-1, "the inside radius of its bends is not between 0 and 1 in", "measure a bend of a formed piece")
	case !(d.K > 0 && d.K <= 0.5):
		return s.broken(-1, "k is not above 0 and at most 0.5", "use 0.44 or the share your own strip shows")
	case outOfPlace(d.Start):
		return s.broken(-1, "its start is further than 100 in from 0, 0", "draw in inches from the lowest butt")
	}
	return nil
}

func outOfPlace(p plane.Point) bool {
	return p.X < -largestPlace || p.X > largestPlace || p.Y < -largestPlace || p.Y > largestPlace
}

func (s Section) checkSpans() error {
	for i, sp := range s.d.Spans {
		switch {
		case outOfPlace(sp.To) || sp.Arc && outOfPlace(sp.Centre):
			return s.broken(i, "it is further than 100 in from 0, 0", "draw in inches from the lowest butt")
		case sp.To == s.from(i):
			return s.broken(i, "it has no length", "leave the span out")
		case sp.Arc:
			a, b := inches(s.from(i).Sub(sp.Centre)).length(), inches(sp.To.Sub(sp.Centre)).length()
			if a == 0 || math.Abs(a-b) > roundness {
				return s.broken(i, fmt.Sprintf("its ends are %.4f and %.4f in from the arc's centre", a, b),
					"move the centre until both agree within 0.001 in")
			}
		}
	}
	return nil
}

// checkCorners looks at the bends of a strip without thickness: what does not fit
// there fits no strip.
func (s Section) checkCorners() error {
	for i := range s.d.Spans {
		if math.Abs(s.turn(i)) > sharpest {
			return s.broken(i, "the line turns back on itself by more than 170 degrees at its end", "draw the fold as an arc")
		}
	}
	_, err := s.Develop(0, s.d.K)
	return err
}

func (s Section) checkSlots() error {
	n := s.d.Slots
	if n == (Slots{}) {
		return nil
	}
	last := len(s.d.Spans) - 1
	hem := inches(s.d.Spans[last].To.Sub(s.from(last))).length()
	switch {
	case n.Length <= 0 || n.Width <= 0 || n.Width > n.Length:
		return s.broken(last, "a nail slot has no length or is wider than long", "give the slot's length along the strip and its width")
	case n.Spacing <= n.Length:
		return s.broken(last, "the nail slots run into one another", "make the spacing larger than the slot's length")
	case n.FromTop < n.Width/2 || s.d.Spans[last].Arc || (n.FromTop+n.Width/2).Inches() > hem:
		return s.broken(last, "the nail slots do not lie in the straight hem", "end the drawing with the hem that holds them")
	}
	return nil
}

// checkCrossing refuses a line that meets itself, at the tolerance of a drawing.
func (s Section) checkCrossing() error {
	at, owner := s.flatten(measure.Inch / 200)
	for i := 0; i+1 < len(at); i++ {
		for j := i + 2; j+1 < len(at); j++ {
			if meet(at[i], at[i+1], at[j], at[j+1]) {
				return s.broken(owner[j+1], fmt.Sprintf("it meets span %d", owner[i+1]+1), "draw folds with the room that the metal needs")
			}
		}
	}
	return nil
}

// meet says whether the closed segments ab and cd share a point. Exact.
func meet(a, b, c, d plane.Point) bool {
	boxAB, boxCD := plane.Ring{a, b}.Box(), plane.Ring{c, d}.Box()
	if boxAB.Min.X > boxCD.Max.X || boxCD.Min.X > boxAB.Max.X || boxAB.Min.Y > boxCD.Max.Y || boxCD.Min.Y > boxAB.Max.Y {
		return false
	}
	return plane.Turn(a, b, c)*plane.Turn(a, b, d) <= 0 && plane.Turn(c, d, a)*plane.Turn(c, d, b) <= 0
}
