package plane

import (
	"errors"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// twice is twice the signed area, exactly.
func twice(r Ring) *big.Int {
	sum := new(big.Int)
	for i, p := range r {
		q := r[(i+1)%len(r)]
		a := new(big.Int).Mul(big.NewInt(int64(p.X)), big.NewInt(int64(q.Y)))
		sum.Add(sum, a.Sub(a, new(big.Int).Mul(big.NewInt(int64(q.X)), big.NewInt(int64(p.Y)))))
	}
	return sum
}

func thrice(r Ring) (out Ring) {
	for _, p := range r {
		out = append(out, Point{3 * p.X, 3 * p.Y})
	}
	return out
}

// fills checks triangles against what filling means: areas sum up exactly, each turns
// left, and the middle of none lies in a hole or outside.
func fills(t interface{ Fatalf(string, ...any) }, p Polygon, got [][3]Point) {
	want := new(big.Int).Abs(twice(p.Outer))
	for _, h := range p.Holes {
		want.Sub(want, new(big.Int).Abs(twice(h)))
	}
	sum := new(big.Int)
	for _, tri := range got {
		if Turn(tri[0], tri[1], tri[2]) <= 0 {
			t.Fatalf("a triangle turns right: %v", tri)
		}
		sum.Add(sum, twice(tri[:]))
		m := tri[0].Add(tri[1]).Add(tri[2]) // thrice the middle
		in := thrice(p.Outer).Where(m) != Outside
		for _, h := range p.Holes {
			in = in && thrice(h).Where(m) != Inside
		}
		if !in {
			t.Fatalf("a triangle lies outside: %v", tri)
		}
	}
	if sum.Cmp(want) != 0 {
		t.Fatalf("triangles of %v, the polygon has %v (twice the area)", sum, want)
	}
}

// Walls with a grid of openings of any size, some touching the wall's edge or each
// other's corners, turned to any corner to start at.
func TestTrianglesOfWalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const cell = 1_000_003
		w, h := rapid.IntRange(1, 5).Draw(t, "columns"), rapid.IntRange(1, 5).Draw(t, "rows")
		p := Polygon{Outer: Ring{{0, 0}, {Length(w * cell), 0}, {Length(w * cell), Length(h * cell)}, {Length(w * cell / 2), Length(h*cell + cell/3)}, {0, Length(h * cell)}}}
		for j := range h {
			for i := range w {
				x, y := Length(i*cell), Length(j*cell)
				at := func(label string) Length { return Length(rapid.IntRange(1, cell/2-1).Draw(t, label)) }
				switch rapid.IntRange(0, 2).Draw(t, "kind") {
				case 1:
					a, b := Point{x + at("l"), y + at("b")}, Point{x + cell - at("r"), y + cell - at("t")}
					p.Holes = append(p.Holes, Ring{a, {b.X, a.Y}, b, {a.X, b.Y}})
				case 2: // a rhomb, its right corner on the cell's edge: it may touch the next one
					p.Holes = append(p.Holes, Ring{{x + at("l"), y + cell/2}, {x + cell/2, y + at("b")}, {x + cell - 1, y + cell/2}, {x + cell/2, y + cell - at("t")}})
				}
			}
		}
		k := rapid.IntRange(0, 4).Draw(t, "start")
		p.Outer = append(p.Outer[k:], p.Outer[:k]...)
		got, err := p.Triangles()
		if err != nil {
			t.Fatalf("%v: %v", p, err)
		}
		fills(t, p, got)
	})
}

// Any region that booleans of rectangles give: stairs, notches, holes that touch.
func TestTrianglesOfRegions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wall := Ring{{0, 0}, {100_000, 0}, {100_000, 80_000}, {0, 80_000}}
		var out []Polygon
		for range rapid.IntRange(1, 8).Draw(t, "cuts") {
			at := func(most int, what string) Length { return Length(1000 * rapid.IntRange(0, most).Draw(t, what)) }
			x, y := at(90, "x"), at(70, "y")
			out = append(out, Polygon{Outer: Ring{{x, y}, {x + 1000 + at(30, "w"), y}, {x + 1000 + at(30, "s"), y + 1000 + at(30, "h")}, {x, y + 1000 + at(30, "g")}}})
		}
		cuts, err := Union(out)
		if err != nil {
			t.Skip(err)
		}
		region, err := Minus(Region{{Outer: wall}}, cuts)
		if err != nil {
			t.Skip(err)
		}
		for _, p := range region {
			got, err := p.Triangles()
			if err != nil {
				t.Fatalf("%v: %v", p, err)
			}
			fills(t, p, got)
		}
	})
}

func TestTrianglesOfWhatCrosses(t *testing.T) {
	bow := Polygon{Outer: Ring{{0, 0}, {10, 10}, {10, 0}, {0, 12}}}
	if got, err := bow.Triangles(); err == nil || !errors.Is(err, ErrNotSimple) {
		t.Errorf("%v %v", got, err)
	}
	if got, err := (Polygon{}).Triangles(); got != nil || err != nil {
		t.Errorf("%v %v", got, err)
	}
}
