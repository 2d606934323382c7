package picture

import "math"

// twoTables are what two tables of one step have in common, entry by entry.
type twoTables struct {
	low, perInch float64
	lit, dark    [2][]uint64
	light        [2][]glimmer
	deep         depth
	blocks       []entries
	far          bool // of any of them
	peak         int  // the brightest channel of an entry in the sun, at rest
}

// entries is what some entries that follow each other have in common.
type entries struct {
	bands uint8 // of the depths there
	// far says that the two tables look so different somewhere that screen values cannot
	// be mixed in place of light
	far bool
}

// blockBits is how many entries make a block, as a power of two.
const blockBits = 4

// join two tables of a wall whose face plane stands so far off the sheathing.
func join(a, b *table, standoff float64) *twoTables {
	first := max(a.first, b.first)
	n := min(a.first+len(a.light), b.first+len(b.light)) - first
	out := &twoTables{low: float64(first) * a.step, perInch: 1 / a.step, deep: a.deep, blocks: make([]entries, n>>blockBits+1)}
	for i, t := range [2]*table{a, b} {
		skip := first - t.first
		out.lit[i], out.dark[i], out.light[i] = t.lit[skip:skip+n], t.dark[skip:skip+n], t.light[skip:skip+n]
	}
	bands := a.deep.bands(standoff)
	for k := range out.blocks {
		b := &out.blocks[k]
		for i := k << blockBits; i < min(n, (k+1)<<blockBits); i++ {
			b.far = b.far || unlike(out.lit[0][i], out.lit[1][i]) || unlike(out.dark[0][i], out.dark[1][i])
			b.bands |= bands[out.light[0][i].sun>>depths]
			out.far = out.far || b.far
			out.peak = max(out.peak, out.light[0][i].peak(), out.light[1][i].peak())
		}
	}
	return out
}

// unlike says whether the mean of two spaced screen colours may be off by most of a level
// from the screen colour of the light's mean: by d^2/8 times the curvature of light over
// level v, about 1.4/(v+14) of its slope.
func unlike(p, q uint64) bool {
	if p == q {
		return false
	}
	for _, shift := range [3]int{0, 16, 32} {
		v, w := int(p>>shift&0xff), int(q>>shift&0xff)
		if d := v - w; 2*d*d > 7*(min(v, w)+14) {
			return true
		}
	}
	return false
}

// entry is the light nearest to a height, left and right.
func (q *twoTables) entry(at float64) (left, right glimmer) {
	i := min(len(q.light[0])-1, max(0, int((at-q.low)*q.perInch+0.5)))
	return q.light[0][i], q.light[1][i]
}

// pair is a zone's tables at the left and at the right edge of a group of strips, and
// which of how many the strip is. For vertical panels the tables run along the strip
// itself and stand at the bottom and the top of what of it wears them.
type pair struct {
	*twoTables
	vertical    bool
	bottom, top float64
	which, of   int
}

// share is how far a height lies towards the top.
func (q *pair) share(y float64) float64 {
	return min(1, max(0, (y-q.bottom)/math.Max(1e-9, q.top-q.bottom)))
}

// block is what the entries from one height to another have in common.
func (q *twoTables) block(from, to float32) (out entries) {
	i := int((float64(min(from, to))-q.low)*q.perInch) >> blockBits
	k := (int((float64(max(from, to))-q.low)*q.perInch) + 1) >> blockBits
	last := len(q.blocks) - 1
	for i, k = min(last, max(0, i)), min(last, max(0, k)); i <= k; i++ {
		b := q.blocks[i]
		out.bands, out.far = out.bands|b.bands, out.far || b.far
	}
	return out
}

// reading is how a stretch is read off a pair: the first pixel's entry and the step
// to the next, in 1/65536.
type reading struct{ at, step int }

// reader goes along a reading in 1/65536, with how far the two tables mix, in 1/256, 32
// bits below.
type reader struct{ at, step int }

const mixBits = 32

func (r reader) entry() int  { return r.at >> (mixBits + 16) }
func (r reader) mix() packed { return packed(r.at & (1<<mixBits - 1)) }

// from pixel k of a stretch of so many pixels on.
func (q *pair) from(t *stretch, k int) reader {
	r, mix, mixStep := q.reading(t)
	r.hold(len(q.lit[0]), span)
	return reader{(r.at+k*r.step)<<mixBits + mix + k*mixStep, r.step<<mixBits + mixStep}
}

// ends are where a stretch begins and ends along the tables.
func (q *pair) ends(t *stretch) (from, to float32) {
	if q.vertical {
		return t.a[0], t.b[0]
	}
	return t.a[1], t.b[1]
}

// reading of a stretch, how far it mixes the tables at its first pixel, in 1/256, and
// from pixel to pixel.
func (q *pair) reading(t *stretch) (r reading, mix, mixStep int) {
	from, to := q.ends(t)
	mix, mixStep = 256*q.which/q.of, 256/span/q.of
	if q.vertical {
		mix, mixStep = int(256*q.share(float64(t.a[1]+t.b[1])/2)), 0
	}
	f := (float64(from) - q.low) * q.perInch * 65536
	g := (float64(to) - q.low) * q.perInch * 65536
	return reading{int(f) + 32768, int(g-f) / span}, mix, mixStep
}

// hold keeps a reading of n pixels within tables of so many entries: what lies beyond
// repeats their end.
func (r *reading) hold(entries, n int) {
	last := r.at + (n-1)*r.step
	most := entries<<16 - 1
	if min(r.at, last) >= 0 && max(r.at, last) <= most {
		return
	}
	r.at = min(most, max(0, r.at))
	if last := r.at + (n-1)*r.step; n > 1 && (last < 0 || last > most) {
		r.step = (min(most, max(0, last)) - r.at) / (n - 1)
	}
}
