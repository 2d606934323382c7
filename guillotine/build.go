package guillotine

import "slices"

// build makes a blank of extent e that can be cut, near the best one for the prices
// as they are set: strips side by side, each the best that the pieces still give.
// The prices are left as they were.
func (p *prices) build(e int) load {
	s, count := p.s, p.count
	p.count = slices.Clone(count)
	b := load{extent: s.extents[e], holds: make([]int, len(s.sizes))}
	changed := make([]bool, len(s.widths))
	for width := s.width; ; {
		left := p.place(e, width, &b, changed)
		if left == width {
			break
		}
		width = left
	}
	p.count = count
	for w, c := range changed {
		if c {
			p.width(w)
		}
	}
	s.shorten(&b)
	return b
}

// place puts the strips that the tables choose side by side, takes their pieces from
// the count, and says what width is left.
func (p *prices) place(e, width int, b *load, changed []bool) int {
	s := p.s
	best, chosen := make([]int64, s.width+1), make([][]int, len(s.widths))
	for w := range chosen {
		chosen[w] = make([]int, s.width+1)
	}
	p.sideBySide(e, best, chosen)
	s.meter.spend(8 * s.width * len(s.widths))
	y := width
	for w := len(s.widths) - 1; w >= 0; w-- {
		n := chosen[w][y]
		y -= n * s.widths[w]
		for range n {
			holds := make([]int, len(s.sizes))
			p.trace(w, s.extents[e].cells, 1, holds)
			if !b.add(lane{w, holds}, p.count) {
				break
			}
			changed[w] = true
			p.width(w)
			s.meter.spend((s.first[w+1] - s.first[w]) * p.reach(w))
			width -= s.widths[w]
		}
	}
	return width
}

// add puts a strip on the blank and takes its pieces; false where it is empty.
func (b *load) add(l lane, left []int) bool {
	any := false
	for k, n := range l.holds {
		b.holds[k] += n
		left[k] -= n
		any = any || n > 0
	}
	if any {
		b.lanes = append(b.lanes, l)
	}
	return any
}

// shorten gives a blank the least extent that holds its longest strip.
func (s *slitter) shorten(b *load) {
	longest := 0
	for _, l := range b.lanes {
		longest = max(longest, s.along(l.holds))
	}
	for _, x := range s.extents {
		if x.cells >= longest {
			b.extent = x
			return
		}
	}
}

// along is the length of pieces end to end.
func (s *slitter) along(holds []int) int { return s.alongFrom(0, holds) }

// alongFrom is along where the first of holds counts size first.
func (s *slitter) alongFrom(first int, holds []int) int {
	n := 0
	for i, c := range holds {
		n += c * s.sizes[first+i].length
	}
	return n
}

func cost(loads []load) int64 {
	sum := int64(0)
	for _, b := range loads {
		sum += b.extent.cost
	}
	return sum
}

// offer keeps a plan that takes less coil than the best, or as much in fewer blanks.
func (s *slitter) offer(loads []load) bool {
	c := cost(loads)
	if s.cost >= 0 && (c > s.cost || c == s.cost && len(loads) >= len(s.best)) {
		return false
	}
	s.best, s.cost = slices.Clone(loads), c
	return true
}
