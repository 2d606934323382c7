package plane

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

const inch = 25_400_000

func ring(in ...float64) Ring {
	var r Ring
	for i := 0; i < len(in); i += 2 {
		r = append(r, Point{Length(math.Round(in[i] * inch)), Length(math.Round(in[i+1] * inch))})
	}
	return r
}

func tagged(rs ...Ring) []TaggedRing {
	var out []TaggedRing
	for _, r := range rs {
		t := TaggedRing{Points: r, Tags: make([]Tag, len(r))}
		for i := range t.Tags {
			t.Tags[i] = Tag(i)
		}
		out = append(out, t)
	}
	return out
}

func levels(from, step float64, n int) []Length {
	var out []Length
	for i := range n {
		out = append(out, Length(math.Round((from+step*float64(i))*inch)))
	}
	return out
}

// inches2 gives the area of all parts in square inches.
func inches2(parts []Part) float64 {
	var sum float64
	for _, p := range parts {
		sum += p.polygon().Area().SquareFeet() * 144
	}
	return sum
}

func (p Part) polygon() Polygon {
	q := Polygon{Outer: p.Outer.Points}
	for _, h := range p.Holes {
		q.Holes = append(q.Holes, h.Points)
	}
	return q
}

func TestBandsNotchAndSplit(t *testing.T) {
	wall := ring(0, 0, 100, 0, 100, 30, 0, 30)
	window := ring(40, 5, 60, 5, 60, 25, 40, 25).Reversed()
	parts := Bands(tagged(wall, window), levels(0, 10, 4))
	want := []int{0, 1, 1, 2} // notched, split in two, notched
	if len(parts) != len(want) {
		t.Fatalf("got %d parts, want %d", len(parts), len(want))
	}
	for i, p := range parts {
		if p.Band != want[i] {
			t.Errorf("part %d lies in band %d, want %d", i, p.Band, want[i])
		}
	}
	if n := len(parts[0].Outer.Points); n != 8 {
		t.Errorf("a notched piece has 8 corners, got %d", n)
	}
	if got := inches2(parts); math.Abs(got-(3000-400)) > 1e-9 {
		t.Errorf("area %v, want 2600", got)
	}
}

func TestBandsHoleInsideOneBand(t *testing.T) {
	parts := Bands(tagged(ring(0, 0, 100, 0, 100, 10, 0, 10), ring(20, 3, 30, 3, 30, 6, 20, 6).Reversed()), levels(0, 10, 2))
	if len(parts) != 1 || len(parts[0].Holes) != 1 {
		t.Fatalf("want one part with one hole, got %+v", parts)
	}
}

func TestBandsPartsThatMeetInAPointAreSeparate(t *testing.T) {
	// Two openings that touch in the point (50, 5) with the wall's edges above and below.
	a := ring(40, 0, 50, 0, 50, 5, 40, 5)
	b := ring(50, 5, 60, 5, 60, 10, 50, 10)
	region, err := Minus(Region{{Outer: ring(0, 0, 100, 0, 100, 10, 0, 10)}}, Region{{Outer: a}, {Outer: b}})
	if err != nil {
		t.Fatal(err)
	}
	var rings []TaggedRing
	for _, r := range region.Rings() {
		rings = append(rings, tagged(r)...)
	}
	if parts := Bands(rings, levels(0, 10, 2)); len(parts) != 2 {
		t.Fatalf("want 2 parts, got %d", len(parts))
	}
}

func TestBandsOpeningsTouchingInAPointInside(t *testing.T) {
	outer := ring(0, 0, 100, 0, 100, 10, 0, 10)
	a, b := ring(40, 2, 50, 2, 50, 5, 40, 5), ring(50, 5, 60, 5, 60, 8, 50, 8)
	parts := Bands(tagged(outer, a.Reversed(), b.Reversed()), levels(0, 10, 2))
	if len(parts) != 1 || len(parts[0].Holes) != 2 {
		t.Fatalf("want one part with two holes, got %d parts", len(parts))
	}
}

