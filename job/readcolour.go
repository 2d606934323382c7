package job

import (
	"math"

	"coilwright/document"
	"coilwright/steel"
)

// colour reads a colour by one of lab, srgb and linear.
func colour(v document.Value, i int, seen ids) steel.Colour {
	o := v.Object(colourFields)
	c := steel.Colour{ID: seen.take(o, i, true), Title: o.Get("title").Text()}
	if c.ID == anyColour {
		o.Get("id").Errorf("give the colour another id", "%q means all colours in the list of mill coils", anyColour)
	}
	if c.Title == "" {
		c.Title = c.ID
	}
	count := 0
	for _, way := range []string{"lab", "srgb", "linear"} {
		if o.Has(way) {
			count++
		}
	}
	illuminant := o.Get("illuminant").OneOf("illuminant", []string{"D65", "D50"})
	switch {
	case !o.Present():
	case count != 1:
		o.Errorf("write one of lab, srgb and linear", "a colour is given in one way, this one in %d", count)
	case o.Has("lab"):
		c.Linear = labLinear(lab(o.Get("lab")), illuminant == "D50")
	case o.Has("srgb"):
		for k, w := range o.Get("srgb").Tuple(3) {
			c.Linear[k] = srgbLinear(w.Number(0, 255) / 255)
		}
	default:
		for k, w := range o.Get("linear").Tuple(3) {
			c.Linear[k] = w.Number(0, 1)
		}
	}
	if illuminant != "" && !o.Has("lab") {
		o.Get("illuminant").Errorf("take illuminant away", "only a lab colour has an illuminant")
	}
	return c
}

func lab(v document.Value) (out [3]float64) {
	t := v.Tuple(3)
	if t == nil {
		return out
	}
	return [3]float64{t[0].Number(0, 100), t[1].Number(-200, 200), t[2].Number(-200, 200)}
}

// srgbLinear undoes the transfer curve of IEC 61966-2-1.
func srgbLinear(c float64) float64 {
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

type matrix [3][3]float64

func (m matrix) times(v [3]float64) (out [3]float64) {
	for i := range m {
		for j := range v {
			out[i] += m[i][j] * v[j]
		}
	}
	return out
}

// White points for the 2 degree observer, Y = 1 (ASTM E308; D50 as in ICC.1).
var (
	whiteD65 = [3]float64{0.95047, 1, 1.08883}
	whiteD50 = [3]float64{0.9642, 1, 0.8249}
)

// toLinear is XYZ (D65) to linear sRGB: the inverse of the primaries of
// IEC 61966-2-1, to seven places.
var toLinear = matrix{{3.2404542, -1.5371385, -0.4985314}, {-0.9692660, 1.8760108, 0.0415560}, {0.0556434, -0.2040259, 1.0572252}}

// fromD50 adapts XYZ from D50 to D65 by the linear Bradford transform (ICC.1,
// annex E), to seven places.
var fromD50 = matrix{{0.9555766, -0.0230393, 0.0631636}, {-0.0282895, 1.0099416, 0.0210077}, {0.0122982, -0.0204830, 1.3299098}}

// labLinear is CIE 1976 L*a*b* (CIE 15) to linear sRGB, held within 0 and 1 where
// no screen can show it.
func labLinear(lab [3]float64, d50 bool) [3]float64 {
	white := whiteD65
	if d50 {
		white = whiteD50
	}
	y := (lab[0] + 16) / 116
	f := [3]float64{y + lab[1]/500, y, y - lab[2]/200}
	var xyz [3]float64
	for i := range f {
		xyz[i] = white[i] * cubed(f[i])
	}
	if d50 {
		xyz = fromD50.times(xyz)
	}
	out := toLinear.times(xyz)
	for i := range out {
		out[i] = min(1, max(0, out[i]))
	}
	return out
}

// cubed undoes the cube root of L*a*b*, with its straight part near black.
func cubed(f float64) float64 {
	if f > 6.0/29 {
		return f * f * f
	}
	return 3 * (6.0 / 29) * (6.0 / 29) * (f - 4.0/29)
}
