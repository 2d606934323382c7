package draw

import (
	"math"
	"sort"
)

// Polyline is an open line through points.
func Polyline(pen Pen, points ...Point) Path {
	return Path{Lines: []Line{{Points: points}}, Pen: pen}
}

// Polygon is closed lines, filled by the even-odd rule.
func Polygon(pen Pen, fill Ink, rings ...[]Point) Path {
	p := Path{Pen: pen, Fill: fill}
	for _, r := range rings {
		p.Lines = append(p.Lines, Line{r, true})
	}
	return p
}

// Path is the rectangle's outline, stroked and filled.
func (r Rect) Path(pen Pen, fill Ink) Path {
	return Polygon(pen, fill, []Point{{r.X, r.Y}, {r.Right(), r.Y}, {r.Right(), r.Bottom()}, {r.X, r.Bottom()}})
}

// Circle is a ring of 24 chords, which a reader cannot tell from round below a
// centimetre.
func Circle(at Point, radius float64, pen Pen, fill Ink) Path {
	ring := make([]Point, 24)
	for i := range ring {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
		ring[i] = Point{at.X + radius*c, at.Y + radius*s}
	}
	return Polygon(pen, fill, ring)
}

// Arrow is a line with a filled head at its end.
func Arrow(from, to Point, pen Pen, head float64) *Group {
	a := math.Atan2(to.Y-from.Y, to.X-from.X)
	wing := func(turn float64) Point {
		return Point{to.X - head*math.Cos(a+turn), to.Y - head*math.Sin(a+turn)}
	}
	return &Group{Items: []Item{
		Polyline(pen, from, to),
		Polygon(Pen{}, pen.ink(), []Point{to, wing(0.28), wing(-0.28)}),
	}}
}

// Tick is the short oblique stroke of a dimension line.
func Tick(at Point, size float64, pen Pen) Path {
	d := size / 2
	return Polyline(pen, Point{at.X - d, at.Y + d}, Point{at.X + d, at.Y - d})
}

// TickBox is an empty square for a pencil.
func TickBox(at Point, size float64) Path {
	return Rect{at.X, at.Y, size, size}.Path(Pen{Width: 0.5}, White)
}

// Dimension is one dimension string from a to b, drawn off the measured line by
// off millimetres (to the left of a->b), with ticks, extension lines and its text
// in the middle.
func Dimension(a, b Point, off float64, text string, size float64) *Group {
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	g := &Group{}
	if length == 0 {
		return g
	}
	ux, uy := (b.X-a.X)/length, (b.Y-a.Y)/length
	nx, ny := uy, -ux // to the left, y being down
	shift := func(p Point, d float64) Point { return Point{p.X + nx*d, p.Y + ny*d} }
	thin, sign := Pen{Width: 0.13}, math.Copysign(1, off)
	p, q := shift(a, off), shift(b, off)
	g.Add(Polyline(thin, shift(a, sign), shift(a, off+sign)), Polyline(thin, shift(b, sign), shift(b, off+sign)),
		Polyline(thin, p, q), Tick(p, 2, Pen{Width: 0.35}), Tick(q, 2, Pen{Width: 0.35}))
	turn := -math.Atan2(uy, ux) * 180 / math.Pi
	up := 1.0
	if turn > 90.001 || turn <= -90.001 { // never upside down
		turn, up = turn+180, -1
	}
	middle := shift(Point{(p.X + q.X) / 2, (p.Y + q.Y) / 2}, up*0.9)
	g.Add(Text{At: middle, Text: text, Size: size, Anchor: Middle, Turn: turn})
	return g
}

// Spread moves wished places apart to at least gap, in their order, inside
// [low, high] if they fit, each as little as its neighbours allow. The wishes may
// come in any order; the answer is in the same order.
func Spread(wish []float64, gap, low, high float64) []float64 {
	order := make([]int, len(wish))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return wish[order[a]] < wish[order[b]] })
	if n := float64(len(wish) - 1); n > 0 && gap*n > high-low {
		gap = math.Max(0, (high-low)/n)
	}
	out := make([]float64, len(wish))
	for _, b := range settle(wish, order, gap, low, high) {
		for i, k := range b.members {
			out[k] = b.start + float64(i)*gap
		}
	}
	return out
}

// block is labels that have been pushed together.
type block struct {
	members    []int
	start, sum float64 // sum of (wish - own offset)
}

// settle merges labels that would touch into blocks that sit at the mean of what
// their members wish, which is the least-squares answer.
func settle(wish []float64, order []int, gap, low, high float64) []block {
	var blocks []block
	place := func(b *block) {
		n := float64(len(b.members))
		b.start = math.Max(low, math.Min(b.sum/n, high-gap*(n-1)))
	}
	for _, k := range order {
		b := block{members: []int{k}, sum: wish[k]}
		place(&b)
		for len(blocks) > 0 {
			last := blocks[len(blocks)-1]
			n := float64(len(last.members))
			if last.start+gap*n <= b.start+1e-9 {
				break
			}
			b.sum = last.sum + b.sum - gap*n*float64(len(b.members))
			b.members = append(append([]int{}, last.members...), b.members...)
			place(&b)
			blocks = blocks[:len(blocks)-1]
		}
		blocks = append(blocks, b)
	}
	return blocks
}
