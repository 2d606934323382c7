package plane

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
)

// sameRegion says by the library alone whether two regions cover the same face.
func sameRegion(t *testing.T, a, b Region) bool {
	t.Helper()
	if len(a) == 0 || len(b) == 0 {
		return len(a) == len(b)
	}
	d, err := geom.SymmetricDifference(collect(a), collect(b))
	if err != nil {
		t.Fatal(err)
	}
	in2 := float64(inch) * float64(inch)
	return d.Area()/in2 < 1e-4 && math.Abs(a.Area().SquareFeet()-b.Area().SquareFeet()) < 1e-6
}

// wallAndOpenings draws an outline and openings that lie alone, touch, overlap,
// stand on the outline's edges, stick out, or lie outside.
func wallAndOpenings(r *rand.Rand) (Ring, []Ring) {
	outline := ring(0, 0, 300, 0, 300, 100, 150, 100+float64(r.IntN(150)), 0, 100)
	var openings []Ring
	for range r.IntN(14) {
		x, y := float64(r.IntN(34)*10-20), float64(r.IntN(18)*10-10)
		w, h := float64(10+r.IntN(4)*10), float64(10+r.IntN(3)*10)
		if r.IntN(3) == 0 {
			openings = append(openings, ring(x, y, x+w/2, y-h/2, x+w, y, x+w/2, y+h/2))
			continue
		}
		openings = append(openings, ring(x, y, x+w, y, x+w, y+h, x, y+h))
	}
	return outline, openings
}

func TestPunchAgainstTheLibrary(t *testing.T) {
	alone, not := 0, 0
	for seed := range uint64(250) {
		outline, openings := wallAndOpenings(rand.New(rand.NewPCG(seed, 21)))
		got, err := Punch(outline, openings)
		if err != nil {
			t.Fatal(err)
		}
		want := Region{{Outer: outline}}
		for _, o := range openings {
			if want, err = overlay(geom.Difference, want, Region{{Outer: o}}); err != nil {
				t.Fatal(err)
			}
		}
		if !sameRegion(t, got, want) {
			t.Fatalf("seed %d: %v without %v gives %v, the library says %v", seed, outline, openings, got, want)
		}
		for _, a := range Alone(outline, openings) {
			if a {
				alone++
			} else {
				not++
			}
		}
	}
	if alone == 0 || not == 0 {
		t.Fatalf("%d openings alone, %d not: the test must hold both", alone, not)
	}
}

func TestMinusAndCommonSetApartAgainstTheLibrary(t *testing.T) {
	for seed := range uint64(250) {
		r := rand.New(rand.NewPCG(seed, 22))
		outline, openings := wallAndOpenings(r)
		a, err := Punch(outline, openings)
		if err != nil || len(a) == 0 {
			t.Fatal(err, a)
		}
		a = append(a, Polygon{Outer: ring(400, 0, 420, 0, 420, 50, 400, 50)})
		x, y := 320*r.Float64(), 150*r.Float64()
		b := Region{{Outer: ring(x, y, x+80*r.Float64(), y-10, x+90, y+60, x-10, y+80)}}
		if r.IntN(3) == 0 { // a band right across, so that the region falls apart
			b = Region{{Outer: ring(-10, y, 450, y, 450, y+20, -10, y+20)}}
		}
		left, err := Minus(a, b)
		if err != nil {
			t.Fatal(err)
		}
		both, err := Common(a, b)
		if err != nil {
			t.Fatal(err)
		}
		wantLeft, err := overlay(geom.Difference, a, b)
		if err != nil {
			t.Fatal(err)
		}
		wantBoth, err := overlay(geom.Intersection, a, b)
		if err != nil {
			t.Fatal(err)
		}
		if !sameRegion(t, left, wantLeft) || !sameRegion(t, both, wantBoth) {
			t.Fatalf("seed %d: %v and %v: left %v, want %v; both %v, want %v", seed, a, b, left, wantLeft, both, wantBoth)
		}
	}
}
