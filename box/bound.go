package box

import (
	"cmp"
	"slices"

	"coilwright/measure"
)

// need is the least steel that the group's strips take: each in the fewest pieces,
// with a lap between them.
func (m *model) need() measure.Length {
	var sum measure.Length
	for i, s := range m.strips {
		sum += m.total(i, s.fewest)
	}
	return sum
}

// bare is need divided by the length of a section, rounded up.
func (m *model) bare() int { return ceil(m.need(), m.section) }

func ceil(a, b measure.Length) int { return int((a + b - 1) / b) }

// bound is what no plan that keeps the rules can beat. For a limit, weigh a piece
// as a whole section where only less than limit is left of its section, as its own
// length where it is between, as nothing where it is shorter than limit: no
// section holds pieces of more weight than its length (Martello and Toth 1990,
// the second of their bounds; from memory). A strip with joints counts with its
// lightest division. The best limit counts; limit 0 is the bare length.
func (m *model) bound() int {
	best := m.bare()
	for _, limit := range m.limits() {
		var sum measure.Length
		for i, s := range m.strips {
			if s.fewest == 1 {
				sum += m.weight(s.length, limit)
			} else {
				sum += m.lightest(i, limit)
			}
		}
		best = max(best, ceil(sum, m.section))
	}
	return best
}

// weight is a piece's weight for a limit of at most half a section.
func (m *model) weight(length, limit measure.Length) measure.Length {
	switch {
	case length > m.section-limit:
		return m.section
	case length < limit:
		return 0
	}
	return length
}

// mostLimits is how many limits are tried; more are thinned out evenly.
const mostLimits = 400

// limits are the lengths at which the weights change: those of short pieces and
// what long ones leave, and the shortest piece beside a joint.
func (m *model) limits() []measure.Length {
	out := []measure.Length{m.Shortest}
	for _, s := range m.strips {
		if s.fewest == 1 {
			out = append(out, s.length, m.section-s.length+m.Step)
		}
	}
	out = slices.DeleteFunc(out, func(l measure.Length) bool { return l <= 0 || 2*l > m.section })
	slices.Sort(out)
	out = slices.Compact(out)
	if len(out) <= mostLimits {
		return out
	}
	var thin []measure.Length
	for k := range mostLimits {
		thin = append(thin, out[k*len(out)/mostLimits])
	}
	return thin
}

// lightest is the least weight of any division of strip i that the rules allow, or
// lower: corners and neighbours are not looked at. small pieces are below the
// limit, large ones leave less than it, the others weigh their length.
func (m *model) lightest(i int, limit measure.Length) measure.Length {
	best := measure.Length(-1)
	for n := m.strips[i].fewest; n <= m.most(i); n++ {
		total := m.total(i, n)
		for small := 0; small <= n; small++ {
			if small > 0 && m.Shortest >= limit {
				break // none is that short
			}
			for _, large := range [2]int{m.fewestLarge(total, n, small, limit), n - small} {
				if w, ok := m.mixed(total, n, small, large, limit); ok && (best < 0 || w < best) {
					best = w
				}
			}
		}
	}
	return max(best, 0)
}

// fewestLarge is how many of n pieces have to be large where so many are small and the
// others as long as they may be. Each more than that weighs no less, and can only be
// needed where none is between.
func (m *model) fewestLarge(total measure.Length, n, small int, limit measure.Length) int {
	over := total - measure.Length(small)*(limit-m.Step) - measure.Length(n-small)*(m.section-limit)
	return max(0, ceil(over, limit))
}

// mixed is the least weight of n pieces of a total length, small and large of them
// of those kinds; false where no lengths add up to it.
func (m *model) mixed(total measure.Length, n, small, large int, limit measure.Length) (measure.Length, bool) {
	if small+large > n {
		return 0, false
	}
	s, l, mid := measure.Length(small), measure.Length(large), measure.Length(n-small-large)
	midLow := max(limit, m.Shortest)
	least := s*m.Shortest + l*max(m.section-limit+m.Step, m.Shortest) + mid*midLow
	if total < least {
		return 0, false
	}
	rest := max(total-s*(limit-m.Step)-l*m.section, mid*midLow)
	return l*m.section + rest, rest <= mid*(m.section-limit)
}

// fewestJoints is a bound on joints: each strip in its fewest pieces, and one more
// for each of a set of separate pairs of neighbours that cannot both keep to those.
func (m *model) fewestJoints() int {
	n := 0
	paired := make([]bool, len(m.strips))
	for i, s := range m.strips {
		n += s.fewest - 1
		if s.fewest > 1 && !paired[i] && !m.divides(i) {
			paired[i] = true
			n++
		}
	}
	for _, i := range m.lonelyFirst() {
		for _, j := range m.strips[i].near {
			if !paired[i] && !paired[j] && m.clash(i, j) {
				paired[i], paired[j] = true, true
				n++
			}
		}
	}
	return n
}

// lonelyFirst orders strips so that one with a single neighbour comes before others:
// pairing from the ends of a chain inwards finds the most pairs of it.
func (m *model) lonelyFirst() []int {
	order := make([]int, len(m.strips))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(len(m.strips[a].near), len(m.strips[b].near)) })
	return order
}

// window is where joint k (from 1) of a strip in its fewest pieces may stand.
func (m *model) window(i, k int) span {
	s := m.strips[i]
	n, pitch := s.fewest, m.section-m.Lap
	return span{max(m.Shortest, s.length-measure.Length(n-k)*pitch), min(s.length+m.Lap-m.Shortest, measure.Length(k)*pitch+m.Lap)}
}

// divides says whether corners leave room for a strip's joints in its fewest
// pieces, each looked at alone.
func (m *model) divides(i int) bool {
	for k := 1; k < m.strips[i].fewest; k++ {
		if w := m.window(i, k); m.above(w.low, m.strips[i].corners) > w.high {
			return false
		}
	}
	return true
}

// clash says that two neighbours in their fewest pieces cannot be staggered: some
// joint of one is nearer than that to some joint of the other wherever both stand.
func (m *model) clash(i, j int) bool {
	off := m.strips[j].start - m.strips[i].start
	first := 1
	for k := 1; k < m.strips[i].fewest; k++ {
		a := m.window(i, k)
		for l := first; l < m.strips[j].fewest; l++ {
			b := m.window(j, l)
			if b.high+off <= a.low-m.Stagger {
				first = l + 1 // too far left for this joint and all after it
				continue
			}
			if b.low+off >= a.high+m.Stagger {
				break
			}
			if max((a.high-b.low-off).Abs(), (b.high+off-a.low).Abs()) < m.Stagger {
				return true
			}
		}
	}
	return false
}
