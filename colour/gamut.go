package colour

// Shown is how a screen can show a colour.
type Shown struct {
	Colour SRGB
	Light  Linear  // the same before rounding to 8 bits
	Off    float64 // CIEDE2000 from the colour itself; 0 where the screen can show it
	Inside bool    // the screen can show it, to rounding
}

// grain is how far over 0 or 1 light may lie and still round to the same screen
// value: half a step of 8 bits where the curve is steepest.
const grain = 0.5 / 255 / 12.92

// Show finds what an sRGB screen can show of a colour measured under an illuminant:
// the colour itself or, where it lies outside, the most colourful one of the same
// lightness and hue angle.
func Show(c Lab, i Illuminant) Shown {
	want := c.Under(i, D65)
	light := want.Linear(D65)
	if light.inside(grain) {
		light = light.Clipped()
		return Shown{Colour: light.SRGB(), Light: light, Inside: true}
	}
	low, high := 0.0, 1.0 // shares of the chroma: low can be shown, or is grey
	for range 40 {
		mid := (low + high) / 2
		if (Lab{want.L, want.A * mid, want.B * mid}).Linear(D65).inside(grain) {
			low = mid
		} else {
			high = mid
		}
	}
	light = (Lab{want.L, want.A * low, want.B * low}).Linear(D65).Clipped()
	return Shown{Colour: light.SRGB(), Light: light, Off: Difference(want, light.Lab())}
}

func (c Linear) inside(by float64) bool {
	for _, v := range c {
		if !(v >= -by && v <= 1+by) {
			return false
		}
	}
	return true
}

// Clipped holds each channel within 0 and 1.
func (c Linear) Clipped() (out Linear) {
	for i, v := range c {
		out[i] = min(1, max(0, v))
	}
	return out
}
