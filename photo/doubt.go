package photo

import (
	"fmt"
	"math"

	"coilwright/measure"
)

// once is the bound for the largest of n standardised residuals: what chance passes
// once in a thousand times, counted over all of them at once (Bonferroni).
func once(n int) float64 { return critical + 0.4*math.Log(max(1, float64(n))) }

// doubts names what does not fit: the mark or the length of the largest
// standardised residual, if it lies beyond what chance does, and every other that is
// nearly as far off. Marks and lengths are counted each by themselves, so that a good
// photo raises no doubt and two tapes are judged as two.
func (m model) doubts(f fitted, residuals []Residual) []Doubt {
	bound, lengthBound := once(len(residuals)), once(len(m.lengths))
	most := 0.0
	for _, r := range residuals {
		most = max(most, r.Standardised)
	}
	rows := m.lengthRows(f)
	for _, row := range rows {
		most = max(most, standardised(f, row))
	}
	var out []Doubt
	for _, r := range residuals {
		if r.Standardised > bound && r.Standardised > 0.7*most {
			out = append(out, Doubt{r.Photo, "points." + r.Point,
				fmt.Sprintf("it lies %.0f pixels from where the other marks put it", math.Hypot(r.Off.U, r.Off.V)), "mark it again, zoomed in"})
		}
	}
	for i, l := range m.lengths {
		row := rows[i]
		if w := standardised(f, row); w > lengthBound && w > 0.7*most {
			had := measure.FromInches(l.inches)
			fits := measure.FromInches(l.inches - row.Value/redundancy(f, row))
			out = append(out, Doubt{l.photo, fmt.Sprintf("lengths[%d]", l.index),
				fmt.Sprintf("%s does not fit the rest; about %s would", had.Near(measure.Imperial, measure.Sixteenth), fits.Near(measure.Imperial, measure.Sixteenth)),
				"measure it again, from the ground where possible"})
		}
	}
	return out
}
