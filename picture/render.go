package picture

import (
	"encoding/binary"
	"fmt"
	"image"
	"slices"

	"coilwright/cores"
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
	shelf := p.shelves.Get().(*shelf)
	defer func() {
		shelf.clear()
		p.shelves.Put(shelf)
	}()
	w := p.wardrobe(dress, shelf)
	eaves := p.paintEaves(out.Pix, w, p.encode) // first: cladding's edge lies over a soffit's
	if !slices.ContainsFunc(eaves, func(e eavePaint) bool { return e.trim }) {
		eaves = nil
	}
	cores.InTurn(len(p.strips), func(i int) {
		s := &p.strips[i]
		b := brush{p: p, strip: s, clothes: w[s.wall], out: out, eaves: eaves}
		b.paint()
	})
	return nil
}

// brush paints one strip.
type brush struct {
	p       *Prepared
	strip   *strip
	clothes *clothes
	out     *image.RGBA
	eaves   []eavePaint  // nil: none is painted
	bands   []int16      // see labels.bands
	only    int16        // the one zone of all of them, else mixed
	pairs   []*pair      // of the zones, as they are asked for
	share   [span]uint64 // of the sun at the pixels of a run, of sunFull
	light   [span]packed // theirs, fine
}

// run is what is painted at once: pixels of a stretch that wear one zone in one sun.
type run struct {
	*stretch
	parts    *[span]part // nil: all cladding
	from, to int
	sun      sunning
}

// begin looks at what the strip wears.
func (b *brush) begin() {
	c := b.clothes
	b.bands, b.pairs = c.labels.bands(b.strip.low.X, b.strip.high.X), make([]*pair, len(c.dress))
	b.only = c.labels.only(b.bands, b.strip.low.Y, b.strip.high.Y)
}

// zone is the one zone that a stretch wears, or mixed.
func (b *brush) zone(t *stretch) int16 {
	if b.only != mixed {
		return b.only
	}
	return b.clothes.labels.between(b.bands, float64(t.a[1]), float64(t.b[1]))
}

func (b *brush) paint() {
	s, c := b.strip, b.clothes
	b.begin()
	var r run
	for i := range s.stretches {
		r.wear(&s.stretches[i], c.trimmed)
		b.restore(&r)
		switch zone := b.zone(r.stretch); zone {
		case bare:
		case mixed:
			b.several(&r)
		default:
			b.wear(&r, b.worn(zone))
		}
	}
	if b.eaves != nil {
		b.paintEaveFronts()
	}
	b.paintSides()
}

// wear paints a run that wears one zone: at once where the sun reaches all of it or
// none, else quarter by quarter.
func (b *brush) wear(r *run, q *pair) {
	up := b.lift(r.stretch, q)
	from, to := q.ends(r.stretch)
	block := entries{bands: allBands}
	if q.far || r.way != nil {
		block = q.block(from, to)
	}
	r.sun = r.stretch.sun.at(block.bands)
	even := up.level() && !block.far && (r.hidden == nil || r.sun == bright)
	if even && r.sun != varied {
		b.even(r, q)
		return
	}
	suns := [quarters]sunning{r.sun, r.sun, r.sun, r.sun}
	if r.sun == varied {
		for n := range suns {
			first, last := from+(to-from)*float32(n)/quarters, from+(to-from)*float32(n+1)/quarters
			suns[n] = r.quarter[n].at(q.block(first, last).bands)
		}
	}
	const wide = span / quarters
	part := run{stretch: r.stretch, parts: r.parts}
	for n := r.from / wide; n*wide < r.to; {
		part.from, part.sun = max(r.from, n*wide), suns[n&(quarters-1)]
		for n++; n*wide < r.to && suns[n&(quarters-1)] == part.sun; n++ {
		}
		if part.to = min(r.to, n*wide); even && part.sun != varied {
			b.even(&part, q)
		} else {
			b.lights(&part, q, &up)
			b.put(&part)
		}
	}
}

// pair finds a zone's tables for the strip. Those of courses are shared with the
// strips to either side.
func (b *brush) pair(zone int) *pair {
	s, c := b.strip, b.clothes
	if !c.dress[zone].Vertical {
		group := b.p.group
		if c.dress[zone].Grain { // which changes along the panel
			group = 1
		}
		first := s.column / group
		p := &c.pairs[first][zone]
		p.once.Do(func() {
			p.tables = join(b.edgeTable(first, zone, group), b.edgeTable(first+1, zone, group), b.p.light[s.wall].wall.Standoff)
		})
		return &pair{twoTables: p.tables, which: s.column % group, of: group}
	}
	d := b.p.light[s.wall]
	low, high := c.labels.worn(b.bands, int16(zone), s.low.Y, s.high.Y)
	filter := func(across float64) *table {
		return newTable(newFilter(d, c.rows[zone], &c.dress[zone], grain{}, s.low.X, s.high.X, s.across, across, max(s.across, 1e-3)/perPixel), c.encode, c.shelf)
	}
	return &pair{twoTables: join(filter(low), filter(high), d.wall.Standoff), vertical: true, bottom: low, top: high, of: 1}
}

