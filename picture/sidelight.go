package picture

import (
	"math"

	"coilwright/colour"
	"coilwright/cores"
	"coilwright/photo"
)

// frontOfSide is what a side's pixel shows beside the cladding and the side themselves.
type frontOfSide struct {
	light colour.Linear // of the board's front, its share of the pixel included
	share float32       // that share
	trust float32       // 0 to 1: how well board, side and cladding explain what is seen
}

// Bounds of what is trusted (assumed).
const (
	frontOff  = 0.25 // by so much of itself a board's front may differ from what is beside it
	trustFull = 0.25 // the pixel's brightness, as a logarithm, is explained so well
	trustNone = 0.7
	maskFull  = 0.25 // the mask has the cladding's share so near
	maskNone  = 0.5
)

// mixture is what a side's pixel should show, part by part, shares included.
type mixture struct {
	clad, side, front colour.Linear
	share             [3]float64 // of each of them
	known             bool       // what is beside the pixel says how the board's front looks
}

func (l *sideLook) mixture(x *located) (m mixture) {
	e, at := x.edge, l.place(x)
	m.share[0] = float64(x.old)
	m.share[2] = min(1, max(0, 0.5-(float64(x.in)+e.shift)/(sideBlur*float64(x.wide))))
	m.share[1] = max(0, 1-m.share[0]-m.share[2])
	clad := x.clad(at, x.old)
	before := l.d.wasAt(&l.p.photo, clad, x.clear(l.d, at))
	m.clad = l.d.wasAt(&l.p.photo, clad, x.lit(l.d, at)).Scale(m.share[0])
	m.side = e.light(l.d, at, [3]float32{float32(before[0]), float32(before[1]), float32(before[2])}).Scale(m.share[1])
	m.front, m.known = l.beside(x, at)
	m.front, m.known = m.front.Scale(m.share[2]), m.known || m.share[2] == 0
	return m
}

// unmix takes the old cladding and the old side out of a side's pixel.
func (l *sideLook) unmix(x *located) {
	m := l.mixture(x)
	f := frontOfSide{share: float32(m.share[2])}
	if m.known {
		seen, parts := l.pixels.at(x.u, x.v), m.clad.Plus(m.side)
		by := (seen.Luminance() - parts.Luminance()) / max(1e-6, m.front.Luminance())
		f.light = m.front.Scale(min(1+frontOff, max(1-frontOff, by)))
		off := math.Abs(math.Log(max(1e-3, seen.Luminance()) / max(1e-3, parts.Plus(m.front).Luminance())))
		f.trust = falling(off, trustFull, trustNone) * falling(math.Abs(l.masked(x.u, x.v)-m.share[0]), maskFull, maskNone)
	}
	x.front = f
}

// falling is 1 up to full and 0 from none on.
func falling(v, full, none float64) float32 { return float32(min(1, max(0, (none-v)/(none-full)))) }

// place of a side's pixel on the face plane.
func (l *sideLook) place(x *located) XY {
	s, t, _ := l.p.photo.Camera.OnPlane(photo.Pixel{U: float64(x.u) + 0.5, V: float64(x.v) + 0.5}, l.d.wall.Plane)
	return XY{s, t}
}

// clad is the place at which a sight through the middle of the pixel's cladding, so much
// of it, passes the face plane.
func (s *sidePixel) clad(at XY, share float32) XY {
	return s.edge.in(at, float64(s.wide*(1-share))/2)
}

// in is a place moved into the field.
func (e *sideEdge) in(at XY, by float64) XY { return XY{at.X + by*e.into.X, at.Y + by*e.into.Y} }

// lit is where the sunlight on the cladding of a pixel is looked up: further in where the
// side throws no shadow on it, for close to the edge it is not known.
func (s *sidePixel) lit(d *daylight, at XY) XY {
	if s.edge.shades(d) {
		return at
	}
	return s.clear(d, at)
}

// clear is a place beside a pixel where the sunlight is known and the side throws no shadow.
func (s *sidePixel) clear(d *daylight, at XY) XY {
	return s.edge.in(at, max(0, d.clear()-float64(s.in)))
}

