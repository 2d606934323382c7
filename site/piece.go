package site

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"coilwright/course"
	"coilwright/hang"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/steel"
)

func (m *maker) pieces() []PackPiece {
	out := make([]PackPiece, 0, len(m.r.Layout.Pieces))
	for i := range m.r.Layout.Pieces {
		out = append(out, m.piece(&m.r.Layout.Pieces[i]))
	}
	return out
}

func (m *maker) piece(p *course.Piece) PackPiece {
	key, panel := m.keys.Of[p.ID], m.panel(p)
	out := PackPiece{
		Key: key, ID: p.ID, Number: p.Number, Wall: m.j.House.Walls[p.Wall].ID, Zone: m.zone(p.Zone), Course: p.Course,
		Setup: m.setupOf[p.ID], Coil: m.coilOf[p.ID], Panel: p.Panel, Texture: p.Texture, Colour: p.Colour, Vertical: p.Vertical,
		Length: m.exact(p.Length), LengthIn: p.Length.Inches(), AcrossIn: drawn(p.Across()),
		AtIn: XY{drawn(p.At.X), drawn(p.At.Y)}, At: [2]string{m.near(p.At.X), m.near(p.At.Y)}, Shape: ring(p.Shape.Outer),
		Ends: [2]PackEnd{m.end(p, course.LeftEnd), m.end(p, course.RightEnd)}, Label: m.label(p), Warnings: p.Warnings, Cut: cutKey(p), OnWord: m.words[p.ID],
	}
	if p.Rip > 0 {
		out.Rip = &PackLength{drawn(p.Rip), m.near(p.Rip)}
	}
	for _, h := range p.Shape.Holes {
		out.Holes = append(out.Holes, ring(h))
	}
	for _, n := range p.Notches {
		out.Notches = append(out.Notches, m.notch(n, p.Across()))
	}
	if raked(p) {
		out.MarksLow, out.MarksHigh = m.reach(p, false), m.reach(p, true)
	}
	out.GapStep, out.GapFromF, out.HangBelowF = m.gaps.of(p, panel)
	out.WeightLb = tenth(weight(p, panel, m.j.Book.Steel))
	out.People = m.people(p.Length, out.WeightLb)
	return out
}

func (m *maker) zone(i int) string { return m.j.Schemes[m.scheme].Zones[i].ID }

// label is what stands on a piece for people.
func (m *maker) label(p *course.Piece) string {
	return p.Number + " · " + m.exact(p.Length) + " · " + p.Panel + " " + p.Colour
}

func orPlain(texture string) string {
	if texture == "" {
		return "plain"
	}
	return texture
}

func ring(r plane.Ring) []XY {
	out := make([]XY, len(r))
	for i, p := range r {
		out[i] = XY{drawn(p.X), drawn(p.Y)}
	}
	return out
}

// squareAngle is where an end counts as cut square, in degrees: within what a shear's
// own stop allows over one panel (assumed).
const squareAngle = 89.95

func square(e course.End) bool { return e.Angle >= squareAngle || e.Angle <= 0 }

// end tells one end of a piece; where several receivers stand there, each once.
func (m *maker) end(p *course.Piece, side course.Side) PackEnd {
	var out PackEnd
	var cuts, receivers []string
	add := func(list *[]string, s string) {
		if !slices.Contains(*list, s) {
			*list = append(*list, s)
		}
	}
	for _, e := range p.Ends {
		if e.Side != side {
			continue
		}
		add(&receivers, strings.ReplaceAll(e.Receiver, "-", " "))
		add(&cuts, m.cut(e))
		if !square(e) && (out.AngleDeg == 0 || e.Angle < out.AngleDeg) {
			out.AngleDeg = tenth(e.Angle)
		}
		out.Gap = m.exact(e.Gap)
	}
	if len(cuts) == 0 {
		cuts, receivers = []string{"square"}, []string{"free"}
	}
	out.Cut, out.Receiver = strings.Join(cuts, ", "), strings.Join(receivers, ", ")
	return out
}

// cut tells how an end is cut, in feet and inches as a pitch too.
func (m *maker) cut(e course.End) string {
	switch {
	case square(e):
		return "square"
	case m.j.Units == measure.Metric:
		return fmt.Sprintf("rake %.1f°", e.Angle)
	}
	return fmt.Sprintf("rake %.1f°, %g in 12", e.Angle, tenth(12*math.Tan(e.Angle*math.Pi/180)))
}

func raked(p *course.Piece) bool {
	return slices.ContainsFunc(p.Ends, func(e course.End) bool {
		return (e.Side == course.LeftEnd || e.Side == course.RightEnd) && !square(e)
	})
}

// reach tells from where to where a piece's lower or upper edge reaches, measured from
// its left end; nil where it has only a point there.
func (m *maker) reach(p *course.Piece, upper bool) *[2]string {
	box := p.Shape.Outer.Box()
	y := box.Min.Y
	if upper {
		y = box.Max.Y
	}
	low, high := box.Max.X, box.Min.X
	for _, q := range p.Shape.Outer {
		if q.Y == y {
			low, high = min(low, q.X), max(high, q.X)
		}
	}
	if low > high {
		return nil
	}
	return &[2]string{m.near(low), m.near(high)}
}

func (m *maker) notch(n course.Notch, across measure.Length) PackNotch {
	b := n.Box
	out := PackNotch{
		Opening: n.Opening, Square: n.Square, XIn: drawn(b.Min.X), YIn: drawn(b.Min.Y), WIn: drawn(b.Width()), HIn: drawn(b.Height()),
		From: m.near(b.Min.X), To: m.near(b.Max.X), Width: m.near(b.Width()), Height: m.near(b.Height()), Up: m.near(b.Min.Y),
	}
	switch {
	case n.Inside:
		out.Where = "inside"
	case b.Min.Y < m.step && b.Max.Y < across-m.step:
		out.Where = "bottom"
	case b.Max.Y > across-m.step && b.Min.Y > m.step:
		out.Where = "top"
	case b.Min.X < m.step:
		out.Where = "left"
	default:
		out.Where = "right"
	}
	return out
}

// weight is a piece's weight in pounds: of its whole strip, notches not taken off.
func weight(p *course.Piece, panel steel.Panel, s steel.Steel) float64 {
	density := s.Density
	if density == nil {
		density = steel.DensityOfSteel()
	}
	return float(steel.WeightPerFoot(p.Thickness, panel.BlankWidth, density)) * p.Length.Feet()
}

func carryingOf(c steel.Carrying) steel.Carrying {
	d := hang.DefaultCarrying
	feet := func(f float64) measure.Length { return measure.Length(f * float64(measure.Foot)) }
	if c.Alone == 0 {
		c.Alone = feet(d.AloneFt)
	}
	if c.Person == 0 {
		c.Person = feet(d.PersonFt)
	}
	if c.PersonLb == 0 {
		c.PersonLb = d.PersonLb
	}
	if c.StopMPH == 0 {
		c.StopMPH = d.StopAtMPH
	}
	return c
}

func (m *maker) people(length measure.Length, pounds float64) int {
	c := m.carry
	return hang.Carrying{AloneFt: c.Alone.Feet(), PersonFt: c.Person.Feet(), PersonLb: c.PersonLb, StopAtMPH: c.StopMPH}.People(length, pounds)
}
