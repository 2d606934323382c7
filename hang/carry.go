package hang

import (
	"math"

	"coilwright/measure"
)

// Carrying is the shop's rule for long pieces. The defaults are common practice, no
// source, but for the weight, which is what the NIOSH lifting equation gives for a
// bundle of panels (NIOSH 94-110; H 12 in, V 30 in, D 24 in, FM 0.94, CM 0.95).
type Carrying struct {
	AloneFt   float64 // up to this length one person may carry
	PersonFt  float64 // one more person for each further length
	PersonLb  float64 // most that one person lifts
	StopAtMPH float64 // gusts in which no long piece is carried
}

// DefaultCarrying is used where the book says nothing.
var DefaultCarrying = Carrying{AloneFt: 10, PersonFt: 20, PersonLb: 33.97, StopAtMPH: 20}

// People is how many carry a piece of that length and weight in pounds.
func (c Carrying) People(length measure.Length, pounds float64) int {
	n := 1
	if over := length.Feet() - c.AloneFt; over > 0 {
		n = 2 + int(math.Ceil(math.Max(0, over-c.PersonFt)/c.PersonFt))
	}
	return max(n, int(math.Ceil(pounds/c.PersonLb)))
}

// Sail is the wind's push on a piece held broadside, in pounds:
// 0.00256 V^2 a square foot (ASCE 7 equation 26.10-1 with all factors 1).
func Sail(mph, areaFt2 float64) float64 { return 0.00256 * mph * mph * areaFt2 }

// LiftLimit is the NIOSH recommended weight limit in pounds (NIOSH 94-110, revised
// 2021): h and v are the hands' distances from the ankles and above the floor, d
// the lift's height, all in inches, a the twist in degrees; fm and cm are the
// multipliers for frequency and grip.
func LiftLimit(h, v, d, a, fm, cm float64) float64 {
	hm := math.Min(1, 10/math.Max(h, 1e-9))
	vm := 1 - 0.0075*math.Abs(v-30)
	dm := math.Min(1, 0.82+1.8/math.Max(d, 1e-9))
	return 51 * hm * vm * dm * (1 - 0.0032*a) * fm * cm
}
