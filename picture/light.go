package picture

import (
	"image"
	"math"
	"slices"
	"sync"

	"coilwright/colour"
	"coilwright/cores"
	"coilwright/photo"
)

// daylight is the light on one wall, taken from the photo: what a plain white wall
// in the face plane would send back.
type daylight struct {
	wall      Wall
	eye       photo.Vec // the camera in the wall's frame
	towards   photo.Vec // to the sun in the wall's frame; z not above 0: none reaches it
	taken     photo.Vec // the same when the photo was taken, which cast its shadows
	dome      *dome
	upright   func() *dome // the same across vertical panels, worked out where one hangs
	light     ambient
	mirror    colour.Linear // the sky's mean light as it is mirrored
	sun       colour.Linear // where nothing stands before the sun
	cells     grid
	shine     []float32 // share of the sun that reaches the face plane, by cell
	painted   *sunTable // the same for painting, made when the light is found
	coarse    grid
	old       *oldTable
	occlusion *occlusion   // in the shade; nil: none
	own       []float32    // how the old surface deviates from its mean colour, by coarse cell
	scale     [3][]float32 // the ambient light beside what dome and light give, by coarse cell
}

// underSky lays the sky over a wall, its sun known.
func (d *daylight) underSky() {
	towards := d.towards
	d.dome = skyDome(towards, false)
	d.upright = sync.OnceValue(func() *dome { return skyDome(towards, true) })
}

// flat is the ambient light of a plain white wall under an overhang whose edge stands
// at profile angle eave.
func (d *daylight) flat(eave float64) colour.Linear {
	sky, ground := d.dome.flat(eave)
	return d.light.sky.Scale(sky).Plus(d.light.ground.Scale(ground))
}

// plain is that light at a place of the wall.
func (d *daylight) plain(x, y float64) colour.Linear {
	out, cells := d.flat(d.wall.eave(x, y)), d.coarse.around(x, y)
	for c := range out {
		out[c] *= cells.of(d.scale[c])
	}
	return out
}

// samples are what the pixels of the old cladding say, gathered by cells of the
// face plane: light through the old colour, and what the old face makes of sun and
// ambient light there.
type samples struct {
	n            []float32 // 1 where there is one, near where something else is seen beside it
	value        [3][]float32
	sun, ambient []float32
}

// oldView is the old face at one height as the camera sees it.
type oldView struct {
	lit, shaded  bool // all of the footprint in the sun, or none
	sun, ambient float64
	z            float64
}

// minimal shares and counts.
const (
	near      = 0.5  // a sample beside something else tells where the sun is, not how bright
	pureMask  = 245  // a pixel counts for the light where the mask is at least this
	twoLevels = 1.45 // lit and shaded cladding differ at least so much
)

// gather looks, for every cell of the face plane, at the old surface that lies on
// the same ray of the sun, and at the photo there. A ray that lands in the old face's
// own shade, off the cladding or behind something in front tells nothing.
func (d *daylight) gather(p *Photo, pixels *decoded, owner func(x, y int) bool, old *oldTable) *samples {
	s := &samples{n: d.cells.zeros(), sun: d.cells.zeros(), ambient: d.cells.zeros()}
	for c := range s.value {
		s.value[c] = d.cells.zeros()
	}
	field := d.cells.zeros()
	d.cells.raster(d.wall.Field, func(j, from, to int) {
		for i := from; i < to; i++ {
			field[j*d.cells.w+i] = 1
		}
	})
	cores.Each(d.cells.h, func(j int) {
		for n := j * d.cells.w; n < (j+1)*d.cells.w; n++ {
			x, y, o := d.behind(d.cells.middle(n), old)
			if k := d.cells.cell(x, y); k < 0 || field[k] == 0 || !o.lit && d.towards.Z > 0 {
				continue
			}
			at, ok := p.Camera.Project(d.wall.Plane.Off(x, y, o.z-d.wall.Standoff))
			if !ok {
				continue
			}
			q, amid := pixelOf(at), p.pure(at)
			if !amid && !p.alone(q) || !owner(q.X, q.Y) {
				continue
			}
			if amid {
				s.put(n, pixels.sharply(at).Over(p.Old.Colour), o)
			} else {
				s.put(n, pixels.at(q.X, q.Y).Over(p.Old.Colour), o)
				s.n[n] = near
			}
		}
	})
	return s
}

// behind is the place of the old surface on the sun's ray through a place of the
// face plane.
func (d *daylight) behind(q XY, old *oldTable) (x, y float64, o oldView) {
	run, rise := d.shift()
	y = q.Y
	for range 3 {
		y = q.Y - (d.wall.Standoff-old.on(q.X, y).z)*rise
	}
	o = old.on(q.X, y)
	return q.X - (d.wall.Standoff-o.z)*run, y, o
}

// pure says whether the four pixels around a place are all cladding.
func (p *Photo) pure(at photo.Pixel) bool {
	u, v := int(math.Floor(at.U-0.5)), int(math.Floor(at.V-0.5))
	b := p.Image.Rect
	if u < b.Min.X || v < b.Min.Y || u+1 >= b.Max.X || v+1 >= b.Max.Y {
		return false
	}
	own := p.Own
	if own == nil {
		own = p.Mask
	}
	if own == nil {
		return true
	}
	k, m := own.PixOffset(u, v), own.Pix
	return min(m[k], m[k+1], m[k+own.Stride], m[k+own.Stride+1]) >= pureMask
}

