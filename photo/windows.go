package photo

import (
	"image"
	"math"
	"slices"
)

// Proposal is a likely window or door: its corners from the lower left,
// counter-clockwise, and how well edges of the picture bear it out (0 to 1). A
// person accepts it, drags it, or throws it away.
type Proposal struct {
	Corners [4]Pixel
	Score   float64
}

// What a window looks like at all: its height and width over the picture's longer
// side, its shape, how much of each side must show as an edge.
const (
	smallestWindow = 0.02
	largestWindow  = 0.35
	narrowest      = 0.2 // width over height
	widest         = 2.0
	mostProposals  = 60
	mostOverlap    = 0.25 // of two proposals, over the smaller
)

// How sides are judged, in steps of 255: chosen on the labelled facades of the
// bench, where they and the counts they give can be seen.
const (
	leastStep  = 6.0 // across any one side
	goesOn     = 0.8 // what an edge's going on beyond the corners takes off
	darkInside = 0.1 // what a dark inside adds: panes are darker than walls
	leastScore = 0.5
	// largerBetter is added for each e-fold of area: a window is more than one of
	// its sashes.
	largerBetter = 0.06
)

// Windows proposes windows: pairs of upright edges of opposite brightness with
// level edges across their ends. It works on whatever is upright and level in the
// picture, so a slanted view serves as well.
func Windows(img *image.RGBA) []Proposal {
	segments := Segments(img)
	w, h := float64(img.Rect.Dx()), float64(img.Rect.Dy())
	lens := Lens{Focal: usualFocal * math.Hypot(w, h), CX: w / 2, CY: h / 2}
	upright, levels := VanishingLines(segments, lens)
	if len(upright.Segments) == 0 {
		upright.Direction = Vec{Y: -1}
	}
	finder := newFinder(img, lens, upright.Direction, levels)
	var found []Proposal
	sides := joined(segments, upright.Segments)
	for i, a := range sides {
		for _, b := range sides[i+1:] {
			left, right := a, b
			if left.middle().U > right.middle().U {
				left, right = right, left
			}
			if p, ok := finder.between(left, right, max(w, h)); ok {
				found = append(found, p)
			}
		}
	}
	return finder.best(found)
}

// side is an upright edge from its top to its foot, and which way it grows
// brighter: 1 to the right, -1 to the left.
type side struct {
	top, foot Pixel
	brighter  float64
}

func (s side) middle() Pixel { return Pixel{(s.top.U + s.foot.U) / 2, (s.top.V + s.foot.V) / 2} }

// joined gives the upright edges, and those that go on in one line, joined: sashes
// and sills break a window's side.
func joined(segments []Segment, upright []int) []side {
	var out []side
	for _, i := range upright {
		s := segments[i]
		if s.A.V < s.B.V { // runs down: the brighter side is on its right, the picture's left
			out = append(out, side{s.A, s.B, -1})
		} else {
			out = append(out, side{s.B, s.A, 1})
		}
	}
	slices.SortStableFunc(out, func(a, b side) int { return compare(a.top.V, b.top.V) })
	single := len(out)
	for i := range single {
		a := out[i]
		for _, b := range out[i+1 : single] {
			gap, long := b.top.V-a.foot.V, b.foot.V-a.top.V
			if a.brighter != b.brighter || gap < 0 || gap > 0.35*long || long <= 0 {
				continue
			}
			// Where a's line would be at b's middle.
			m := b.middle()
			u := a.top.U + (a.foot.U-a.top.U)*(m.V-a.top.V)/max(1, a.foot.V-a.top.V)
			if math.Abs(u-m.U) < 2.5+0.01*long {
				out = append(out, side{a.top, b.foot, a.brighter})
			}
		}
	}
	return out[:min(len(out), 2500)]
}

// finder holds what proposals are judged by.
type finder struct {
	g     grey
	d     gradients
	lens  Lens
	level []Vec
}

func newFinder(img *image.RGBA, lens Lens, up Vec, levels []Vanishing) finder {
	f := finder{g: newGrey(img), lens: lens}
	f.d = f.g.gradients()
	for _, l := range levels {
		f.level = append(f.level, l.Direction)
	}
	if len(f.level) == 0 {
		f.level = []Vec{{X: 1}}
	}
	return f
}

// between proposes the window that two upright edges bound.
func (f finder) between(left, right side, longer float64) (Proposal, bool) {
	if left.brighter == right.brighter {
		return Proposal{}, false
	}
	width := right.middle().U - left.middle().U
	hl, hr := left.foot.V-left.top.V, right.foot.V-right.top.V
	height := max(hl, hr)
	switch {
	case width < smallestWindow*longer, width > largestWindow*longer, height < smallestWindow*longer, height > largestWindow*longer:
		return Proposal{}, false
	case width < narrowest*height, width > widest*height, min(hl, hr) < 0.6*height:
		return Proposal{}, false
	}
	best, ok := Proposal{}, false
	for _, level := range f.level {
		// The longer side's ends, carried over level to the other.
		from, onto, swap := left, right, false
		if hr > hl {
			from, onto, swap = right, left, true
		}
		top, ok1 := f.across(from.top, level, onto)
		foot, ok2 := f.across(from.foot, level, onto)
		if !ok1 || !ok2 || math.Abs(top.V-onto.top.V) > 0.25*height+3 || math.Abs(foot.V-onto.foot.V) > 0.25*height+3 {
			continue
		}
		c := [4]Pixel{from.foot, foot, top, from.top}
		if swap {
			c = [4]Pixel{foot, from.foot, from.top, top}
		}
		if p, good := f.judge(c); good && p.Score > best.Score {
			best, ok = p, true
		}
	}
	return best, ok
}

