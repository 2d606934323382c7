package picture

import (
	"fmt"
	"image"
	"math"
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
// every pixel of cladding is written, nothing else.
func (p *Prepared) RenderOver(out *image.RGBA, dress []Dressing) error {
	if len(dress) != len(p.light) {
		return &DressingError{len(p.light), len(dress)}
	}
	if out.Rect != p.photo.Image.Rect || out.Stride != p.photo.Image.Stride {
		return fmt.Errorf("a picture of %v cannot be painted over for a photo of %v", out.Rect, p.photo.Image.Rect)
	}
	w := p.wardrobe(dress)
	parallel(len(p.strips), func(i int) {
		s := &p.strips[i]
		brush{p: p, strip: s, clothes: w[s.wall], out: out}.paint()
	})
	return nil
}

// clothes is one wall's dressing made ready: labels, and each zone's rows.
type clothes struct {
	dress  Dressing
	labels *labels
	rows   []*rows
	encode *encoder
}

// wardrobe makes all dressings ready, zone by zone in parallel.
func (p *Prepared) wardrobe(dress []Dressing) []*clothes {
	e := newEncoder()
	out := make([]*clothes, len(dress))
	type job struct{ wall, zone int }
	var jobs []job
	for i, d := range dress {
		out[i] = &clothes{dress: d, rows: make([]*rows, len(d)), encode: e}
		jobs = append(jobs, job{i, -1})
		for z := range d {
			jobs = append(jobs, job{i, z})
		}
	}
	parallel(len(jobs), func(k int) {
		j := jobs[k]
		d, c := p.light[j.wall], out[j.wall]
		if j.zone < 0 {
			c.labels = newLabels(d.wall, c.dress)
			return
		}
		z := c.dress[j.zone]
		low, high := d.wall.box()
		eye := d.wall.eye(p.photo.Camera)
		if z.Vertical {
			c.rows[j.zone] = d.newRows(z, eye, low.X, high.X, (low.Y+high.Y)/2)
		} else {
			c.rows[j.zone] = d.newRows(z, eye, low.Y, high.Y, (low.X+high.X)/2)
		}
	})
	return out
}

// brush paints one strip.
type brush struct {
	p       *Prepared
	strip   *strip
	clothes *clothes
	out     *image.RGBA
}

// pair is a zone's tables at the left and at the right edge of a strip. For vertical
// panels the tables run along the strip itself and stand at its top and bottom.
type pair struct {
	a, b     *table
	vertical bool
}

func (b brush) paint() {
	s, c := b.strip, b.clothes
	bands := c.labels.bands(s.low.X, s.high.X)
	pairs := make([]*pair, len(c.dress))
	for i := range s.stretches {
		t := &s.stretches[i]
		zone := c.labels.between(bands, float64(t.a[1]), float64(t.b[1]))
		if zone == bare {
			continue
		}
		if zone == mixed {
			b.careful(t, func(k int) [3]float32 { return b.crossing(t, pairs, k) })
			continue
		}
		if pairs[zone] == nil {
			pairs[zone] = b.pair(int(zone))
		}
		switch q := pairs[zone]; {
		case t.parts == nil && t.sun == bright:
			b.fast(t, q, q.a.lit, q.b.lit)
		case t.parts == nil && t.sun == shade:
			b.fast(t, q, q.a.dark, q.b.dark)
		default:
			b.careful(t, func(k int) [3]float32 { return b.light(t, q, k, 0.5, 0.5) })
		}
	}
}

// pair filters a zone for the strip.
func (b brush) pair(zone int) *pair {
	s, c, d := b.strip, b.clothes, b.p.light[b.strip.wall]
	z, r := c.dress[zone], c.rows[zone]
	var g grain
	if z.Grain {
		g.depth = 0.05
	}
	filter := func(across float64) *table {
		if z.Vertical {
			return newTable(d, r, z, g, s.low.X, s.high.X, s.across, across, c.encode)
		}
		return newTable(d, r, z, g, s.low.Y, s.high.Y, s.pixel, across, c.encode)
	}
	if z.Vertical {
		return &pair{filter(s.low.Y), filter(s.high.Y), true}
	}
	left, right := s.ends()
	return &pair{filter(left), filter(right), false}
}

// ends are where on the wall the strip's left and right edges stand, in its middle.
func (s *strip) ends() (left, right float64) {
	t := s.stretches[len(s.stretches)/2]
	return float64(t.a[0]), float64(t.b[0])
}

// along is where a stretch runs in its tables: the first pixel's entry and the step
// to the next, in 1/65536, and how far it mixes the two, in 1/256 (32 steps).
func (q *pair) along(t *stretch, s *strip) (at, step int, mix, mixStep int) {
	from, to := float64(t.a[1]), float64(t.b[1])
	mix, mixStep = 0, 256/span
	if q.vertical {
		from, to = float64(t.a[0]), float64(t.b[0])
		share := (float64(t.a[1]+t.b[1])/2 - s.low.Y) / math.Max(1e-9, s.high.Y-s.low.Y)
		mix, mixStep = int(256*min(1, max(0, share))), 0
	}
	f := (from - q.a.low) * q.a.perInch * 65536
	g := (to - q.a.low) * q.a.perInch * 65536
	return int(f) + 32768, int(g-f) / span, mix, mixStep
}

// fast paints a stretch of nothing but cladding in one light: two loads and a mix in
// whole words for a pixel.
func (b brush) fast(t *stretch, q *pair, left, right []uint32) {
	at, step, mix, mixStep := q.along(t, b.strip)
	k := b.out.PixOffset(b.strip.left+int(t.from), int(t.row))
	n := int(t.to - t.from)
	at, mix = at+step*int(t.from), mix+mixStep*int(t.from)
	pix := b.out.Pix[k : k+4*n]
	last := len(left) - 1
	right = right[:len(left)]
	for i := 0; i+4 <= len(pix); i += 4 {
		e := at >> 16
		if e < 0 {
			e = 0
		} else if e > last {
			e = last
		}
		l, r := left[e], right[e]
		m := uint32(mix)
		rb := ((l&0xff00ff)*(256-m) + (r&0xff00ff)*m + 0x800080) >> 8
		gr := ((l>>8&0xff)*(256-m) + (r>>8&0xff)*m + 0x80) >> 8
		pix[i] = uint8(rb)
		pix[i+1] = uint8(gr)
		pix[i+2] = uint8(rb >> 16)
		at, mix = at+step, mix+mixStep
	}
}

// careful paints a stretch pixel by pixel, in light, with what stands in front.
func (b brush) careful(t *stretch, light func(k int) [3]float32) {
	e := b.clothes.encode
	for k := int(t.from); k < int(t.to); k++ {
		share, front := float32(1), [3]uint16{}
		if t.parts != nil {
			if t.parts[k].share == 0 {
				continue
			}
			share, front = float32(t.parts[k].share)/255, t.parts[k].front
		}
		l := light(k)
		at := b.out.PixOffset(b.strip.left+k, int(t.row))
		for c := range 3 {
			b.out.Pix[at+c] = e.one(l[c]*share + float32(front[c])/4095)
		}
	}
}

// light is the cladding's light at a place of pixel k of a stretch, right and down
// counted within the pixel from 0 to 1.
func (b brush) light(t *stretch, q *pair, k int, right, down float64) [3]float32 {
	s := (float64(k) + right - 0.5) / span
	x := float64(t.a[0]) + s*float64(t.b[0]-t.a[0])
	y := float64(t.a[1]) + s*float64(t.b[1]-t.a[1]) - (down-0.5)*b.strip.pixel
	at, m := y, s
	if q.vertical {
		at, m = x, (y-b.strip.low.Y)/max(1e-9, b.strip.high.Y-b.strip.low.Y)
	}
	i := min(len(q.a.light)-1, max(0, int((at-q.a.low)*q.a.perInch+0.5)))
	l, r := &q.a.light[i], &q.b.light[i]
	mix := float32(min(1, max(0, m)))
	d := b.p.light[b.strip.wall]
	sun := float32(0)
	switch t.sun {
	case bright:
		sun = 1
	case varied:
		run, rise := d.shift()
		out := d.wall.Standoff - float64(l[6])
		sun = float32(d.cells.sample(d.shine, x+out*run, y+out*rise))
	}
	var v [3]float32
	for c := range v {
		v[c] = sun*(l[c]+mix*(r[c]-l[c])) + l[3+c] + mix*(r[3+c]-l[3+c])
	}
	return v
}

// crossing is the light of a pixel in which zones meet: the mean of four places.
func (b brush) crossing(t *stretch, pairs []*pair, k int) (sum [3]float32) {
	for _, at := range [4][2]float64{{0.25, 0.25}, {0.75, 0.25}, {0.25, 0.75}, {0.75, 0.75}} {
		s := (float64(k) + at[0] - 0.5) / span
		x := float64(t.a[0]) + s*float64(t.b[0]-t.a[0])
		y := float64(t.a[1]) + s*float64(t.b[1]-t.a[1]) - (at[1]-0.5)*b.strip.pixel
		zone := b.clothes.labels.at(x, y)
		if zone == bare {
			zone = 0
		}
		if pairs[zone] == nil {
			pairs[zone] = b.pair(int(zone))
		}
		l := b.light(t, pairs[zone], k, at[0], at[1])
		for c := range sum {
			sum[c] += l[c] / 4
		}
	}
	return sum
}
