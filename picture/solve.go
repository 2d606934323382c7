package picture

import (
	"math"

	"coilwright/colour"
	"coilwright/photo"
)

// solve finds the light on every wall of the photo: where the sun reaches it, what
// the sun gives and what sky and ground give. It goes from the photo to the light by
// what is known: a wall is plane, so the sun is the same wherever it reaches; the old
// cladding's courses repeat; dirt and boards change slowly or little, shadows
// strongly. Dirt and the tints of boards fall out; shadows and their gradations stay.
func solve(p *Photo) []*daylight {
	pixels := decode(p.Image)
	out := make([]*daylight, len(p.Walls))
	read := make([]*samples, len(p.Walls))
	for i := range p.Walls {
		out[i] = newDaylight(p, i)
		read[i] = out[i].gather(p, pixels, p.owner(i), out[i].oldTable(p.Old, out[i].wall.eye(p.Camera), out[i].cells.pitch))
	}
	ground := groundLight(p, pixels)
	classes := make([][]float32, len(out))
	for i, d := range out {
		classes[i] = d.classes(read[i])
	}
	fitAmbient(out, read, classes, ground)
	for i, d := range out {
		d.solve(read[i], classes[i])
	}
	calibrate(p, pixels, out)
	return out
}

// newDaylight prepares one wall: its sky and its rasters. Cells are about as large
// as the photo's pixels there, never finer than 0.2 in.
func newDaylight(p *Photo, i int) *daylight {
	w := p.Walls[i]
	d := &daylight{wall: w, towards: w.local(p.Sun)}
	if p.Sun.Len() > 0 {
		d.towards = d.towards.Unit()
	}
	d.dome = skyDome(d.towards, false)
	low, high := w.box()
	pitch := max(0.2, min(2, w.pixelSize(p.Camera)))
	d.cells = newGrid(XY{low.X - 2, low.Y - 2}, XY{high.X + 2, high.Y + 2}, pitch)
	d.coarse = newGrid(low, high, 2)
	return d
}

// pixelSize is about how many inches of the wall a pixel shows, in its middle.
func (w Wall) pixelSize(c photo.Camera) float64 {
	low, high := w.box()
	x, y := (low.X+high.X)/2, (low.Y+high.Y)/2
	a, okA := c.Project(w.Plane.At(x-1, y))
	b, okB := c.Project(w.Plane.At(x+1, y))
	e, okE := c.Project(w.Plane.At(x, y-1))
	f, okF := c.Project(w.Plane.At(x, y+1))
	if !(okA && okB && okE && okF) {
		return 1
	}
	along, up := math.Hypot(a.U-b.U, a.V-b.V)/2, math.Hypot(e.U-f.U, e.V-f.V)/2
	return 1 / max(1e-3, math.Sqrt(along*up))
}

// owner says whether a pixel shows wall i and no nearer wall.
func (p *Photo) owner(i int) func(x, y int) bool {
	if len(p.Walls) == 1 {
		return func(int, int) bool { return true }
	}
	return func(x, y int) bool {
		at := photo.Pixel{U: float64(x) + 0.5, V: float64(y) + 0.5}
		ray, ok := p.Camera.Ray(at)
		if !ok {
			return false
		}
		centre := p.Camera.Centre()
		best, nearest := -1, math.Inf(1)
		for j, w := range p.Walls {
			wx, wy, ok := p.Camera.OnPlane(at, w.Plane)
			if !ok || !inside([]Ring{w.Outline}, wx, wy) {
				continue
			}
			if t := w.Plane.At(wx, wy).Sub(centre).Dot(ray); t < nearest {
				best, nearest = j, t
			}
		}
		return best == i
	}
}

// groundLight is the light that comes up from the ground, from the photo's lower
// fifth: what a white surface that saw nothing else would send back.
func groundLight(p *Photo, pixels *decoded) colour.Linear {
	var sum colour.Linear
	n := 0.0
	b := p.Image.Rect
	for y := b.Max.Y - b.Dy()/5; y < b.Max.Y; y += 3 {
		for x := b.Min.X; x < b.Max.X; x += 3 {
			sum = sum.Plus(pixels.at(x, y))
			n++
		}
	}
	return sum.Scale(1 / max(1, n))
}

// classes says of each sample how much in the sun it lies at first sight: 1 in the
// sun, 0 in the shade, -1 unsure.
func (d *daylight) classes(s *samples) []float32 {
	out := d.cells.zeros()
	shaded, lit, two := s.levels()
	for i, n := range s.n {
		switch l := s.luminance(i); {
		case n == 0:
			out[i] = -1
		case d.towards.Z <= 0:
			out[i] = 0
		case !two:
			out[i] = 1
		default:
			t := math.Log(l/shaded) / math.Log(lit/shaded)
			out[i] = -1
			if t > 0.7 {
				out[i] = 1
			} else if t < 0.3 {
				out[i] = 0
			}
		}
	}
	return out
}