func TestAtHeightAgainstRationals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := func(n string) Length { return Length(rapid.Int64Range(-1e12, 1e12).Draw(t, n)) }
		a, b := Point{c("ax"), c("ay")}, Point{c("bx"), c("by")}
		if a.Y >= b.Y {
			t.Skip()
		}
		y := Length(rapid.Int64Range(int64(a.Y), int64(b.Y)).Draw(t, "y"))
		exact := big.NewRat(int64(b.X-a.X), 1)
		exact.Mul(exact, big.NewRat(int64(y-a.Y), int64(b.Y-a.Y))).Add(exact, big.NewRat(int64(a.X), 1))
		diff := exact.Sub(exact, big.NewRat(int64(AtHeight(a, b, y)), 1))
		if diff.Abs(diff).Cmp(big.NewRat(1, 2)) > 0 {
			t.Fatalf("off by %v nm", diff)
		}
	})
}

// randomRegion draws a simple star-shaped outline with random openings cut out by
// the library, which is also the judge of areas.
func randomRegion(r *rand.Rand) Region {
	n := 3 + r.IntN(9)
	var outer Ring
	for i := range n {
		a := 2 * math.Pi * (float64(i) + 0.8*r.Float64()) / float64(n)
		d := (200 + 300*r.Float64()) * inch
		p := Point{Length(d * math.Cos(a)), Length(d * math.Sin(a))}
		if r.IntN(3) == 0 {
			p.Y = p.Y.RoundTo(10 * inch)
		}
		outer = append(outer, p)
	}
	if f, _, _ := outer.Check(); f != Sound {
		return nil
	}
	var openings []Polygon
	for range r.IntN(8) {
		x, y := (r.Float64()-0.5)*600, (r.Float64()-0.5)*600
		w, h := 2+60*r.Float64(), 2+60*r.Float64()
		if r.IntN(2) == 0 {
			x, y, w, h = math.Round(x/10)*10, math.Round(y/10)*10, math.Ceil(w/10)*10, math.Ceil(h/10)*10
		}
		openings = append(openings, Polygon{Outer: ring(x, y, x+w, y, x+w, y+h, x, y+h)})
	}
	if len(openings) == 0 {
		return Region{{Outer: outer}}
	}
	off, err := Union(openings)
	if err != nil {
		panic(err)
	}
	left, err := Minus(Region{{Outer: outer}}, off)
	if err != nil {
		panic(err)
	}
	return left
}

func TestBandsTileRandomRegions(t *testing.T) {
	for seed := range uint64(700) {
		r := rand.New(rand.NewPCG(seed, 7))
		region := randomRegion(r)
		if len(region) == 0 {
			continue
		}
		box := region.Box()
		lines := []Length{box.Min.Y.FloorTo(10 * inch)}
		for lines[len(lines)-1] < box.Max.Y {
			lines = append(lines, lines[len(lines)-1]+10*inch)
		}
		var rings []TaggedRing
		for _, q := range region.Rings() {
			rings = append(rings, tagged(q)...)
		}
		parts := Bands(rings, lines)
		want, got := region.Area().SquareFeet()*144, inches2(parts)
		if math.Abs(want-got) > 1e-9*want {
			t.Fatalf("seed %d: parts hold %v sq in, the region %v", seed, got, want)
		}
		// The judge: every band's share by the library's booleans.
		judge := map[int]float64{}
		for _, p := range parts {
			judge[p.Band] += p.polygon().Area().SquareFeet() * 144
		}
		for b := range len(lines) - 1 {
			band := Polygon{Outer: Ring{{box.Min.X - 1, lines[b]}, {box.Max.X + 1, lines[b]}, {box.Max.X + 1, lines[b+1]}, {box.Min.X - 1, lines[b+1]}}}
			g, err := Common(region, Region{band})
			if err != nil {
				t.Fatal(err)
			}
			count := 0
			for _, p := range parts {
				if p.Band == b {
					count++
				}
			}
			if want := g.Area().SquareFeet() * 144; math.Abs(want-judge[b]) > 1e-6 {
				t.Fatalf("seed %d band %d: %v sq in, the library says %v", seed, b, judge[b], want)
			}
			if len(g) != count {
				t.Fatalf("seed %d band %d: %d parts, the library says %d", seed, b, count, len(g))
			}
		}
	}
}

