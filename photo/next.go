package photo

import "fmt"

// Reach and care of a tape: what begins and ends below reach inches over the
// wall's first corner is measured from the ground (common practice, no source).
const (
	tapeReach = 84
	tapeSigma = 0.125 / 1.96
)

// measurable is a size that a person could tape.
type measurable struct {
	what string
	ends [2]int // vertices
	form form
	high float64 // of its higher end over the wall's first corner
}

// reached says that a person could tape it from the ground.
func (k measurable) reached() bool { return !(k.high > tapeReach || k.form.value <= 0) }

// measurables are all sides of walls and all widths and heights of openings.
func (z sizes) measurables() []measurable {
	var out []measurable
	for _, w := range z.m.walls {
		ground := z.y(w.outline[0]).value
		over := func(a, b int) float64 { return max(z.y(a).value, z.y(b).value) - ground }
		for k, a := range w.outline {
			b := w.outline[(k+1)%len(w.outline)]
			out = append(out, measurable{fmt.Sprintf("edge %d of wall %s", k, w.id), [2]int{a, b}, z.side(a, b), over(a, b)})
		}
		for _, o := range w.openings {
			c := o.corners
			out = append(out, measurable{fmt.Sprintf("the width of %s on wall %s", o.id, w.id), [2]int{c[0], c[1]}, z.x(c[1]).minus(z.x(c[0])), over(c[0], c[1])},
				measurable{fmt.Sprintf("the height of %s on wall %s", o.id, w.id), [2]int{c[0], c[3]}, z.y(c[3]).minus(z.y(c[0])), over(c[0], c[3])})
		}
	}
	return out
}

// next finds the tape measurement that lowers the sum of all sizes' relative
// variances most. One more equation lowers the variance of f by
// cov(f, c)^2 / (var c + tape^2).
func (z sizes) next() string {
	all := z.measurables()
	cov := z.f.fit.Cov
	total := 0.0
	for _, g := range all {
		total += cov.Form(g.form.terms, g.form.terms) / (g.form.value * g.form.value)
	}
	best, most := "", 0.1*total
	for _, c := range all {
		if !c.reached() {
			continue
		}
		own := cov.Form(c.form.terms, c.form.terms) + tapeSigma*tapeSigma
		gain := 0.0
		for _, g := range all {
			shared := cov.Form(g.form.terms, c.form.terms)
			gain += shared * shared / own / (g.form.value * g.form.value)
		}
		if gain > most {
			best, most = c.what, gain
		}
	}
	return best
}
