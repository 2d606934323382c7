package plane

// Between parts a region at two levels: what lies from low up to high, and the rest.
// It is cut as Bands cuts, exact on the grid.
func (g Region) Between(low, high Length) (between, rest Region) {
	box := g.Box()
	low, high = max(low, box.Min.Y), min(high, box.Max.Y)
	if low >= high {
		return nil, g
	}
	lines, inner := []Length{low, high}, 0
	if box.Min.Y < low {
		lines, inner = append([]Length{box.Min.Y}, lines...), 1
	}
	if high < box.Max.Y {
		lines = append(lines, box.Max.Y)
	}
	if len(lines) == 2 {
		return g, nil
	}
	for _, p := range Bands(g.numbered(), lines) {
		q := Polygon{Outer: p.Outer.Points}
		for _, h := range p.Holes {
			q.Holes = append(q.Holes, h.Points)
		}
		if p.Band == inner {
			between = append(between, q)
		} else {
			rest = append(rest, q)
		}
	}
	return between, rest
}

// numbered gives every edge a tag of its own, so that no corner between edges on
// one straight line is lost.
func (g Region) numbered() []TaggedRing {
	var out []TaggedRing
	next := Tag(0)
	for _, r := range g.Rings() {
		t := TaggedRing{r, make([]Tag, len(r))}
		for i := range t.Tags {
			t.Tags[i] = next
			next++
		}
		out = append(out, t)
	}
	return out
}
