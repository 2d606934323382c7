package picture

import "image"

// RenderExactly paints the dressings the slow way, pixel by pixel: light as floating
// numbers, the sun's share by grid.sample and the ambient light by plain, wherever the
// quick way takes a stretch at once, steps along it or packs light. A pixel that it
// paints is opaque; it leaves out what something stands in front of, and where zones meet.
func (p *Prepared) RenderExactly(dress []Dressing) *image.RGBA {
	out := image.NewRGBA(p.Bounds())
	clothes := p.wardrobe(dress, new(shelf))
	for i := range p.strips {
		s := &p.strips[i]
		b := &brush{p: p, strip: s, clothes: clothes[s.wall], out: out}
		b.begin()
		exact := make([]*exactTables, len(b.clothes.dress))
		for k := range s.stretches {
			var r run
			r.wear(&s.stretches[k], b.clothes.trimmed)
			zone := b.clothes.labels.between(b.bands, float64(r.a[1]), float64(r.b[1]))
			if zone == bare || zone == mixed {
				continue
			}
			if exact[zone] == nil {
				exact[zone] = b.exactTables(int(zone))
			}
			b.exactly(&r, b.worn(zone), exact[zone])
		}
	}
	for i := range p.strips { // sides of casings lie over these
		for _, x := range p.strips[i].sides {
			out.Pix[out.PixOffset(p.strips[i].left+int(x.pixel), int(p.strips[i].stretches[x.stretch].row))+3] = 0
		}
	}
	return out
}

// exactTables are a strip's tables of a zone as floating numbers, the entries of its pair.
type exactTables [2][][channels]float32

func (b *brush) exactTables(zone int) *exactTables {
	s, c := b.strip, b.clothes
	z := &c.dress[zone]
	var filters [2]*filter
	group, edges := b.p.group, b.p.wide[s.wall]
	g := grain{}
	if z.Grain {
		group, edges, g.depth = 1, b.p.edges[s.wall], grainDepth
	}
	for i := range filters {
		if z.Vertical {
			q := b.worn(int16(zone))
			across := [2]float64{q.bottom, q.top}[i]
			filters[i] = newFilter(b.p.light[s.wall], c.rows[zone], z, grain{}, s.low.X, s.high.X, s.across, across, max(s.across, 1e-3)/perPixel)
			continue
		}
		e := edges[s.column/group+i]
		filters[i] = newFilter(b.p.light[s.wall], c.rows[zone], z, g, e.low, e.high, e.pixel, e.across, c.step)
	}
	first := max(filters[0].first, filters[1].first)
	out := &exactTables{}
	for i, f := range filters {
		all := make([][channels]float32, f.n)
		for k := range all {
			f.next(k, &all[k])
		}
		out[i] = all[first-f.first:]
	}
	return out
}

func (b *brush) exactly(t *run, q *pair, tables *exactTables) {
	d, e := b.p.light[b.strip.wall], b.clothes.encode
	r, mix, mixStep := q.reading(t.stretch)
	r.hold(len(q.light[0]), span)
	for k := t.from; k < t.to; k++ {
		if t.parts != nil && t.parts[k].share < 255 {
			continue
		}
		entry := (r.at + k*r.step) >> 16
		left, right := &tables[0][entry], &tables[1][entry]
		m := float32(mix+k*mixStep) / 256
		x, y := t.place(float64(k) / span)
		bent := float64(k*(span-k)) - meanBow
		across, rise := d.drawn(x, y, anchor, float64(left[6]))
		sun64 := d.cells.sample(d.shine, x+bent*float64(t.bow[0])+across, y+bent*float64(t.bow[1])+rise)
		sun := float32(sun64)
		up := b.exactLift(t.stretch, q, float64(k)/span) * float32(d.occlusion.at(x, y, sun64))
		at := b.out.PixOffset(b.strip.left+k, int(t.row))
		for c := range 3 {
			v := sun*left[c] + up*left[3+c]
			w := sun*right[c] + up*right[3+c]
			b.out.Pix[at+c] = e.one(v + m*(w-v))
		}
		b.out.Pix[at+3] = 255
	}
}

// exactLift is the ambient light at a place of a stretch beside what its tables mix.
func (b *brush) exactLift(t *stretch, q *pair, s float64) float32 {
	d := b.p.light[b.strip.wall]
	if q.vertical || !d.wall.slanted(t) {
		return 1
	}
	plain := func(s float64) float64 { return d.plain(t.place(s)).Luminance() }
	first, of := float64(-q.which), float64(q.of)
	left, right := plain(first), plain(first+of)
	return float32(min(4, plain(s)/max(1e-6, left+(s-first)/of*(right-left))))
}