func (s *samples) put(n int, v colour.Linear, o oldView) {
	s.n[n] = 1
	for c := range v {
		s.value[c][n] = float32(v[c])
	}
	s.sun[n], s.ambient[n] = float32(o.sun), float32(o.ambient)
}

// shift is how far the photo's sunlight moves along the wall for an inch of depth.
func (d *daylight) shift() (run, rise float64) {
	if d.taken.Z <= 0.02 {
		return 0, 0
	}
	return d.taken.X / d.taken.Z, d.taken.Y / d.taken.Z
}

// slant is how far a sight that meets the wall near a place moves along it, across and
// up, for an inch that it goes in.
func (d *daylight) slant(x, y float64) (across, up float64) {
	out := max(1, d.eye.Z)
	return (x - d.eye.X) / out, (y - d.eye.Y) / out
}

// drawn is where the sunlight that falls on what a sight shows passed the face plane,
// beside the place (x, y) at which the sight passed depth reference: what is seen lies
// at depth z, and the photo's sun stands aslant.
func (d *daylight) drawn(x, y, reference, z float64) (across, up float64) {
	run, rise := d.shift()
	sideways, upwards := d.slant(x, y)
	in, out := reference-z, d.wall.Standoff-z
	return in*sideways + out*run, in*upwards + out*rise
}

func (g grid) zeros() []float32 { return make([]float32, g.w*g.h) }

// oldTable is the old face by height.
type oldTable struct {
	low, step, reference float64
	rows                 []oldView
	lean                 Lean
}

// on is the old face at a place of the wall.
func (t *oldTable) on(x, y float64) oldView { return t.at(y - t.lean.at(x, y)) }

func (t *oldTable) at(y float64) oldView {
	return t.rows[min(len(t.rows)-1, max(0, int((y-t.low)/t.step)))]
}

// oldTable traces the old face over the wall's height, with what a pixel of the
// given size (inches) covers.
func (d *daylight) oldTable(o Old, eye photo.Vec, footprint float64) *oldTable {
	low, high := d.wall.box()
	r := newRelief(o.Face, d.dome, d.towards, false)
	t := &oldTable{lean: d.wall.Lean, low: low.Y - 1, step: 1.0 / 16, reference: o.Face.front() * 0.7}
	for y := t.low; y < high.Y+1; y += t.step {
		at, z := r.sight(y-o.Datum, slope(y-eye.Y, eye.Z), t.reference)
		s := r.spots[at]
		middle := (low.X + high.X) / 2
		sky, ground := s.under(d.dome, d.wall.eave(middle, y))
		plainSky, plainGround := d.dome.flat(d.wall.eave(middle, y))
		t.rows = append(t.rows, oldView{lit: s.lit, shaded: !s.lit, sun: s.sun, z: z,
			ambient: (sky + 0.5*ground) / (plainSky + 0.5*plainGround)})
	}
	around := int(math.Ceil(footprint * 0.75 / t.step))
	rows := slices.Clone(t.rows)
	for i := range rows {
		for j := max(0, i-around); j <= min(len(rows)-1, i+around); j++ {
			t.rows[i].lit = t.rows[i].lit && rows[j].lit
			t.rows[i].shaded = t.rows[i].shaded && rows[j].shaded
		}
	}
	return t
}

// levels finds how bright lit and shaded cladding are on the wall (luminance of the
// samples), by Otsu's threshold on the logarithm (IEEE Transactions on Systems, Man
// and Cybernetics 9 (1979), 62-66). Two is false where there is but one level.
func (s *samples) levels() (shaded, lit float64, two bool) {
	var logs []float64
	for i, n := range s.n {
		if n > 0 {
			logs = append(logs, math.Log(max(1e-4, s.luminance(i))))
		}
	}
	if len(logs) < 16 {
		return 0, 0, false
	}
	slices.Sort(logs)
	logs = logs[len(logs)/200 : len(logs)-len(logs)/200]
	cut := otsu(logs)
	shaded = math.Exp(logs[cut/2])
	lit = math.Exp(logs[(cut+len(logs))/2])
	return shaded, lit, lit > twoLevels*shaded && cut > len(logs)/200
}

func (s *samples) luminance(i int) float64 {
	return colour.Linear{float64(s.value[0][i]), float64(s.value[1][i]), float64(s.value[2][i])}.Luminance()
}

// otsu is the place in a rising list that parts it best in two.
func otsu(logs []float64) (cut int) {
	var total, sum float64
	for _, v := range logs {
		total += v
	}
	best := -1.0
	for i, v := range logs[:len(logs)-1] {
		sum += v
		n, m := float64(i+1), float64(len(logs)-i-1)
		gap := sum/n - (total-sum)/m
		if b := n * m * gap * gap; b > best {
			best, cut = b, i+1
		}
	}
	return cut
}

// alone says whether a pixel is all cladding, whatever is beside it.
func (p *Photo) alone(q image.Point) bool {
	own := p.Own
	if own == nil {
		own = p.Mask
	}
	return q.In(p.Image.Rect) && (own == nil || own.GrayAt(q.X, q.Y).Y >= pureMask)
}
