package picture

import (
	"math"

	"coilwright/photo"
)

// Shade is how a stretch of a cross-section stands to the light, for drawing it as a
// flat surface with normals: Up and Out are the mean outward normal's parts, of
// length 1 together; Open is how much of an even light all around reaches it, beside
// a plain wall.
type Shade struct{ Up, Out, Open float64 }

// Shades cuts one period of a face into n stretches of one height each, the lowest
// first, by tracing rays in the cross-section. A step that rises square to the wall
// counts with its length in the stretch below it. Vertical panels give x for y.
func (f Face) Shades(n int) []Shade {
	even := evenDome()
	r := newRelief(f, even, even.towards, false)
	sky, ground := even.flat(open)
	type sum struct{ up, out, light, length float64 }
	all := make([]sum, n)
	for i, e := range r.edges {
		count := r.starts[i+1] - r.starts[i]
		length := math.Hypot(e.to.Y-e.from.Y, e.to.Z-e.from.Z) / float64(count)
		for _, s := range r.spots[r.starts[i]:r.starts[i+1]] {
			k := min(n-1, max(0, int(s.y/f.Period*float64(n))))
			all[k].up += s.ny * length
			all[k].out += s.nz * length
			all[k].light += float64(s.sky[angles]+s.ground[angles]) / (sky + ground) * length
			all[k].length += length
		}
	}
	out := make([]Shade, n)
	last := Shade{0, 1, 1}
	for k, s := range all {
		if l := math.Hypot(s.up, s.out); l > 1e-9 {
			last = Shade{s.up / l, s.out / l, min(1, s.light/s.length)}
		}
		out[k] = last
	}
	return out
}

// evenDome is light that is the same from all directions.
func evenDome() *dome {
	var d dome
	hemisphere(90, func(el float64, v photo.Vec, solid float64) {
		length := math.Hypot(v.Y, v.Z)
		k := min(angles-1, int((math.Atan2(v.Y, v.Z)/math.Pi+0.5)*angles))
		d.sky[k] += length * solid / math.Pi
	})
	d.sum()
	return &d
}
