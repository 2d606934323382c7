package picture

import "math"

// grain is embossed wood grain as shallow streaks along the panel: light varies by a
// few hundredths, in streaks some inches long and a tenth of an inch wide (assumed).
// The zero value is smooth.
type grain struct{ depth float64 }

const (
	grainDepth   = 0.05
	streakLength = 7.0  // inches
	streakWidth  = 0.11 // inches
)

// at is the grain's factor over a footprint around a place, along the courses and
// across them.
func (g grain) at(along, across, width float64) float64 {
	if g.depth == 0 {
		return 1
	}
	fade := 1 / math.Max(1, math.Sqrt(width/streakWidth)) // what a footprint of many streaks leaves
	v := across / math.Max(streakWidth, width)
	j := math.Floor(v)
	t := v - j
	return 1 + g.depth*fade*((1-t)*streak(along, j)+t*streak(along, j+1))
}

// streak is smooth noise along row j, between -1 and 1.
func streak(along, j float64) float64 {
	u := along/streakLength + 7.31*math.Mod(math.Abs(j)*0.618034, 1)
	i := math.Floor(u)
	t := u - i
	t = t * t * (3 - 2*t)
	return (1-t)*Chance(int64(i), int64(j)) + t*Chance(int64(i)+1, int64(j))
}

// Chance is a fixed number between -1 and 1 for a lattice place (a mixing of bits
// as in the splitmix64 generator).
func Chance(i, j int64) float64 {
	x := uint64(i)*0x9e3779b97f4a7c15 ^ uint64(j)*0xbf58476d1ce4e5b9
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	x ^= x >> 31
	return float64(x>>11)/(1<<52) - 1
}
