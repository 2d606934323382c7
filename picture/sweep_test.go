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
			if n := len(r.facets); math.Abs(z-m.z) > 1e-6 || got != at && (got+1)%n != at && (at+1)%n != got {
				off++ // a ray that meets two stretches where they join may take either, and so the depth of either
			}
		}
		if off > 1 {
			t.Errorf("%d of %d sights meet something else", off, len(out))
		}
	})
}

// A ray that is said to pass meets nothing, and most that meet nothing are said to.
func TestClear(t *testing.T) {
	batten := Face{12, []Place{{0, 0.55}, {1.5, 0.55}, {1.5, 0.05}, {12, 0.05}}}
	for _, f := range []Face{dutch, batten, Bevel(4, 0.5, 0.05), Bevel(6, 0.1, 0.6), Flat(0.8)} {
		r := newTrace(f)
		passed, free := 0, 0
		for i := range r.facets {
			p := &r.facets[i]
			clear := r.clear(p)
			for k := range 2 * angles {
				up, out := math.Sincos((float64(k)+0.5)/angles*math.Pi - math.Pi)
				if p.ny*up+p.nz*out <= 0 {
					continue
				}
				_, _, hidden := r.hit(p.y, p.z, up, out, leastStep)
				if !hidden {
					free++
				}
				if clear.passes(up, out) {
					if passed++; hidden {
						t.Fatalf("%+v: from (%.3f, %.3f) towards (%.3f, %.3f) something is hit", f, p.y, p.z, up, out)
					}
				}
			}
		}
		if passed*10 < free*7 {
			t.Errorf("%+v: %d rays are said to pass, %d do", f, passed, free)
		}
	}
}
