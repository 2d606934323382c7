package trim_test

import (
	"math"
	"slices"
	"testing"

	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/trim"
	"pgregory.net/rapid"
)

// cells is a wall on a grid of 1 ft: what fills each cell. The judge counts unit
// edges between cells; it shares nothing with the sweep over edges.
type cells struct {
	w, h   int
	bottom []int // by column: the wall is [bottom, top)
	top    []int
	kind   [][]int // 0 outside, -1-k opening k, 1+z zone z
}

// split is where zone 1 ends and zone 2 begins: at one height left of a column, at
// another from it on.
type split struct{ left, right, column int }

func (s split) at(x int) int {
	if x < s.column {
		return s.left
	}
	return s.right
}

// masks are the rings under and over the split.
func (s split) masks() (low, high plane.Ring) {
	x, l, r := float64(s.column), float64(s.left), float64(s.right)
	step := plane.Ring{at(-9, l), at(x, l), at(x, r), at(99, r)}
	if s.left == s.right {
		step = plane.Ring{at(-9, l), at(99, r)}
	}
	low = append(slices.Clone(step.Reversed()), at(-9, -9), at(99, -9))
	high = append(slices.Clone(step), at(99, 99), at(-9, 99))
	return low, high
}

func drawCells(t *rapid.T) (cells, [][4]int, split) {
	c := cells{w: rapid.IntRange(1, 9).Draw(t, "w"), h: 9}
	height := rapid.IntRange(1, 8)
	split := split{height.Draw(t, "left"), height.Draw(t, "right"), rapid.IntRange(0, c.w).Draw(t, "column")}
	for range c.w {
		c.bottom = append(c.bottom, rapid.IntRange(0, 2).Draw(t, "bottom"))
		c.top = append(c.top, rapid.IntRange(6, 9).Draw(t, "top"))
	}
	for x := range c.w {
		col := make([]int, c.h)
		for y := c.bottom[x]; y < c.top[x]; y++ {
			col[y] = 2
			if y < split.at(x) {
				col[y] = 1
			}
		}
		c.kind = append(c.kind, col)
	}
	var openings [][4]int
	for range rapid.IntRange(0, 5).Draw(t, "tries") {
		x, y := rapid.IntRange(0, c.w-1).Draw(t, "x"), rapid.IntRange(0, 8).Draw(t, "y")
		o := [4]int{x, y, min(c.w, x+rapid.IntRange(1, 3).Draw(t, "ow")), min(9, y+rapid.IntRange(1, 4).Draw(t, "oh"))}
		if c.free(o) {
			openings = append(openings, o)
			c.fill(o, -len(openings))
		}
	}
	return c, openings, split
}

func (c cells) free(o [4]int) bool {
	for x := o[0]; x < o[2]; x++ {
		for y := o[1]; y < o[3]; y++ {
			if c.kind[x][y] <= 0 {
				return false
			}
		}
	}
	return true
}

func (c cells) fill(o [4]int, k int) {
	for x := o[0]; x < o[2]; x++ {
		for y := o[1]; y < o[3]; y++ {
			c.kind[x][y] = k
		}
	}
}

func (c cells) at(x, y int) int {
	if x < 0 || y < 0 || x >= c.w || y >= c.h {
		return 0
	}
	return c.kind[x][y]
}

// wall draws the same wall as an outline.
func (c cells) wall(openings [][4]int) house.Wall {
	w := house.Wall{ID: "w"}
	add := func(x, y int, kind house.EdgeKind) {
		w.Outline = append(w.Outline, at(float64(x), float64(y)))
		w.Edges = append(w.Edges, kind)
	}
	for x := range c.w {
		if x > 0 && c.bottom[x] != c.bottom[x-1] {
			add(x, c.bottom[x-1], house.Base)
		}
		if x == 0 || c.bottom[x] != c.bottom[x-1] {
			add(x, c.bottom[x], house.Base)
		}
	}
	add(c.w, c.bottom[c.w-1], house.OutsideCorner)
	for x := c.w - 1; x >= 0; x-- {
		if x < c.w-1 && c.top[x] != c.top[x+1] {
			add(x+1, c.top[x+1], house.Abuts)
		}
		if x == c.w-1 || c.top[x] != c.top[x+1] {
			add(x+1, c.top[x], house.Eave)
		}
	}
	add(0, c.top[0], house.OutsideCorner)
	for i, o := range openings {
		w.Openings = append(w.Openings, window(string(rune('A'+i)), rect(float64(o[0]), float64(o[1]), float64(o[2]), float64(o[3]))))
	}
	return w
}

