package picture

import (
	"image"
	"math"
	"slices"

	"coilwright/cores"
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
// brightness as guide. Old boards along the walls' edges are found by guessBoards.
func GuessMask(p *Photo) *image.Gray {
	field := p.fieldMap()
	covered, boards := p.guess(field)
	mask, _ := p.parted(covered, field, boards)
	return mask
}

// fieldMap is the wall whose field each pixel shows, row by row, -1 for none.
func (p *Photo) fieldMap() []int16 {
	b := p.Image.Rect
	out, s := make([]int16, b.Dx()*b.Dy()), p.visibility()
	cores.Each(b.Dy(), func(v int) {
		for u := range b.Dx() {
			out[v*b.Dx()+u] = int16(s.fieldAt(b.Min.X+u, b.Min.Y+v))
		}
	})
	return out
}

// guess finds what new siding covers: cladding and the old boards along the walls'
// edges, the field being known.
func (p *Photo) guess(field []int16) (covered *image.Gray, boards []oldBoard) {
	b := p.Image.Rect
	w, h := b.Dx(), b.Dy()
	pixels := decode(p.Image)
	like, guide := make([]float32, w*h), make([]float32, w*h)
	models := make([]colourModel, len(p.Walls))
	for i := range models {
		models[i] = p.colourModel(i, pixels)
	}
	cores.Each(h, func(v int) {
		for u := range w {
			c := pixels.at(b.Min.X+u, b.Min.Y+v)
			guide[v*w+u] = guideOf(c)
			if i := field[v*w+u]; i >= 0 {
				like[v*w+u] = float32(models[i].likeness(c))
			}
		}
	})
	g := grid{XY{}, 1, w, h}
	boards = p.guessBoards(pixels, field)
	whole := append([]float32(nil), like...)
	cores.Each(h, func(v int) {
		for u := range w {
			k := v*w + u
			if above, below, ok := p.acrossLap(int(field[k]), b.Min.X+u, b.Min.Y+v); ok {
				look := func(at photo.Pixel) float32 {
					return float32(g.sample(like, at.U-float64(b.Min.X), at.V-float64(b.Min.Y)))
				}
				whole[k] = max(like[k], min(look(above), look(below)))
			}
			if o := p.boardAt(boards, int(field[k]), u, v); o != nil {
				whole[k] = max(whole[k], float32(o.model.likeness(pixels.at(b.Min.X+u, b.Min.Y+v))))
			}
		}
	})
	soft := like // which is looked at no more
	g.guided(soft, whole, guide, blurOf(w), edgeEps)
	covered = image.NewGray(b)
	cores.Each(h, func(v int) {
		for u := range w {
			if field[v*w+u] >= 0 {
				covered.Pix[v*covered.Stride+u] = uint8(255*shareOf(soft[v*w+u]) + 0.5)
			}
		}
	})
	fillSpecks(covered, field, nil)
	return covered, boards
}

// blurOf is the radius, in pixels, over which a guessed matte of such a width is smoothed.
func blurOf(width int) int { return max(2, width/400) }

// fillSpecks gives the cladding what lies in it in specks too small or in level lines
// too thin to be told from joints, stains and single bricks of another colour; but for
// those with a held pixel, which somebody drew a stroke through (nil: nobody drew any).
func fillSpecks(m *image.Gray, field []int16, held []bool) {
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
			inside = inside && (held == nil || !held[i])
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

// closeLaps gives the cladding the dark lines under its butts where it is cladding above
// and below: what stands in front runs on along them otherwise. Held pixels stay.
func (p *Photo) closeLaps(m *image.Gray, field []int16, held []bool) {
	w, was := m.Rect.Dx(), *m
	was.Pix = slices.Clone(m.Pix)
	look := func(at photo.Pixel) uint8 {
		q := pixelOf(at)
		return was.GrayAt(q.X, q.Y).Y
	}
	cores.Each(m.Rect.Dy(), func(v int) {
		for u := range w {
			k := v*w + u
			if field[k] < 0 || m.Pix[k] == 255 || held[k] {
				continue
			}
			if above, below, ok := p.acrossLap(int(field[k]), m.Rect.Min.X+u, m.Rect.Min.Y+v); ok {
				m.Pix[k] = max(m.Pix[k], min(look(above), look(below)))
			}
		}
	})
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
	from := y - p.Old.Datum - p.Walls[i].Lean.at(x, y)
	from -= math.Round(from/p.Old.Face.Period) * p.Old.Face.Period
	if from > over || from < -under {
		return above, below, false
	}
	above, okA := p.Camera.Project(w.At(x, y-from+over+0.3))
	below, okB := p.Camera.Project(w.At(x, y-from-under-0.3))
	return above, below, okA && okB
}
