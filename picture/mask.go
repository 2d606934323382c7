package picture

import (
	"image"
	"math"
	"slices"

	"coilwright/colour"
	"coilwright/photo"
)

// GuessMask guesses where a photo shows cladding, for a photo whose mask nobody has
// drawn: places of the walls' fields whose colour is that of most of the wall, lit or
// shaded, with edges drawn to the photo's own. Plants, lamps, pipes and shutters of
// another colour stay in front; a person should look it over.
//
// Method: likeness of each pixel's chromaticity and brightness to the wall's own
// spread of them, smoothed by the guided filter (He, Sun and Tang, IEEE Transactions
// on Pattern Analysis and Machine Intelligence 35 (2013), 1397-1409) with the photo's
// brightness as guide.
func GuessMask(p *Photo) *image.Gray { return p.guess(p.fieldMap()) }

// fieldMap is the wall whose field each pixel shows, row by row, -1 for none.
func (p *Photo) fieldMap() []int16 {
	b := p.Image.Rect
	out := make([]int16, b.Dx()*b.Dy())
	parallel(b.Dy(), func(v int) {
		for u := range b.Dx() {
			out[v*b.Dx()+u] = int16(p.fieldAt(b.Min.X+u, b.Min.Y+v))
		}
	})
	return out
}

// guess is GuessMask where the field is known.
func (p *Photo) guess(field []int16) *image.Gray {
	b := p.Image.Rect
	w, h := b.Dx(), b.Dy()
	pixels := decode(p.Image)
	like, guide := make([]float32, w*h), make([]float32, w*h)
	models := make([]colourModel, len(p.Walls))
	for i := range models {
		models[i] = p.colourModel(i, pixels)
	}
	parallel(h, func(v int) {
		for u := range w {
			c := pixels.at(b.Min.X+u, b.Min.Y+v)
			guide[v*w+u] = float32(math.Cbrt(max(0, c.Luminance())))
			if i := field[v*w+u]; i >= 0 {
				like[v*w+u] = float32(models[i].likeness(c))
			}
		}
	})
	g := grid{XY{}, 1, w, h}
	whole := append([]float32(nil), like...)
	parallel(h, func(v int) {
		for u := range w {
			if above, below, ok := p.acrossLap(int(field[v*w+u]), b.Min.X+u, b.Min.Y+v); ok {
				look := func(at photo.Pixel) float32 {
					return float32(g.sample(like, at.U-float64(b.Min.X), at.V-float64(b.Min.Y)))
				}
				whole[v*w+u] = max(like[v*w+u], min(look(above), look(below)))
			}
		}
	})
	soft := g.guided(whole, guide, max(2, w/400), 0.0004)
	out := image.NewGray(b)
	parallel(h, func(v int) {
		for u := range w {
			if field[v*w+u] >= 0 {
				a := min(1, max(0, (float64(soft[v*w+u])-0.3)/0.4))
				out.Pix[v*out.Stride+u] = uint8(255*a + 0.5)
			}
		}
	})
	fillSpecks(out, field)
	return out
}

// fillSpecks gives the cladding what lies in it in specks too small or in level lines
// too thin to be told from joints, stains and single bricks of another colour.
func fillSpecks(m *image.Gray, field []int16) {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	least, thin := max(4, w*w/40_000), max(2, w/400)
	seen := make([]bool, w*h)
	var patch []int
	for start := range seen {
		if seen[start] || field[start] < 0 || m.Pix[start] > 127 {
			continue
		}
		patch = append(patch[:0], start)
		seen[start] = true
		low, high, inside := start/w, start/w, true
		for n := 0; n < len(patch); n++ {
			i := patch[n]
			low, high = min(low, i/w), max(high, i/w)
			for _, j := range [4]int{i - 1, i + 1, i - w, i + w} {
				if j < 0 || j >= w*h || j/w != i/w && j%w != i%w {
					continue
				}
				if field[j] < 0 {
					inside = false
				} else if !seen[j] && m.Pix[j] <= 127 {
					seen[j] = true
					patch = append(patch, j)
				}
			}
		}
		if inside && (len(patch) < least || high-low < thin) {
			for _, i := range patch {
				m.Pix[i] = 255
			}
		}
	}
}

