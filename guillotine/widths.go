package guillotine

// sideBySideWeights weighs the pieces by their widths alone: every length of a strip
// of width w is worth y[w], and no strips side by side are worth more than a length
// of coil. The y are the duals of a small programme over sets of strips that fit
// side by side, as many of a width as there are pieces of it.
func (s *slitter) sideBySideWeights() []int64 {
	need, most := make([]int, len(s.widths)), make([]int, len(s.widths))
	for _, q := range s.sizes {
		need[q.lane] += q.count * q.length
		most[q.lane] += q.count
	}
	for w, width := range s.widths {
		most[w] = min(most[w], s.width/width)
	}
	p := newProgramme(need)
	for w := range s.widths {
		holds := make([]int, len(s.widths))
		holds[w] = most[w]
		p.add(1, holds)
	}
	p.start()
	for range 50 * len(s.widths) {
		p.optimise(1000)
		worth, holds := s.bestSet(p.duals(), most)
		if worth <= 1+tiny {
			break
		}
		p.add(1, holds)
	}
	out, y := make([]int64, len(s.sizes)), p.duals()
	for k, q := range s.sizes {
		out[k] = int64(max(0, y[q.lane]) * (1 << 24) * float64(q.length))
	}
	return out
}

// bestSet is the set of strips side by side that is worth most by length.
func (s *slitter) bestSet(y []float64, most []int) (float64, []int) {
	best := make([]float64, s.width+1)
	chosen := make([][]int, len(s.widths))
	for w, width := range s.widths {
		chosen[w] = make([]int, s.width+1)
		for x := s.width; x >= 0; x-- {
			v, at := best[x], 0
			for n := 1; n <= most[w] && n*width <= x; n++ {
				if t := best[x-n*width] + float64(n)*y[w]; t > v {
					v, at = t, n
				}
			}
			best[x], chosen[w][x] = v, at
		}
	}
	holds, x := make([]int, len(s.widths)), s.width
	for w := len(s.widths) - 1; w >= 0; w-- {
		holds[w] = chosen[w][x]
		x -= holds[w] * s.widths[w]
	}
	return best[s.width], holds
}
