package sheet

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"coilwright/course"
	"coilwright/draw"
	"coilwright/measure"
)

// The papers' own cautions, one where each thing is about to be done. All defer.
const (
	deferring = "The law, the panel maker's instructions and the trained person on site come first."

	cautionHang = "FALLS: guard or tie off as trained; never read this sheet on a ladder. Keep long panels well clear of overhead " +
		"POWER LINES. Put long panels down in WIND. Find wires and pipes before you nail."
	cautionRun    = "Guards on. Gloves, eye and ear protection. Hands clear of rollers and shear; bystanders back. Edges are sharp."
	cautionJam    = "JAM: stop, lock the power out, try the start switch, only then reach in."
	cautionTip    = "LOAD: coils tip and roll. Rated lifting gear only, chocks set, nobody beside or below; straps SPRING when cut: stand clear."
	cautionThread = "THREAD: power locked out while hands are near the rollers; cut the lead end square and file it."

	cautionLead = "OLD PAINT AND OLD CLADDING: older houses may carry lead paint or asbestos. Have it tested before you scrape, " +
		"cut or tear off; lead and asbestos rules may or may not apply: ask a certified person; a stricter local rule wins."
	cautionBond = "METAL CLADDING CAN BECOME LIVE: a licensed electrician decides on bonding and on wires, meters and lights in the wall."
	cautionLift = "Plan lifts, scaffold and the trailer's place (chocks, exhaust, power lines) before the first panel; heat and weight tire people."
)

// text prints a length for the papers: to the shop's step.
func (s *set) text(l measure.Length) string { return l.Near(s.Units, s.step) }

// exact prints what gets cut: never rounded, so that the paper says what the layout
// says.
func (s *set) exact(l measure.Length) string { return l.Text(s.Units) }

// short is text without the unit where the whole sheet states it.
func (s *set) short(l measure.Length) string { return strings.TrimSuffix(s.text(l), " mm") }

// long prints coil lengths: feet or metres to a tenth.
func (s *set) long(l measure.Length) string {
	if s.Units == measure.Metric {
		return fmt.Sprintf("%.1f m", float64(l)/float64(measure.Metre))
	}
	return fmt.Sprintf("%.1f ft", l.Feet())
}

// thick prints a thickness as decimals, never as a gauge number, whose meaning
// differs from table to table.
func (s *set) thick(l measure.Length) string {
	switch {
	case l <= 0:
		return "thickness not stated"
	case s.Units == measure.Metric:
		return fmt.Sprintf("%.2f mm", float64(l)/float64(measure.Millimetre))
	}
	return fmt.Sprintf("%.4f in", l.Inches())
}

func (s *set) area(a measure.Area) string {
	if s.Units == measure.Metric {
		return fmt.Sprintf("%.2f m²", a.SquareMetres())
	}
	return fmt.Sprintf("%.1f sq ft", a.SquareFeet())
}

func (s *set) temperature() string {
	if s.InstallTempF == nil {
		return "not stated"
	}
	f, _ := s.InstallTempF.Float64()
	if s.Units == measure.Metric {
		c := new(big.Rat).Sub(s.InstallTempF, big.NewRat(32, 1))
		v, _ := c.Mul(c, big.NewRat(5, 9)).Float64()
		return trimZero(v) + " °C"
	}
	return trimZero(f) + " °F"
}

func trimZero(v float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0") }

func (s *set) date() string {
	if s.Date.IsZero() {
		return "not dated"
	}
	return s.Date.Format("2006-01-02")
}

func (s *set) revision() string {
	if s.Revision == "" {
		return "-"
	}
	return draw.Fit(s.Revision, small, false, 30)
}

// material is a panel as the operator sets the machine for it.
func (s *set) material(panel, texture, colour string) string {
	return strings.Join([]string{s.panelName(panel), orNone(texture, "plain"), orNone(colour, "any colour")}, " · ")
}

// panelName is what the shop calls a panel, or its id where the book names none.
func (s *set) panelName(id string) string {
	if s.Book != nil {
		if p, ok := s.Book.Panel(id); ok {
			return draw.Clean(orNone(p.Title, id))
		}
	}
	return id
}

func orNone(v, none string) string {
	if v == "" {
		return none
	}
	return v
}

// receiver names what stands at an end in plain words.
func receiver(key string) string { return strings.ReplaceAll(orNone(key, "free"), "-", " ") }

// squareAngle is where an end counts as cut square, in degrees: within what a
// shear's own stop allows over one panel (assumed).
const squareAngle = 89.95

// square says whether an end is cut square to the strip.
func square(e course.End) bool { return e.Angle >= squareAngle || e.Angle <= 0 }

// cut tells how an end is cut: its angle to the strip, in feet and inches as a
// pitch too.
func (s *set) cut(e course.End) string {
	switch {
	case square(e):
		return "square"
	case s.Units == measure.Metric:
		return fmt.Sprintf("%.1f°", e.Angle)
	}
	return fmt.Sprintf("%.1f° (%s in 12)", e.Angle, trimZero(12*math.Tan(e.Angle*math.Pi/180)))
}

// ends lists a piece's ends on one side; there may be several where it steps.
func ends(p *course.Piece, side course.Side) []course.End {
	var out []course.End
	for _, e := range p.Ends {
		if e.Side == side {
			out = append(out, e)
		}
	}
	return out
}

// cuts tells one side's cuts, each once.
func (s *set) cuts(p *course.Piece, side course.Side) string {
	var out []string
	for _, e := range ends(p, side) {
		if c := s.cut(e); !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	if len(out) == 0 {
		return "square"
	}
	return strings.Join(out, ", ")
}

// stands tells what receives one side.
func stands(p *course.Piece, side course.Side) string {
	var out []string
	for _, e := range ends(p, side) {
		if r := receiver(e.Receiver); !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	if len(out) == 0 {
		return "free"
	}
	return strings.Join(out, ", ")
}

// edgeLengths gives how far the piece reaches along its lower and its upper edge,
// from its left end: where a raked piece is marked out.
func edgeLengths(p *course.Piece) (low, high [2]measure.Length, ok bool) {
	box := p.Shape.Outer.Box()
	reach := func(y measure.Length) (r [2]measure.Length, ok bool) {
		for _, q := range p.Shape.Outer {
			switch {
			case q.Y != y:
			case !ok:
				r, ok = [2]measure.Length{q.X, q.X}, true
			default:
				r[0], r[1] = min(r[0], q.X), max(r[1], q.X)
			}
		}
		return r, ok
	}
	low, ok = reach(box.Min.Y)
	if !ok {
		return low, high, false
	}
	high, ok = reach(box.Max.Y)
	return low, high, ok
}

// raked says whether a piece has an end that is not square.
func raked(p *course.Piece) bool {
	for _, e := range p.Ends {
		if (e.Side == course.LeftEnd || e.Side == course.RightEnd) && !square(e) {
			return true
		}
	}
	return false
}

// wallName is how papers call a wall.
func (s *set) wallName(w int) string { return draw.Clean(s.House.Walls[w].ID) }
