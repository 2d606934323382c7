package picture

import (
	"encoding/binary"
	"fmt"
	"image"
)

// DressingError is matched where dressings do not fit the photo.
type DressingError struct{ Walls, Dressings int }

func (e *DressingError) Error() string {
	return fmt.Sprintf("the photo shows %d walls and %d dressings were given: give one for each wall", e.Walls, e.Dressings)
}

// Render paints the dressings, one for each wall, into a copy of the photo.
func (p *Prepared) Render(dress []Dressing) (*image.RGBA, error) {
	out := image.NewRGBA(p.photo.Image.Rect)
	copy(out.Pix, p.photo.Image.Pix)
	return out, p.RenderOver(out, dress)
}

// RenderOver paints the dressings over a picture that Render made of the same photo:
// every pixel of cladding and of what trim covers is written, nothing else.
func (p *Prepared) RenderOver(out *image.RGBA, dress []Dressing) error {
	if len(dress) != len(p.light) {
		return &DressingError{len(p.light), len(dress)}
	}
	if out.Rect != p.photo.Image.Rect || out.Stride != p.photo.Image.Stride {
		return fmt.Errorf("a picture of %v cannot be painted over for a photo of %v", out.Rect, p.photo.Image.Rect)
	}
	p.paintEaves(out.Pix, dress, p.encode) // first: cladding's edge lies over a soffit's
	w := p.wardrobe(dress)
	parallel(len(p.strips), func(i int) {
		s := &p.strips[i]
		brush{p: p, strip: s, clothes: w[s.wall], out: out}.paint()
	})
	return nil
}

// brush paints one strip.
type brush struct {
	p       *Prepared
	strip   *strip
	clothes *clothes
	out     *image.RGBA
}

func (b brush) paint() {
	s, c := b.strip, b.clothes
	bands := c.labels.bands(s.low.X, s.high.X)
	pairs := make([]*pair, len(c.dress))
	var light [span][3]float32
	for i := range s.stretches {
		t := s.stretches[i].worn(c.trimmed)
		b.restore(t)
		zone := c.labels.between(bands, float64(t.a[1]), float64(t.b[1]))
		if zone == bare {
			continue
		}
		if zone == mixed {
			b.several(t, pairs, &light)
			continue
		}
		b.wear(t, b.worn(pairs, zone), &light)
	}
	b.paintSides(pairs)
}

// wear paints a stretch that wears one zone: at once where the sun reaches all of it or
// none, else quarter by quarter.
func (b brush) wear(t *stretch, q *pair, light *[span][3]float32) {
	up := b.lift(t, q)
	even := up.level() && q.near(t)
	for n := 0; n < quarters; {
		part := *t
		part.sun = t.at(n)
		first := n
		for n < quarters && t.at(n) == part.sun {
			n++
		}
		part.from, part.to = max(t.from, uint8(first*span/quarters)), min(t.to, uint8(n*span/quarters))
		switch {
		case part.from >= part.to:
		case even && part.sun == bright:
			b.even(&part, q, &q.lit)
		case even && part.sun == shade:
			b.even(&part, q, &q.dark)
		default:
			b.lights(&part, q, &up, light)
			b.careful(&part, light)
		}
	}
}

// at is how the sun reaches a quarter.
func (t *stretch) at(n int) sunning {
	if t.sun != varied {
		return t.sun
	}
	return t.quarter[n]
}

// pair finds a zone's tables for the strip. Those of courses are shared with the
// strips to either side.
func (b brush) pair(zone int) *pair {
	s, c := b.strip, b.clothes
	if !c.dress[zone].Vertical {
		group := b.p.group
		if c.dress[zone].Grain { // which changes along the panel
			group = 1
		}
		first := s.column / group
		p := &c.pairs[first][zone]
		p.once.Do(func() { p.tables = join(b.edgeTable(first, zone, group), b.edgeTable(first+1, zone, group)) })
		return &pair{p.tables, false, s.column % group, group}
	}
	d := b.p.light[s.wall]
	filter := func(across float64) *table {
		return newTable(d, c.rows[zone], c.dress[zone], grain{}, s.low.X, s.high.X, s.across, across, max(s.across, 1e-3)/perPixel, c.encode)
	}
	return &pair{join(filter(s.low.Y), filter(s.high.Y)), true, 0, 1}
}