// judge counts, in feet, by looking at every cell's four sides.
func (c cells) judge(panels [2]string, own bool) map[trim.Kind]int {
	n := map[trim.Kind]int{}
	lowest := c.lowest(2)
	for x := range c.w {
		for y := range c.h {
			z := c.at(x, y)
			if z <= 0 {
				continue
			}
			up := panels[z-1] == "upright"
			switch below := c.at(x, y-1); {
			case below == 0 && !up:
				n[trim.Starter]++
			case below == 0 || below < 0:
				n[trim.Channel]++
			case below != z && z == 2 && own && !up && y == lowest:
				n[trim.Starter]++
			}
			if c.at(x, y-1) < 0 {
				n[trim.DripCap]++
			}
			switch above := c.at(x, y+1); {
			case above > 0 && above != z && up != (panels[above-1] == "upright"):
				n[trim.TransitionUpright]++
			case above > 0 && above != z:
				n[trim.Transition]++
			case above <= 0 && up:
				n[trim.Channel]++
			case above <= 0:
				n[trim.Finish]++
			}
			for _, side := range [2]int{x - 1, x + 1} {
				switch {
				case side < 0 || side >= c.w:
					n[trim.OutsidePost]++
				case c.at(side, y) <= 0:
					n[trim.Channel]++
				case side > x && c.at(side, y) != z && panels[0] != panels[1]:
					n[trim.TransitionUpright]++
				case side > x && c.at(side, y) != z:
					n[trim.Transition]++
				}
			}
		}
	}
	return n
}

func (c cells) lowest(z int) int {
	for y := range c.h {
		for x := range c.w {
			if c.at(x, y) == z {
				return y
			}
		}
	}
	return -1
}

var panelKinds = []string{"level", "upright"}

// TestAgainstCells: on random stepped walls with random openings (touching each
// other and the outline too), every kind agrees with the count of unit edges.
func TestAgainstCells(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c, openings, split := drawCells(rt)
		panels := [2]string{rapid.SampledFrom(panelKinds).Draw(rt, "low"), rapid.SampledFrom(panelKinds).Draw(rt, "high")}
		own := rapid.Bool().Draw(rt, "own")
		h := house.House{Walls: []house.Wall{c.wall(openings)}}
		low, high := split.masks()
		s, l := laid(t, h, []zone{{panel: panels[0], mask: low}, {panel: panels[1], mask: high, own: own}})
		b := bookOf()
		b.Trim.JFace = 0
		want := c.judge(panels, own)
		got := map[trim.Kind]measure.Length{}
		for _, x := range trim.Quantities(h, s, b, l) {
			got[x.Kind] += x.Length
		}
		for _, k := range []trim.Kind{trim.Starter, trim.Finish, trim.Channel, trim.DripCap, trim.OutsidePost, trim.Transition, trim.TransitionUpright} {
			if got[k] != measure.Length(want[k])*ft {
				rt.Errorf("%s: %s, want %d ft", k, got[k].Text(measure.Imperial), want[k])
			}
		}
	})
}

// star draws a random outline of slanted edges around (50, 50) ft.
func star(t *rapid.T) plane.Ring {
	n := rapid.IntRange(3, 12).Draw(t, "n")
	var r plane.Ring
	for i := range n {
		radius := rapid.Float64Range(8, 40).Draw(t, "radius")
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		r = append(r, at(50+radius*cos, 50+radius*sin))
	}
	return r
}

