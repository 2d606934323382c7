package plane

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// edgeByEdge is Bands with every band traced edge by edge, as where rings touch.
func edgeByEdge(rings []TaggedRing, lines []Length) []Part {
	var s sweep
	s.reset(rings, lines)
	at := 0
	for _, r := range rings {
		s.walk(r, s.codes[at:at+len(r.Points)])
		at += len(r.Points)
	}
	for b := range s.touching {
		s.touching[b] = true
	}
	return s.parts()
}

// touchingRegion is a random region with diamonds, whose tips touch lines and one
// another.
func touchingRegion(r *rand.Rand) []TaggedRing {
	region := randomRegion(r)
	var diamonds []Polygon
	for range r.IntN(60) {
		x, y, a := float64(r.IntN(40)*5-100), float64(r.IntN(40)*5-100), float64(5+5*r.IntN(4))
		diamonds = append(diamonds, Polygon{Outer: ring(x-a, y, x, y-a, x+a, y, x, y+a)})
	}
	if len(diamonds) > 0 {
		off, err := Union(diamonds)
		if err != nil {
			panic(err)
		}
		if region, err = Minus(region, off); err != nil {
			panic(err)
		}
	}
	var rings []TaggedRing
	for _, q := range region.Rings() {
		t := tagged(q)[0]
		for i := range t.Tags {
			t.Tags[i] = Tag(len(rings)*100 + i/2)
		}
		rings = append(rings, t)
	}
	return rings
}

// linesOver gives lines every 10, 15, 20 or 25 in over rings.
func linesOver(r *rand.Rand, rings []TaggedRing) []Length {
	step := Length(10+5*r.IntN(4)) * inch
	low, high := rings[0].Points.Box().Min.Y, rings[0].Points.Box().Max.Y
	for _, r := range rings {
		low, high = min(low, r.Points.Box().Min.Y), max(high, r.Points.Box().Max.Y)
	}
	lines := []Length{low.FloorTo(step)}
	for lines[len(lines)-1] < high {
		lines = append(lines, lines[len(lines)-1]+step)
	}
	return lines
}

// The two ways through Bands agree part by part, tags and first corners included.
func TestBandsByChainsAndEdgeByEdge(t *testing.T) {
	chained := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 11))
		rings := touchingRegion(r)
		if len(rings) == 0 {
			continue
		}
		lines := linesOver(r, rings)
		got, want := fmt.Sprint(Bands(rings, lines)), fmt.Sprint(edgeByEdge(rings, lines))
		if got != want {
			t.Fatalf("seed %d: by chains\n%s\nedge by edge\n%s", seed, got, want)
		}
		chained += len(lines) - 1
	}
	if chained == 0 {
		t.Fatal("nothing compared")
	}
}

// A Cutter that cut other regions before cuts as Bands does.
func TestCutterForgets(t *testing.T) {
	var c Cutter
	for seed := range uint64(100) {
		r := rand.New(rand.NewPCG(seed, 15))
		rings := touchingRegion(r)
		if len(rings) == 0 {
			continue
		}
		lines := linesOver(r, rings)
		if got, want := fmt.Sprint(c.Bands(rings, lines)), fmt.Sprint(Bands(rings, lines)); got != want {
			t.Fatalf("seed %d: again\n%s\nafresh\n%s", seed, got, want)
		}
	}
}

// Neither the order of rings nor where a ring begins changes the parts.
func TestBandsTurnTheInput(t *testing.T) {
	for seed := range uint64(120) {
		r := rand.New(rand.NewPCG(seed, 12))
		rings := touchingRegion(r)
		if len(rings) == 0 {
			continue
		}
		lines := linesOver(r, rings)
		want := fmt.Sprint(Bands(rings, lines))
		r.Shuffle(len(rings), func(i, j int) { rings[i], rings[j] = rings[j], rings[i] })
		for i, q := range rings {
			k := r.IntN(len(q.Points))
			rings[i] = TaggedRing{
				append(slices.Clone(q.Points[k:]), q.Points[:k]...), append(slices.Clone(q.Tags[k:]), q.Tags[:k]...),
			}
		}
		if got := fmt.Sprint(Bands(rings, lines)); got != want {
			t.Fatalf("seed %d: turned\n%s\nbefore\n%s", seed, got, want)
		}
	}
}