// shades says whether the side turns away from the sun.
func (e *sideEdge) shades(d *daylight) bool {
	return d.towards.X*e.into.X+d.towards.Y*e.into.Y <= 0
}

// beside is the light of the board's front beside a pixel.
func (l *sideLook) beside(x *located, at XY) (out colour.Linear, ok bool) {
	n := 0.0
	for _, off := range [2]float64{1.25, 2} {
		share, u, v, seen := l.mask(x.edge.in(at, -float64(x.in+float32(x.edge.shift))-off*float64(x.wide)))
		if seen && share == 0 {
			out = out.Plus(l.pixels.at(u, v))
			n++
		}
	}
	return out.Scale(1 / max(1, n)), n > 0
}

// paintSides lays the sides of casings and boards over what the strip's stretches show.
func (b *brush) paintSides() {
	s := b.strip
	for i := range s.sides {
		x := &s.sides[i]
		b.paintSide(x)
	}
}

func (b *brush) paintSide(x *sidePixel) {
	from := &b.clothes.encode.from
	var t run
	t.wear(&b.strip.stretches[x.stretch], b.clothes.trimmed)
	k := int(x.pixel)
	f := float64(k) / span
	px, py := t.place(f)
	at := XY{px, py}
	pix := b.out.Pix[b.out.PixOffset(b.strip.left+k, int(t.row)):]
	if t.parts != nil && t.parts[k].share == 0 { // which no stretch paints
		copy(pix[:3], b.p.photo.Image.Pix[b.p.photo.Image.PixOffset(b.strip.left+k, int(t.row)):])
	}
	zone := b.clothes.labels.at(at.X, at.Y)
	if zone < 0 || b.clothes.trimmed && b.channelled(x, at) {
		return
	}
	now := b.sideLight(x, &t, f, at, zone)
	for c, v := range now {
		was := from[pix[c]]
		pix[c] = b.clothes.encode.one(was + x.front.trust*(v-was))
	}
}

// channelled says whether new trim lies along a side, which covers it.
func (b *brush) channelled(x *sidePixel, at XY) bool {
	for _, by := range [4]float32{-0.5, 0, 0.5, 1} {
		near := x.edge.in(at, float64(by*x.wide))
		if zone := b.clothes.labels.at(near.X, near.Y); zone >= 0 && b.clothes.dress[zone].Trim {
			return true
		}
	}
	return false
}

// sideLight is what a side's pixel shows where a zone hangs beside the side: front, side
// and cladding.
func (b *brush) sideLight(x *sidePixel, t *run, f float64, at XY, zone int16) (now [3]float32) {
	d, q := b.p.light[b.strip.wall], b.worn(zone)
	z, lift := q.depth(at), b.lift(t.stretch, q)
	share := x.share(d.wall.Standoff, z)
	clad := x.clad(at, share)
	light := b.lightOn(t, q, &lift, f, clad, x.clear(d, at)).floats()
	side := x.edge.beside(x.lamp.side, light)
	if share > 0 && t.sun == varied && x.edge.shades(d) {
		light = b.lightOn(t, q, &lift, f, clad, at).floats()
	}
	if share > 0 && z < d.wall.Standoff && side.Luminance() > x.lamp.luminance() {
		across, up := d.slant(at.X, at.Y)
		mirror := b.clothes.sheens[zone].at(1 / math.Sqrt(1+across*across+up*up))
		x.bounce(d, z, share, b.clothes.dress[zone].Finish.Colour, mirror, side, &light)
	}
	rest := max(0, 1-share-x.front.share)
	for c := range now {
		now[c] = float32(x.front.light[c]) + rest*float32(side[c]) + share*light[c]
	}
	return now
}

