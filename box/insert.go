package box

import (
	"slices"

	"coilwright/measure"
)

// inserter finds places for strips. Its buffers are used again and again; work
// counts splits looked at.
type inserter struct {
	*hand
	chance
	blink   bool // overlook a split now and then, for variety
	wild    bool // any split is as good as another, while rules are given up
	joint   measure.Length
	work    int
	bars    []span
	try     split
	best    split
	cost    measure.Length
	found   bool
	changed []change
}

// change is what a split in question would leave of a bin.
type change struct {
	bin  int
	left measure.Length
}

// insert lays strip i where it costs least; where no split keeps the rules, it
// gives them up one after another.
func (s *inserter) insert(i int) {
	if s.strips[i].fewest == 1 {
		s.work++
		s.place(i, nil, nil, 0)
		return
	}
	if s.look(i, s.strips[i].fewest, s.most(i)) {
		s.place(i, s.best, nil, 0)
		return
	}
	s.compromise(i)
}

// look tries strip i in low to high pieces; the best split is in s.best.
func (s *inserter) look(i, low, high int) bool {
	s.bars = s.barred(i, s.placed, s.bars)
	s.found = false
	for n := low; n <= high; n++ {
		s.tryEnds(i, n)
	}
	return s.found
}

// wanted is the most remnants that are tried as an end of a strip.
const wanted = 5

// tryEnds tries n pieces with every remnant, a whole section or the shortest piece
// at either end.
func (s *inserter) tryEnds(i, n int) {
	low, high := s.first(i, n)
	ends := s.total(i, n) - measure.Length(n-2)*s.section
	for _, a := range [...]measure.Length{high, low, (low + high) / 2} {
		s.tryAt(i, n, a.FloorTo(s.Step), ends)
	}
	if s.blink {
		var ok bool
		if s.try, ok = s.fromLeft(i, n, s.section, s.bars, s.try, &s.chance); ok {
			s.weigh(i)
		}
	}
	from, to := s.roomy(max(s.Shortest, s.least)), len(s.rest)
	stride := 1 + (to-from)/wanted
	last := measure.Length(-1)
	for k := from; k < to; k += stride {
		r := s.bins[s.rest[k]].left
		if r == last {
			continue
		}
		last = r
		s.tryAt(i, n, min(r, high), ends)
		s.tryAt(i, n, max(ends-r, low), ends)
	}
}

// tryAt tries first pieces of about a.
func (s *inserter) tryAt(i, n int, a, ends measure.Length) {
	for _, down := range [...]bool{true, false} {
		var ok bool
		if s.try, ok = s.rigid(i, n, a, down, s.bars, s.try); ok {
			s.weigh(i)
			if len(s.try) > 0 && s.try[0] == a {
				return // nothing stood in the way: no need to look further
			}
		}
	}
	var ok bool
	if s.try, ok = s.fromLeft(i, n, a, s.bars, s.try, nil); ok {
		s.weigh(i)
	}
	if s.try, ok = s.fromRight(i, n, ends-a, s.bars, s.try); ok {
		s.weigh(i)
	}
}

// weigh keeps the split in s.try where it is the cheapest so far.
func (s *inserter) weigh(i int) {
	s.work++
	if s.blink && s.found && s.one(50) {
		return
	}
	c := measure.Length(s.next() >> 2)
	if !s.wild {
		c = s.price(i, s.try)
	}
	if !s.found || c < s.cost {
		s.found, s.cost = true, c
		s.best = append(s.best[:0], s.try...)
	}
}

// price is the length of steel that a split uses up: what it takes from remnants
// and new sections, less what stays useful of them, and a charge for each joint.
func (s *inserter) price(i int, at split) measure.Length {
	sum := measure.Length(len(at)) * s.joint
	s.changed = s.changed[:0]
	for k := range len(at) + 1 {
		if length := s.piece(i, at, k); length > s.section-s.least {
			sum += s.section // nothing useful is left of its section
		} else {
			sum += s.cut(length)
		}
	}
	return sum
}

// cut takes a length from the tightest remnant, or a new section, for price.
func (s *inserter) cut(length measure.Length) measure.Length {
	best := -1 // index into changed
	for k, c := range s.changed {
		if c.left >= length && (best < 0 || c.left < s.changed[best].left) {
			best = k
		}
	}
	at := s.roomy(length)
	for at < len(s.rest) && slices.ContainsFunc(s.changed, func(c change) bool { return c.bin == s.rest[at] }) {
		at++
	}
	if at < len(s.rest) {
		if left := s.bins[s.rest[at]].left; best < 0 || left < s.changed[best].left {
			s.changed = append(s.changed, change{s.rest[at], left})
			best = len(s.changed) - 1
		}
	}
	before := s.section
	if best < 0 {
		s.changed = append(s.changed, change{-1, s.section})
		best = len(s.changed) - 1
	} else {
		before = s.worth(s.changed[best].left)
	}
	s.changed[best].left -= length
	return before - s.worth(s.changed[best].left)
}

// worth is what a remnant is good for: nothing where it is too short for any
// piece, else its length less a little, since it must still find its place.
func (s *inserter) worth(left measure.Length) measure.Length {
	if left < s.least {
		return 0
	}
	return left - s.least
}

// compromise lays strip i although no split keeps the rules: with more pieces, then
// near corners, then near joints of neighbours, at last with pieces however short.
func (s *inserter) compromise(i int) {
	n := s.strips[i].fewest
	if s.look(i, n, n+s.Extra+2) {
		s.place(i, s.best, nil, 1)
	} else if level := s.loosely(i, n); level > 0 {
		s.place(i, s.best, nil, level)
	}
}

// loosely looks for a split of strip i into about n pieces while the rules are given up
// one after another, and says how many were; 0 where even that gives none.
func (s *inserter) loosely(i, n int) int {
	kept, was := s.model, s.strips[i]
	defer func() { s.model, s.strips[i] = kept, was }()
	loose := *kept
	s.model = &loose
	for level := 2; level <= 4; level++ {
		switch level {
		case 2:
			loose.strips[i].corners = nil
		case 3:
			loose.strips[i].near = nil
		case 4:
			loose.Shortest = s.Step
		}
		if s.look(i, n, n+s.Extra+1) {
			return level
		}
	}
	return 0
}

// chance is a small generator of equally likely numbers (splitmix64, from memory):
// the core uses none that the machine seeds.
type chance struct{ state uint64 }

func (c *chance) next() uint64 {
	c.state += 0x9e3779b97f4a7c15
	z := c.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// upTo gives a number from 0 to n-1.
func (c *chance) upTo(n int) int { return int(c.next() % uint64(n)) }

// one is true once in n times.
func (c *chance) one(n int) bool { return c.upTo(n) == 0 }
