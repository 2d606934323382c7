package photo

import (
	"image"
	"math"
	"slices"
)

// Segment is a straight edge found in a picture. From A to B the brighter side
// lies on the right.
type Segment struct{ A, B Pixel }

// Length of the segment in pixels.
func (s Segment) Length() float64 { return math.Hypot(s.B.U-s.A.U, s.B.V-s.A.V) }

// workSide is the longer side, in pixels, that pictures are brought down to
// before lines are looked for: detail finer than that is siding and leaves.
const workSide = 1000

// grey is a picture as brightness, brought down by a whole factor.
type grey struct {
	w, h  int
	scale float64 // pixels of the picture to one here
	at    []float64
}

func newGrey(img *image.RGBA) grey {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	step := max(1, (max(w, h)+workSide-1)/workSide)
	g := grey{w: w / step, h: h / step, scale: float64(step)}
	g.at = make([]float64, g.w*g.h)
	for y := range g.h {
		for x := range g.w {
			sum := 0.0
			for dy := range step {
				row := img.Pix[(y*step+dy)*img.Stride+4*x*step:]
				for dx := range step {
					sum += 0.299*float64(row[4*dx]) + 0.587*float64(row[4*dx+1]) + 0.114*float64(row[4*dx+2])
				}
			}
			g.at[y*g.w+x] = sum / float64(step*step)
		}
	}
	return g
}

// gradients are brightness slopes between four neighbours (as in von Gioi and
// others, LSD, 2010): value i stands at the corner right and below of pixel i.
type gradients struct {
	w, h   int
	dx, dy []float64
	size   []float64
}

func (g grey) gradients() gradients {
	d := gradients{w: g.w, h: g.h, dx: make([]float64, g.w*g.h), dy: make([]float64, g.w*g.h), size: make([]float64, g.w*g.h)}
	for y := range g.h - 1 {
		for x := range g.w - 1 {
			i := y*g.w + x
			a, b, c, e := g.at[i], g.at[i+1], g.at[i+g.w], g.at[i+g.w+1]
			d.dx[i], d.dy[i] = (b+e-a-c)/2, (c+e-a-b)/2
			d.size[i] = math.Hypot(d.dx[i], d.dy[i])
		}
	}
	return d
}

// What counts as a line: slopes of so many steps of 255 a pixel, within so much of
// one direction, so many pixels long and so much of the box around it filled.
const (
	leastSlope   = 4.0
	lineSpread   = 22.5 * math.Pi / 180
	leastLine    = 9.0
	leastFilled  = 0.55
	widestLine   = 4.0
	mostSegments = 6000
)

// Segments finds the straight edges of a picture, longest first: neighbouring
// places whose slopes agree in direction are gathered, and each group that is long
// and thin is a segment (after von Gioi and others, 2010, without their test of
// meaning).
func Segments(img *image.RGBA) []Segment {
	if img.Rect.Dx() < 4 || img.Rect.Dy() < 4 {
		return nil
	}
	g := newGrey(img)
	d := g.gradients()
	used := make([]bool, len(d.size))
	var out []Segment
	for _, seed := range d.strongestFirst() {
		if used[seed] {
			continue
		}
		s, ok := d.fit(d.grow(seed, used))
		if !ok {
			continue
		}
		for _, p := range []*Pixel{&s.A, &s.B} {
			p.U, p.V = (p.U+1)*g.scale, (p.V+1)*g.scale
		}
		out = append(out, s)
	}
	slices.SortStableFunc(out, func(a, b Segment) int { return compare(b.Length(), a.Length()) })
	return out[:min(len(out), mostSegments)]
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// strongestFirst orders the places by slope, in whole steps.
func (d gradients) strongestFirst() []int {
	var bins [512][]int
	for i, s := range d.size {
		if s >= leastSlope {
			b := min(int(s), len(bins)-1)
			bins[b] = append(bins[b], i)
		}
	}
	var out []int
	for b := len(bins) - 1; b >= 0; b-- {
		out = append(out, bins[b]...)
	}
	return out
}

// grow gathers the neighbours of a place whose slopes run its way.
func (d gradients) grow(seed int, used []bool) []int {
	group := []int{seed}
	used[seed] = true
	cx, cy := d.dx[seed]/d.size[seed], d.dy[seed]/d.size[seed]
	near := math.Cos(lineSpread)
	for k := 0; k < len(group); k++ {
		x, y := group[k]%d.w, group[k]/d.w
		for v := max(0, y-1); v <= min(d.h-1, y+1); v++ {
			for u := max(0, x-1); u <= min(d.w-1, x+1); u++ {
				i := v*d.w + u
				if used[i] || d.size[i] < leastSlope {
					continue
				}
				long := math.Hypot(cx, cy)
				if d.dx[i]*cx+d.dy[i]*cy < near*d.size[i]*long {
					continue
				}
				used[i] = true
				group = append(group, i)
				cx, cy = cx+d.dx[i]/d.size[i], cy+d.dy[i]/d.size[i]
			}
		}
	}
	return group
}

// fit puts a line through a group, its places weighed by slope; ok is false where
// it is short, thick or ragged.
func (d gradients) fit(group []int) (Segment, bool) {
	if float64(len(group)) < leastLine {
		return Segment{}, false
	}
	var w, mx, my, gx, gy float64
	for _, i := range group {
		s := d.size[i]
		w, mx, my = w+s, mx+s*float64(i%d.w), my+s*float64(i/d.w)
		gx, gy = gx+d.dx[i], gy+d.dy[i]
	}
	mx, my = mx/w, my/w
	var xx, xy, yy float64
	for _, i := range group {
		x, y, s := float64(i%d.w)-mx, float64(i/d.w)-my, d.size[i]
		xx, xy, yy = xx+s*x*x, xy+s*x*y, yy+s*y*y
	}
	angle := 0.5 * math.Atan2(2*xy, xx-yy)
	ux, uy := math.Cos(angle), math.Sin(angle)
	if ux*gy-uy*gx < 0 { // brighter on the right (y runs down)
		ux, uy = -ux, -uy
	}
	var low, high, left, right float64
	for _, i := range group {
		x, y := float64(i%d.w)-mx, float64(i/d.w)-my
		along, across := x*ux+y*uy, x*uy-y*ux
		low, high = min(low, along), max(high, along)
		left, right = min(left, across), max(right, across)
	}
	long, wide := high-low+1, right-left+1
	if long < leastLine || wide > max(widestLine, long/6) || float64(len(group)) < leastFilled*long*min(wide, 2) {
		return Segment{}, false
	}
	return Segment{Pixel{mx + low*ux, my + low*uy}, Pixel{mx + high*ux, my + high*uy}}, true
}