// edgeTable is a zone's table at the edge that stands before group n of so many strips.
func (b *brush) edgeTable(n, zone, group int) *table {
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
		t.table = newTable(newFilter(b.p.light[b.strip.wall], c.rows[zone], &c.dress[zone], g, e.low, e.high, e.pixel, e.across, c.step), c.encode, c.shelf)
	})
	return t.table
}

// ends are where on the wall the strip's left and right edges stand, in its middle.
func (s *strip) ends() (left, right float64) {
	t := s.stretches[len(s.stretches)/2]
	return float64(t.a[0]), float64(t.b[0])
}

// even paints a run in one light: what is all cladding quickly.
func (b *brush) even(r *run, q *pair) {
	if r.parts == nil {
		b.fast(r, q)
		return
	}
	part := run{stretch: r.stretch, parts: r.parts, from: r.from, sun: r.sun}
	for ; part.from < r.to; part.from = part.to {
		kind := r.parts[part.from].kind()
		for part.to = part.from + 1; part.to < r.to && r.parts[part.to].kind() == kind; part.to++ {
		}
		switch kind {
		case pure:
			b.fast(&part, q)
		case shared:
			b.lights(&part, q, &unlifted)
			b.put(&part)
		}
	}
}

// sharing is whether a pixel is all cladding.
type sharing uint8

const (
	absent sharing = iota
	shared
	pure
)

func (p *part) kind() sharing {
	switch p.share {
	case 0:
		return absent
	case 255:
		return pure
	}
	return shared
}

// fast paints a run of nothing but cladding in one light: two loads and a mix of all
// channels at once for a pixel.
func (b *brush) fast(r *run, q *pair) {
	k := b.out.PixOffset(b.strip.left+r.from, int(r.row))
	pix := b.out.Pix[k : k+4*(r.to-r.from)]
	tables := &q.dark
	if r.sun == bright {
		tables = &q.lit
	}
	left, right := tables[0], tables[1][:len(tables[0])]
	for at := q.from(r.stretch, r.from); len(pix) >= 4; pix = pix[4:] {
		i := at.entry()
		binary.LittleEndian.PutUint32(pix, blend(left[i], right[i], uint64(at.mix())))
		at.at += at.step
	}
}

// put paints a run's light pixel by pixel, with what stands in front.
func (b *brush) put(r *run) {
	e := b.clothes.encode
	k := b.out.PixOffset(b.strip.left+r.from, int(r.row))
	pix, light := b.out.Pix[k:k+4*(r.to-r.from)], b.light[r.from:r.to]
	if r.parts == nil {
		for k := 0; len(pix) >= 4 && k < len(light); k, pix = k+1, pix[4:] {
			binary.LittleEndian.PutUint32(pix, e.pixel(light[k]))
		}
		return
	}
	for k, l := range light {
		p := &r.parts[r.from+k]
		switch pix := pix[4*k:]; p.kind() {
		case pure:
			binary.LittleEndian.PutUint32(pix, e.pixel(l))
		case shared:
			pix[0], pix[1], pix[2] = e.before(l, p, 0), e.before(l, p, 1), e.before(l, p, 2)
		}
	}
}

// lights fills in the cladding's light for a run, sun and ambient light from place to
// place.
func (b *brush) lights(r *run, q *pair, up *lift) {
	b.shine(r, q)
	if !up.level() || r.hidden != nil {
		b.raised(r, q, up)
		return
	}
	left, right := q.light[0], q.light[1][:len(q.light[0])]
	light, share := b.light[r.from:r.to], b.share[r.from:r.to]
	at := q.from(r.stretch, r.from)
	for k, s := range share[:len(light)] {
		i, m := at.entry(), at.mix()
		l, r := &left[i], &right[i]
		light[k] = mix(l.own, r.own, m) + mix(l.sun&lanes, r.sun&lanes, m).rest().times(s)
		at.at += at.step
	}
}

// raised is lights where the ambient light is lifted, or some of it is hidden.
func (b *brush) raised(r *run, q *pair, up *lift) {
	const wide = span / quarters
	left, right := q.light[0], q.light[1][:len(q.light[0])]
	at, held := q.from(r.stretch, r.from), up.most()*float32(q.peak) < most
	for k := r.from; k < r.to; {
		lift, step := up.pixels(k)
		for end := min(r.to, k-k%wide+wide); k < end; k++ {
			i, m := at.entry(), at.mix()
			l, s := &left[i], &right[i]
			own, lit := mix(l.own, s.own, m), mix(l.sun&lanes, s.sun&lanes, m).rest().times(b.share[k])
			by := lift >> 8
			if r.hidden != nil {
				by -= by * int(r.hidden[k]) * int(sunFull-b.share[k]) >> 24
			}
			if held {
				b.light[k] = own.lifted(by) + lit
			} else {
				b.light[k] = own.raise(uint32(by), lit) + lit
			}
			at.at, lift = at.at+at.step, lift+step
		}
	}
}

