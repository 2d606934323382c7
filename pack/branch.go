package pack

// branchAndPrice closes the gap that simple plans and bounds leave.
func (s *search) branchAndPrice() {
	m := s.m
	root := newRelaxation(m.wholePart(m.demands(), make([]int, len(m.supplies)), m.stock()), s.patterns(), s.upper)
	root.run(s.meter, false)
	s.raise(root.lower)
	for skip := 0; skip < 12 && !s.closed() && !s.meter.done(); skip++ {
		s.dive(root, skip, s.meter)
	}
}

// patterns of the best plan so far, to begin from.
func (s *search) patterns() []pattern {
	var out []pattern
	for _, u := range s.best {
		out = append(out, u.pattern)
	}
	return out
}
