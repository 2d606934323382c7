package price

import (
	"math"

	"github.com/govalues/decimal"
)

// Doubt is how far the measurements' plus-minus carries into the price: half the
// width of the 95 % range, by linear propagation. Every wall's width and height
// count as one reading each, independent of the others; lines follow the area or
// the edges of the wall they hang on. Unknown lists walls that state no plus-minus
// and so are counted as exact. Loosest is the wall that adds most.
type Doubt struct {
	PlusMinus decimal.Decimal
	Loosest   string
	Unknown   []string
}

// doubt adds it to the estimate. Floats do here: it is a statement of doubt, good
// to a few per cent at best.
func (s *sheet) doubt() {
	perFt2, perFt := s.slopes()
	sum, most := 0.0, 0.0
	for i, w := range s.work.House.Walls {
		pm := w.Measured.PlusMinus.Feet()
		if pm < 0 {
			s.out.Doubt.Unknown = append(s.out.Doubt.Unknown, w.ID)
			continue
		}
		box := w.Outline.Box()
		area := s.wallArea(i)
		dx := perFt2*area/math.Max(box.Width().Feet(), 1e-9) + 2*perFt
		dy := perFt2*area/math.Max(box.Height().Feet(), 1e-9) + 2*perFt
		own := (dx*dx + dy*dy) * pm * pm
		if own > most {
			most, s.out.Doubt.Loosest = own, w.ID
		}
		sum += own
	}
	s.out.Doubt.PlusMinus = s.round(s.keep(decimal.NewFromFloat64(math.Sqrt(sum))), s.places)
}

// wallArea is the area covered on one wall in square feet.
func (s *sheet) wallArea(wall int) float64 {
	a := 0.0
	for _, z := range s.work.Layout.Zones {
		if z.Wall == wall {
			a += z.Area.SquareFeet()
		}
	}
	return a
}

// slopes are the price of one more square foot of wall and of one more foot of
// wall edge.
func (s *sheet) slopes() (perFt2, perFt float64) {
	area, edge := s.covered().SquareFeet(), 0.0
	for _, w := range s.work.House.Walls {
		box := w.Outline.Box()
		edge += 2 * (box.Width() + box.Height()).Feet()
	}
	asked := 1.0 // money asked for one of direct cost
	if d := number(s.out.Direct); d > 0 {
		asked = number(s.out.Total) / d
	}
	for _, l := range s.out.Lines {
		switch {
		case l.grows == byArea && area > 0:
			perFt2 += number(l.Amount) * asked / area
		case l.grows == byLength && edge > 0:
			perFt += number(l.Amount) * asked / edge
		}
	}
	return perFt2, perFt
}

func number(d decimal.Decimal) float64 {
	f, _ := d.Float64()
	return f
}
