package picture

import (
	"cmp"
	"math"
	"slices"

	"coilwright/colour"
	"coilwright/cores"
	"coilwright/photo"
)

// What stands up beside the field of a wall, casings, corner boards and friezes, shows
// the viewer a side, down to the cladding: more of it where the new cladding lies deeper
// than the old one, less where it stands out further.

// sideEdge is an edge of a wall's field at which such a side is seen.
type sideEdge struct {
	from, along, into XY // a place, the way to its other end, the way into the field
	length            float64
	paint             colour.Linear // of the board: its reflectance
	sky, ground       float64       // what the side gets of them
	shift             float64       // inches by which the photo's mask has the edge further in
}

// sidePixel is a pixel that such a side may take from the cladding or give it.
type sidePixel struct {
	edge    *sideEdge
	stretch int32
	pixel   uint8   // of the stretch
	in      float32 // inches from the edge into the field, where the sight passes the face plane
	wide    float32 // inches that the pixel covers across the edge
	slant   float32 // inches that the sight goes towards the edge, for an inch of depth
	old     float32 // share of the old cladding in the pixel, if nothing else were there
	front   frontOfSide
	lamp    sideLamp
}

// Bounds of sides (assumed).
const (
	leastSlant = 0.03 // below, a side is thinner than the eye sees
	mostShift  = 0.75 // inches between an edge as it was marked and as the mask has it
	sideStep   = 0.5  // of a pixel, in which edges are looked along
	sideBlur   = 1.4  // pixels over which lens and sensor blur an edge
)

// share is what cladding whose face lies at depth z, under a face plane at standoff, takes
// of the pixel.
func (s *sidePixel) share(standoff, z float64) float32 {
	e := max(0, standoff-z) * float64(s.slant)
	return float32(min(1, max(0, 0.5+(float64(s.in)-e)/(sideBlur*float64(s.wide)))))
}

// findSides gives all strips the pixels of the sides that are seen on their walls.
func (p *Prepared) findSides() {
	found := make([][]located, len(p.light))
	pixels := decode(p.photo.Image)
	cores.Each(len(p.light), func(i int) {
		l := sideLook{p: p, d: p.light[i], wall: i, pixels: pixels, seen: map[[2]int]int{}}
		for _, r := range l.d.wall.Field {
			for k, a := range r {
				l.edge(a, r[(k+1)%len(r)])
			}
		}
		for k := range l.found {
			l.unmix(&l.found[k])
		}
		found[i] = l.found
	})
	strips := map[[2]int]*strip{}
	for i := range p.strips {
		s := &p.strips[i]
		strips[[2]int{s.wall, s.column}] = s
	}
	left := p.photo.Image.Rect.Min.X
	defer func() {
		p.sortSides()
		p.lightSides()
	}()
	for wall, all := range found {
		for _, x := range all {
			column := (x.u - left) / span
			if s := strips[[2]int{wall, column}]; s != nil {
				s.put(x, x.u-left-column*span, p.light[wall])
			}
		}
	}
}

// sortSides puts the sides of every strip in the order of its stretches.
func (p *Prepared) sortSides() {
	for i := range p.strips {
		slices.SortFunc(p.strips[i].sides, func(a, b sidePixel) int {
			return cmp.Or(cmp.Compare(a.stretch, b.stretch), cmp.Compare(a.pixel, b.pixel))
		})
	}
}

// located is a side's pixel in the photo.
type located struct {
	u, v int
	sidePixel
}

// matters says whether cladding of any depth changes what the pixel shows.
func (s *sidePixel) matters(d *daylight) bool {
	reached := s.share(d.wall.Standoff, 0) < 1 || !s.edge.shades(d)
	return reached && s.front.trust > 0 && s.front.share < 1
}

// put adds a side's pixel to the stretch that shows it, where it matters.
func (s *strip) put(x located, k int, d *daylight) {
	n, _ := slices.BinarySearchFunc(s.stretches, x.v, func(t stretch, v int) int { return int(t.row) - v })
	for ; n < len(s.stretches) && int(s.stretches[n].row) == x.v; n++ {
		if t := &s.stretches[n]; k >= int(t.from) && k < int(t.to) {
			if x.stretch, x.pixel = int32(n), uint8(k); x.matters(d) {
				s.sides = append(s.sides, x.sidePixel)
			}
			return
		}
	}
}

