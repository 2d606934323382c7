package plane

import "math/bits"

// Part is one connected piece of a region inside one band. Parts that meet only
// in points are separate. Outer runs counter-clockwise, Holes clockwise; each
// begins at the lowest of its leftmost corners.
type Part struct {
	Band  int // between lines[Band] and lines[Band+1]
	Outer TaggedRing
	Holes []TaggedRing
}

// Bands cuts a region, given as rings with the inside on their left, at level
// lines (ascending) into the connected parts of each band, in order of band and
// then from left to right. What lies below the first or above the last line is
// left out. New edges along lines carry the tag Cut; all others keep theirs.
//
// The parts tile the region: a crossing of a slanted edge with a line is rounded
// to the nearest nanometre once, the same for both bands that share it, so no gap
// and no overlap can arise; an edge moves by half a nanometre at most.
//
// Method: a walk around every ring falls into chains, each from line to line
// within one band. Along each side of a line the ends of chains, sorted by x, pair
// up into stretches with the inside above, or below, and a stretch leads from the
// end of one chain to the start of the next. A band in which rings touch in a
// point is traced edge by edge instead (see tracer). For n edges and k crossings
// of lines the time is O((n + k) log (n + k)).
func Bands(rings []TaggedRing, lines []Length) []Part {
	var s sweep
	return s.bands(rings, lines)
}

// Cutter cuts regions as Bands does, one after another in the same memory: its
// answer holds until the next call. The zero value is ready.
type Cutter struct{ s sweep }

// Bands is the function Bands; the parts must not be kept.
func (c *Cutter) Bands(rings []TaggedRing, lines []Length) []Part { return c.s.bands(rings, lines) }

// AtHeight gives the x of the line through low and high (low.Y < high.Y) at y,
// which lies between them, rounded to the nearest nanometre (halves up).
func AtHeight(low, high Point, y Length) Length {
	dx, dy, t := high.X-low.X, uint64(high.Y-low.Y), uint64(y-low.Y)
	if dx == 0 {
		return low.X
	}
	negative := dx < 0
	hi, lo := bits.Mul64(uint64(abs(dx)), t)
	half := dy / 2
	if negative {
		half = (dy - 1) / 2 // so that halves go up, not away from zero
	}
	lo, carry := bits.Add64(lo, half, 0)
	q, _ := bits.Div64(hi+carry, lo, dy)
	if negative {
		return low.X - Length(q)
	}
	return low.X + Length(q)
}