// fitAmbient finds the light of sky and ground that fits the shaded cladding of all
// walls best, least squares by channel, drawn towards the ground as the photo shows
// it; where nothing lies in the shade, from the usual share of skylight.
func fitAmbient(out []*daylight, read []*samples, classes [][]float32, ground colour.Linear) {
	var light ambient
	for c := range 3 {
		var ss, sg, gg, sv, gv, n float64
		for i, d := range out {
			for k, class := range classes[i] {
				if class != 0 || read[i].n[k] == 0 {
					continue
				}
				at := d.cells.middle(k)
				sky, grd := d.dome.flat(d.wall.eave(at.X, at.Y))
				v := float64(read[i].value[c][k] / read[i].ambient[k])
				ss, sg, gg, sv, gv, n = ss+sky*sky, sg+sky*grd, gg+grd*grd, sv+sky*v, gv+grd*v, n+1
			}
		}
		if n < 30 {
			light.sky[c], light.ground[c] = -1, ground[c]
			continue
		}
		const pull = 0.05 // weight of the photo's ground, as a share of the samples
		gg, gv = gg+pull*n, gv+pull*n*ground[c]
		det := ss*gg - sg*sg
		light.sky[c] = max(0, (sv*gg-gv*sg)/max(1e-12, det))
		light.ground[c] = max(0, (ss*gv-sg*sv)/max(1e-12, det))
	}
	for _, d := range out {
		d.light = light
	}
}

// solve finds the sun's share cell by cell and the ambient light's course.
func (d *daylight) solve(s *samples, class []float32) {
	d.usualSky(s, class)
	d.sun = d.sunFrom(s, class)
	for c := range d.scale {
		d.scale[c] = make([]float32, d.coarse.w*d.coarse.h)
		for i := range d.scale[c] {
			d.scale[c][i] = 1
		}
	}
	d.shine = append([]float32(nil), class...)
	for i, n := range s.n {
		if n == 0 {
			d.shine[i] = -1
		}
	}
	if d.towards.Z <= 0 || d.sun.Luminance() <= 0 {
		d.followShade(s, class)
		for i := range d.shine {
			d.shine[i] = 0
		}
		return
	}
	for range 3 {
		d.share(s, class)
	}
	d.followShade(s, class)
	d.settle(s)
}

// usualSky stands in where no cladding lies in the shade: a sky that gives a plain
// wall a sixth of what the sun gives square on, bluer than the sun (assumed).
func (d *daylight) usualSky(s *samples, class []float32) {
	if d.light.sky[0] >= 0 && d.light.sky[1] >= 0 && d.light.sky[2] >= 0 {
		return
	}
	var sum colour.Linear
	n := 0.0
	for i, c := range class {
		if c == 1 && s.n[i] > 0 {
			sum = sum.Plus(colour.Linear{float64(s.value[0][i]), float64(s.value[1][i]), float64(s.value[2][i])})
			n++
		}
	}
	all := sum.Scale(1 / max(1, n)).Luminance()
	square := all / (max(0.2, d.towards.Z) + 0.25)
	d.light.sky = colour.Linear{0.7, 1, 1.5}.Scale(square * 0.25)
}

// sunFrom is the sun on a plain white wall: the lit samples less their ambient light.
func (d *daylight) sunFrom(s *samples, class []float32) (out colour.Linear) {
	n := 0.0
	for i, c := range class {
		if c != 1 || s.n[i] == 0 || s.sun[i] < 0.2 {
			continue
		}
		at := d.cells.middle(i)
		sky, ground := d.dome.flat(d.wall.eave(at.X, at.Y))
		plain := d.light.sky.Scale(sky).Plus(d.light.ground.Scale(ground))
		for k := range out {
			out[k] += (float64(s.value[k][i]) - plain[k]*float64(s.ambient[i])) / float64(s.sun[i])
		}
		n++
	}
	for k := range out {
		out[k] = max(0, out[k]/max(1, n))
	}
	return out
}

// share finds how much of the sun reaches each sample, given how the old surface
// deviates from its mean colour round about, which it takes from samples that are
// surely lit or shaded; class is updated by what comes out.
func (d *daylight) share(s *samples, class []float32) {
	sun := d.sun.Luminance()
	ratio, weight := d.cells.zeros(), d.cells.zeros()
	plain := d.cells.zeros()
	for i, n := range s.n {
		if n == 0 {
			continue
		}
		at := d.cells.middle(i)
		plain[i] = float32(d.plain(at.X, at.Y).Luminance()) * s.ambient[i]
		if class[i] < 0 {
			continue
		}
		ratio[i] = float32(s.luminance(i)) / (float32(sun)*s.sun[i]*class[i] + plain[i])
		weight[i] = 1
	}
	local, sum := d.cells.spread(ratio, weight, 10, 3)
	wide, _ := d.cells.spread(ratio, weight, 40, 12)
	for i, n := range s.n {
		if n == 0 {
			continue
		}
		own := wide[i]
		if sum[i] > 0.02 {
			own = local[i]
		}
		if own <= 0 {
			own = 1
		}
		v := (float32(s.luminance(i))/own - plain[i]) / (float32(sun) * max(0.05, s.sun[i]))
		d.shine[i] = v
		switch {
		case v > 0.75:
			class[i] = 1
		case v < 0.2:
			class[i] = 0
		default:
			class[i] = -1
		}
	}
}

