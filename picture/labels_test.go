package picture

import (
	"slices"
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
		for k := range l.w * l.h {
			at, z := l.middle(k), l.rows[k/l.w].zone[k%l.w]
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

// Zones spread over bare cells as the plain way has it: right, left, up, down, one line
// of cells after the other.
func TestLabelsSpread(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := Wall{Outline: Ring{{0, 0}, {30, 0}, {30, 20}, {0, 20}}}
		var dress Dressing
		for range rapid.IntRange(1, 6).Draw(t, "zones") {
			var r Ring
			for range rapid.IntRange(3, 4).Draw(t, "corners") {
				r = append(r, XY{float64(rapid.IntRange(0, 30).Draw(t, "x")), float64(rapid.IntRange(0, 20).Draw(t, "y"))})
			}
			dress = append(dress, Zone{Region: []Ring{r}})
		}
		l := newLabels(w, dress)
		plain := make([]int16, l.w*l.h)
		for k := range plain {
			at := l.middle(k)
			plain[k] = int16(slices.IndexFunc(dress, func(z Zone) bool { return inside(z.Region, at.X, at.Y) }))
		}
		n := int(2 / l.pitch)
		for j := range l.h {
			spreadPlainly(plain, j*l.w, 1, l.w, n)
		}
		for i := range l.w {
			spreadPlainly(plain, i, l.w, l.h, n)
		}
		for k, z := range plain {
			if got := l.rows[k/l.w].zone[k%l.w]; got != z {
				t.Fatalf("at %v: zone %d, plainly %d", l.middle(k), got, z)
			}
		}
		from, to := l.reach(slices.Repeat([]bool{true}, len(dress)), true)
		low, high := l.w, 0
		for k, z := range plain {
			if z != bare {
				low, high = min(low, k%l.w), max(high, k%l.w+1)
			}
		}
		if high > 0 && (from != float64(low)/float64(l.w) || to != float64(high)/float64(l.w)) {
			t.Fatalf("zones are seen from cell %d to %d, said from %.3f to %.3f of %d", low, high, from, to, l.w)
		}
		for j, r := range l.rows {
			for _, s := range r.bare {
				if slices.ContainsFunc(r.zone[s.from:s.to], func(z int16) bool { return z != bare }) {
					t.Fatalf("row %d is said to be bare from %d to %d", j, s.from, s.to)
				}
			}
		}
	})
}

// spreadPlainly grows along one line of count cells, forwards and backwards.
func spreadPlainly(zone []int16, first, step, count, n int) {
	for _, way := range [2]int{step, -step} {
		at := first
		if way < 0 {
			at += (count - 1) * step
		}
		last, age := bare, n
		for range count {
			if z := zone[at]; z == bare && age < n {
				zone[at] = last
				age++
			} else if z != bare && (z != last || age > 0) {
				last, age = z, 0
			}
			at += way
		}
	}
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
