package picture

import (
	"image"
	"math"
	"sync"

	"coilwright/colour"
	"coilwright/cores"
	"coilwright/photo"
)

// Prepared is a photo whose light has been found, cut into stretches of wall that a
// scheme can be painted on quickly. It does not change and may be used by several
// goroutines at once.
type Prepared struct {
	photo  Photo
	light  []*daylight
	strips []strip
	edges  [][]edgeOf // by wall and column: where two strips meet
	wide   [][]edgeOf // by wall: every group-th of them, over all strips on either side
	group  int
	boards []eaveBoard
	encode *encoder
	// shelves keep memory from one painting to the next
	shelves *sync.Pool
}

// edgeOf is the upright line between two strips of one wall.
type edgeOf struct {
	used      bool
	low, high float64 // heights seen to either side
	pixel     float64 // inches of wall between two rows
	across    float64 // place along the wall
}

// span is the length of a stretch in pixels, and the width of a strip.
const span = 32

// quarters is how many parts a stretch's light is told apart in.
const quarters = 4

// anchor is the depth over the sheathing at which stretches know their place.
const anchor = 0.35

// strip is one wall's stretches within span columns of the photo, from the top row
// down.
type strip struct {
	wall      int
	left      int // first column of pixels
	column    int // number of the strip from the photo's left
	stretches []stretch
	sides     []sidePixel // of casings and boards
	fronts    []eaveFront // with soffits and fascias
	low, high XY          // what they cover of the wall, at the anchor
	pixel     float64     // inches of wall between two rows, in the strip's middle
	across    float64     // inches of wall between two columns
}

// stretch is up to span pixels of one row that show one wall.
type stretch struct {
	row      int32
	from, to uint8 // pixels, counted from the strip's left
	sun      sunlight
	quarter  [quarters]sunlight // the same of each quarter of the span
	a, b     [2]float32         // place on the wall under the strip's first pixel, and under the one span further, on the line that fits best
	bow      [2]float32         // what places have over that line: bow (k (span-k) - span^2/6) at pixel k
	parts    *[span]part        // nil: all cladding
	kept     *[span]part        // the same where the old boards stay; nil: none is here
	bend     *bend              // nil: no sloping overhang shades it
	hidden   *[span]uint8       // of the ambient light, see daylight.hidden
	way      *way               // nil: the sun reaches all of it or none, whatever the depth
}

// place is the place on the wall so far along the line, 1 being a span further.
func (t *stretch) place(s float64) (x, y float64) {
	return float64(t.a[0]) + s*float64(t.b[0]-t.a[0]), float64(t.a[1]) + s*float64(t.b[1]-t.a[1])
}

// sunning is how the sun reaches a stretch.
type sunning uint8

const (
	shade sunning = iota
	bright
	varied
)

// part is a pixel that cladding shares with something in front: its share of 255,
// and the front's light in 1/4095.
type part struct {
	share uint8
	front [3]uint16
}

// Prepare finds the light of a photo and where its walls are seen. It is the work
// done once; what follows is quick.
func Prepare(p Photo) *Prepared {
	out := &Prepared{photo: p, light: solve(&p), group: 2, encode: newEncoder(), shelves: newShelves()}
	if p.Image.Rect.Dx() >= 3000 {
		out.group = 8
	}
	for _, d := range out.light {
		d.painted = d.sunTable()
	}
	out.strips = out.cut()
	out.findSides()
	out.edges, out.wide = out.meet(1), out.meet(out.group)
	boards, most := out.eaves()
	out.boards = boards
	out.findEaveFronts(most)
	return out
}

// meet finds the edges of groups of so many strips. What is looked up there changes
// slowly along a wall, so that a group of strips may share its ends.
func (p *Prepared) meet(group int) [][]edgeOf {
	out := make([][]edgeOf, len(p.light))
	columns := (p.photo.Image.Rect.Dx() + span - 1) / span
	for i := range out {
		out[i] = make([]edgeOf, (columns+group-1)/group+1)
	}
	for i := range p.strips {
		s := &p.strips[i]
		left, right := s.ends()
		first := s.column / group
		for k := range 2 {
			e := &out[s.wall][first+k]
			across := left + float64((first+k)*group-s.column)*(right-left)
			if !e.used {
				*e = edgeOf{true, s.low.Y, s.high.Y, s.pixel, across}
				continue
			}
			e.low, e.high = min(e.low, s.low.Y), max(e.high, s.high.Y)
			e.pixel, e.across = (e.pixel+s.pixel)/2, (e.across+across)/2
		}
	}
	return out
}