// sideLook looks for the sides seen on one wall.
type sideLook struct {
	p      *Prepared
	d      *daylight
	wall   int
	pixels *decoded
	seen   map[[2]int]int // pixels found, by their place in found
	found  []located
}

// edge looks at one edge of the field.
func (l *sideLook) edge(a, b XY) {
	w := &l.d.wall
	e := &sideEdge{from: a, along: unit(a, b), length: math.Hypot(b.X-a.X, b.Y-a.Y)}
	middle, left := XY{(a.X + b.X) / 2, (a.Y + b.Y) / 2}, XY{-e.along.Y, e.along.X}
	const off = 0.3
	on := func(side float64) XY { return XY{middle.X + side*off*left.X, middle.Y + side*off*left.Y} }
	for _, side := range [2]float64{1, -1} {
		in, out := on(side), on(-side)
		if inside(w.Field, in.X, in.Y) && !inside(w.Field, out.X, out.Y) && inside([]Ring{w.Outline}, out.X, out.Y) {
			e.into = XY{side * left.X, side * left.Y}
			l.along(e)
			return
		}
	}
}

// along finds the pixels of an edge's side.
func (l *sideLook) along(e *sideEdge) {
	if l.slant(e, e.at(0, 0)) < leastSlant && l.slant(e, e.at(e.length, 0)) < leastSlant {
		return
	}
	step := sideStep * l.d.wall.pixelSize(l.p.photo.Camera)
	if !l.tell(e, step) {
		return
	}
	e.sky, e.ground = l.d.dome.aside(e.into)
	for s := 0.0; s <= e.length; s += step {
		at := e.at(s, 0)
		reach := l.d.wall.Standoff*l.slant(e, at) + 3*step/sideStep
		for t := -step; t < reach; t += step {
			q, ok := l.p.photo.Camera.Project(l.d.wall.Plane.At(at.X+t*e.into.X, at.Y+t*e.into.Y))
			if ok {
				l.pixel(e, pixelOf(q).X, pixelOf(q).Y)
			}
		}
	}
}

// at is the place s along the edge and t into the field.
func (e *sideEdge) at(s, t float64) XY {
	return XY{e.from.X + s*e.along.X + t*e.into.X, e.from.Y + s*e.along.Y + t*e.into.Y}
}

// slant is how far a sight at a place goes towards the edge, for an inch that it goes in.
func (l *sideLook) slant(e *sideEdge, at XY) float64 {
	across, up := l.d.slant(at.X, at.Y)
	return -(across*e.into.X + up*e.into.Y)
}

// pixel adds a pixel, which belongs to the edge that it lies nearest to.
func (l *sideLook) pixel(e *sideEdge, u, v int) {
	at := func(u, v float64) XY {
		x, y, _ := l.p.photo.Camera.OnPlane(photo.Pixel{U: u, V: v}, l.d.wall.Plane)
		return XY{(x-e.from.X)*e.into.X + (y-e.from.Y)*e.into.Y, (x-e.from.X)*e.along.X + (y-e.from.Y)*e.along.Y}
	}
	middle := at(float64(u)+0.5, float64(v)+0.5)
	right, down := at(float64(u)+1.5, float64(v)+0.5), at(float64(u)+0.5, float64(v)+1.5)
	place := e.at(middle.Y, middle.X)
	slant := l.slant(e, place)
	if slant < leastSlant {
		return
	}
	across, up := l.d.slant(place.X, place.Y)
	met := middle.Y + max(0, middle.X)/slant*(across*e.along.X+up*e.along.Y)
	if met < 0 || met > e.length {
		return
	}
	x := located{u, v, sidePixel{edge: e, in: float32(middle.X - e.shift), slant: float32(slant),
		wide: float32(math.Hypot(right.X-middle.X, down.X-middle.X))}}
	x.old = x.share(l.d.wall.Standoff, l.oldDepth(place))
	k, known := l.seen[[2]int{u, v}]
	switch {
	case !known:
		l.seen[[2]int{u, v}] = len(l.found)
		l.found = append(l.found, x)
	case x.in < l.found[k].in:
		l.found[k] = x
	}
}

