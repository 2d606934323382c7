package picture

import (
	"math"
	"slices"

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
		out[i].old = out[i].oldTable(p.Old, out[i].wall.eye(p.Camera), out[i].cells.pitch)
		read[i] = out[i].gather(p, pixels, p.owner(i), out[i].old)
		if d := out[i]; d.mottled(read[i]) { // no laps, whatever seemed to repeat
			flat := p.Old
			flat.Face = Flat(0.4)
			d.old = d.oldTable(flat, d.wall.eye(p.Camera), d.cells.pitch)
			read[i] = d.gather(p, pixels, p.owner(i), d.old)
			d.calm(read[i])
		}
	}
	ground := groundLight(p, pixels)
	classes := make([][]float32, len(out))
	for i, d := range out {
		classes[i] = d.classes(read[i])
	}
	shadeWhole(out, read, classes)
	own := make([][]float32, len(out))
	for round := range 4 {
		fitAmbient(out, read, classes, own, ground)
		for i, d := range out {
			if round == 0 {
				d.usualSky(read[i], classes[i], ground)
			}
			d.sun = d.sunFrom(read[i], classes[i])
			if d.sunny() {
				own[i] = d.deviation(read[i], classes[i])
				d.share(read[i], classes[i], own[i])
			}
		}
	}
	for i, d := range out {
		d.followShade(read[i], classes[i], own[i])
		if d.sunny() {
			d.share(read[i], classes[i], own[i])
			d.occlude(p, i, read[i], classes[i], own[i])
			d.share(read[i], classes[i], own[i])
			d.settle(p, read[i])
		}
	}
	calibrate(p, pixels, out)
	for i, d := range out {
		d.own = d.oldness(read[i])
		d.mirror = d.mirroredSky(p, pixels)
	}
	return out
}

// oldness is how bright the old surface is round about beside what its mean colour
// would be in the light found, by coarse cell.
func (d *daylight) oldness(s *samples) []float32 {
	v, weight := d.coarse.zeros(), d.coarse.zeros()
	sun, plain := float32(d.sun.Luminance()), d.plainLuminance()
	for i, n := range s.n {
		at := d.cells.middle(i)
		k := d.coarse.cell(at.X, at.Y)
		if n < 1 || k < 0 {
			continue
		}
		v[k] += sun*d.shine[i]*s.sun[i] + d.reaching(at, d.shine[i])*plain(at)*s.ambient[i]
		weight[k] += float32(s.luminance(i))
	}
	for k := range v {
		v[k], weight[k] = weight[k]/max(1e-6, v[k]), min(1, weight[k])
	}
	mean, sum := d.coarse.spread(v, weight, 6, 4)
	for k := range mean {
		if sum[k] == 0 {
			mean[k] = 1
		}
	}
	return mean
}

// sunny says whether the sun plays on the wall at all.
func (d *daylight) sunny() bool { return d.towards.Z > 0 && d.sun.Luminance() > 0 }

// newDaylight prepares one wall: its sky and its rasters. Cells are finer
// than the photo's pixels there, for fine shadows, but never finer than 0.18 in, which no
// shadow's edge is: the sun's disc blurs it by 1 in 107.
func newDaylight(p *Photo, i int) *daylight {
	w := p.Walls[i]
	d := &daylight{wall: w, eye: w.eye(p.Camera), towards: w.local(p.Sun)}
	if p.Sun.Len() > 0 {
		d.towards = d.towards.Unit()
	}
	d.taken = d.towards
	d.underSky()
	low, high := w.box()
	pitch := max(0.18, min(2, 0.4*w.pixelSize(p.Camera)))
	d.cells = newGrid(XY{low.X - 2, low.Y - 2}, XY{high.X + 2, high.Y + 2}, pitch)
	d.coarse = newGrid(low, high, 2)
	d.shine = d.cells.zeros()
	for c := range d.scale {
		d.scale[c] = d.coarse.zeros()
		for i := range d.scale[c] {
			d.scale[c][i] = 1
		}
	}
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
	s := p.visibility()
	return func(x, y int) bool { return s.wallAt(x, y) == i }
}

