package guillotine

// sumUnit is what the strip of the longest extent counts in sums of demands.
const sumUnit = 1 << 24

// sums are the demands that bind, and small multiples of two of different widths added
// up: what rounding gains on wide lanes alone, lanes a little narrower make good, so it is
// their sum that gains.
func (p *priced) sums() (out []weighing) {
	t, tight := p.t, p.binding()
	for i, d := range tight {
		out = append(out, t.added(d, 1, d, 0))
		for _, o := range tight[:i] {
			if o.width == d.width {
				continue
			}
			out = append(out, t.added(d, 1, o, 1), t.added(d, 2, o, 1), t.added(d, 1, o, 2))
		}
	}
	return out
}

// binding are the demands that cost the programme something.
func (p *priced) binding() (out []*demand) {
	y := p.lp.duals()
	for i := range p.n.rules {
		if r := &p.n.rules[i]; r.kind == demands && y[i] > 1e-7 {
			out = append(out, r.demand)
		}
	}
	return out
}

// added is so many times a demand and another one of another width. What strips hold is
// rounded up, and what is asked of them down.
func (t *tree) added(d *demand, times int64, o *demand, others int64) weighing {
	n := len(t.s.widths)
	g := weighing{strip: make([][]int64, n), all: make([]int64, n)}
	g.add(d, times*sumUnit)
	g.add(o, others*sumUnit)
	return g
}

func (g weighing) add(d *demand, unit int64) {
	if unit == 0 {
		return
	}
	strip := make([]int64, len(d.strip))
	for e, v := range d.strip {
		strip[e] = ceilMul(v, unit, d.unit)
	}
	g.strip[d.width], g.all[d.width] = strip, floorMul(d.need, unit, d.unit)
}
