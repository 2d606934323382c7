package picture

import (
	"math"
	"sync/atomic"

	"coilwright/cores"
)

// occlusion is what things that stand close to a wall, a downspout, a trunk, a lamp, leave
// of the light of sky and ground in their shade: 1 where they hide nothing of either, less
// in the corner between them and the wall.
type occlusion struct {
	grid
	left []float32
}

// Bounds of what is taken for such shade, as shares of the light that sky, ground and
// overhangs explain: above the first it may be the old boards' tints, below the second it
// is trusted. So close to what stands in front; farther off both are lower by fartherBy
// (assumed).
const (
	occluded     = 0.97
	occludedFull = 0.87
	fartherBy    = 0.12
)

// How far, in cells, what stands in front is looked for, and over how many cells around
// the light is meant: along it by a Gaussian of that deviation, away from it no further
// than closeAway, for there the light falls off quickly.
const (
	closeReach  = 8
	closeWindow = 6
	closeAlong  = 3.0
	closeAway   = 1.2
)

// occlude finds where the shaded cladding is much darker than the ambient light explains.
func (d *daylight) occlude(p *Photo, wall int, s *samples, class, own []float32) {
	g := newGrid(d.cells.low, d.cells.end(), 2*d.cells.pitch) // about a pixel
	v, weight := d.shaded(g, s, class, own)
	around := g.withinWindow(weight)
	far := d.farFromFront(p, g, p.owner(wall))
	var along [closeWindow + 1]float32
	for k := range along {
		along[k] = float32(math.Exp(-float64(k*k) / (2 * closeAlong * closeAlong)))
	}
	left := g.zeros()
	var some atomic.Bool
	cores.Each(g.h, func(j int) {
		for i := range g.w {
			k := j*g.w + i
			left[k] = 1
			if !around[k] {
				continue
			}
			off := fartherBy * far[k] / closeReach
			if mean, ok := g.besides(v, weight, far, along[:], i, j); ok && mean < occluded-off {
				left[k] -= falling(float64(mean), float64(occludedFull-off), float64(occluded-off)) * (1 - mean)
				some.Store(true)
			}
		}
	})
	if some.Load() {
		d.occlusion = &occlusion{g, left}
	}
}

// shaded is how bright shaded cladding is beside what the ambient light explains, by cell
// of the old surface, and how many samples say so.
func (d *daylight) shaded(g grid, s *samples, class, own []float32) (v, weight []float32) {
	v, weight = g.zeros(), g.zeros()
	plain := d.plainLuminance()
	for i, n := range s.n {
		if n == 0 || !d.amidShade(s, class, i) {
			continue
		}
		at := d.cells.middle(i)
		k := g.cell(d.onOld(at))
		if k < 0 {
			continue
		}
		v[k] += float32(s.luminance(i)) / (s.ambient[i] * own[i] * max(1e-6, plain(at)))
		weight[k]++
	}
	for k := range v {
		v[k] /= max(1, weight[k])
	}
	return v, weight
}

// onOld is the place of the old surface on the sun's ray through a place of the face plane.
func (d *daylight) onOld(at XY) (x, y float64) {
	x, y, _ = d.behind(at, d.old)
	return x, y
}

// withinWindow says which cells have some weight within the window around them.
func (g grid) withinWindow(weight []float32) []bool {
	some := make([]float32, len(weight))
	for k, w := range weight {
		some[k] = min(1, w)
	}
	g.boxRows(some, closeWindow)
	g.boxColumns(some, closeWindow)
	const one = 1.0 / (2*closeWindow + 1) / (2*closeWindow + 1)
	out := make([]bool, len(some))
	for k, v := range some {
		out[k] = v > one/2
	}
	return out
}

// farFromFront is how many cells each cell lies off what is no cladding, closeReach at
// most: twice over all cells, by steps to their neighbours (Borgefors, Computer Vision,
// Graphics, and Image Processing 34 (1986), 344-371).
func (d *daylight) farFromFront(p *Photo, g grid, owner func(u, v int) bool) []float32 {
	far := g.zeros()
	cores.Each(g.h, func(j int) {
		for k := j * g.w; k < (j+1)*g.w; k++ {
			far[k] = closeReach
			at := g.middle(k)
			q, ok := p.Camera.Project(d.wall.Plane.Off(at.X, at.Y, d.old.on(at.X, at.Y).z-d.wall.Standoff))
			if i := pixelOf(q); ok && (!p.alone(i) || !owner(i.X, i.Y) || !inside(d.wall.Field, at.X, at.Y)) {
				far[k] = 0
			}
		}
	})
	pass := func(i, j, way int) {
		k := j*g.w + i
		for _, to := range [4][2]int{{-1, 0}, {0, -1}, {-1, -1}, {1, -1}} {
			x, y := i+way*to[0], j+way*to[1]
			if x >= 0 && x < g.w && y >= 0 && y < g.h {
				far[k] = min(far[k], far[y*g.w+x]+float32(math.Hypot(float64(to[0]), float64(to[1]))))
			}
		}
	}
	for k := range far {
		pass(k%g.w, k/g.w, 1)
	}
	for k := len(far) - 1; k >= 0; k-- {
		pass(k%g.w, k/g.w, -1)
	}
	return far
}

// besides is the mean of v around a cell, of cells that lie as far off what stands in
// front as it does; along are the weights of cells so many off.
func (g grid) besides(v, weight, far, along []float32, i, j int) (float32, bool) {
	var sum, all float32
	for y := max(0, j-closeWindow); y <= min(g.h-1, j+closeWindow); y++ {
		for x := max(0, i-closeWindow); x <= min(g.w-1, i+closeWindow); x++ {
			k := y*g.w + x
			if w := weight[k] * (1 - abs(far[k]-far[j*g.w+i])/closeAway); w > 0 {
				w *= along[max(x-i, i-x)] * along[max(y-j, j-y)]
				sum, all = sum+w*v[k], all+w
			}
		}
	}
	return sum / max(1e-9, all), all > 0.01
}

// at is how much of the ambient light reaches a place that gets such a share of the sun:
// where it gets all of it, nothing stands close before it.
func (o *occlusion) at(x, y, sun float64) float64 {
	if o == nil {
		return 1
	}
	return 1 - (1-o.sample(o.left, x, y))*(1-min(1, max(0, sun)))
}

// reaching is how much of the ambient light reaches the old surface on the sun's ray through
// a place of the face plane, where such a share of the sun does.
func (d *daylight) reaching(at XY, sun float32) float32 {
	if d.occlusion == nil {
		return 1
	}
	x, y := d.onOld(at)
	return float32(d.occlusion.at(x, y, float64(sun)))
}

// hidden is what of the ambient light, of 256, does not reach the pixels of a stretch where
// no sun does; nil where all of it reaches all of them.
func (d *daylight) hidden(t *stretch) *[span]uint8 {
	if d.occlusion == nil {
		return nil
	}
	var out [span]uint8
	some := false
	for k := t.from; k < t.to; k++ {
		x, y := t.place(float64(k) / span)
		out[k] = uint8(min(255, 256*(1-d.occlusion.at(x, y, 0))+0.5))
		some = some || out[k] > 0
	}
	if !some {
		return nil
	}
	return &out
}