// bounce adds what a bright side sends on to the cladding beside it, of the given colour,
// over what it hides there of sky and ground: matt, as much as the share of a half space,
// weighed by cosine, that a long strip takes which stands up at some distance (textbook
// view factor); and mirrored, for the viewer who sees the side looks along it into its own
// mirror image. What a dark side takes the photo's own shade has.
func (s *sidePixel) bounce(d *daylight, z float64, share float32, paint colour.Linear, mirror float64, side colour.Linear, light *[3]float32) {
	high := d.wall.Standoff - z
	far := max(float64(s.in)-high*float64(s.slant), float64(share*s.wide)/2)
	view := 0.5 * (1 - far/math.Hypot(far, high))
	mirror *= s.mirrored(far, high)
	for c := range light {
		light[c] += float32((paint[c]*view + mirror) * max(0, side[c]-float64(s.lamp.plain[c])))
	}
}

// mirrored is the share of what a dull mirror shows of a side so high, so far off: the lobe
// around the mirrored sight, by its angle over the wall, is that of dome.mirrored.
func (s *sidePixel) mirrored(far, high float64) float64 {
	ray := math.Atan2(1, float64(s.slant))
	floor := dull.below(-ray)
	return (dull.below(math.Atan2(high, far)-ray) - floor) / (1 - floor)
}

// dull is how much of a dull mirror's lobe lies below an angle, over the half circle around
// its middle.
var dull = newDullness()

type dullness [257]float64

func newDullness() *dullness {
	const wide = 0.35 // radians: cos^8
	var t dullness
	for i := range t {
		angle := math.Pi * (float64(i)/float64(len(t)-1) - 0.5)
		t[i] = 0.5 * math.Erfc(-angle/wide/math.Sqrt2)
	}
	return &t
}

// below is right to 1e-4.
func (t *dullness) below(angle float64) float64 {
	x := (angle/math.Pi + 0.5) * float64(len(t)-1)
	i := min(len(t)-2, max(0, int(x)))
	return t[i] + (x-float64(i))*(t[i+1]-t[i])
}

// clear is how far off an edge, in inches, the cells that it cuts say nothing.
func (d *daylight) clear() float64 { return 0.75 + 3*d.cells.pitch }

// sideLamp is what stays at a side's pixel under one sun, whatever hangs there: the light
// that the side gets but for what the cladding sends it, and that of a plain wall.
type sideLamp struct{ side, plain [3]float32 }

// luminance is a plain wall's there.
func (l *sideLamp) luminance() float64 {
	return colour.Linear{float64(l.plain[0]), float64(l.plain[1]), float64(l.plain[2])}.Luminance()
}

// lightSides finds the light at the sides of all strips.
func (p *Prepared) lightSides() {
	cores.Each(len(p.strips), func(i int) {
		s := &p.strips[i]
		d := p.light[s.wall]
		for k := range s.sides {
			x := &s.sides[k]
			px, py := s.stretches[x.stretch].place(float64(x.pixel) / span)
			at := XY{px, py}
			side, plain := x.edge.gets(d, at), d.plain(at.X, at.Y)
			for c := range plain {
				x.lamp.side[c], x.lamp.plain[c] = float32(side[c]), float32(plain[c])
			}
		}
	})
}

// light is what a side sends to the viewer.
func (e *sideEdge) light(d *daylight, at XY, beside [3]float32) colour.Linear {
	got := e.gets(d, at)
	return e.beside([3]float32{float32(got[0]), float32(got[1]), float32(got[2])}, beside)
}

// beside is what a side sends on of the light that it gets and of what the cladding beside
// it, half of all that it sees, sends it.
func (e *sideEdge) beside(got, clad [3]float32) (out colour.Linear) {
	for c := range out {
		out[c] = e.paint[c] * float64(got[c]+clad[c]/2)
	}
	return out
}

// gets is the light of sun, sky and ground on a side.
func (e *sideEdge) gets(d *daylight, at XY) (out colour.Linear) {
	x, y := at.X+d.clear()*e.into.X, at.Y+d.clear()*e.into.Y
	sun := 0.0
	if d.towards.Z > 0 {
		sun = max(0, d.towards.X*e.into.X+d.towards.Y*e.into.Y) / max(0.05, d.towards.Z) * d.cells.sample(d.shine, x, y)
	}
	cells := d.coarse.around(at.X, at.Y)
	for c := range out {
		out[c] = sun*d.sun[c] + (d.light.sky[c]*e.sky+d.light.ground[c]*e.ground)*cells.of(d.scale[c])
	}
	return out
}