// edgeTable is a zone's table at the edge that stands before group n of so many strips.
func (b brush) edgeTable(n, zone, group int) *table {
	c := b.clothes
	t, e := &c.edges[n][zone], b.p.edges[b.strip.wall][n:]
	if group > 1 {
		e = b.p.wide[b.strip.wall][n:]
	}
	t.once.Do(func() {
		e := e[0]
		var g grain
		if c.dress[zone].Grain {
			g.depth = grainDepth
		}
		t.table = newTable(b.p.light[b.strip.wall], c.rows[zone], c.dress[zone], g, e.low, e.high, e.pixel, e.across, c.step, c.encode)
	})
	return t.table
}

// ends are where on the wall the strip's left and right edges stand, in its middle.
func (s *strip) ends() (left, right float64) {
	t := s.stretches[len(s.stretches)/2]
	return float64(t.a[0]), float64(t.b[0])
}

// even paints a stretch in one light: what is all cladding quickly.
func (b brush) even(t *stretch, q *pair, tables *[2][]uint64) {
	if t.parts == nil {
		b.fast(t, q, tables)
		return
	}
	run := *t
	for k := t.from; k < t.to; k++ {
		if t.parts[k].share == 255 {
			continue
		}
		if run.from, run.to = max(run.from, t.from), k; run.from < k {
			b.fast(&run, q, tables)
		}
		run.from = k + 1
		if t.parts[k].share > 0 {
			one := *t
			one.from, one.to = k, k+1
			var light [span][3]float32
			light[k] = b.light(&one, q, int(k), 0.5, 0.5)
			b.careful(&one, &light)
		}
	}
	if run.to = t.to; run.from < run.to {
		b.fast(&run, q, tables)
	}
}

// fast paints a stretch of nothing but cladding in one light: two loads and a mix of
// all channels at once for a pixel.
func (b brush) fast(t *stretch, q *pair, tables *[2][]uint64) {
	r, mix, mixStep := q.reading(t, b.strip)
	skip := int(t.from)
	r.at, mix = r.at+skip*r.step, mix+skip*mixStep
	k := b.out.PixOffset(b.strip.left+skip, int(t.row))
	pix := b.out.Pix[k : k+4*int(t.to-t.from)]
	left, right := tables[0], tables[1]
	r.hold(len(left), len(pix)/4)
	right = right[:len(left)]
	for ; len(pix) >= 4; pix = pix[4:] {
		i := r.at >> 16
		binary.LittleEndian.PutUint32(pix, blend(left[i], right[i], uint64(mix)))
		r.at, mix = r.at+r.step, mix+mixStep
	}
}

// careful paints a stretch pixel by pixel, in light, with what stands in front.
func (b brush) careful(t *stretch, light *[span][3]float32) {
	e := b.clothes.encode
	at := b.out.PixOffset(b.strip.left, int(t.row))
	for k := int(t.from); k < int(t.to); k++ {
		l, pix := &light[k], b.out.Pix[at+4*k:at+4*k+3]
		if t.parts == nil || t.parts[k].share == 255 {
			pix[0], pix[1], pix[2] = e.one(l[0]), e.one(l[1]), e.one(l[2])
			continue
		}
		p := &t.parts[k]
		if p.share == 0 {
			continue
		}
		share := float32(p.share) / 255
		for c := range pix {
			pix[c] = e.one(l[c]*share + float32(p.front[c])/4095)
		}
	}
}

