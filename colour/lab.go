package colour

import "math"

// Illuminant is the light that a measurement stands for.
type Illuminant int

// The illuminants: D65 is daylight as sRGB takes it, D50 that of print and of most
// published charts.
const (
	D65 Illuminant = iota
	D50
)

// white gives the white point, Y = 1, 2 degree observer (ASTM E308; D50 as in
// ICC.1).
func (i Illuminant) white() XYZ {
	if i == D50 {
		return XYZ{0.96422, 1, 0.82521}
	}
	return XYZ{0.95047, 1, 1.08883}
}

// XYZ is CIE 1931 tristimulus values, Y = 1 for white.
type XYZ [3]float64

// Lab is CIE 1976 L*a*b* (CIE 15): L from 0 to 100.
type Lab struct{ L, A, B float64 }

type matrix [3][3]float64

func (m matrix) times(v [3]float64) (out [3]float64) {
	for i := range m {
		for j := range v {
			out[i] += m[i][j] * v[j]
		}
	}
	return out
}

// toXYZ follows from the primaries and white of IEC 61966-2-1, to seven places;
// fromXYZ is its inverse.
var (
	toXYZ   = matrix{{0.4124564, 0.3575761, 0.1804375}, {0.2126729, 0.7151522, 0.0721750}, {0.0193339, 0.1191920, 0.9503041}}
	fromXYZ = matrix{{3.2404542, -1.5371385, -0.4985314}, {-0.9692660, 1.8760108, 0.0415560}, {0.0556434, -0.2040259, 1.0572252}}
)

// toCone are the sharpened cone responses of the Bradford transform (ICC.1, annex
// E); fromCone is its inverse.
var (
	toCone   = matrix{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}
	fromCone = matrix{{0.9869929, -0.1470543, 0.1599627}, {0.4323053, 0.5183603, 0.0492912}, {-0.0085287, 0.0400428, 0.9684867}}
)

// Adapt carries a colour seen under one light over to another by the linear
// Bradford transform (ICC.1, annex E).
func Adapt(c XYZ, from, to Illuminant) XYZ {
	if from == to {
		return c
	}
	cone, a, b := toCone.times(c), toCone.times(from.white()), toCone.times(to.white())
	for i := range cone {
		cone[i] *= b[i] / a[i]
	}
	return fromCone.times(cone)
}

// XYZ gives tristimulus values under D65.
func (c Linear) XYZ() XYZ { return toXYZ.times(c) }

// Linear reads tristimulus values under D65.
func (c XYZ) Linear() Linear { return fromXYZ.times(c) }

// Lab gives L*a*b* under the illuminant that c stands under.
func (c XYZ) Lab(i Illuminant) Lab {
	w := i.white()
	x, y, z := rooted(c[0]/w[0]), rooted(c[1]/w[1]), rooted(c[2]/w[2])
	return Lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// XYZ is the inverse of XYZ.Lab.
func (c Lab) XYZ(i Illuminant) XYZ {
	w, y := i.white(), (c.L+16)/116
	return XYZ{w[0] * cubed(y+c.A/500), w[1] * cubed(y), w[2] * cubed(y-c.B/200)}
}

// Lab gives L*a*b* under D65.
func (c Linear) Lab() Lab { return c.XYZ().Lab(D65) }

// Linear gives the sRGB light of a colour measured under an illuminant, adapted to
// D65. It may lie outside 0 to 1: see Show.
func (c Lab) Linear(i Illuminant) Linear { return Adapt(c.XYZ(i), i, D65).Linear() }

// Under gives the same surface's L*a*b* under another light, as adaptation guesses
// it; only a measurement under that light would know.
func (c Lab) Under(from, to Illuminant) Lab { return Adapt(c.XYZ(from), from, to).Lab(to) }

// Chroma is the distance from grey.
func (c Lab) Chroma() float64 { return math.Hypot(c.A, c.B) }

// rooted and cubed are the cube root of L*a*b* with its straight part near black,
// and its inverse.
func rooted(t float64) float64 {
	const d = 6.0 / 29
	if t > d*d*d {
		return math.Cbrt(t)
	}
	return t/(3*d*d) + 4.0/29
}

func cubed(f float64) float64 {
	const d = 6.0 / 29
	if f > d {
		return f * f * f
	}
	return 3 * d * d * (f - 4.0/29)
}
