package mask

import "math"

// bins of each of the three axes of colour: brightness and two differences.
const bins = 20

// histogram is how often each colour comes up, summing to 1.
type histogram []float32

// model is how colours are spread under the strokes of each kind, and over the rest of
// what the matte has behind. What it has in front says nothing: there it errs most.
type model struct{ behind, front, rest histogram }

// axes of a colour, each 0 to 1 over what is common: brightness, red less green, blue
// less green.
func axes(r, g, b uint8) [3]float32 {
	return axesOf([3]float32{float32(r) / 255, float32(g) / 255, float32(b) / 255})
}

// axesOf are those of a colour from 0 to 1.
func axesOf(c [3]float32) [3]float32 {
	x, y, z := c[0], c[1], c[2]
	wide := func(d float32) float32 { return min(1, max(0, 0.5+1.5*d)) } // differences over a third are rare
	return [3]float32{0.3*x + 0.6*y + 0.1*z, wide(x - y), wide(z - y)}
}

// corners are the eight bins around a colour and their shares.
func corners(at [3]float32) (k [8]int, share [8]float32) {
	base, t := 0, [3]float32{}
	for c := range at {
		f := at[c] * (bins - 1)
		i := min(bins-2, int(f))
		base, t[c] = base*bins+i, f-float32(i)
	}
	for n := range k {
		k[n], share[n] = base, 1
		for c, stride := range [3]int{bins * bins, bins, 1} {
			if n>>c&1 == 1 {
				k[n], share[n] = k[n]+stride, share[n]*t[c]
			} else {
				share[n] *= 1 - t[c]
			}
		}
	}
	return k, share
}

// at is the density at a colour.
func (h histogram) at(k *[8]int, share *[8]float32) (sum float32) {
	for n := range k {
		sum += share[n] * h[k[n]]
	}
	return sum
}

// model learns the colours, a coarse cell's pixels as one.
func (w *work) model() *model {
	var all [3]histogram
	var sums [3]float32
	for i := range all {
		all[i] = make(histogram, bins*bins*bins)
	}
	for k, s := range w.seeds {
		kind := -1
		switch {
		case !w.asked[k]:
		case s == behind:
			kind = 0
		case s == front:
			kind = 1
		case w.prior[k] > 0.95 && k%3 == 0:
			kind = 2
		}
		if kind >= 0 {
			sums[kind] += w.learn(all[kind], k%w.small.w, k/w.small.w)
		}
	}
	for i, h := range all {
		h.even(sums[i])
	}
	return &model{all[0], all[1], all[2]}
}

// learn puts the pixels of a coarse cell into a histogram.
func (w *work) learn(h histogram, i, j int) (count float32) {
	for v := j * w.step; v < min(w.full.h, (j+1)*w.step); v++ {
		for u := i * w.step; u < min(w.full.w, (i+1)*w.step); u++ {
			p := w.im.Pix[v*w.im.Stride+4*u:]
			k, share := corners(axes(p[0], p[1], p[2]))
			for n := range k {
				h[k[n]] += share[n]
			}
			count++
		}
	}
	return count
}

// even brings a histogram to sum 1 and smooths it over neighbouring bins.
func (h histogram) even(sum float32) {
	if sum == 0 {
		return
	}
	line := make([]float32, bins)
	for _, stride := range [3]int{bins * bins, bins, 1} {
		for k := range h {
			if k/stride%bins != 0 {
				continue
			}
			for i := range line {
				line[i] = h[k+i*stride]
			}
			for i := range line {
				h[k+i*stride] = (line[max(0, i-1)] + 2*line[i] + line[min(bins-1, i+1)]) / 4
			}
		}
	}
	for k := range h {
		h[k] /= sum
	}
}

// says is what the colours say of a pixel: how surely it is in front, and behind, each
// 0 to 1.
func (m *model) says(p []uint8) (inFront, isBehind float32) {
	k, share := corners(axes(p[0], p[1], p[2]))
	f, b := m.front.at(&k, &share), m.behind.at(&k, &share)
	return sure(f, max(b, m.rest.at(&k, &share))), sure(b, f)
}

// sure is how surely a colour is one kind's: none below twice the other's density, all
// from ten times on.
func sure(this, other float32) float32 {
	const fewest = 1e-6 // of a bin; rarer colours say nothing
	if this < fewest {
		return 0
	}
	share := this / (this + other + fewest)
	return min(1, max(0, (share-0.667)/(0.909-0.667)))
}

// reach is how far from a stroke its colours count, in coarse cells: one e-th there.
const reach = 40.0

// recolour lets the matte follow what the colours say, the more the nearer a stroke of
// that kind is.
func (w *work) recolour(m *model) {
	nearFront, nearBehind := w.near(front), w.near(behind)
	bands(w.full.h, func(_, from, to int) {
		for v := from; v < to; v++ {
			row := w.out.Pix[v*w.out.Stride:][:w.full.w]
			pix := w.im.Pix[v*w.im.Stride:]
			for u, have := range row {
				if !w.asks(u, v) {
					continue
				}
				k := v/w.step*w.small.w + u/w.step
				if nearFront[k]+nearBehind[k] < 0.02 {
					continue
				}
				f, b := m.says(pix[4*u:])
				x := float32(have)
				x += b * nearBehind[k] * (255 - x)
				row[u] = uint8(x*(1-f*nearFront[k]) + 0.5)
			}
		}
	})
}

// near is 1 on strokes of a kind and falls off around them.
func (w *work) near(kind int8) []float32 {
	s := w.small
	far := float32(s.w + s.h)
	d := make([]float32, len(w.seeds))
	for k, have := range w.seeds {
		if have != kind {
			d[k] = far
		}
	}
	// Distances by two sweeps (G. Borgefors, Computer Vision, Graphics, and Image
	// Processing 34 (1986), 344-371): 3 to a neighbour, 4 across a corner, over 3.
	sweep := func(k, i, j, back int) {
		look := func(x, y int, by float32) {
			if x >= 0 && x < s.w && y >= 0 && y < s.h {
				d[k] = min(d[k], d[y*s.w+x]+by)
			}
		}
		look(i-back, j, 1)
		look(i, j-back, 1)
		look(i-back, j-back, 4.0/3)
		look(i+back, j-back, 4.0/3)
	}
	for k := range d {
		sweep(k, k%s.w, k/s.w, 1)
	}
	for k := len(d) - 1; k >= 0; k-- {
		sweep(k, k%s.w, k/s.w, -1)
	}
	for k := range d {
		d[k] = float32(math.Exp(-float64(d[k]*d[k]) / (reach * reach)))
	}
	return d
}
