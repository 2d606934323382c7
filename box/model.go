package box

import (
	"cmp"
	"slices"

	"coilwright/measure"
)

// span is an open stretch (low, high) in which no joint may stand.
type span struct{ low, high measure.Length }

// strip is a Strip as the search sees it. A joint at x means that the piece on its
// left ends at x and the one on its right begins at x - lap.
type strip struct {
	length, start measure.Length
	fewest        int    // pieces it takes at least
	corners       []span // where no joint may stand, ascending and apart
	near          []int  // strips whose joints must be staggered from its own
}

// model is one group of like strips and the section they are cut from.
type model struct {
	Rules
	section measure.Length // usable: a multiple of the step
	strips  []strip
	source  []int          // index of each strip in the caller's list
	least   measure.Length // shortest remnant that anything could use
}

// newModel takes the strips of one group, given by their indexes.
func newModel(all []Strip, mine []int, section measure.Length, r Rules) *model {
	m := &model{Rules: r, section: section.FloorTo(r.Step), source: mine, least: section}
	for _, i := range mine {
		s := strip{length: all[i].Length, start: all[i].Start}
		s.fewest = m.fewest(s.length)
		if s.fewest > 1 {
			m.least = min(m.least, max(r.Shortest, r.Step))
			s.corners = m.nearCorners(all[i])
		} else {
			m.least = min(m.least, s.length)
		}
		m.strips = append(m.strips, s)
	}
	m.meet(all)
	return m
}

// fewest is the least number of pieces that cover a length: n of them cover
// n sections less n-1 laps.
func (m *model) fewest(length measure.Length) int {
	if length <= m.section {
		return 1
	}
	pitch := m.section - m.Lap
	return int((length - m.Lap + pitch - 1) / pitch)
}

// most is how many pieces a strip may take by the rule: a course that one section
// covers is hung in one piece.
func (m *model) most(i int) int {
	if n := m.strips[i].fewest; n > 1 {
		return n + m.Extra
	}
	return 1
}

// total is what n pieces of a strip measure together.
func (m *model) total(i, n int) measure.Length {
	return m.strips[i].length + measure.Length(n-1)*m.Lap
}

// nearCorners gives where a joint's lap, from x - lap to x, would come nearer to an
// opening's corner than the rule allows.
func (m *model) nearCorners(s Strip) []span {
	var out []span
	for _, c := range s.Corners {
		at := c - s.Start
		out = append(out, span{at - m.Clear, at + m.Clear + m.Lap})
	}
	return merged(out)
}

// merged sorts spans and joins those that overlap.
func merged(in []span) []span {
	slices.SortFunc(in, func(a, b span) int { return cmp.Compare(a.low, b.low) })
	out := in[:0]
	for _, s := range in {
		if n := len(out); n > 0 && s.low < out[n-1].high {
			out[n-1].high = max(out[n-1].high, s.high)
			continue
		}
		out = append(out, s)
	}
	return out
}

// meet finds which strips with joints lie beside one another. Strips come wall by
// wall and course by course, so neighbours are looked for only among those.
func (m *model) meet(all []Strip) {
	type row struct{ wall, zone, course int }
	rows := map[row][]int{}
	for k, i := range m.source {
		if m.strips[k].fewest > 1 {
			s := all[i]
			at := row{s.Wall, s.Zone, s.Course}
			rows[at] = append(rows[at], k)
		}
	}
	for k, i := range m.source {
		if m.strips[k].fewest == 1 {
			continue
		}
		s := all[i]
		for _, d := range [2]int{-1, 1} {
			for _, other := range rows[row{s.Wall, s.Zone, s.Course + d}] {
				if s.neighbours(all[m.source[other]]) {
					m.strips[k].near = append(m.strips[k].near, other)
				}
			}
		}
	}
}

// mirrored is the same question seen from behind the wall, strips in the order
// that a mirrored house would give them. Its joint at x is ours at
// length - x + lap.
func (m *model) mirrored(all []Strip) *model {
	flipped := make([]Strip, len(all))
	for i, s := range all {
		f := s
		f.Start, f.Corners = -s.Start-s.Length, nil
		for _, c := range s.Corners {
			f.Corners = append(f.Corners, -c)
		}
		flipped[i] = f
	}
	mine := slices.Clone(m.source)
	slices.SortStableFunc(mine, func(a, b int) int { return compareStrips(flipped[a], flipped[b]) })
	return newModel(flipped, mine, m.section, m.Rules)
}

// compareStrips is the order of hanging: by wall, zone and course, from the left.
func compareStrips(a, b Strip) int {
	return cmp.Or(cmp.Compare(a.Wall, b.Wall), cmp.Compare(a.Zone, b.Zone), cmp.Compare(a.Course, b.Course), cmp.Compare(a.Start, b.Start))
}
