package picture

import (
	"math"

	"coilwright/colour"
	"coilwright/cores"
)

// edgeEps is how little the guide may vary, squared, before an edge is seen in it, where
// a matte is drawn to the photo's own edges.
const edgeEps = 0.0004

// guideOf is a pixel's brightness as a guide: about as even to the eye.
func guideOf(c colour.Linear) float32 { return float32(math.Cbrt(max(0, c.Luminance()))) }

// shareOf is the share of a pixel by its filtered likeness, made crisper.
func shareOf(soft float32) float64 { return min(1, max(0, (float64(soft)-0.3)/0.4)) }

// guidedRows is how many rows are filtered at a time: what is worked with stays small
// beside a large photo.
const guidedRows = 256

// guided filters v by the guide into out, over squares of 2r+1 cells: He, Sun and Tang,
// IEEE Transactions on Pattern Analysis and Machine Intelligence 35 (2013), 1397-1409.
// Rows are filtered in bands, each with the 2r rows around it that it looks at.
func (g grid) guided(out, v, guide []float32, r int, eps float32) {
	cores.Bands(g.h, guidedRows, func(from, to int) {
		low, high := max(0, from-2*r), min(g.h, to+2*r)
		band := grid{g.low, g.pitch, g.w, high - low}
		slope, base := band.fits(v[low*g.w:high*g.w], guide[low*g.w:high*g.w], r, eps)
		skip := (from - low) * g.w
		for i := range (to - from) * g.w {
			out[from*g.w+i] = slope[skip+i]*guide[from*g.w+i] + base[skip+i]
		}
	})
}

// fits are the mean slope and base of the lines that give v by the guide around each
// cell.
func (g grid) fits(v, guide []float32, r int, eps float32) (slope, base []float32) {
	mean := func(a []float32) {
		g.boxRows(a, r)
		g.boxColumns(a, r)
	}
	n := len(v)
	of, to := append(make([]float32, 0, n), guide...), append(make([]float32, 0, n), v...)
	slope, base = make([]float32, n), make([]float32, n)
	for i, x := range guide {
		slope[i], base[i] = x*x, x*v[i]
	}
	for _, a := range [][]float32{of, to, slope, base} {
		mean(a)
	}
	for i := range slope {
		slope[i] = (base[i] - of[i]*to[i]) / (slope[i] - of[i]*of[i] + eps)
		base[i] = to[i] - slope[i]*of[i]
	}
	mean(slope)
	mean(base)
	return slope, base
}
