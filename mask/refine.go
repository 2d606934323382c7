package mask

import (
	"image"
	"math"
)

// coarse is about how wide the raster is that the walk is solved on, in cells.
const coarse = 400

// work is one refinement under way. Rasters with a small letter are coarse.
type work struct {
	im      *image.RGBA
	out     *image.Gray
	field   *image.Gray // nil: everywhere
	strokes []Stroke
	full    shape
	step    int // full pixels for a coarse one
	small   shape
	colour  [3][]float32 // 0 to 1, as coded
	prior   []float32
	asked   []bool // any of the cell lies in the field
	// patience of the walk, as float32 of one of the constants
	patience float32
	seeds    []int8
}

func newWork(im *image.RGBA, out, field *image.Gray, strokes []Stroke) *work {
	w := &work{im: im, out: out, field: field, strokes: strokes, patience: patience, full: shape{im.Rect.Dx(), im.Rect.Dy()}}
	w.step = max(1, (w.full.w+coarse-1)/coarse)
	w.small = shape{(w.full.w + w.step - 1) / w.step, (w.full.h + w.step - 1) / w.step}
	return w
}

// refine does the whole work on the matte.
func (w *work) refine() {
	w.seeds = w.small.seeds(w.strokes, 1/float64(w.step))
	w.shrink()
	colours := w.model()
	s := w.system(colours)
	s.solve()
	w.spread(s.x)
	w.recolour(colours)
	w.stamp()
}

// shrink means the photo and the matte over coarse cells.
func (w *work) shrink() {
	n := w.small.w * w.small.h
	w.prior, w.asked = make([]float32, n), make([]bool, n)
	for c := range w.colour {
		w.colour[c] = make([]float32, n)
	}
	bands(w.small.h, func(_, from, to int) {
		for j := from; j < to; j++ {
			for i := range w.small.w {
				w.cell(i, j)
			}
		}
	})
}

func (w *work) cell(i, j int) {
	var sum [4]int
	count, asked := 0, w.field == nil
	for v := j * w.step; v < min(w.full.h, (j+1)*w.step); v++ {
		left, right := i*w.step, min(w.full.w, (i+1)*w.step)
		pix := w.im.Pix[v*w.im.Stride+4*left : v*w.im.Stride+4*right]
		for k := 0; k+4 <= len(pix); k += 4 {
			sum[0] += int(pix[k])
			sum[1] += int(pix[k+1])
			sum[2] += int(pix[k+2])
		}
		for _, m := range w.out.Pix[v*w.out.Stride+left : v*w.out.Stride+right] {
			sum[3] += int(m)
		}
		count += right - left
		if w.field != nil {
			for _, m := range w.field.Pix[v*w.field.Stride+left : v*w.field.Stride+right] {
				asked = asked || m > 0
			}
		}
	}
	k, f := j*w.small.w+i, 1/float32(255*count)
	for c := range w.colour {
		w.colour[c][k] = float32(sum[c]) * f
	}
	w.prior[k], w.asked[k] = float32(sum[3])*f, asked
}

// Weights of the walk (tuned on drawn and rendered scenes whose mattes are known).
const (
	contrast = 120  // how strongly colours keep a walk from crossing, beside the usual difference
	least    = 1e-4 // weight between cells that have nothing in common
	doubt    = 10.0 // so much less patient where the cell's own colour speaks against a change
	patience = 0.02 // beside 1 between like neighbours: a walk gives up after some 7 cells
	endless  = 1e-5 // the same where nothing is known beside the strokes
)

// system sets the walk up: x is the change of the matte, given under strokes.
func (w *work) system(m *model) *walk {
	s := newWalk(w.small)
	usual := w.usual()
	weight := func(a, b int) float32 {
		if !w.asked[a] || !w.asked[b] {
			return 0
		}
		return float32(math.Exp(-w.apart(a, b)/usual)) + least
	}
	bands(w.small.h, func(_, from, to int) {
		for j := from; j < to; j++ {
			for i := range s.w {
				k := j*s.w + i
				s.patience[k] = w.patience * (1 + doubt*w.against(m, k))
				if i+1 < s.w {
					s.right[k] = weight(k, k+1)
				}
				if j+1 < s.h {
					s.below[k] = weight(k, k+s.w)
				}
				if w.seeds[k] != none {
					s.fixed[k] = true
					s.x[k] = -w.prior[k]
					if w.seeds[k] == behind {
						s.x[k] = 1 - w.prior[k]
					}
				}
			}
		}
	})
	return s
}

// against is how surely a cell's colour is of the kind that the prior has it, 0 to 1: no
// walk gets far there. Where nothing is known beside the strokes nothing speaks against them.
func (w *work) against(m *model, k int) float32 {
	if w.patience == endless {
		return 0
	}
	n, share := corners(axesOf([3]float32{w.colour[0][k], w.colour[1][k], w.colour[2][k]}))
	f, b := m.front.at(&n, &share), m.behind.at(&n, &share)
	if w.prior[k] > 0.5 {
		return sure(max(b, m.rest.at(&n, &share)), f)
	}
	return sure(f, b)
}

// apart is how unlike two cells look, squared.
func (w *work) apart(a, b int) (d float64) {
	for c := range w.colour {
		x := float64(w.colour[c][a] - w.colour[c][b])
		d += x * x
	}
	return d
}

// usual is the mean square difference between neighbours, with a floor for even
// pictures, over the contrast.
func (w *work) usual() float64 {
	var sum, n float64
	for k := 0; k+1 < len(w.prior); k += 3 {
		if (k+1)%w.small.w != 0 {
			sum += w.apart(k, k+1)
			n++
		}
	}
	return max(1e-4, sum/max(1, n)*60/contrast)
}

// stamp writes the strokes themselves.
func (w *work) stamp() {
	for k, s := range w.full.seeds(w.strokes, 1) {
		u, v := k%w.full.w, k/w.full.w
		if s == none || !w.asks(u, v) {
			continue
		}
		switch s {
		case behind:
			w.out.Pix[v*w.out.Stride+u] = 255
		case front:
			w.out.Pix[v*w.out.Stride+u] = 0
		}
	}
}

// asks says whether a pixel lies in the field.
func (w *work) asks(u, v int) bool {
	return w.field == nil || w.field.Pix[v*w.field.Stride+u] > 0
}
