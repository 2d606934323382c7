package steel

import (
	"math"

	"coilwright/measure"
)

// BendAllowance is the length of the neutral axis in a bend: BA = A (R + K T), A
// in radians. Angle is what the strip turns through, in degrees; radius (inside)
// and thickness share one unit, which the result has. Source: Machinery's
// Handbook, 26th ed.; any sheet-metal text.
func BendAllowance(angle, radius, thickness, k float64) float64 {
	return angle * math.Pi / 180 * (radius + k*thickness)
}

// OutsideSetBack is the distance from where a bend begins to where the outside
// lines of its legs meet: OSSB = (R + T) tan(A/2). Units as in BendAllowance;
// only for angles below 180 degrees.
func OutsideSetBack(angle, radius, thickness float64) float64 {
	return (radius + thickness) * math.Tan(angle*math.Pi/360)
}

// BendDeduction is what a bend takes off the sum of its outside legs:
// BD = 2 OSSB - BA. Units as in BendAllowance.
func BendDeduction(angle, radius, thickness, k float64) float64 {
	return 2*OutsideSetBack(angle, radius, thickness) - BendAllowance(angle, radius, thickness, k)
}

// Bend is one bend of a developed section: a corner, or an arc. Lengths in inches.
type Bend struct {
	Span      int     // the arc, or the span before the corner
	Angle     float64 // degrees turned through, positive
	Radius    float64 // inside
	FaceOut   bool    // the painted face is outside the bend
	SetBack   float64 // off each of its two legs as drawn; 0 for an arc
	Allowance float64 // length of its neutral axis
}

// Development is a section laid flat. Lengths in inches.
type Development struct {
	Flats float64 // sum of the straight parts between bends
	Bends []Bend
}

// Width is the flat strip in inches: flats + bend allowances.
func (d Development) Width() float64 {
	w := d.Flats
	for _, b := range d.Bends {
		w += b.Allowance
	}
	return w
}

// PerK is how much wider the strip is for a K-factor larger by 1, in inches: the
// error bar of a K that was not measured.
func (d Development) PerK(thickness measure.Length) float64 {
	var radians float64
	for _, b := range d.Bends {
		radians += b.Angle * math.Pi / 180
	}
	return radians * thickness.Inches()
}

// Develop lays the section flat for a strip of the given thickness. It fails, with
// a *SectionError, where the metal does not fit: an arc tighter than the thickness
// or a leg shorter than its bends.
//
// A leg that is drawn on the outside of a bend loses OSSB, one drawn on the inside
// R tan(A/2). Where a leg is an arc the loss is taken along its tangent: at
// 1/32 in of set-back on a 2 in cove that is off by less than 0.001 in.
func (s Section) Develop(thickness measure.Length, k float64) (Development, error) {
	var d Development
	t := thickness.Inches()
	before := 0.0 // set-back of the corner where the span begins
	for i, sp := range s.d.Spans {
		corner, has := s.corner(i, t, k)
		leg := inches(sp.To.Sub(s.from(i))).length()
		if sp.Arc {
			bend := s.rolled(i, t, k)
			if bend.Radius < 0 {
				return Development{}, s.broken(i, "the arc is tighter than the strip is thick", "draw the painted face outside the metal's thickness")
			}
			d.Bends = append(d.Bends, bend)
			leg = bend.Allowance
			d.Flats -= leg
		}
		if leg < before+corner.SetBack {
			return Development{}, s.broken(i, "it is shorter than its bends need", "lengthen it or use a smaller inside radius")
		}
		d.Flats += leg - before - corner.SetBack
		before = corner.SetBack
		if has {
			d.Bends = append(d.Bends, corner)
		}
	}
	return d, nil
}

// corner is the bend where span i meets the next; false where they run straight on.
func (s Section) corner(i int, t, k float64) (Bend, bool) {
	turn := s.turn(i)
	if turn == 0 {
		return Bend{}, false
	}
	b := Bend{Span: i, Angle: math.Abs(turn) * 180 / math.Pi, Radius: s.d.InsideRadius.Inches(), FaceOut: turn > 0}
	b.Allowance = BendAllowance(b.Angle, b.Radius, t, k)
	if b.FaceOut {
		b.SetBack = OutsideSetBack(b.Angle, b.Radius, t)
	} else {
		b.SetBack = OutsideSetBack(b.Angle, b.Radius, 0)
	}
	return b, true
}

// rolled is the arc of span i as a bend: the metal lies on the line's left, so
// inside a counter-clockwise arc.
func (s Section) rolled(i int, t, k float64) Bend {
	radius, angle := s.arc(i)
	b := Bend{Span: i, Angle: angle * 180 / math.Pi, Radius: radius, FaceOut: !s.d.Spans[i].Clockwise}
	if b.FaceOut {
		b.Radius -= t
	}
	b.Allowance = BendAllowance(b.Angle, b.Radius, t, k)
	return b
}

// BlankWidth is the flat strip that the section needs at the given thickness and
// K-factor (0: the section's own), to the nearest nanometre. It is a check on a
// width measured from a formed sample, never a replacement: forming stretches
// edges (common practice, no source). Errors as in Develop.
func (s Section) BlankWidth(thickness measure.Length, k float64) (measure.Length, error) {
	if k == 0 {
		k = s.d.K
	}
	d, err := s.Develop(thickness, k)
	if err != nil {
		return 0, err
	}
	return measure.FromInches(d.Width()), nil
}

// Developed is the computed width of the panel's strip at its own thickness and
// its section's K; 0 where no section is drawn. Errors as in Section.Develop.
func (p Panel) Developed() (measure.Length, error) {
	if !p.Section.Drawn() {
		return 0, nil
	}
	return p.Section.BlankWidth(p.Thickness, 0)
}
