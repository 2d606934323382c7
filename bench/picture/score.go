package picture

import (
	"image"
	"math"
	"slices"

	"coilwright/colour"
)

// Score compares a picture with the truth over a mask: CIEDE2000 in the mean and at
// 95 %, and the structural similarity of their luma (Wang, Bovik, Sheikh and
// Simoncelli, IEEE Transactions on Image Processing 13 (2004), 600-612: Gaussian
// window of 1.5 pixels, K1 .01, K2 .03), averaged over the windows centred in the
// mask.
type Score struct{ Mean, P95, SSIM float64 }

// Compare scores got against want.
func Compare(got, want *image.RGBA, mask *image.Gray) Score {
	var all []float64
	var sum float64
	lab := newLabs()
	each(mask, func(x, y int) {
		d := colour.Difference(lab.at(got, x, y), lab.at(want, x, y))
		all = append(all, d)
		sum += d
	})
	slices.Sort(all)
	if len(all) == 0 {
		return Score{}
	}
	return Score{Mean: sum / float64(len(all)), P95: all[len(all)*95/100], SSIM: similarity(got, want, mask)}
}

// Recoloured is the plain way: photo x new colour / old colour, in linear light,
// the old colour known.
func Recoloured(s *Scene, wall func(x, y int) colour.Linear) *image.RGBA {
	out := image.NewRGBA(s.Before.Rect)
	copy(out.Pix, s.Before.Pix)
	old := colour.Linear(s.Truth.Old.Albedo)
	each(s.Mask, func(x, y int) {
		c := s.Before.RGBAAt(x, y)
		v := colour.SRGB{c.R, c.G, c.B}.Linear().Times(wall(x, y)).Over(old).SRGB()
		c.R, c.G, c.B = v[0], v[1], v[2]
		out.SetRGBA(x, y, c)
	})
	return out
}

func each(mask *image.Gray, do func(x, y int)) {
	for y := mask.Rect.Min.Y; y < mask.Rect.Max.Y; y++ {
		for x := mask.Rect.Min.X; x < mask.Rect.Max.X; x++ {
			if mask.GrayAt(x, y).Y > 127 {
				do(x, y)
			}
		}
	}
}

// labs remembers the light of each 8-bit value.
type labs [256]float64

func newLabs() *labs {
	var l labs
	for i := range l {
		l[i] = colour.Decode(float64(i) / 255)
	}
	return &l
}

func (l *labs) at(im *image.RGBA, x, y int) colour.Lab {
	p := im.Pix[im.PixOffset(x, y):]
	return colour.Linear{l[p[0]], l[p[1]], l[p[2]]}.Lab()
}

// similarity is the mean SSIM over windows centred in the mask.
func similarity(got, want *image.RGBA, mask *image.Gray) float64 {
	w, h := got.Rect.Dx(), got.Rect.Dy()
	a, b := luma(got), luma(want)
	product := func(p, q []float64) []float64 {
		out := make([]float64, len(p))
		for i := range p {
			out[i] = p[i] * q[i]
		}
		return blurred(out, w, h)
	}
	ma, mb, aa, bb, ab := blurred(a, w, h), blurred(b, w, h), product(a, a), product(b, b), product(a, b)
	const c1, c2 = (0.01 * 255) * (0.01 * 255), (0.03 * 255) * (0.03 * 255)
	var sum float64
	var n int
	each(mask, func(x, y int) {
		i := y*w + x
		va, vb, cov := aa[i]-ma[i]*ma[i], bb[i]-mb[i]*mb[i], ab[i]-ma[i]*mb[i]
		sum += (2*ma[i]*mb[i] + c1) * (2*cov + c2) / ((ma[i]*ma[i] + mb[i]*mb[i] + c1) * (va + vb + c2))
		n++
	})
	return sum / float64(max(1, n))
}

// luma is Y' of ITU-R BT.601, 0 to 255.
func luma(im *image.RGBA) []float64 {
	out := make([]float64, len(im.Pix)/4)
	for i := range out {
		p := im.Pix[4*i:]
		out[i] = 0.299*float64(p[0]) + 0.587*float64(p[1]) + 0.114*float64(p[2])
	}
	return out
}

// blurred is a Gaussian of 1.5 pixels over 11 x 11, the edge pixels repeated.
func blurred(v []float64, w, h int) []float64 {
	var k [11]float64
	var total float64
	for i := range k {
		k[i] = math.Exp(-float64((i-5)*(i-5)) / (2 * 1.5 * 1.5))
		total += k[i]
	}
	for i := range k {
		k[i] /= total
	}
	pass := func(in []float64, at func(x, y, d int) int) []float64 {
		out := make([]float64, len(in))
		for y := range h {
			for x := range w {
				var s float64
				for d, g := range k {
					s += g * in[at(x, y, d-5)]
				}
				out[y*w+x] = s
			}
		}
		return out
	}
	rows := pass(v, func(x, y, d int) int { return y*w + min(w-1, max(0, x+d)) })
	return pass(rows, func(x, y, d int) int { return min(h-1, max(0, y+d))*w + x })
}
