package photo

import (
	"fmt"
	"math"

	"coilwright/measure"
)

// doubts names what does not fit: the mark or the length of the largest
// standardised residual, if it lies beyond what chance does once in a thousand
// times, and every other that is nearly as far off. Chance is counted over all of
// them at once (Bonferroni), so that a good photo raises no doubt.
func (m model) doubts(f fitted, residuals []Residual) []Doubt {
	bound := critical + 0.4*math.Log(max(1, float64(len(residuals))))
	most := bound
	for _, r := range residuals {
		most = max(most, r.Standardised)
	}
	first := len(f.rows) - len(m.lengths) - 2*len(m.meet) - len(m.square)
	for i := range m.lengths {
		most = max(most, standardised(f, f.rows[first+i]))
	}
	var out []Doubt
	for _, r := range residuals {
		if r.Standardised > bound && r.Standardised > 0.7*most {
			out = append(out, Doubt{r.Photo, "points." + r.Point,
				fmt.Sprintf("it lies %.0f pixels from where the other marks put it", math.Hypot(r.Off.U, r.Off.V)), "mark it again, zoomed in"})
		}
	}
	for i, l := range m.lengths {
		row := f.rows[first+i]
		if w := standardised(f, row); w > bound && w > 0.7*most {
			had := measure.FromInches(l.inches)
			fits := measure.FromInches(l.inches - row.Value/redundancy(f, row))
			out = append(out, Doubt{l.photo, fmt.Sprintf("lengths[%d]", l.index),
				fmt.Sprintf("%s does not fit the rest; about %s would", had.Near(measure.Imperial, measure.Sixteenth), fits.Near(measure.Imperial, measure.Sixteenth)),
				"measure it again, from the ground where possible"})
		}
	}
	return out
}