// A mirrored region has the mirrored parts: in every band the same areas, from
// right to left.
func TestBandsMirrored(t *testing.T) {
	for seed := range uint64(120) {
		r := rand.New(rand.NewPCG(seed, 13))
		rings := touchingRegion(r)
		if len(rings) == 0 {
			continue
		}
		lines := linesOver(r, rings)
		flipped := make([]TaggedRing, len(rings))
		for i, q := range rings {
			m := TaggedRing{q.Points.Reversed(), make([]Tag, len(q.Tags))}
			for k, p := range m.Points {
				m.Points[k].X = -p.X
				m.Tags[k] = q.Tags[(2*len(q.Tags)-2-k)%len(q.Tags)]
			}
			flipped[i] = m
		}
		areas := func(parts []Part) string {
			var out []string
			for _, p := range parts {
				out = append(out, fmt.Sprintf("%d %d %.6f", p.Band, len(p.Holes), p.polygon().Area().SquareFeet()))
			}
			slices.Sort(out)
			return fmt.Sprint(out)
		}
		if a, b := areas(Bands(rings, lines)), areas(Bands(flipped, lines)); a != b {
			t.Fatalf("seed %d: %s\nmirrored %s", seed, a, b)
		}
	}
}

func TestBandsTagAlongLines(t *testing.T) {
	// The base on the line at 0 (tag 0), the window's sill on the line at 10 (12), its
	// head on the line at 20 (10); 11 and 13 are its right and left sides.
	wall, window := ring(0, 0, 100, 0, 100, 30, 0, 30), ring(40, 10, 60, 10, 60, 20, 40, 20).Reversed()
	rings := tagged(wall, window)
	for i := range rings[1].Tags {
		rings[1].Tags[i] += 10
	}
	parts := Bands(rings, levels(0, 10, 4))
	tags := func(i int) string { return fmt.Sprint(parts[i].Outer.Tags) }
	for i, want := range []string{"[0 1 -2 12 -2 3]", "[-2 13 -2 3]", "[-2 1 -2 11]", "[-2 10 -2 1 2 3]"} {
		if len(parts) != 4 || tags(i) != want {
			t.Errorf("part %d of %d has tags %s, want %s", i, len(parts), tags(i), want)
		}
	}
}

func TestBandsOddInput(t *testing.T) {
	square := ring(0, 0, 10, 0, 10, 10, 0, 10)
	for name, c := range map[string]struct {
		rings []TaggedRing
		lines []Length
		want  int
	}{
		"no lines":         {tagged(square), nil, 0},
		"one line":         {tagged(square), levels(5, 1, 1), 0},
		"no rings":         {nil, levels(0, 10, 3), 0},
		"empty ring":       {tagged(Ring{}), levels(0, 10, 3), 0},
		"one point":        {tagged(ring(1, 1)), levels(0, 10, 3), 0},
		"two points":       {tagged(ring(1, 1, 9, 9)), levels(0, 5, 3), 0},
		"below all lines":  {tagged(square), levels(20, 10, 3), 0},
		"above all lines":  {tagged(square), levels(-20, 5, 3), 0},
		"doubled corners":  {tagged(ring(0, 0, 10, 0, 10, 0, 10, 10, 0, 10, 0, 10)), levels(-1, 6, 3), 2},
		"a line twice":     {tagged(square), []Length{0, 5 * inch, 5 * inch, 10 * inch}, 2},
		"outline on lines": {tagged(square), levels(0, 10, 2), 1},
	} {
		if got := Bands(c.rings, c.lines); len(got) != c.want {
			t.Errorf("%s: %d parts, want %d", name, len(got), c.want)
		}
	}
}

func TestSortEvents(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 14))
	for range 300 {
		ev := make([]event, r.IntN(200))
		for i := range ev {
			ev[i].x = Length(r.IntN(1000))
		}
		sortEvents(ev)
		if !slices.IsSortedFunc(ev, func(a, b event) int { return cmp.Compare(a.x, b.x) }) {
			t.Fatal("not sorted")
		}
	}
}
