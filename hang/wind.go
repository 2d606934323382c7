// Package hang works out what the hangers must know beside the pieces: the wind's
// pull on the wall against the nails that hold the panels, and how many people a
// piece takes. It suggests; the code official and the panel maker's tested values
// decide.
package hang

import (
	"errors"
	"fmt"
	"math"
)

// Edition of ASCE 7 whose constants are used: they differ in the exposure
// coefficient, so the edition is always stated.
type Edition string

// The editions known.
const (
	ASCE716 Edition = "7-16"
	ASCE722 Edition = "7-22"
)

// Site is what the wind on a house depends on. All of it is the user's input and
// is to be shown with any answer.
type Site struct {
	Edition  Edition
	MPH      float64 // basic wind speed, 3-second gust, ultimate, from the code's map
	Exposure string  // B (suburb, wood), C (open), D (shore)
	HeightFt float64 // mean roof height, at most 60 ft
	SlopeDeg float64 // of the roof
	GroundFt float64 // ground above sea level
	Kzt      float64 // topographic factor; 1 on level ground
	Open     bool    // partially enclosed: a wall with large openings that may stand open
	LeastFt  float64 // least width of the house
}

// ErrSite is wrapped by every error about a site.
var ErrSite = errors.New("the wind cannot be worked out")

// Check says what of the site cannot be.
func (s Site) Check() error {
	bad := func(what, mend string) error { return fmt.Errorf("%w: %s; %s", ErrSite, what, mend) }
	switch {
	case s.Edition != ASCE716 && s.Edition != ASCE722:
		return bad("no such edition of ASCE 7: "+string(s.Edition), "state 7-16 or 7-22, whichever the local code names")
	case !(s.MPH >= 85 && s.MPH <= 300):
		return bad("a basic wind speed is 85 to 300 mph", "take it from the code's map or the code official")
	case s.Exposure != "B" && s.Exposure != "C" && s.Exposure != "D":
		return bad("the exposure is B, C or D", "B among houses or trees, C in the open, D at a shore")
	case !(s.HeightFt > 0 && s.HeightFt <= 60):
		return bad("this method serves mean roof heights up to 60 ft", "have an engineer work it out")
	case !(s.SlopeDeg >= 0 && s.SlopeDeg < 90):
		return bad("a roof's slope is 0 to 90 degrees", "measure it")
	case !(s.GroundFt >= -1500 && s.GroundFt <= 30_000):
		return bad("no ground lies that high", "state the ground's height above the sea in feet, or 0")
	case !(s.Kzt >= 1 && s.Kzt <= 10):
		return bad("the topographic factor is 1 on level ground, more on hills", "state 1, or have an engineer work it out")
	case !(s.LeastFt > 0):
		return bad("the least width of the house is missing", "measure it")
	}
	return nil
}

// Terrain constants alpha and zg (ft) by exposure: ASCE 7-16 Table 26.11-1, ASCE
// 7-22 Table 26.11-1 (its D row and the factor 2.41 from memory; they reproduce
// the printed table to 0.01).
var terrain = map[Edition]map[string][2]float64{
	ASCE716: {"B": {7, 1200}, "C": {9.5, 900}, "D": {11.5, 700}},
	ASCE722: {"B": {7.5, 3280}, "C": {9.8, 2460}, "D": {11.5, 1935}},
}

// Kz is the velocity pressure exposure coefficient at height z in feet (ASCE 7
// Table 26.10-1, note 1); below 15 ft it stays what it is there.
func Kz(e Edition, exposure string, z float64) float64 {
	factor := 2.01
	if e == ASCE722 {
		factor = 2.41
	}
	t := terrain[e][exposure]
	return factor * math.Pow(math.Max(z, 15)/t[1], 2/t[0])
}

// Kh is Kz at mean roof height as used for cladding: in exposure B it is not taken
// below 0.70, the safe side where editions differ.
func (s Site) Kh() float64 {
	k := Kz(s.Edition, s.Exposure, s.HeightFt)
	if s.Exposure == "B" {
		return math.Max(k, 0.70)
	}
	return k
}

// Directionality factor of buildings, ASCE 7-16 Table 26.6-1.
const kd = 0.85

// Qh is the velocity pressure at mean roof height in pounds per square foot
// (strength), ASCE 7-16 equation 26.10-1, with the directionality factor, which
// ASCE 7-22 moves into the pressure: the product is the same.
func (s Site) Qh() float64 {
	ke := math.Exp(-0.0000362 * s.GroundFt)
	return 0.00256 * s.Kh() * s.Kzt * kd * ke * s.MPH * s.MPH
}

// EdgeFt is the width of the strips at the wall's corners where the wind pulls
// hardest (zone 5), in feet: a tenth of the least width or 0.4 of the height,
// whichever is less, but no less than 0.04 of the width or 3 ft (ASCE 7 Fig. 30.3-1,
// note on a).
func (s Site) EdgeFt() float64 {
	return math.Max(math.Min(0.1*s.LeastFt, 0.4*s.HeightFt), math.Max(0.04*s.LeastFt, 3))
}

// Pull is the pressure on a part of the wall in pounds per square foot. Push is
// towards the wall, Out away from it (negative); both are strength values. For
// allowable stress design they count 0.6 (ASCE 7 Sec. 2.4).
type Pull struct {
	GCpPush, GCpOut float64
	Push, Out       float64
}

// ASD is the share of a strength value for allowable stress design.
const ASD = 0.6

// least pressure of cladding in pounds per square foot, strength: ASCE 7-16
// Sec. 30.2.2 (from memory).
const leastPressure = 16

// Wall gives the pressures on a wall's field (zone 4) and its corner strips
// (zone 5) for an effective wind area in square feet (ASCE 7 Fig. 30.3-1).
func (s Site) Wall(areaFt2 float64) (field, edge Pull) {
	decades := math.Log10(math.Min(math.Max(areaFt2, 10), 500) / 10)
	whole := math.Log10(50)
	push := 1 - 0.3*decades/whole
	low := 1.0
	if s.SlopeDeg <= 10 {
		low = 0.9
	}
	return s.pull(low*push, low*(-1.1+0.3*decades/whole)), s.pull(low*push, low*(-1.4+0.6*decades/whole))
}

// pull adds the pressure inside, whichever sign is worse.
func (s Site) pull(push, out float64) Pull {
	inside := 0.18
	if s.Open {
		inside = 0.55
	}
	q := s.Qh()
	return Pull{push, out, math.Max(q*(push+inside), leastPressure), math.Min(q*(out-inside), -leastPressure)}
}
