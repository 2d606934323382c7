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
	lit, dark []uint64 // as spaced
	light     []glimmer
	deep      depth
}

// perPixel is how many entries a table has for a pixel; the nearest is taken.
const perPixel = 5

// wide is the filter's width in pixels: a pixel's own area and the blur of a camera's
// lens and sensor.
const wide = 1.25

// newTable is a zone's table by what a filter gives.
func newTable(f *filter, e *encoder, shelf *shelf) *table {
	t := &table{first: f.first, step: f.step, deep: depthOf(f.zone.Face), lit: shelf.words.take(f.n), dark: shelf.words.take(f.n), light: shelf.lights.take(f.n)}
	var l [channels]float32
	for i := range t.light {
		f.next(i, &l)
		g := t.deep.pack(&l)
		t.light[i], t.dark[i], t.lit[i] = g, e.spaced(g.own), e.spaced(g.own+g.sun&lanes)
	}
	return t
}

// filter makes a table's entries, n of them, from the lowest up: rows meant over a
// pixel's footprint, under the light there.
type filter struct {
	d            *daylight
	zone         *Zone
	col          column
	grain        grain
	first, n     int
	step, across float64
	half, scale  float64
	ring         [][channels]float64 // sums at the lower edges of the last entries
	oldest       int                 // of the ring
	plain        colour.Linear
}

// newFilter filters rows for the edge of a strip at across, over heights from low to
// high, pixel inches of wall being a pixel there, an entry every step inches. Vertical
// panels swap x and y.
func newFilter(d *daylight, r *rows, z *Zone, g grain, low, high, pixel, across, step float64) *filter {
	pixel = max(pixel, 1e-3)
	low, high = r.held(low), r.held(high)
	f := &filter{d: d, zone: z, grain: g, step: step, across: across, col: r.column(across)}
	f.first = int(math.Floor((low - pixel) / step))
	f.n = int((high+pixel)/step) - f.first + 2
	width := max(1, int(wide*pixel/step+0.5)) // in entries
	f.half, f.scale = float64(width)/2*step, r.step/(float64(width)*step)
	f.ring = make([][channels]float64, width)
	for i := range f.ring {
		f.col.sum(f.at(i)-f.half, &f.ring[i])
	}
	return f
}

func (f *filter) at(i int) float64 { return float64(f.first+i) * f.step }

// next is entry i, by the sun and without it, and depth.
func (f *filter) next(i int, l *[channels]float32) {
	at := f.at(i)
	if i%16 == 0 {
		f.plain = f.d.plain(f.across, at)
		if f.zone.Vertical {
			f.plain = f.d.plain(at, f.across)
		}
	}
	var upper [channels]float64
	f.col.sum(at+f.half, &upper)
	lower, sun, plain := &f.ring[f.oldest], &f.d.sun, &f.plain
	if f.oldest++; f.oldest == len(f.ring) {
		f.oldest = 0
	}
	k := f.scale * f.grain.at(f.across, at, 2*f.half)
	l[0] = float32((upper[0] - lower[0]) * sun[0] * k)
	l[1] = float32((upper[1] - lower[1]) * sun[1] * k)
	l[2] = float32((upper[2] - lower[2]) * sun[2] * k)
	l[3] = float32((upper[3] - lower[3]) * plain[0] * k)
	l[4] = float32((upper[4] - lower[4]) * plain[1] * k)
	l[5] = float32((upper[5] - lower[5]) * plain[2] * k)
	l[6] = float32((upper[6] - lower[6]) * f.scale)
	*lower = upper
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

// encoder turns linear light into screen values by a table of it as it rests in packed.
type encoder struct {
	to     [most + 1]uint8
	from   [256]float32
	opaque uint32
}

func newEncoder() *encoder {
	e := &encoder{opaque: 0xff << 24}
	for i := range e.to {
		e.to[i] = colour.Linear{min(1, float64(i)/white)}.SRGB()[0]
	}
	for i := range e.from {
		e.from[i] = float32(colour.Decode(float64(i) / 255))
	}
	return e
}

func (e *encoder) one(v float32) uint8 {
	i := int(v*white + 0.5)
	if uint(i) > most { // seldom: much brighter than white, or less than nothing
		i = min(most, max(0, i))
	}
	return e.to[i]
}

// blend mixes m/256 of q into p, both spaced, and rounds: the colour as it lies in a
// picture.
func blend(p, q, m uint64) uint32 {
	v := (p<<8 + (q-p)*m + 0x80008000800080) >> 8 // what one channel borrows, the sum gives back
	return uint32(v)&0xff00ff | uint32(v>>32)&0xff00ff<<8
}