// shine fills in the sun's share for a run.
func (b *brush) shine(r *run, q *pair) {
	if r.sun != varied {
		s := uint64(0)
		if r.sun == bright {
			s = sunFull
		}
		for k := r.from; k < r.to; k++ {
			b.share[k] = s
		}
		return
	}
	l := r.way.leg(float32(r.from), q.deep)
	b.p.light[b.strip.wall].painted.along(b.share[r.from:r.to], q.light[0], q.from(r.stretch, r.from), &l)
}

// lightAt is the cladding's light at a place of pixel k of a stretch, right and down
// counted within the pixel from 0 to 1; it is fine.
func (b *brush) lightAt(r *run, q *pair, k int, right, down float64) packed {
	s := (float64(k) + right - 0.5) / span
	x := float64(r.a[0]) + s*float64(r.b[0]-r.a[0])
	y := float64(r.a[1]) + s*float64(r.b[1]-r.a[1]) - (down-0.5)*b.strip.pixel
	up := b.lift(r.stretch, q)
	return b.lightOn(r, q, &up, s, XY{x, y}, XY{x, y})
}

// lightOn is the cladding's light at a place of the wall, s along a stretch that is lifted
// so, with the sunlight of another place; it is fine.
func (b *brush) lightOn(r *run, q *pair, up *lift, s float64, place, lit XY) packed {
	at, m := place.Y, (float64(q.which)+s)/float64(q.of)
	if q.vertical {
		at, m = place.X, q.share(place.Y)
	}
	left, beside := q.entry(at)
	share := packed(256 * min(1, max(0, m)))
	d := b.p.light[b.strip.wall]
	sun := uint64(0)
	switch r.sun {
	case bright:
		sun = sunFull
	case varied:
		across, up := d.drawn(lit.X, lit.Y, anchor, q.deep.at(left))
		sun = uint64(sunFull*d.cells.sample(d.shine, lit.X+across, lit.Y+up) + 0.5)
	}
	lightened := mix(left.sun&lanes, beside.sun&lanes, share).rest().times(sun)
	reached := float32(d.occlusion.at(place.X, place.Y, float64(sun)/sunFull)) * up.at(s)
	return mix(left.own, beside.own, share).raise(uint32(256*reached+0.5), lightened) + lightened
}

// several paints a run that wears several zones: what lies in one of them as any run,
// the pixels in which they meet place by place.
func (b *brush) several(r *run) {
	part, beside := *r, int16(0)
	for ; part.from < r.to; part.from = part.to {
		zones := b.zones(r.stretch, part.from, beside)
		beside = zones[1]
		one := zones.one()
		part.to = part.from + 1
		for one && part.to < r.to && b.zones(r.stretch, part.to, beside) == zones {
			part.to++
		}
		if one {
			b.wear(&part, b.worn(zones[0]))
		} else {
			b.light[part.from] = b.crossing(&part, zones)
			b.put(&part)
		}
	}
}

// fourths are the places of a pixel that are looked at, right and down in it.
var fourths = [4][2]float64{{0.25, 0.25}, {0.75, 0.25}, {0.25, 0.75}, {0.75, 0.75}}

// zonesOf is the zone at each of the fourths.
type zonesOf [4]int16

func (z zonesOf) one() bool { return z[0] == z[1] && z[0] == z[2] && z[0] == z[3] }

// zones of pixel k; where no label reaches, the zone beside goes on.
func (b *brush) zones(t *stretch, k int, beside int16) (out zonesOf) {
	l := b.clothes.labels
	s := float32(k) / span
	x, y := t.a[0]+s*(t.b[0]-t.a[0]), t.a[1]+s*(t.b[1]-t.a[1])
	const fourth = 0.25 / span
	wide, down := fourth*(t.b[0]-t.a[0]), float32(b.strip.pixel)/4
	rise := fourth * (t.b[1] - t.a[1])
	if z, ok := l.within(x, y, max(wide, -wide), down+max(rise, -rise)); ok {
		if z == bare {
			z = beside
		}
		return zonesOf{z, z, z, z}
	}
	for i, at := range fourths {
		right := 4*float32(at[0]) - 2 // 1 or -1
		if out[i] = l.at(float64(x+right*wide), float64(y+right*rise-(4*float32(at[1])-2)*down)); out[i] == bare {
			out[i] = beside
		}
	}
	return out
}

// worn are a zone's tables, made where they are first asked for.
func (b *brush) worn(zone int16) *pair {
	if b.pairs[zone] == nil {
		b.pairs[zone] = b.pair(int(zone))
	}
	return b.pairs[zone]
}

// crossing is the light of a pixel in which zones meet: the mean of four places.
func (b *brush) crossing(r *run, zones zonesOf) packed {
	var all [4]packed
	for i, at := range fourths {
		all[i] = b.lightAt(r, b.worn(zones[i]), r.from, at[0], at[1])
	}
	return mean4(&all)
}
