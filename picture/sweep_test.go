package picture

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A sweep of sights meets what each sight on its own meets: the same depth, the same spot
// or the one beside it.
func TestSweep(t *testing.T) {
	batten := Face{12, []Place{{0, 0.55}, {1.5, 0.55}, {1.5, 0.05}, {12, 0.05}}}
	faces := []*trace{newTrace(dutch), newTrace(batten), newTrace(Bevel(4, 0.5, 0.05)), newTrace(Flat(0.8))}
	rapid.Check(t, func(t *rapid.T) {
		r := faces[rapid.IntRange(0, len(faces)-1).Draw(t, "face")]
		s := sights{rapid.Float64Range(-50, 50).Draw(t, "y"), fine, rapid.Float64Range(-3, 3).Draw(t, "slope"), rapid.Float64Range(0, 0.02).Draw(t, "change") * fine, anchor}
		out := make([]met, mirrorRows)
		r.sweep(s, out)
		off := 0
		for i, m := range out {
			y, slope := s.y+float64(i)*s.step, s.slope+float64(i)*s.change
			at, z := r.sight(y, slope, anchor)
			got := r.spot(&m)
			if n := len(r.spots); math.Abs(z-m.z) > 1e-6 || got != at && (got+1)%n != at && (at+1)%n != got {
				off++ // a ray that meets two stretches where they join may take either, and so the depth of either
			}
		}
		if off > 1 {
			t.Errorf("%d of %d sights meet something else", off, len(out))
		}
	})
}