// cut finds every stretch, strip by strip.
func (p *Prepared) cut() []strip {
	b := p.photo.Image.Rect
	columns := (b.Dx() + span - 1) / span
	all := make([][]strip, columns)
	pixels, sight := decode(p.photo.Image), p.photo.visibility()
	sunMaps := make([]*sunMap, len(p.light))
	for i, d := range p.light {
		sunMaps[i] = d.sunMap()
	}
	cores.Each(columns, func(i int) {
		c := cutter{p: p, pixels: pixels, sun: sunMaps, sight: sight, left: b.Min.X + i*span}
		all[i] = c.strips()
	})
	var out []strip
	for _, s := range all {
		out = append(out, s...)
	}
	return out
}

// cutter cuts span columns of the photo.
type cutter struct {
	p      *Prepared
	pixels *decoded
	sun    []*sunMap
	sight  *visibility
	left   int
	out    map[int]*strip
}

func (c *cutter) strips() (all []strip) {
	c.out = map[int]*strip{}
	b := c.p.photo.Image.Rect
	for v := b.Min.Y; v < b.Max.Y; v++ {
		c.row(v)
	}
	for w := range c.p.light {
		if s := c.out[w]; s != nil {
			all = append(all, *s)
		}
	}
	return all
}

// row cuts one row into stretches of one wall each.
func (c *cutter) row(v int) {
	b := c.p.photo.Image.Rect
	n := min(span, b.Max.X-c.left)
	first, last := n, -1
	for k := range n {
		if c.share(c.left+k, v) > 0 {
			first, last = min(first, k), k
		}
	}
	if last < 0 {
		return
	}
	owner := c.sight.wallAt
	for first <= last {
		w := owner(c.left+first, v)
		end := last
		for end > first && owner(c.left+end, v) != w {
			end--
		}
		if w >= 0 {
			c.add(w, v, first, end)
		}
		first = end + 1
	}
}

// share is how much of a pixel cladding takes, old boards included.
func (c *cutter) share(u, v int) uint8 { return c.cladding(u, v) + c.boards(u, v) }

func (c *cutter) cladding(u, v int) uint8 {
	if c.p.photo.Mask == nil {
		return 255
	}
	return c.p.photo.Mask.GrayAt(u, v).Y
}

func (c *cutter) boards(u, v int) uint8 {
	if c.p.photo.Boards == nil || c.p.photo.Mask == nil {
		return 0
	}
	return c.p.photo.Boards.GrayAt(u, v).Y
}

// add puts one stretch into its wall's strip.
func (c *cutter) add(w, v, first, last int) {
	d := c.p.light[w]
	plane := d.wall.at(anchor)
	place := func(u float64) ([2]float32, bool) {
		x, y, ok := c.p.photo.Camera.OnPlane(photo.Pixel{U: u, V: float64(v) + 0.5}, plane)
		return [2]float32{float32(x), float32(y)}, ok
	}
	s := stretch{row: int32(v), from: uint8(first), to: uint8(last + 1)}
	var okA, okB bool
	s.a, okA = place(float64(c.left) + 0.5)
	s.b, okB = place(float64(c.left) + 0.5 + span)
	if !okA || !okB {
		return
	}
	if m, ok := place(float64(c.left) + 0.5 + span/2); ok {
		s.straighten(m)
	}
	c.sun[w].light(&s)
	s.bend = d.wall.bendOf(&s, (c.left-c.p.photo.Image.Rect.Min.X)/span, c.p.group)
	s.hidden = d.hidden(&s)
	c.mix(&s, d)
	t := c.out[w]
	if t == nil {
		t = &strip{wall: w, left: c.left, column: (c.left - c.p.photo.Image.Rect.Min.X) / span, low: XY{math.Inf(1), math.Inf(1)}, high: XY{math.Inf(-1), math.Inf(-1)}}
		c.out[w] = t
	}
	t.add(s)
}

// straighten lays the line from a to b as near as it can to the true places, of which
// the middle one is given: along a row they bend, for what is nearer looks larger.
func (s *stretch) straighten(middle [2]float32) {
	for i, m := range middle {
		s.bow[i] = (m - (s.a[i]+s.b[i])/2) * 4 / span / span
		s.a[i] += s.bow[i] * meanBow
		s.b[i] += s.bow[i] * meanBow
	}
}

// meanBow is the mean of k (span-k).
const meanBow = span * span / 6.0

// add appends a stretch and keeps the strip's bounds.
func (t *strip) add(s stretch) {
	for _, e := range [][2]float32{s.a, s.b} {
		x, y := float64(e[0]), float64(e[1])
		t.low, t.high = XY{min(t.low.X, x), min(t.low.Y, y)}, XY{max(t.high.X, x), max(t.high.Y, y)}
	}
	if n := len(t.stretches); n > 0 && t.stretches[n-1].row == s.row-1 {
		above := t.stretches[n-1]
		t.pixel = max(t.pixel, math.Abs(float64(s.a[1]-above.a[1])), math.Abs(float64(s.b[1]-above.b[1])))
	}
	t.across = max(t.across, math.Abs(float64(s.b[0]-s.a[0]))/span)
	t.stretches = append(t.stretches, s)
}