// acrossLap finds, for a pixel of wall i in the dark line that stands under an old butt, the
// pixels just above and below the line: what is cladding there is cladding here.
func (p *Photo) acrossLap(i, u, v int) (above, below photo.Pixel, ok bool) {
	const over, under = 0.6, 1.4 // inches of the butt's edge
	if i < 0 || p.Old.Face.Period <= 2*(over+under) || len(p.Old.Face.Points) < 2 || p.Old.Face.front() == p.Old.Face.Points[1].Z {
		return above, below, false
	}
	w := p.Walls[i].Plane
	x, y, _ := p.Camera.OnPlane(photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}, w)
	from := y - p.Old.Datum
	from -= math.Round(from/p.Old.Face.Period) * p.Old.Face.Period
	if from > over || from < -under {
		return above, below, false
	}
	above, okA := p.Camera.Project(w.At(x, y-from+over+0.3))
	below, okB := p.Camera.Project(w.At(x, y-from-under-0.3))
	return above, below, okA && okB
}

// fieldAt is the wall whose field a pixel shows, -1 for none.
func (p *Photo) fieldAt(u, v int) int {
	i := p.wallAt(u, v)
	if i < 0 {
		return -1
	}
	x, y, ok := p.Camera.OnPlane(photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}, p.Walls[i].Plane)
	if !ok || !inside(p.Walls[i].Field, x, y) {
		return -1
	}
	return i
}

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
	var bright []float64
	p.claddingOf(i, 20_000, func(_, _ float64, c colour.Linear) {
		f := features(c)
		all, bright = append(all, f), append(bright, f[2])
	}, pixels)
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

// likeness is 1 for the wall's own colour, in the sun, in the shade or at a shadow's
// edge between them, and falls to 0.
func (m colourModel) likeness(c colour.Linear) float64 {
	f := features(c)
	t := 0.0
	if rise := m.lit.middle[2] - m.shade.middle[2]; rise > 0 {
		t = min(1, max(0, (f[2]-m.shade.middle[2])/rise))
	}
	var d float64
	for k := range f {
		middle := m.shade.middle[k] + t*(m.lit.middle[k]-m.shade.middle[k])
		x := (f[k] - middle) / (m.shade.spread[k] + t*(m.lit.spread[k]-m.shade.spread[k]))
		d += x * x
	}
	return 1 / (1 + math.Exp(0.6*(d-9)))
}

// guided filters v by the guide, over squares of 2r+1 cells.
func (g grid) guided(v, guide []float32, r int, eps float32) []float32 {
	mean := func(of func(i int) float32) []float32 {
		a := make([]float32, len(v))
		for i := range a {
			a[i] = of(i)
		}
		g.boxRows(a, r)
		g.boxColumns(a, r)
		return a
	}
	mi, mp := mean(func(i int) float32 { return guide[i] }), mean(func(i int) float32 { return v[i] })
	ii, ip := mean(func(i int) float32 { return guide[i] * guide[i] }), mean(func(i int) float32 { return guide[i] * v[i] })
	a := make([]float32, len(v))
	for i := range a {
		a[i] = (ip[i] - mi[i]*mp[i]) / (ii[i] - mi[i]*mi[i] + eps)
	}
	ma, mb := mean(func(i int) float32 { return a[i] }), mean(func(i int) float32 { return mp[i] - a[i]*mi[i] })
	out := make([]float32, len(v))
	for i := range out {
		out[i] = ma[i]*guide[i] + mb[i]
	}
	return out
}

// InField says whether a pixel shows a place of a wall's field.
func (p *Photo) InField(u, v int) bool { return p.fieldAt(u, v) >= 0 }