// followShade lets the ambient light keep the gradations that the shaded cladding
// shows beside what sky, ground and overhangs explain.
func (d *daylight) followShade(s *samples, class []float32) {
	for c := range 3 {
		v, weight := d.coarse.cellsOf(d, s, class, c)
		mean, sum := d.coarse.spread(v, weight, 16, 8)
		for i := range mean {
			trust := sum[i] / (sum[i] + 0.5)
			d.scale[c][i] = 1 + trust*(mean[i]-1)
		}
	}
}

// cellsOf gathers, by coarse cell, what shaded samples have beside the model.
func (g grid) cellsOf(d *daylight, s *samples, class []float32, c int) (v, weight []float32) {
	v, weight = g.zeros(), g.zeros()
	for i, n := range s.n {
		if n == 0 || class[i] != 0 {
			continue
		}
		at := d.cells.middle(i)
		k := g.cell(at.X, at.Y)
		if k < 0 {
			continue
		}
		sky, ground := d.dome.flat(d.wall.eave(at.X, at.Y))
		plain := d.light.sky[c]*sky + d.light.ground[c]*ground
		v[k] += s.value[c][i] / s.ambient[i] / float32(max(1e-6, plain))
		weight[k]++
	}
	for i := range v {
		if weight[i] > 0 {
			v[i] /= weight[i]
			weight[i] = min(1, weight[i]/8)
		}
	}
	return v, weight
}

// settle turns the sun's shares into a map without holes: what is nearly all or
// nothing is all or nothing, what the old face's own shade hides is filled from
// around.
func (d *daylight) settle(s *samples) {
	weight := d.cells.zeros()
	for i, n := range s.n {
		if n == 0 {
			d.shine[i] = 0
			continue
		}
		weight[i] = 1
		d.shine[i] = min(1, max(0, (d.shine[i]-0.1)/0.75))
	}
	d.shine = d.cells.fill(d.shine, weight, d.cells.pitch*1.5, d.cells.pitch*1.5)
}

// calibrate brings the light to what the references say: lit ones give sun and
// ambient together, shaded ones the ambient light.
func calibrate(p *Photo, pixels *decoded, out []*daylight) {
	var lit, shaded [3]float64 // sums of logarithms
	var nLit, nShaded float64
	for _, r := range p.References {
		for _, at := range r.Pixels {
			d, x, y := nearestWall(p, out, at)
			if d == nil || int(at.U) >= p.Image.Rect.Max.X || int(at.V) >= p.Image.Rect.Max.Y || at.U < 0 || at.V < 0 {
				continue
			}
			v := pixels.at(int(at.U), int(at.V)).Over(r.Known)
			plain := d.plain(x, y)
			full := plain.Plus(d.sun)
			if v.Luminance() > math.Sqrt(full.Luminance()*plain.Luminance()) && d.towards.Z > 0 {
				for c := range v {
					lit[c] += math.Log(max(1e-4, v[c]) / max(1e-4, full[c]))
				}
				nLit++
			} else {
				for c := range v {
					shaded[c] += math.Log(max(1e-4, v[c]) / max(1e-4, plain[c]))
				}
				nShaded++
			}
		}
	}
	for c := range 3 {
		up, amb := 1.0, 1.0
		if nLit > 0 {
			up = math.Exp(lit[c] / nLit)
			amb = up
		}
		if nShaded > 0 {
			amb = math.Exp(shaded[c] / nShaded)
		}
		for _, d := range out {
			low, high := d.wall.box()
			mid := d.plain((low.X+high.X)/2, low.Y+(high.Y-low.Y)/3)[c]
			d.sun[c] = max(0, up*(d.sun[c]+mid)-amb*mid)
			d.light.sky[c] *= amb
			d.light.ground[c] *= amb
		}
	}
}

// nearestWall finds the wall that a pixel shows, casings and boards included.
func nearestWall(p *Photo, out []*daylight, at photo.Pixel) (*daylight, float64, float64) {
	var best *daylight
	var bx, by float64
	nearest := math.Inf(1)
	for _, d := range out {
		x, y, ok := p.Camera.OnPlane(at, d.wall.Plane)
		if !ok || !inside([]Ring{d.wall.Outline}, x, y) {
			continue
		}
		if t := d.wall.Plane.At(x, y).Sub(p.Camera.Centre()).Len(); t < nearest {
			best, bx, by, nearest = d, x, y, t
		}
	}
	return best, bx, by
}
