package hang

import (
	"fmt"
	"math"

	"coilwright/measure"
)

// Nail is how panels are held: into the side grain of studs.
type Nail struct {
	Diameter    float64 // of the shank, inches
	Penetration float64 // into the stud, inches
	Gravity     float64 // specific gravity of the studs' wood, e.g. 0.42 spruce-pine-fir, 0.50 Douglas fir-larch
}

// Withdrawal is what one smooth-shank nail holds against being pulled out, in
// pounds, for ten years' load: W = 1380 G^2.5 D a inch of penetration (NDS 12.2-3).
// Times 1.6 for wind (load duration). Nothing in end grain.
func (n Nail) Withdrawal() float64 {
	return 1380 * math.Pow(n.Gravity, 2.5) * n.Diameter * n.Penetration
}

// WindDuration is the load duration factor for wind (NDS 2.3.2).
const WindDuration = 1.6

// Spacing is a suggestion for nails along one panel.
type Spacing struct {
	Apart    measure.Length // between nails: one to a stud, or to every second or third
	Holds    float64        // pounds, one nail against wind
	Pulled   float64        // pounds, on one nail at that spacing, allowable stress
	OverNail float64        // greatest pull that the nails could hold, lb/sq ft, allowable stress
	OverMade float64        // panel's rating by its maker, lb/sq ft; 0: not known
	OK       bool           // both hold
	Why      string
}

// Suggest finds the widest nailing at studs that holds a pull (lb/sq ft, strength,
// negative is outwards) on panels of that cover. rated is the panel maker's tested
// pressure for the same nailing (allowable), 0 if not known: then nothing is OK.
func Suggest(pull Pull, cover, studs measure.Length, n Nail, rated float64) Spacing {
	asd := math.Abs(ASD * pull.Out)
	s := Spacing{Apart: studs, Holds: WindDuration * n.Withdrawal(), OverMade: rated}
	area := studs.Feet() * cover.Feet()
	s.Pulled = asd * area
	s.OverNail = s.Holds / area
	switch {
	case s.Pulled > s.Holds:
		s.Why = fmt.Sprintf("one nail to a stud would be pulled with %.0f lb and holds %.0f lb: ask the code official and the panel maker for another fastening", s.Pulled, s.Holds)
	case rated <= 0:
		s.Why = "the nails hold, but the book has no tested wind rating of this panel: ask its maker"
	case asd > rated:
		s.Why = fmt.Sprintf("the wind pulls with %.1f lb/sq ft and the panel is rated for %.1f: ask the panel maker", asd, rated)
	default:
		s.OK = true
		s.Why = "one nail to every stud holds by this reckoning; the code official and the panel maker's tested values decide"
	}
	return s
}