// TestSlanted: a random outline of standing panels takes channel along every edge,
// whether one zone hangs there or two that meet at a level line; and the transition
// is as long as the outline is wide there, by a scan line.
func TestSlanted(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := wall("w", star(rt), nil)
		var perimeter float64
		for i := range w.Outline {
			a, b := w.Edge(i)
			w.Edges = append(w.Edges, rapid.SampledFrom([]house.EdgeKind{house.Base, house.Eave, house.Rake, house.Abuts}).Draw(rt, "kind"))
			perimeter += math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y))
		}
		cut := rapid.Float64Range(43, 57).Draw(rt, "cut")
		h := house.House{Walls: []house.Wall{w}}
		s, l := laid(t, h, []zone{{panel: "upright", mask: rect(0, 0, 100, cut)}, {panel: "upright", mask: rect(0, cut, 100, 100)}})
		lines := trim.Quantities(h, s, bookOf(), l)
		// Each of up to 12 edges may be cut in two: some nanometres by rounding.
		if got := sum(lines, trim.Channel).Length; math.Abs(float64(got)-perimeter) > 100 {
			rt.Errorf("channel %d nm, perimeter %.0f nm", got, perimeter)
		}
		if got, want := sum(lines, trim.Transition).Length, scan(w.Outline, at(0, cut).Y); math.Abs(float64(got)-want) > 50 {
			rt.Errorf("transition %d nm, want %.0f nm", got, want)
		}
	})
}

// A rake three nanometres off the diagonal, cut by a zone: the rounding of the cut
// turns its lower piece onto the diagonal.
func TestNearDiagonal(t *testing.T) {
	w := wall("w", plane.Ring{at(0, 0), at(20, 0), at(10, 10).Add(plane.Point{Y: 3})}, []house.EdgeKind{house.Base, house.Rake, house.Rake})
	h := house.House{Walls: []house.Wall{w}}
	s, l := laid(t, h, []zone{{panel: "level", mask: rect(-1, -1, 30, 1)}, {panel: "level", mask: rect(-1, 1, 30, 30)}})
	got, want := sum(trim.Quantities(h, s, bookOf(), l), trim.Channel).Length, 20*math.Sqrt2*float64(ft)
	if math.Abs(float64(got)-want) > 20 {
		t.Errorf("channel %d nm, want %.0f", got, want)
	}
}

// scan is the width of a ring at height y.
func scan(r plane.Ring, y measure.Length) float64 {
	var xs []float64
	for i, p := range r {
		q := r[(i+1)%len(r)]
		if (p.Y < y) != (q.Y < y) {
			xs = append(xs, float64(p.X)+float64(q.X-p.X)*float64(y-p.Y)/float64(q.Y-p.Y))
		}
	}
	slices.Sort(xs)
	var sum float64
	for i := 0; i+1 < len(xs); i += 2 {
		sum += xs[i+1] - xs[i]
	}
	return sum
}

// turned is a house seen another way: every ring by f, reversed if f mirrors.
func turned(h house.House, f func(plane.Point) plane.Point, mirror bool) house.House {
	var out house.House
	for _, w := range h.Walls {
		n := len(w.Outline)
		v := w
		v.Edges, v.Overhang = slices.Clone(w.Edges), slices.Clone(w.Overhang)
		v.Outline, v.Openings = ring(w.Outline, f, mirror), nil
		for i := range n {
			from := i
			if mirror {
				from = (2*n - 2 - i) % n
			}
			v.Edges[i] = w.Edges[from]
			if len(w.Overhang) == n {
				v.Overhang[i] = w.Overhang[from]
			}
		}
		for _, o := range w.Openings {
			o.Outline = ring(o.Outline, f, mirror)
			v.Openings = append(v.Openings, o)
		}
		out.Walls = append(out.Walls, v)
	}
	return out
}

func ring(r plane.Ring, f func(plane.Point) plane.Point, mirror bool) plane.Ring {
	out := make(plane.Ring, len(r))
	for i, p := range r {
		out[i] = f(p)
	}
	if mirror {
		return out.Reversed()
	}
	return out
}

// figures are the house's totals that do not depend on where studs stand.
func figures(t *testing.T, h house.House, zones [][]zone) map[trim.Kind]trim.Line {
	s, l := laid(t, h, zones...)
	out := map[trim.Kind]trim.Line{}
	for _, x := range trim.Totals(trim.Quantities(h, s, bookOf(), l), bookOf()) {
		out[x.Kind] = x
	}
	return out
}

