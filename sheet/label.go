package sheet

import (
	"math"
	"slices"

	"coilwright/draw"
)

// cellSize is the grain of the ground on which numbers find their places, in mm.
const cellSize = 0.3

// Owners of a cell that are not pieces.
const (
	blank   int32 = -1 // paper: a number may stand here
	blocked int32 = -2 // taken
	shown   int32 = -3 // a zone while its name is placed
)

// ground knows, cell by cell, what a drawing holds: the piece's index, blank paper
// or something that no number may cover.
type ground struct {
	x0, y0     int // first cell; cell (i, j) covers [i, i+1) x [j, j+1) cell sizes
	cols, rows int
	owner      []int32
}

func newGround(r draw.Rect) *ground {
	g := &ground{x0: int(math.Ceil(r.X / cellSize)), y0: int(math.Ceil(r.Y / cellSize))}
	g.cols = max(0, int(r.Right()/cellSize)-g.x0)
	g.rows = max(0, int(r.Bottom()/cellSize)-g.y0)
	g.owner = make([]int32, g.cols*g.rows)
	for i := range g.owner {
		g.owner[i] = blank
	}
	return g
}

// fill gives the rings' inside to an owner: level hatch lines, one a row.
func (g *ground) fill(rings [][]draw.Point, who int32) {
	for _, l := range draw.Hatch(rings, 0, cellSize, draw.Pen{}).Lines {
		j := int(math.Round(l.Points[0].Y/cellSize)) - g.y0
		if j < 0 || j >= g.rows {
			continue
		}
		from := max(0, int(math.Ceil(l.Points[0].X/cellSize))-g.x0)
		to := min(g.cols, int(l.Points[1].X/cellSize)-g.x0)
		for i := from; i < to; i++ {
			g.owner[j*g.cols+i] = who
		}
	}
}

// block takes a rectangle.
func (g *ground) block(r draw.Rect) {
	i0, j0, i1, j1 := g.span(r)
	for j := max(0, j0); j < min(g.rows, j1); j++ {
		for i := max(0, i0); i < min(g.cols, i1); i++ {
			g.owner[j*g.cols+i] = blocked
		}
	}
}

func (g *ground) span(r draw.Rect) (i0, j0, i1, j1 int) {
	return int(math.Floor(r.X/cellSize)) - g.x0, int(math.Floor(r.Y/cellSize)) - g.y0,
		int(math.Ceil(r.Right()/cellSize)) - g.x0, int(math.Ceil(r.Bottom()/cellSize)) - g.y0
}

// all says whether the whole rectangle has that owner.
func (g *ground) all(r draw.Rect, who int32) bool {
	i0, j0, i1, j1 := g.span(r)
	if i0 < 0 || j0 < 0 || i1 > g.cols || j1 > g.rows {
		return false
	}
	for j := j0; j < j1; j++ {
		for i := i0; i < i1; i++ {
			if g.owner[j*g.cols+i] != who {
				return false
			}
		}
	}
	return true
}

// touches says whether any cell of the rectangle has that owner.
func (g *ground) touches(r draw.Rect, who int32) bool {
	i0, j0, i1, j1 := g.span(r)
	for j := max(0, j0); j < min(g.rows, j1); j++ {
		if slices.Contains(g.owner[j*g.cols+min(max(0, i0), g.cols):j*g.cols+max(0, min(g.cols, i1))], who) {
			return true
		}
	}
	return false
}

// inside finds where a box of w x h lies wholly in a piece whose box is b: on its
// middle line, as near to its left end (lying) or foot as it can; failing that,
// off the middle line.
func (g *ground) inside(b draw.Rect, who int32, w, h float64, lying bool) (draw.Rect, bool) {
	across, along := offsets(b.H-h), steps(b.W-w, false)
	if !lying {
		across, along = offsets(b.W-w), steps(b.H-h, true)
	}
	if len(across) == 0 {
		return draw.Rect{}, false
	}
	for _, lines := range [][]float64{across[:1], across[1:]} {
		for _, a := range along {
			for _, o := range lines {
				r := draw.Rect{X: b.X + a, Y: b.Y + o, W: w, H: h}
				if !lying {
					r.X, r.Y = b.X+o, b.Y+a
				}
				if g.all(r, who) {
					return r, true
				}
			}
		}
	}
	return draw.Rect{}, false
}

// nearMiddle finds where a box of w x h lies wholly in what an owner has within b,
// as near to the middle of b as may be; failing that, it is the middle itself.
func (g *ground) nearMiddle(b draw.Rect, who int32, w, h float64) draw.Rect {
	best := draw.Rect{X: b.X + (b.W-w)/2, Y: b.Y + (b.H-h)/2, W: w, H: h}
	least := math.Inf(1)
	for _, dy := range offsets(b.H - h) {
		for _, dx := range offsets(b.W - w) {
			r := draw.Rect{X: b.X + dx, Y: b.Y + dy, W: w, H: h}
			if d := math.Hypot(dx-(b.W-w)/2, dy-(b.H-h)/2); d < least && g.all(r, who) {
				best, least = r, d
			}
		}
	}
	return best
}

// offsets lists places over a room, from its middle outwards.
func offsets(room float64) []float64 {
	if room < 0 {
		return nil
	}
	out := []float64{room / 2}
	for d := cellSize; d <= room/2; d += cellSize {
		out = append(out, room/2-d, room/2+d)
	}
	return out
}

// steps lists places over a room from its start, or from its end.
func steps(room float64, fromEnd bool) []float64 {
	var out []float64
	for d := 2 * cellSize; d <= room; d += 2 * cellSize {
		if fromEnd {
			out = append(out, room-d)
		} else {
			out = append(out, d)
		}
	}
	return out
}

// reach is how far from its piece a number may stand, in mm.
const reach = 32.0

// outside finds the nearest blank place for a box of w x h around a point, level
// shifts preferred to upright ones.
func (g *ground) outside(at draw.Point, w, h float64) (draw.Rect, bool) {
	best, found := draw.Rect{}, false
	least := math.Inf(1)
	for dy := 0.0; dy <= reach; dy += 2 * cellSize {
		if 2*dy >= least {
			break
		}
		for _, sy := range [...]float64{dy, -dy} {
			for dx := 0.0; dx <= reach && dx+2*dy < least; dx += 2 * cellSize {
				for _, sx := range [...]float64{dx, -dx} {
					r := draw.Rect{X: at.X + sx - w/2, Y: at.Y + sy - h/2, W: w, H: h}
					if dx+2*dy < least && g.all(r, blank) && g.clear(at, leaderEnd(at, r)) {
						best, found, least = r, true, dx+2*dy
					}
				}
			}
		}
	}
	return best, found
}

// leaderEnd is where a leader from a point meets a number's box.
func leaderEnd(from draw.Point, r draw.Rect) draw.Point {
	return draw.Point{X: min(max(from.X, r.X), r.Right()), Y: r.Y + r.H/2}
}

// clear says whether a line crosses nothing that is taken.
func (g *ground) clear(a, b draw.Point) bool {
	n := int(math.Hypot(b.X-a.X, b.Y-a.Y)/cellSize) + 1
	for k := range n + 1 {
		t := float64(k) / float64(n)
		i := int(math.Floor((a.X+t*(b.X-a.X))/cellSize)) - g.x0
		j := int(math.Floor((a.Y+t*(b.Y-a.Y))/cellSize)) - g.y0
		if i >= 0 && j >= 0 && i < g.cols && j < g.rows && g.owner[j*g.cols+i] == blocked {
			return false
		}
	}
	return true
}
