package picture

import (
	"math"
	"slices"

	"coilwright/colour"
)

// colourModel is how the cladding of a wall looks: medians and spreads of two
// chromaticities and of brightness, as logarithms, in the shade and in the sun; both
// alike where the wall has one light.
type colourModel struct{ shade, lit look }

// look is one cluster of colours.
type look struct{ middle, spread [3]float64 }

func features(c colour.Linear) [3]float64 {
	log := func(v float64) float64 { return math.Log(max(0.002, v)) }
	return [3]float64{log(c[0]) - log(c[1]), log(c[2]) - log(c[1]), log(c.Luminance())}
}

func (p *Photo) colourModel(i int, pixels *decoded) colourModel {
	var all [][3]float64
	p.claddingOf(i, 20_000, func(_, _ float64, c colour.Linear) { all = append(all, features(c)) }, pixels)
	return modelOf(all)
}

// modelOf is the model of colours seen.
func modelOf(all [][3]float64) colourModel {
	bright := make([]float64, len(all))
	for i, f := range all {
		bright[i] = f[2]
	}
	cut, two := twoHeaps(bright)
	if !two {
		m := lookOf(all)
		return colourModel{m, m}
	}
	var low, high [][3]float64
	for _, f := range all {
		if f[2] < cut {
			low = append(low, f)
		} else {
			high = append(high, f)
		}
	}
	return colourModel{lookOf(low), lookOf(high)}
}

// twoHeaps cuts logarithms of brightness into shade and sun, where both are there:
// Otsu's threshold (see levels).
func twoHeaps(logs []float64) (cut float64, two bool) {
	if len(logs) < 100 {
		return 0, false
	}
	slices.Sort(logs)
	at := otsu(logs)
	low, high := logs[at/2], logs[(at+len(logs))/2]
	share := float64(at) / float64(len(logs))
	return logs[at], math.Exp(high-low) > twoLevels && math.Exp(high-low) < 10 && share > 0.08 && share < 0.92
}

// lookOf is the cluster that colours form.
func lookOf(all [][3]float64) (m look) {
	for k := range m.middle {
		v := make([]float64, len(all))
		for i, f := range all {
			v[i] = f[k]
		}
		m.middle[k] = quantile(v, 0.5)
		m.spread[k] = 0.7 * (quantile(v, 0.75) - quantile(v, 0.25))
	}
	for k := range 2 {
		m.spread[k] = min(0.3, max(0.05, m.spread[k])) // bricks are of many colours
	}
	m.spread[2] = min(0.6, max(0.3, m.spread[2])) // shadows and lap lines are cladding too
	return m
}

// Where a wall shows one light, a shadow here and there may take cladding down by the
// factor e to deepest, and by deepening more at each unit of unlikeness: what is darker
// still is something else (assumed; eaves and hoods on real photos).
const (
	deepest   = 1.0
	deepening = 0.35
)

// likeness is 1 for the wall's own colour, in the sun, in the shade or at a shadow's
// edge between them, and falls to 0.
func (m colourModel) likeness(c colour.Linear) float64 {
	f := features(c)
	t := 0.0
	if rise := m.lit.middle[2] - m.shade.middle[2]; rise > 0 {
		t = min(1, max(0, (f[2]-m.shade.middle[2])/rise))
	}
	var x [3]float64
	for k := range f {
		middle := m.shade.middle[k] + t*(m.lit.middle[k]-m.shade.middle[k])
		x[k] = (f[k] - middle) / (m.shade.spread[k] + t*(m.lit.spread[k]-m.shade.spread[k]))
	}
	if dim := m.shade.middle[2] - f[2]; dim > 0 && m.shade == m.lit {
		x[2] = max(0, dim-deepest) / deepening
		veil := 1 + min(1, dim) // what little light a deep shade has is tinted by what stands about
		x[0], x[1] = x[0]/veil, x[1]/veil
	}
	return 1 / (1 + math.Exp(0.6*(x[0]*x[0]+x[1]*x[1]+x[2]*x[2]-9)))
}
