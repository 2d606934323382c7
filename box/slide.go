package box

import "coilwright/measure"

// slide moves joint k of strip i so that slack passes from one of the sections on
// its two sides to the other, where that gathers slack: the sum of the squares of
// the remnants does not fall. It changes neither sections nor joints.
func (s *inserter) slide(i, k int) {
	l := &s.laid[i]
	u, v := l.bins[k], l.bins[k+1]
	if l.broken > 0 || u == v {
		return
	}
	right := s.one(2)
	from, to, shrinks := u, v, k+1
	if !right {
		from, to, shrinks = v, u, k
	}
	most := min(s.bins[from].left, s.piece(i, l.joints, shrinks)-s.Shortest)
	if most < s.Step {
		return
	}
	s.bars = s.barred(i, s.placed, s.bars)
	d := s.free(l.joints[k], most, right)
	if d <= 0 || s.bins[to].left+d < s.bins[from].left {
		return
	}
	s.set(from, s.bins[from].left-d)
	s.set(to, s.bins[to].left+d)
	if !right {
		d = -d
	}
	l.joints[k] += d
}

// free is how far, up to most, a joint at x may move one way before it meets a bar.
func (s *inserter) free(x, most measure.Length, right bool) measure.Length {
	for _, b := range s.bars {
		if x > b.low && x < b.high {
			return 0 // a neighbour that gave a rule up stands too near already
		}
		if right && b.low >= x {
			most = min(most, b.low-x)
		}
		if !right && b.high <= x {
			most = min(most, x-b.high)
		}
	}
	return most.FloorTo(s.Step)
}

// slides tries the joints of some strips.
func (s *search) slides() {
	if len(s.jointed) == 0 {
		return
	}
	for range 20 {
		i := s.jointed[s.upTo(len(s.jointed))]
		if n := len(s.laid[i].joints); n > 0 {
			s.slide(i, s.upTo(n))
		}
	}
	s.work += 3
}
