package picture

import (
	"math"

	"coilwright/colour"
)

// table is one zone's look along one edge of a strip, by height (across, for
// vertical panels): filtered to the pixels there, under the light there. It is held
// twice: ready for the screen all in the sun and all in the shade, and as light.
// Entry 0 stands at first steps; so tables of one step can be read by one number.
type table struct {
	first     int
	step      float64
	lit, dark []uint64            // as spaced
	light     [][channels]float32 // by the sun and without it, and depth
}

// perPixel is how many entries a table has for a pixel; the nearest is taken.
const perPixel = 5

// wide is the filter's width in pixels: a pixel's own area and the blur of a camera's
// lens and sensor.
const wide = 1.25

// newTable filters rows for the edge of a strip at across, over heights from low to
// high, pixel inches of wall being a pixel there, an entry every step inches. Vertical
// panels swap x and y.
func newTable(d *daylight, r *rows, z Zone, g grain, low, high, pixel, across, step float64, e *encoder) *table {
	pixel = max(pixel, 1e-3)
	low, high = r.held(low), r.held(high)
	t := &table{first: int(math.Floor((low - pixel) / step)), step: step}
	n := int((high+pixel)/step) - t.first + 2
	t.lit, t.dark, t.light = make([]uint64, n), make([]uint64, n), make([][channels]float32, n)
	width := max(1, int(wide*pixel/step+0.5)) // in entries
	col := r.column(across)
	scale := r.step / (float64(width) * step)
	ring := make([][channels]float64, width) // sums at the lower edges of the last entries
	at := func(i int) float64 { return float64(t.first+i) * step }
	half := float64(width) / 2 * step
	for i := range ring {
		ring[i] = col.sum(at(i) - half)
	}
	var plain colour.Linear
	for i := range n {
		if i%16 == 0 {
			plain = d.plain(across, at(i))
			if z.Vertical {
				plain = d.plain(at(i), across)
			}
		}
		upper := col.sum(at(i) + half)
		lower := &ring[i%width]
		k := scale * g.at(across, at(i), 2*half)
		l := &t.light[i]
		for c := range 3 {
			l[c] = float32((upper[c] - lower[c]) * d.sun[c] * k)
			l[3+c] = float32((upper[3+c] - lower[3+c]) * plain[c] * k)
		}
		l[6] = float32((upper[6] - lower[6]) * scale)
		*lower = upper
		t.dark[i] = e.spaced(l[3], l[4], l[5])
		t.lit[i] = e.spaced(l[0]+l[3], l[1]+l[4], l[2]+l[5])
	}
	return t
}

// held is a height within the rows' reach.
func (r *rows) held(at float64) float64 { return min(r.reach[1], max(r.reach[0], at)) }

// stepOf is the step of a wall's tables: fine enough for the least pixel, but for one
// much less than the others.
func stepOf(edges []edgeOf) float64 {
	least, most := math.Inf(1), 1e-3
	for _, e := range edges {
		if e.used && e.pixel > 0 {
			least, most = min(least, e.pixel), max(most, e.pixel)
		}
	}
	return max(min(least, most)/perPixel, most/(4*perPixel))
}

// encoder turns linear light into screen values by a table of 1/4095.
type encoder struct {
	to   [4096]uint8
	from [256]float32
}

func newEncoder() *encoder {
	e := &encoder{}
	for i := range e.to {
		e.to[i] = colour.Linear{float64(i) / 4095}.SRGB()[0]
	}
	for i := range e.from {
		e.from[i] = float32(colour.Decode(float64(i) / 255))
	}
	return e
}

func (e *encoder) one(v float32) uint8 {
	i := int(v*4095 + 0.5)
	if uint(i) > 4095 { // seldom: brighter than white, or less than nothing
		i = min(4095, max(0, i))
	}
	return e.to[i]
}

// spaced is a screen colour in one word, red lowest, then blue, then green 24 bits
// further up: 16 bits for each channel, so that all are mixed at once.
func (e *encoder) spaced(r, g, b float32) uint64 {
	return uint64(e.one(r)) | uint64(e.one(b))<<16 | uint64(e.one(g))<<40
}

// blend mixes m/256 of q into p, both spaced, and rounds: the colour as it lies in a
// picture, opaque.
func blend(p, q, m uint64) uint32 {
	v := (p<<8 + (q-p)*m + 0x800000800080) >> 8 // what one channel borrows, the sum gives back
	return uint32(v)&0xff00ff | uint32(v>>32)&0xff00 | 0xff000000
}
