package picture

import (
	"testing"

	"pgregory.net/rapid"
)

// The raster of zones against the test of single places, and the order in which
// zones lie.
func TestLabels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		corner := func(name string) XY {
			return XY{rapid.Float64Range(0, 60).Draw(t, name+" x"), rapid.Float64Range(0, 40).Draw(t, name+" y")}
		}
		w := Wall{Outline: Ring{{0, 0}, {60, 0}, {60, 40}, {0, 40}}}
		top := Zone{Region: []Ring{{corner("a"), corner("b"), corner("c")}}}
		under := Zone{Region: []Ring{w.Outline}}
		l := newLabels(w, Dressing{top, under})
		for k, z := range l.zone {
			at := l.middle(k)
			want := int16(1)
			if inside(top.Region, at.X, at.Y) {
				want = 0
			}
			if inside(under.Region, at.X, at.Y) && z != want {
				t.Fatalf("at %v: zone %d, want %d", at, z, want)
			}
		}
	})
}

// Filling keeps what is known and reaches everywhere; spreading keeps an even field.
func TestFillAndSpread(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := grid{XY{}, 0.5, rapid.IntRange(1, 40).Draw(t, "w"), rapid.IntRange(1, 40).Draw(t, "h")}
		v, weight := g.zeros(), g.zeros()
		k := rapid.IntRange(0, len(v)-1).Draw(t, "known")
		v[k], weight[k] = 0.7, 1
		for i, got := range g.fill(v, weight) {
			if got < 0.699 || got > 0.701 {
				t.Fatalf("cell %d is filled with %v", i, got)
			}
		}
		for i := range v {
			v[i], weight[i] = 0.3, 1
		}
		mean, _ := g.spread(v, weight, 2, 3)
		for i, got := range mean {
			if got < 0.2999 || got > 0.3001 {
				t.Fatalf("cell %d of an even field is %v", i, got)
			}
		}
	})
}