// groundLight is the light that comes up from the ground, from the photo's lower
// fifth: what a white surface that saw nothing else would send back. The median, for
// a path or a car in front says little of the lawn around it.
func groundLight(p *Photo, pixels *decoded) (out colour.Linear) {
	var all [3][]float64
	b := p.Image.Rect
	step := max(1, b.Dx()/400)
	for y := b.Max.Y - b.Dy()/5; y < b.Max.Y; y += step {
		for x := b.Min.X; x < b.Max.X; x += step {
			for c, v := range pixels.at(x, y) {
				all[c] = append(all[c], v)
			}
		}
	}
	for c, v := range all {
		if len(v) > 0 {
			slices.Sort(v)
			out[c] = v[len(v)/2]
		}
	}
	return out
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

// usualShade is what sky and ground give a plain wall, beside the sun square on (assumed).
const usualShade = 0.25

// shadeWhole puts walls that seem all in the sun, for they have one light, into the shade
// where another wall of the same cladding is so much brighter that no sun can reach them.
func shadeWhole(out []*daylight, read []*samples, classes [][]float32) {
	bright, best := make([]float64, len(out)), 0
	for i := range out {
		if bright[i] = read[i].brightest(classes[i]); bright[i] > bright[best] {
			best = i
		}
	}
	full := usualShade + out[best].towards.Z
	for i, d := range out {
		lit, shaded := (usualShade+d.towards.Z)/full, usualShade/full
		if i == best || slices.Contains(classes[i], 0) || bright[i] > math.Sqrt(lit*shaded)*bright[best] {
			continue
		}
		for k, c := range classes[i] {
			if c == 1 {
				classes[i][k] = 0
			}
		}
	}
}

// brightest is how bright the samples in the sun are in the middle, 0 where there are none.
func (s *samples) brightest(class []float32) float64 {
	var all []float64
	for i, c := range class {
		if c == 1 && s.n[i] > 0 {
			all = append(all, s.luminance(i))
		}
	}
	return quantile(all, 0.5)
}

// fitAmbient finds the light of sky and ground that fits the shaded cladding of all
// walls best, least squares by channel, drawn towards the ground as the photo shows
// it. Where too little lies in the shade the light stays as it is.
func fitAmbient(out []*daylight, read []*samples, classes, own [][]float32, ground colour.Linear) {
	var light ambient
	cores := make([][]int, len(out))
	for i, d := range out {
		cores[i] = d.core(read[i], classes[i])
	}
	for c := range 3 {
		var ss, sg, gg, sv, gv, n float64
		for i, d := range out {
			for _, k := range cores[i] {
				at := d.cells.middle(k)
				sky, grd := d.dome.flat(d.wall.eave(at.X, at.Y))
				v := float64(read[i].value[c][k] / read[i].ambient[k])
				if own[i] != nil {
					v /= float64(own[i][k])
				}
				ss, sg, gg, sv, gv, n = ss+sky*sky, sg+sky*grd, gg+grd*grd, sv+sky*v, gv+grd*v, n+1
			}
		}
		if n < 30 {
			return
		}
		const pull = 0.3 // weight of the photo's ground, as a share of the samples
		gg, gv = gg+pull*n, gv+pull*n*ground[c]
		det := ss*gg - sg*sg
		light.sky[c] = max(0, (sv*gg-gv*sg)/max(1e-12, det))
		light.ground[c] = max(0, (ss*gv-sg*sv)/max(1e-12, det))
	}
	for _, d := range out {
		d.light = light
	}
}

// core lists the samples that lie in the shade with all that is around them, out to
// about a pixel and a half: a shadow's edge, blurred by lens and sensor, is no
// measure of the shade.
func (d *daylight) core(s *samples, class []float32) (out []int) {
	for i, n := range s.n {
		if n >= 1 && d.amidShade(s, class, i) {
			out = append(out, i)
		}
	}
	return out
}

// amidShade says whether a cell and all samples around it lie in the shade.
func (d *daylight) amidShade(s *samples, class []float32, n int) bool {
	const r = 2
	if class[n] != 0 {
		return false
	}
	i, j := n%d.cells.w, n/d.cells.w
	for y := max(0, j-r); y <= min(d.cells.h-1, j+r); y++ {
		for x := max(0, i-r); x <= min(d.cells.w-1, i+r); x++ {
			if k := y*d.cells.w + x; s.n[k] > 0 && class[k] != 0 {
				return false
			}
		}
	}
	return true
}

// usualSky stands in where no cladding lies in the shade: a sky that gives a plain
// wall a sixth of what the sun gives square on, bluer than the sun (assumed).
func (d *daylight) usualSky(s *samples, class []float32, ground colour.Linear) {
	if d.light.sky.Luminance() > 0 {
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
	square := all / (max(0.2, d.towards.Z) + usualShade)
	d.light = ambient{colour.Linear{0.7, 1, 1.5}.Scale(square * usualShade), ground}
}

// sunFrom is the sun on a plain white wall: the lit samples less their ambient light.
func (d *daylight) sunFrom(s *samples, class []float32) (out colour.Linear) {
	n := 0.0
	for i, c := range class {
		if c != 1 || s.n[i] < 1 || s.sun[i] < 0.2 || i%7 != 0 { // a seventh is plenty
			continue
		}
		at := d.cells.middle(i)
		plain := d.flat(d.wall.eave(at.X, at.Y))
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
