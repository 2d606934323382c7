package box

import (
	"slices"
	"sort"

	"coilwright/measure"
)

// split is where the joints of a strip stand, from the left; none for one piece.
type split []measure.Length

// piece gives the length of piece k of a strip so split.
func (m *model) piece(i int, at split, k int) measure.Length {
	from, to := measure.Length(0), m.strips[i].length
	if k > 0 {
		from = at[k-1] - m.Lap
	}
	if k < len(at) {
		to = at[k]
	}
	return to - from
}

// barred lists where no joint of strip i may stand: near corners, and near the
// joints of neighbours that are already placed.
func (m *model) barred(i int, placed func(int) (split, bool), buffer []span) []span {
	s := m.strips[i]
	out := append(buffer[:0], s.corners...)
	for _, j := range s.near {
		joints, ok := placed(j)
		if !ok {
			continue
		}
		off := m.strips[j].start - s.start
		for _, y := range joints {
			out = append(out, span{off + y - m.Stagger, off + y + m.Stagger})
		}
	}
	if len(out) == len(s.corners) {
		return out
	}
	return merged(out)
}

// below gives the greatest place on the step that is at most x and not barred. Bars
// are ascending and apart.
func (m *model) below(x measure.Length, barred []span) measure.Length {
	x = x.FloorTo(m.Step)
	for k := before(x, barred) - 1; k >= 0 && x < barred[k].high; k-- {
		if low := barred[k].low; x > low {
			x = low.FloorTo(m.Step)
		}
	}
	return x
}

// above gives the least place on the step that is at least x and not barred.
func (m *model) above(x measure.Length, barred []span) measure.Length {
	x = x.CeilTo(m.Step)
	for k := max(0, before(x, barred)-1); k < len(barred) && x > barred[k].low; k++ {
		if high := barred[k].high; x < high {
			x = high.CeilTo(m.Step)
		}
	}
	return x
}

// before counts the bars that begin before x.
func before(x measure.Length, barred []span) int {
	return sort.Search(len(barred), func(k int) bool { return barred[k].low >= x })
}

// first gives the least and greatest length of the first piece of n where every
// piece between the first and the last is a whole section.
func (m *model) first(i, n int) (low, high measure.Length) {
	ends := m.total(i, n) - measure.Length(n-2)*m.section // first and last together
	return max(m.Shortest, ends-m.section), min(m.section, ends-m.Shortest)
}

// rigid places joints one whole section apart, the first at a or as little below
// (down) or above it as the bars ask.
func (m *model) rigid(i, n int, a measure.Length, down bool, barred []span, out split) (split, bool) {
	low, high := m.first(i, n)
	pitch, joints := m.section-m.Lap, measure.Length(n-1)
	for k, stand := measure.Length(0), measure.Length(0); stand < joints; k = (k + 1) % joints {
		if a < low || a > high {
			return out, false
		}
		x := a + k*pitch
		y := m.above(x, barred)
		if down {
			y = m.below(x, barred)
		}
		if stand++; y != x {
			a, stand = y-k*pitch, 0
		}
	}
	out = out[:0]
	for k := range joints {
		out = append(out, a+k*pitch)
	}
	return out, true
}

// fromLeft places joints one after another from the left: the first at a, each next
// one as far along as its section and the bars let it, or anywhere by chance.
func (m *model) fromLeft(i, n int, a measure.Length, barred []span, out split, by *chance) (split, bool) {
	out = out[:0]
	length, pitch := m.strips[i].length, m.section-m.Lap
	least := m.Shortest - m.Lap // what a further piece adds at least
	for k := 1; k < n; k++ {
		rest := measure.Length(n - k)
		low := max(m.Shortest+measure.Length(k-1)*least, length-rest*pitch)
		reach := min(a, m.section)
		if k > 1 {
			reach = out[k-2] + pitch
			low = max(low, out[k-2]+least)
		}
		if reach = min(reach, length-rest*least); by != nil && reach > low {
			reach = low + measure.Length(by.upTo(int((reach-low)/m.Step)+1))*m.Step
		}
		x := m.below(reach, barred)
		if x < low {
			return out, false
		}
		out = append(out, x)
	}
	return out, true
}

// fromRight is fromLeft from the other end: the last piece is b long at least.
func (m *model) fromRight(i, n int, b measure.Length, barred []span, out split) (split, bool) {
	out = slices.Grow(out[:0], n-1)[:n-1]
	length, pitch := m.strips[i].length, m.section-m.Lap
	least := m.Shortest - m.Lap
	for k := n - 1; k >= 1; k-- {
		before := measure.Length(k)
		high := min(length-measure.Length(n-k)*least, before*pitch+m.Lap)
		reach := length - min(b, m.section) + m.Lap
		if k < n-1 {
			reach = out[k] - pitch
			high = min(high, out[k]-least)
		}
		x := m.above(max(reach, m.Shortest+(before-1)*least), barred)
		if x > high {
			return out, false
		}
		out[k-1] = x
	}
	return out, true
}
