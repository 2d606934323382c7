// Package colour is colours as numbers under a light: sRGB and linear light,
// CIE XYZ and L*a*b* under D65 and D50, how far two colours differ to the eye, what
// a screen can show, and which stock colour lies nearest to an owner's sample.
//
// All values are for the 2 degree observer.
package colour

import "math"

// Linear is light or reflectance in the primaries of sRGB, before the transfer
// curve: 0 none, 1 the screen's white (or all light sent back). Values outside 0 to
// 1 are colours that no sRGB screen shows.
type Linear [3]float64

// SRGB is a screen colour, 8 bits a channel.
type SRGB [3]uint8

// Decode undoes the transfer curve of sRGB (IEC 61966-2-1): 0 to 1 on the screen
// becomes light from 0 to 1.
func Decode(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// Encode is the transfer curve of sRGB (IEC 61966-2-1), the inverse of Decode.
func Encode(v float64) float64 {
	if v <= 0.0031308 {
		return v * 12.92
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// Linear gives the light that a screen colour stands for.
func (c SRGB) Linear() (out Linear) {
	for i, v := range c {
		out[i] = Decode(float64(v) / 255)
	}
	return out
}

// SRGB rounds to the nearest screen colour; what lies outside 0 to 1 is clipped.
// See Show for a kinder way.
func (c Linear) SRGB() (out SRGB) {
	for i, v := range c {
		out[i] = uint8(math.Round(255 * min(1, max(0, Encode(v)))))
	}
	return out
}

// Times multiplies channel by channel: light on a surface.
func (c Linear) Times(d Linear) Linear { return Linear{c[0] * d[0], c[1] * d[1], c[2] * d[2]} }

// Over divides channel by channel; where d is not above 0 the result is 0.
func (c Linear) Over(d Linear) (out Linear) {
	for i := range c {
		if d[i] > 0 {
			out[i] = c[i] / d[i]
		}
	}
	return out
}

// Scale multiplies by one number.
func (c Linear) Scale(k float64) Linear { return Linear{c[0] * k, c[1] * k, c[2] * k} }

// Plus adds channel by channel.
func (c Linear) Plus(d Linear) Linear { return Linear{c[0] + d[0], c[1] + d[1], c[2] + d[2]} }

// Luminance is the Y of CIE XYZ, by the weights of IEC 61966-2-1.
func (c Linear) Luminance() float64 { return toXYZ[1][0]*c[0] + toXYZ[1][1]*c[1] + toXYZ[1][2]*c[2] }
