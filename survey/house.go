package survey

import (
	"math"

	"coilwright/adjust"
)

// PartsAddUp states that parts add up to a whole.
func PartsAddUp(name string, whole int, parts ...int) Exactly {
	e := Exactly{Name: name, Terms: []adjust.Term{{At: whole, By: -1}}}
	for _, p := range parts {
		e.Terms = append(e.Terms, adjust.Term{At: p, By: 1})
	}
	return e
}

// Agree reads that two sizes are the same, as opposite walls are, give or take
// sigma.
func Agree(name string, a, b int, sigma float64) Reading {
	return Reading{Name: name, By: "rule", Of: Level(a, b), Sigma: sigma}
}

// Side is one wall of a ring: the unknown that is its length, and the compass
// bearing along it in degrees, walking round the house.
type Side struct {
	Length  int
	Bearing float64
}

// Closes reads that a ring of walls comes back to where it began, give or take
// sigma, northwards and eastwards. Where a bearing is a multiple of 90 degrees,
// the wall's length counts fully in one and not at all in the other.
func Closes(name string, sigma float64, ring ...Side) [2]Reading {
	var north, east Sum
	for _, s := range ring {
		sin, cos := math.Sincos(s.Bearing * math.Pi / 180)
		if math.Abs(cos) > 1e-12 {
			north = append(north, adjust.Term{At: s.Length, By: cos})
		}
		if math.Abs(sin) > 1e-12 {
			east = append(east, adjust.Term{At: s.Length, By: sin})
		}
	}
	return [2]Reading{
		{Name: name + ", northwards", By: "rule", Of: north, Sigma: sigma},
		{Name: name + ", eastwards", By: "rule", Of: east, Sigma: sigma},
	}
}