// lights fills in the cladding's light for a stretch that wears one zone, sun and
// ambient light from place to place.
func (b brush) lights(t *stretch, q *pair, up *lift, out *[span][3]float32) {
	r, mix, mixStep := q.reading(t, b.strip)
	r.hold(len(q.light[0]), span)
	walk, sun := b.walk(t), float32(0)
	if t.sun == bright {
		sun = 1
	}
	skip := int(t.from)
	r.at, mix = r.at+skip*r.step, mix+skip*mixStep
	for k := skip; k < int(t.to); k++ {
		p, s := &q.light[0][r.at>>16], &q.light[1][r.at>>16]
		m := float32(mix) / 256
		if t.sun == varied {
			sun = walk.at(float32(k), p[6])
		}
		const wide = span / quarters
		n, part := k/wide, float32(k%wide)/wide
		lift := up[n] + part*(up[n+1]-up[n])
		o := &out[k]
		for c := range o {
			v, w := sun*p[c]+lift*p[3+c], sun*s[c]+lift*s[3+c]
			o[c] = v + m*(w-v)
		}
		r.at, mix = r.at+r.step, mix+mixStep
	}
}

// light is the cladding's light at a place of pixel k of a stretch, right and down
// counted within the pixel from 0 to 1.
func (b brush) light(t *stretch, q *pair, k int, right, down float64) [3]float32 {
	s := (float64(k) + right - 0.5) / span
	x := float64(t.a[0]) + s*float64(t.b[0]-t.a[0])
	y := float64(t.a[1]) + s*float64(t.b[1]-t.a[1]) - (down-0.5)*b.strip.pixel
	at, m := y, (float64(q.which)+s)/float64(q.of)
	if q.vertical {
		at, m = x, (y-b.strip.low.Y)/max(1e-9, b.strip.high.Y-b.strip.low.Y)
	}
	l, r := q.entry(at)
	mix := float32(min(1, max(0, m)))
	d := b.p.light[b.strip.wall]
	sun := float32(0)
	switch t.sun {
	case bright:
		sun = 1
	case varied:
		across, up := d.drawn(x, y, anchor, float64(l[6]))
		sun = float32(d.cells.sample(d.shine, x+across, y+up))
	}
	lift := b.lift(t, q)
	up := lift.at(s)
	var v [3]float32
	for c := range v {
		v[c] = sun*(l[c]+mix*(r[c]-l[c])) + up*(l[3+c]+mix*(r[3+c]-l[3+c]))
	}
	return v
}

// several paints a stretch that wears several zones: what lies in one of them as any
// stretch, the pixels in which they meet place by place.
func (b brush) several(t *stretch, pairs []*pair, light *[span][3]float32) {
	part := *t
	for part.from < t.to {
		zones := b.zones(t, int(part.from))
		one := zones.one()
		part.to = part.from + 1
		for one && part.to < t.to && b.zones(t, int(part.to)) == zones {
			part.to++
		}
		if one {
			b.wear(&part, b.worn(pairs, zones[0]), light)
		} else {
			light[part.from] = b.crossing(t, pairs, zones, int(part.from))
			b.careful(&part, light)
		}
		part.from = part.to
	}
}

// fourths are the places of a pixel that are looked at, right and down in it.
var fourths = [4][2]float64{{0.25, 0.25}, {0.75, 0.25}, {0.25, 0.75}, {0.75, 0.75}}

// zonesOf is the zone at each of the fourths.
type zonesOf [4]int16

func (z zonesOf) one() bool { return z[0] == z[1] && z[0] == z[2] && z[0] == z[3] }

func (b brush) zones(t *stretch, k int) (out zonesOf) {
	for i, at := range fourths {
		s := (float32(k) + float32(at[0]) - 0.5) / span
		x := t.a[0] + s*(t.b[0]-t.a[0])
		y := t.a[1] + s*(t.b[1]-t.a[1]) - (float32(at[1])-0.5)*float32(b.strip.pixel)
		out[i] = max(0, b.clothes.labels.at(float64(x), float64(y))) // bare: no label reaches so far
	}
	return out
}

// worn are a zone's tables, made where they are first asked for.
func (b brush) worn(pairs []*pair, zone int16) *pair {
	if pairs[zone] == nil {
		pairs[zone] = b.pair(int(zone))
	}
	return pairs[zone]
}

// crossing is the light of a pixel in which zones meet: the mean of four places.
func (b brush) crossing(t *stretch, pairs []*pair, zones zonesOf, k int) (sum [3]float32) {
	for i, at := range fourths {
		l := b.light(t, b.worn(pairs, zones[i]), k, at[0], at[1])
		for c := range sum {
			sum[c] += l[c] / 4
		}
	}
	return sum
}