// TestFollows: a mirrored or a shifted house takes the same trim, a doubled one
// twice as much.
func TestFollows(t *testing.T) {
	h, zones := gable()
	plain := figures(t, h, zones)
	for name, c := range map[string]struct {
		f      func(plane.Point) plane.Point
		mirror bool
		times  int
	}{
		"mirrored": {func(p plane.Point) plane.Point { return plane.Point{X: -p.X, Y: p.Y} }, true, 1},
		"shifted":  {func(p plane.Point) plane.Point { return p.Add(plane.Point{X: 123456789, Y: -987654321}) }, false, 1},
		"doubled":  {func(p plane.Point) plane.Point { return p }, false, 2},
	} {
		g := turned(h, c.f, c.mirror)
		var z [][]zone
		for range c.times {
			z = append(z, moved(zones[0], c.f, c.mirror))
		}
		if c.times == 2 {
			g.Walls = append(g.Walls, g.Walls[0])
		}
		got := figures(t, g, z)
		if len(got) != len(plain) {
			t.Errorf("%s: %d kinds, want %d", name, len(got), len(plain))
		}
		for k, p := range plain {
			q := got[k]
			if (q.Length-measure.Length(c.times)*p.Length).Abs() > 4 || q.Count != c.times*p.Count || q.Pieces > c.times*p.Pieces {
				t.Errorf("%s %s: %s, %d, %d pieces; plain %s, %d, %d", name, k, q.Length.Text(measure.Imperial), q.Count, q.Pieces,
					p.Length.Text(measure.Imperial), p.Count, p.Pieces)
			}
		}
	}
}

func moved(zones []zone, f func(plane.Point) plane.Point, mirror bool) []zone {
	var out []zone
	for _, z := range zones {
		z.mask = ring(z.mask, f, mirror)
		out = append(out, z)
	}
	return out
}

// TestTotals: a line is the sum of its runs, the totals that of the walls, and
// the stock is enough: it holds all runs and their laps, and no wall needs less
// than its share.
func TestTotals(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var h house.House
		var zones [][]zone
		for range rapid.IntRange(0, 4).Draw(rt, "walls") {
			c, openings, split := drawCells(rt)
			h.Walls = append(h.Walls, c.wall(openings))
			low, high := split.masks()
			zones = append(zones, []zone{{panel: "level", mask: low}, {panel: "upright", mask: high}})
		}
		s, l := laid(t, h, zones...)
		lines := trim.Quantities(h, s, bookOf(), l)
		for _, total := range trim.Totals(lines, bookOf()) {
			var length measure.Length
			count, pieces := 0, 0
			for _, x := range lines {
				var runs measure.Length
				for _, r := range x.Runs {
					runs += r
				}
				if runs != x.Length {
					rt.Errorf("%s %s: runs make %d nm of %d", x.Kind, x.From, runs, x.Length)
				}
				if x.Kind == total.Kind {
					length, count, pieces = length+x.Length, count+x.Count, pieces+x.Pieces
				}
			}
			if total.Length != length || total.Count != count || total.Pieces > pieces {
				rt.Errorf("%s: %+v, walls make %d nm, %d, %d pieces", total.Kind, total, length, count, pieces)
			}
			if total.Kind == trim.Channel && measure.Length(total.Pieces)*10*ft < total.Length+total.Laps {
				rt.Errorf("%d lengths of 10 ft do not hold %s", total.Pieces, total.Length.Text(measure.Imperial))
			}
		}
	})
}

// facade is a wall with n windows in rows of twenty, and its layout.
func facade(b *testing.B, n int) (house.House, scheme.Scheme, *course.Layout) {
	rows := (n + 19) / 20
	w := wall("w", rect(0, 0, 120, float64(6*rows)), plainEdges())
	region := plane.Polygon{Outer: w.Outline}
	for i := range n {
		x, y := float64(i%20)*6, float64(i/20)*6
		o := rect(x+1, y+1, x+4, y+5)
		w.Openings = append(w.Openings, window("", o))
		region.Holes = append(region.Holes, o.Reversed())
	}
	l := &course.Layout{Zones: []course.ZoneOnWall{{Region: plane.Region{region}}}}
	return house.House{Walls: []house.Wall{w}}, scheme.Scheme{Zones: []scheme.Zone{{ID: "z", Panel: "level"}}}, l
}

func BenchmarkFacade(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		h, s, l := facade(b, n)
		book := bookOf()
		b.Run(map[int]string{10: "10", 100: "100", 1000: "1000"}[n], func(b *testing.B) {
			for b.Loop() {
				trim.Quantities(h, s, book, l)
			}
		})
	}
}