func TestInsetGrowsAnOpeningWithSharpCorners(t *testing.T) {
	parts := Bands(tagged(ring(0, 0, 100, 0, 100, 10, 0, 10), ring(40, 4, 60, 4, 60, 7, 40, 7).Reversed()), levels(0, 10, 2))
	left, err := Inset(parts[0], func(e Edge) Length {
		if e.Tag == Cut {
			return 0
		}
		return inch / 4
	})
	if err != nil || len(left) != 1 {
		t.Fatalf("%v, %d parts", err, len(left))
	}
	// 0.25 off both ends (and off top and bottom lines, whose tags are the wall's own edges).
	if got, want := inches2(left), 99.5*9.5-20.5*3.5; math.Abs(got-want) > 1e-9 {
		t.Errorf("area %v, want %v", got, want)
	}
}

func TestInsetAgreesWithStripsTakenOff(t *testing.T) {
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 9))
		region := randomRegion(r)
		if len(region) == 0 {
			continue
		}
		var rings []TaggedRing
		for _, q := range region.Rings() {
			rings = append(rings, tagged(q)...)
		}
		box := region.Box()
		for _, p := range Bands(rings, []Length{box.Min.Y, box.Min.Y + box.Height()/3, box.Max.Y}) {
			d := func(e Edge) Length {
				if e.Tag == Cut {
					return 0
				}
				return inch/8 + Length(e.Tag%3)*inch/8
			}
			fast, err := Inset(p, d)
			if err != nil {
				t.Fatal(err)
			}
			slow, err := sweepOff(p, d)
			if err != nil {
				t.Fatal(err)
			}
			if a, b := inches2(fast), inches2(slow); math.Abs(a-b) > 1e-5 {
				t.Fatalf("seed %d: drawn back %v sq in, strips taken off %v", seed, a, b)
			}
		}
	}
}

func TestInsetSplitsAndEmpties(t *testing.T) {
	// An hourglass: its waist is one inch wide.
	waist := ring(0, 0, 20, 0, 20, 10, 0, 10)
	cut := Region{{Outer: ring(8, 1, 12, 1, 12, 10, 8, 10)}}
	region, err := Minus(Region{{Outer: waist}}, cut)
	if err != nil {
		t.Fatal(err)
	}
	p := Bands(tagged(region[0].Outer), levels(0, 10, 2))[0]
	left, err := Inset(p, func(Edge) Length { return inch })
	if err != nil || len(left) != 2 {
		t.Fatalf("want two parts, got %d (%v)", len(left), err)
	}
	left, err = Inset(p, func(Edge) Length { return 5 * inch })
	if err != nil || len(left) != 0 {
		t.Fatalf("want nothing left, got %d (%v)", len(left), err)
	}
}

func TestRingCheck(t *testing.T) {
	for _, c := range []struct {
		name string
		r    Ring
		want Fault
	}{
		{"square", ring(0, 0, 1, 0, 1, 1, 0, 1), Sound},
		{"clockwise", ring(0, 0, 0, 1, 1, 1, 1, 0), Backward},
		{"bow tie", ring(0, 0, 2, 2, 2, 0, 0, 1), Crosses},
		{"two corners", ring(0, 0, 1, 1), TooFew},
		{"on a line", ring(0, 0, 1, 1, 2, 2), Crosses},
		{"doubled", ring(0, 0, 0, 0, 1, 0, 1, 1), Doubled},
		{"pinched", ring(0, 0, 2, 0, 1, 1, 2, 2, 0, 2, 1, 1), Crosses},
		{"spike", ring(0, 0, 4, 0, 4, 4, 2, 4, 2, 6, 2, 4, 0, 4), Crosses},
		{"collinear corner", ring(0, 0, 1, 0, 2, 0, 2, 1, 0, 1), Sound},
	} {
		if got, _, _ := c.r.Check(); got != c.want {
			t.Errorf("%s: fault %d, want %d", c.name, got, c.want)
		}
	}
}
