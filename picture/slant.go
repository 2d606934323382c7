package picture

import "math"

// slanted says whether an overhang that slopes shades a stretch unevenly: its light then
// bends between the edges that tables stand at.
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

// slanted paints a stretch under a sloping overhang: the tables' light, the ambient
// part at every quarter brought to what the overhang leaves there.
func (b brush) slanted(t *stretch, q *pair, light *[span][3]float32) {
	l, r, mix, mixStep := q.readings(t, b.strip)
	l.hold(q.a.lit, span)
	r.hold(q.b.lit, span)
	walk, lift := b.walk(t), b.lift(t, q)
	skip := int(t.from)
	l.at, r.at, mix = l.at+skip*l.step, r.at+skip*r.step, mix+skip*mixStep
	for k := skip; k < int(t.to); k++ {
		p, s := &q.a.light[l.at>>16], &q.b.light[r.at>>16]
		m := float32(mix) / 256
		sun := walk.at(float32(k), p[6])
		n := k * quarters / span
		part := float32(k*quarters%span) / span
		up := lift[n] + part*(lift[n+1]-lift[n])
		for c := range 3 {
			light[k][c] = sun*(p[c]+m*(s[c]-p[c])) + up*(p[3+c]+m*(s[3+c]-p[3+c]))
		}
		l.at, r.at, mix = l.at+l.step, r.at+r.step, mix+mixStep
	}
	b.careful(t, light)
}

// lift is the ambient light at the quarters of a stretch beside what its tables mix.
func (b brush) lift(t *stretch, q *pair) (out [quarters + 1]float32) {
	for n := range out {
		out[n] = b.lifted(t, q, float64(n)/quarters)
	}
	return out
}

// lifted is the same at a place of a stretch, 0 at its first pixel and 1 a span on.
func (b brush) lifted(t *stretch, q *pair, s float64) float32 {
	d := b.p.light[b.strip.wall]
	plain := func(s float64) float64 {
		x := float64(t.a[0]) + s*float64(t.b[0]-t.a[0])
		return d.plain(x, float64(t.a[1])+s*float64(t.b[1]-t.a[1])).Luminance()
	}
	first, of := float64(-q.which), float64(q.of)
	left, right := plain(first), plain(first+of)
	return float32(min(4, plain(s)/max(1e-6, left+(s-first)/of*(right-left))))
}