// across follows the level direction from a place to another upright edge's line.
func (f finder) across(from Pixel, level Vec, onto side) (Pixel, bool) {
	ray := f.lens.ray(from)
	// The picture's line through from and the vanishing point.
	n := ray.Cross(level)
	p := f.lens.ray(onto.top).Cross(f.lens.ray(onto.foot))
	x := n.Cross(p)
	if math.Abs(x.Z) < 1e-12 {
		return Pixel{}, false
	}
	return Pixel{f.lens.Focal*x.X/x.Z + f.lens.CX, f.lens.Focal*x.Y/x.Z + f.lens.CY}, true
}

// judge measures how strongly each side shows as an edge that ends at the corners:
// siding's courses go on beyond them.
func (f finder) judge(c [4]Pixel) (Proposal, bool) {
	score := 0.0
	for k := range c {
		edge, beyond := f.edge(c[k], c[(k+1)%4])
		if edge < leastStep {
			return Proposal{}, false
		}
		score += (math.Tanh(edge/20) - goesOn*math.Tanh(beyond/20)) / 4
	}
	in, around := f.brightness(c, 0.7), f.brightness(c, 1.25)
	score += darkInside * math.Tanh((around-in)/30)
	return Proposal{c, score}, score >= leastScore
}

// edge is the mean step in brightness across the line from a to b, and across its
// continuation at both ends, on the best line within two steps of it.
func (f finder) edge(a, b Pixel) (on, beyond float64) {
	long := math.Hypot(b.U-a.U, b.V-a.V) / f.g.scale
	nx, ny := -(b.V-a.V)/(long*f.g.scale), (b.U-a.U)/(long*f.g.scale)
	mean := func(from, to, off float64) float64 {
		count := max(4, int(long*(to-from)))
		sum := 0.0
		for k := range count {
			t := from + (to-from)*(float64(k)+0.5)/float64(count)
			i := int(math.Round((a.U+t*(b.U-a.U))/f.g.scale - 1 + off*nx))
			j := int(math.Round((a.V+t*(b.V-a.V))/f.g.scale - 1 + off*ny))
			if i >= 0 && j >= 0 && i < f.d.w && j < f.d.h {
				sum += f.d.dx[j*f.d.w+i]*nx + f.d.dy[j*f.d.w+i]*ny
			}
		}
		return sum / float64(count)
	}
	best := 0.0
	for off := -2.0; off <= 2; off++ {
		if m := math.Abs(mean(0.04, 0.96, off)); m > on {
			on, best = m, off
		}
	}
	return on, (math.Abs(mean(-0.35, -0.08, best)) + math.Abs(mean(1.08, 1.35, best))) / 2
}

// brightness is the mean along the outline of a quadrilateral, drawn in or out
// from its middle by a factor.
func (f finder) brightness(c [4]Pixel, by float64) float64 {
	var m Pixel
	for _, p := range c {
		m.U, m.V = m.U+p.U/4, m.V+p.V/4
	}
	sum, count := 0.0, 0.0
	for k := range c {
		a, b := c[k], c[(k+1)%4]
		for i := range 24 {
			t := float64(i) / 24
			x := int((m.U + by*(a.U+t*(b.U-a.U)-m.U)) / f.g.scale)
			y := int((m.V + by*(a.V+t*(b.V-a.V)-m.V)) / f.g.scale)
			if x >= 0 && y >= 0 && x < f.g.w && y < f.g.h {
				sum, count = sum+f.g.at[y*f.g.w+x], count+1
			}
		}
	}
	return sum / max(1, count)
}

// best keeps, of proposals that overlap much, the best borne out, the larger
// preferred a little.
func (f finder) best(found []Proposal) []Proposal {
	value := func(p Proposal) float64 {
		b := p.box()
		return p.Score + largerBetter*math.Log(max(1, (b[2]-b[0])*(b[3]-b[1])))
	}
	slices.SortStableFunc(found, func(a, b Proposal) int { return compare(value(b), value(a)) })
	var out []Proposal
	for _, p := range found {
		if len(out) == mostProposals {
			break
		}
		if !slices.ContainsFunc(out, func(q Proposal) bool { return overlap(p.box(), q.box()) > mostOverlap }) {
			out = append(out, p)
		}
	}
	return out
}

// box is the upright box around a proposal: left, top, right, bottom.
func (p Proposal) box() [4]float64 {
	b := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, c := range p.Corners {
		b[0], b[1], b[2], b[3] = min(b[0], c.U), min(b[1], c.V), max(b[2], c.U), max(b[3], c.V)
	}
	return b
}

// overlap is the common area over the smaller one's.
func overlap(a, b [4]float64) float64 {
	w, h := min(a[2], b[2])-max(a[0], b[0]), min(a[3], b[3])-max(a[1], b[1])
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h / max(1e-9, min((a[2]-a[0])*(a[3]-a[1]), (b[2]-b[0])*(b[3]-b[1])))
}
