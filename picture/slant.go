package picture

import "math"

// bend is where a sloping overhang stands over a stretch that it shades: the light
// there bends between the edges that tables stand at. Profile angles of its edge, over
// the edges of the stretch's group and at the quarters.
type bend struct {
	edge [2]float32
	at   [quarters + 1]float32
}

// bendOf is the bend of a stretch in column n, groups being so many columns wide, nil
// where no overhang slopes near above it.
func (w Wall) bendOf(s *stretch, n, group int) *bend {
	if !w.slanted(s) {
		return nil
	}
	eave := func(t float64) float32 {
		x := float64(s.a[0]) + t*float64(s.b[0]-s.a[0])
		return float32(w.eave(x, float64(s.a[1])+t*float64(s.b[1]-s.a[1])))
	}
	first := -float64(n % group)
	out := &bend{edge: [2]float32{eave(first), eave(first + float64(group))}}
	for k := range out.at {
		out.at[k] = eave(float64(k) / quarters)
	}
	return out
}

// slanted says whether an overhang that slopes shades a stretch unevenly.
func (w Wall) slanted(s *stretch) bool {
	const far = 5 // depths below an overhang, where it hides little of the sky
	for _, o := range w.Overhangs {
		rise := math.Abs(o.To.Y - o.From.Y)
		if o.Depth <= 0 || rise < 0.05*math.Abs(o.To.X-o.From.X) {
			continue
		}
		for _, e := range [2][2]float32{s.a, s.b} {
			x, y := float64(e[0]), float64(e[1])
			t := (x - o.From.X) / (o.To.X - o.From.X)
			if below := o.From.Y + t*(o.To.Y-o.From.Y) - y; t > -0.2 && t < 1.2 && below < far*o.Depth {
				return true
			}
		}
	}
	return false
}

// eaveLights is the ambient light's luminance on a plain wall by the profile angle of
// the overhang over it, from 0 to open; dome.flat's own steps are steps here too.
type eaveLights [eaveSteps + 2]float32

const eaveSteps = 4 * angles

func (d *daylight) eaveLights() *eaveLights {
	var out eaveLights
	for k := range out {
		out[k] = float32(d.flat(float64(k) / eaveSteps * open).Luminance())
	}
	return &out
}

func (l *eaveLights) at(eave float32) float32 {
	f := min(eaveSteps, max(0, eave*(eaveSteps/open)))
	k := int(f)
	return l[k] + (f-float32(k))*(l[k+1]-l[k])
}

// lift is the ambient light at the quarters of a stretch beside what its tables mix.
type lift [quarters + 1]float32

// unlifted is where no overhang slopes above.
var unlifted = lift{1, 1, 1, 1, 1}

// lift of a stretch; the tables of courses stand at the edges of its group, or of its
// strip. The tables of vertical panels stand at the strip's top and bottom.
func (b *brush) lift(t *stretch, q *pair) lift {
	if t.bend == nil || q.vertical {
		return unlifted
	}
	l, e := b.clothes.eaves, t.bend.edge
	if q.of == 1 {
		e = [2]float32{t.bend.at[0], t.bend.at[quarters]}
	}
	left, right := l.at(e[0]), l.at(e[1])
	var out lift
	for n := range out {
		mix := (float32(n)/quarters + float32(q.which)) / float32(q.of)
		out[n] = min(4, l.at(t.bend.at[n])/max(1e-6, left+mix*(right-left)))
	}
	return out
}

// at is the lift at a place of the stretch, 0 at its first pixel and 1 a span on.
func (l *lift) at(s float64) float32 {
	f := min(quarters, max(0, float32(s)*quarters))
	n := min(quarters-1, int(f))
	return l[n] + (f-float32(n))*(l[n+1]-l[n])
}

// pixels are the lift at pixel k of the stretch and from pixel to pixel in its quarter, in
// 1/65536.
func (l *lift) pixels(k int) (at, step int) {
	const wide = span / quarters
	n := k / wide
	step = int(65536 / wide * (l[n+1] - l[n]))
	return int(65536*l[n]) + k%wide*step + 128, step
}

// most is the greatest lift.
func (l *lift) most() float32 { return max(l[0], l[1], l[2], l[3], l[4]) }

// level says that a lift changes no screen value by half a step: the brightest, 255,
// goes up by 0.45 for as much light more.
func (l *lift) level() bool {
	const little = 0.004
	for _, v := range l {
		if v < 1-little || v > 1+little {
			return false
		}
	}
	return true
}
