package plane

import (
	"math/rand/v2"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
)

func TestBetweenAgainstTheLibrary(t *testing.T) {
	split := 0
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 31))
		g := randomRegion(r)
		if len(g) == 0 {
			continue
		}
		low := Length(r.IntN(100)-60) * 5 * inch
		high := low + Length(r.IntN(80))*5*inch
		between, rest := g.Between(low, high)
		if low == high {
			if between != nil || !sameRegion(t, rest, g) {
				t.Fatalf("seed %d: nothing lies between a level and itself", seed)
			}
			continue
		}
		b := g.Box()
		mask := Region{{Outer: Ring{{b.Min.X - 1, low}, {b.Max.X + 1, low}, {b.Max.X + 1, high}, {b.Min.X - 1, high}}}}
		wantBetween, err := overlay(geom.Intersection, g, mask)
		if err != nil {
			t.Fatal(err)
		}
		wantRest, err := overlay(geom.Difference, g, mask)
		if err != nil {
			t.Fatal(err)
		}
		if !sameRegion(t, between, wantBetween) || !sameRegion(t, rest, wantRest) {
			t.Fatalf("seed %d: between %d and %d: %v, want %v; rest %v, want %v", seed, low, high, between, wantBetween, rest, wantRest)
		}
		if len(between) > 0 && len(rest) > 0 {
			split++
		}
	}
	if split == 0 {
		t.Fatal("no region was parted")
	}
}

// A corner between two edges on one line stays: the two may be of different kinds.
func TestBetweenKeepsCornersOnStraightLines(t *testing.T) {
	g := Region{{Outer: ring(0, 0, 50, 0, 100, 0, 100, 30, 0, 30)}}
	between, _ := g.Between(-10*inch, 10*inch)
	if len(between) != 1 || len(between[0].Outer) != 5 {
		t.Errorf("want five corners, got %v", between)
	}
}