// mix finds the pixels of a stretch that something else shares.
func (c *cutter) mix(s *stretch, d *daylight) {
	s.parts = c.shared(s, d, c.share)
	for k := s.from; k < s.to; k++ {
		if c.boards(c.left+int(k), int(s.row)) > 0 {
			s.kept = c.shared(s, d, c.cladding)
			return
		}
	}
}

// shared are the parts of a stretch by a share of its pixels, nil where all is cladding.
func (c *cutter) shared(s *stretch, d *daylight, share func(u, v int) uint8) *[span]part {
	pure := true
	for k := s.from; k < s.to; k++ {
		pure = pure && share(c.left+int(k), int(s.row)) == 255
	}
	if pure {
		return nil
	}
	parts := new([span]part)
	for k := s.from; k < s.to; k++ {
		u, v := c.left+int(k), int(s.row)
		a := share(u, v)
		parts[k].share = a
		if a > 0 && a < 255 && c.slender(u, v) {
			parts[k].share = 255
		} else if a > 0 && a < 255 {
			was := d.was(&c.p.photo, u, v)
			parts[k] = unmix(c.pixels.at(u, v), was, a)
			if f := c.near(u, v, share); f.edge && !c.along(d, u, v) {
				f.weigh(&parts[k], was)
			} else {
				f.hold(&parts[k], was)
			}
		}
	}
	return parts
}

// slender says whether all pixels within two of a place are largely cladding: what
// shares it then is a joint or a speck of the old cladding and goes with it.
func (c *cutter) slender(u, v int) bool {
	const largely = 90
	b := c.p.photo.Image.Rect
	for y := max(b.Min.Y, v-2); y <= min(b.Max.Y-1, v+2); y++ {
		for x := max(b.Min.X, u-2); x <= min(b.Max.X-1, u+2); x++ {
			if c.share(x, y) < largely {
				return false
			}
		}
	}
	return true
}

// unmix finds what stands in front: the pixel less the old cladding's part.
func unmix(seen, was colour.Linear, share uint8) part {
	a := float64(share) / 255
	out := part{share: share}
	for k := range seen {
		out.front[k] = uint16(4095 * min(1-a, max(0, seen[k]-a*was[k])))
	}
	return out
}

// underBase is how far over a wall's base, in inches, cladding in a pixel at the base is
// taken to lie: below there is no further course.
const underBase = 0.25

// was is the old cladding's light at a pixel, as it is known by now.
func (d *daylight) was(p *Photo, u, v int) colour.Linear {
	at := photo.Pixel{U: float64(u) + 0.5, V: float64(v) + 0.5}
	x, y, ok := p.Camera.OnPlane(at, d.wall.at(d.old.reference))
	if !ok {
		return colour.Linear{}
	}
	return d.wasOn(p, XY{x, y}, XY{x, y})
}

// wasAt is the same for a sight through a place of the face plane, with the sunlight of
// another one.
func (d *daylight) wasAt(p *Photo, place, lit XY) colour.Linear {
	return d.wasOn(p, d.behindFace(place), d.behindFace(lit))
}

// behindFace is where a sight through a place of the face plane passes the old face's depth.
func (d *daylight) behindFace(at XY) XY {
	across, up := d.slant(at.X, at.Y)
	in := d.wall.Standoff - d.old.reference
	return XY{at.X + in*across, at.Y + in*up}
}

// wasOn is the old cladding's light at a place, with the sunlight of another.
func (d *daylight) wasOn(p *Photo, at, lit XY) colour.Linear {
	low, _ := d.wall.box()
	at.Y, lit.Y = max(at.Y, low.Y+underBase), max(lit.Y, low.Y+underBase)
	o := d.old.on(at.X, at.Y)
	across, up := d.drawn(lit.X, lit.Y, d.old.reference, o.z)
	sun, shine := d.cells.sample(d.shine, lit.X+across, lit.Y+up), 0.0
	if !o.shaded {
		shine = sun * o.sun
	}
	left := d.occlusion.at(at.X, at.Y, sun)
	return d.sun.Scale(shine).Plus(d.plain(at.X, at.Y).Scale(left * o.ambient)).Times(p.Old.Colour).Scale(d.coarse.sample(d.own, at.X, at.Y))
}

// Bounds are the photo's.
func (p *Prepared) Bounds() image.Rectangle { return p.photo.Image.Rect }
