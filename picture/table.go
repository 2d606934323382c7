package picture

import "coilwright/colour"

// table is one zone's look along one edge of a strip, by height (across, for
// vertical panels): filtered to the pixels there, under the light there. It is held
// twice: ready for the screen all in the sun and all in the shade, and as light.
type table struct {
	low, perInch float64
	lit, dark    []uint32            // 0x00BBGGRR
	light        [][channels]float32 // by the sun and without it, and depth
}

// perPixel is how many entries a table has for a pixel; the nearest is taken.
const perPixel = 4

// wide is the filter's width in entries: a pixel and a quarter, for a pixel's own area
// and the blur of a camera's lens and sensor.
const wide = 5

// newTable filters rows for the edge of a strip at across, over heights from low to
// high, pixel inches of wall being a pixel there. Vertical panels swap x and y.
func newTable(d *daylight, r *rows, z Zone, g grain, low, high, pixel, across float64, e *encoder) *table {
	pixel = max(pixel, 1e-3)
	t := &table{low: low - pixel, perInch: perPixel / pixel}
	n := int((high-low+2*pixel)*t.perInch) + 2
	t.lit, t.dark, t.light = make([]uint32, n), make([]uint32, n), make([][channels]float32, n)
	step := 1 / t.perInch
	col := r.column(across)
	scale := r.step / (wide * step)
	var ring [wide][channels]float64 // sums at the lower edges of the last entries
	for i := range ring {
		ring[i] = col.sum(t.low + (float64(i)-wide/2.0)*step)
	}
	var plain colour.Linear
	for i := range n {
		at := t.low + float64(i)*step
		if i%16 == 0 {
			plain = d.plain(across, at)
			if z.Vertical {
				plain = d.plain(at, across)
			}
		}
		upper := col.sum(at + wide/2.0*step)
		lower := &ring[i%wide]
		k := scale * g.at(across, at, wide*step)
		l := &t.light[i]
		for c := range 3 {
			l[c] = float32((upper[c] - lower[c]) * d.sun[c] * k)
			l[3+c] = float32((upper[3+c] - lower[3+c]) * plain[c] * k)
		}
		l[6] = float32((upper[6] - lower[6]) * scale)
		*lower = upper
		t.dark[i] = e.pack(l[3], l[4], l[5])
		t.lit[i] = e.pack(l[0]+l[3], l[1]+l[4], l[2]+l[5])
	}
	return t
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

// pack is a screen colour in one word, red lowest, opaque.
func (e *encoder) pack(r, g, b float32) uint32 {
	return uint32(e.one(r)) | uint32(e.one(g))<<8 | uint32(e.one(b))<<16 | 0xff000000
}