// oldDepth is the old face's depth where a sight through a place of the face plane meets it.
func (l *sideLook) oldDepth(at XY) float64 {
	_, up := l.d.slant(at.X, at.Y)
	return l.d.old.on(at.X, at.Y+(l.d.wall.Standoff-l.d.old.reference)*up).z
}

// tell reads off the photo how its mask has the edge and what colour the board is. False
// where it shows too little of the edge, or has it elsewhere.
func (l *sideLook) tell(e *sideEdge, step float64) bool {
	var shifts []float64
	var paints []colour.Linear
	n := 0
	for s := 0.0; s <= e.length; s += step {
		n++
		if shift, ok := l.shift(e, s, step); ok {
			shifts = append(shifts, shift)
		}
		if paint, ok := l.paint(e, s, step); ok {
			paints = append(paints, paint)
		}
	}
	if len(shifts) < max(4, n/8) || len(paints) < max(4, n/8) {
		return false
	}
	e.shift, e.paint = quantile(shifts, 0.5), quantiles(paints, 0.5)
	return math.Abs(e.shift) < mostShift
}

// mask is the cladding's share where the photo shows a place.
func (l *sideLook) mask(at XY) (share float64, x, y int, ok bool) {
	q, ok := l.p.photo.Camera.Project(l.d.wall.Plane.At(at.X, at.Y))
	i := pixelOf(q)
	if !ok || !i.In(l.p.photo.Image.Rect) {
		return 0, 0, 0, false
	}
	if l.p.photo.Mask != nil || inside(l.d.wall.Field, at.X, at.Y) {
		share = l.masked(i.X, i.Y)
	}
	return share, i.X, i.Y, true
}

// masked is the cladding's share of a pixel as the mask has it.
func (l *sideLook) masked(u, v int) float64 {
	if l.p.photo.Mask == nil {
		return 1
	}
	return float64(l.p.photo.Mask.GrayAt(u, v).Y) / 255
}

// shift is how much further in the mask has the edge, at a place along it.
func (l *sideLook) shift(e *sideEdge, s, step float64) (float64, bool) {
	at := e.at(s, 0)
	expected := max(0, l.d.wall.Standoff-l.oldDepth(at)) * l.slant(e, at)
	far := 4*step/sideStep + 1
	first, last, front := 0.0, 0.0, 0.0
	for t := -far; t <= far+expected; t += step {
		share, _, _, ok := l.mask(e.at(s, t))
		if !ok {
			return 0, false
		}
		if t == -far {
			first, front = share, (1-share)*step/2 // the looks' steps reach half a step to both sides
		} else {
			front += (1 - share) * step
		}
		last = share
	}
	return front - far - expected, first < 0.1 && last > 0.9
}

// paint is the reflectance of the board at a place along the edge, where it lies in
// the sun or in the shade, not at a shadow's edge.
func (l *sideLook) paint(e *sideEdge, s, step float64) (colour.Linear, bool) {
	share, u, v, ok := l.mask(e.at(s, -3*step))
	at := e.at(s, l.d.clear())
	light, sun := l.d.plain(at.X, at.Y), l.d.cells.sample(l.d.shine, at.X, at.Y)
	if !ok || share > 0 || sun > 0.1 && sun < 0.6 {
		return colour.Linear{}, false
	}
	out := l.pixels.at(u, v).Over(light.Plus(l.d.sun.Scale(sun)))
	for c := range out {
		out[c] = min(0.95, max(0.02, out[c]))
	}
	return out, true
}

// aside is what a surface that faces along the wall gets of sky and ground in front of
// the wall, for radiance of mean 1.
func (d *dome) aside(faces XY) (sky, ground float64) {
	for _, p := range d.rough {
		w := max(0, p.to.X*faces.X+p.to.Y*faces.Y) * p.solid / math.Pi
		if p.fromGround {
			ground += w
		} else {
			sky += w * p.light
		}
	}
	return sky, ground
}

// depth of the zone's face at a place.
func (q *pair) depth(at XY) float64 {
	along := at.Y
	if q.vertical {
		along = at.X
	}
	l, _ := q.entry(along)
	return q.deep.at(l)
}
