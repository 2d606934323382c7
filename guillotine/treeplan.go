package guillotine

import "slices"

// plan reads a programme in which everything is whole: its blanks, and its strips put
// on the lanes that are long enough, the longest first, without pieces that are cut
// too often. Nil where rounding misled.
func (p *priced) plan() []load {
	t, s := p.t, p.t.s
	out, lanes := p.empty()
	flow, left := p.flow(), slices.Clone(t.count)
	for w := range s.widths {
		strips := t.unravel(w, flow)
		slices.SortStableFunc(strips, func(a, b []int) int { return s.along(b) - s.along(a) })
		if len(strips) > len(lanes[w]) {
			return nil
		}
		for i, holds := range strips {
			if b := &out[lanes[w][i]]; s.along(holds) > b.extent.cells {
				return nil
			} else {
				for k := range holds {
					holds[k] = min(holds[k], left[k])
				}
				b.add(lane{w, holds}, left)
			}
		}
	}
	if slices.Max(left) > 0 {
		return nil
	}
	out = slices.DeleteFunc(out, func(b load) bool { return b.lanes == nil })
	for i := range out {
		s.shorten(&out[i])
	}
	return out
}

// empty lists the programme's blanks, the longest first, and the blank of every lane.
func (p *priced) empty() (out []load, lanes [][]int) {
	t, s := p.t, p.t.s
	lanes = make([][]int, len(s.widths))
	y := p.byShape()
	for e := len(s.extents) - 1; e >= 0; e-- {
		for i, v := range y[e] {
			for range int(v + 0.5) {
				for w, n := range t.setups[i] {
					lanes[w] = append(lanes[w], slices.Repeat([]int{len(out)}, n)...)
				}
				out = append(out, load{extent: s.extents[e], holds: make([]int, len(s.sizes))})
			}
		}
	}
	return out, lanes
}

// unravel follows the arcs of a width into strips.
func (t *tree) unravel(w int, flow map[arc]float64) [][]int {
	s := t.s
	var out [][]int
	for {
		holds, at := make([]int, len(s.sizes)), 0
		for k := s.first[w]; k < s.first[w+1]; k++ {
			n := t.count[k]
			for n >= 0 && flow[arc{w, k, at, n}] < 0.5 {
				n--
			}
			if n < 0 {
				return out
			}
			flow[arc{w, k, at, n}]--
			holds[k] = n
			at += n * s.sizes[k].length
		}
		if at > 0 {
			out = append(out, holds)
		}
	}
}
