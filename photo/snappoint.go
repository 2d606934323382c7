package photo

import (
	"image"
	"math"
)

// Snapped says what a place was moved on to.
type Snapped string

// A place snaps to a corner, to an edge, or stays where there is neither.
const (
	SnappedNowhere  Snapped = "nowhere"
	SnappedToEdge   Snapped = "edge"
	SnappedToCorner Snapped = "corner"
)

// Bounds for a lone place, whose neighbours are not marked yet.
const (
	cornerShare = 0.12 // the weaker direction's share of the slopes in a corner
	edgeHalf    = 9.0  // pixels of an edge looked at on each side of the place
	cornerTurns = 8
)

// Snap moves a lone place on to the picture's nearest corner or else its nearest
// edge, reach pixels or less away: for the first click, before there are other
// corners that SnapCorner could use. The corner is where all slopes around point
// at in the sense of least squares (Förstner and Gülch, 1987).
func Snap(img *image.RGBA, at Pixel, reach float64) (Pixel, Snapped) {
	if img.Rect.Dx() < 3 || img.Rect.Dy() < 3 {
		return at, SnappedNowhere
	}
	p := at
	for range cornerTurns {
		q, share, normal, ok := slopesMeet(img, p, reach)
		if !ok {
			return at, SnappedNowhere
		}
		if share < cornerShare {
			return snapToEdge(img, at, normal, reach)
		}
		if math.Hypot(q.U-at.U, q.V-at.V) > reach {
			return snapToEdge(img, at, normal, reach)
		}
		moved := math.Hypot(q.U-p.U, q.V-p.V)
		p = q
		if moved < 0.01 {
			break
		}
	}
	return p, SnappedToCorner
}

// slopesMeet gives where the slopes around p meet, how evenly they point (the
// least share over the largest), and the direction that most point in.
func slopesMeet(img *image.RGBA, p Pixel, reach float64) (meet Pixel, share float64, normal Pixel, ok bool) {
	var xx, xy, yy, bx, by float64
	n := int(math.Ceil(reach))
	for j := -n; j <= n; j++ {
		for i := -n; i <= n; i++ {
			x, y := float64(i), float64(j)
			w := math.Exp(-(x*x + y*y) / (reach * reach))
			g := slopeAt(img, Pixel{p.U + x, p.V + y})
			gxx, gxy, gyy := w*g.U*g.U, w*g.U*g.V, w*g.V*g.V
			xx, xy, yy = xx+gxx, xy+gxy, yy+gyy
			bx, by = bx+gxx*x+gxy*y, by+gxy*x+gyy*y
		}
	}
	half, mean := math.Hypot((xx-yy)/2, xy), (xx+yy)/2
	if mean+half < faintest*faintest {
		return p, 0, Pixel{}, false
	}
	share = (mean - half) / (mean + half)
	angle := 0.5 * math.Atan2(2*xy, xx-yy)
	normal = Pixel{math.Cos(angle), math.Sin(angle)}
	if det := xx*yy - xy*xy; det > 0 {
		meet = Pixel{p.U + (yy*bx-xy*by)/det, p.V + (xx*by-xy*bx)/det}
	}
	return meet, share, normal, true
}

// slopeAt is the slope of the brightness, in steps of 255 a pixel.
func slopeAt(img *image.RGBA, p Pixel) Pixel {
	level := func(u, v float64) float64 {
		c := sample(img, Pixel{p.U + u, p.V + v})
		return 0.299*c[0] + 0.587*c[1] + 0.114*c[2]
	}
	return Pixel{level(0.5, 0) - level(-0.5, 0), level(0, 0.5) - level(0, -0.5)}
}

// snapToEdge drops the place on to the edge that runs square to normal.
func snapToEdge(img *image.RGBA, at, normal Pixel, reach float64) (Pixel, Snapped) {
	from := Pixel{at.U - edgeHalf*normal.V, at.V + edgeHalf*normal.U}
	to := Pixel{at.U + edgeHalf*normal.V, at.V - edgeHalf*normal.U}
	s, ok := newStrip(img, from, to, reach)
	if !ok {
		return at, SnappedNowhere
	}
	f, ok := s.edge(0, false)
	if !ok {
		return at, SnappedNowhere
	}
	p := foot(at, f.a, f.b)
	if math.Hypot(p.U-at.U, p.V-at.V) > reach {
		return at, SnappedNowhere
	}
	return p, SnappedToEdge
}
