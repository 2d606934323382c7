package guillotine

import (
	"cmp"
	"slices"
)

// mostSearched is the most pieces for which trying everything is begun at all.
const mostSearched = 24

// assigner tries every way to put the pieces, the longest first, onto a strip that was
// begun, onto a new strip of a blank that was begun, or onto a new blank. It keeps no
// tables, so it is good for few pieces only; there it proves what relaxation leaves
// open.
type assigner struct {
	s      *slitter
	units  []int // size of each piece
	costs  []int64
	blanks []begun
	cost   int64
}

// begun is a blank in the making.
type begun struct {
	width  int // taken
	most   int // cells of its longest strip
	strips []strand
}

type strand struct {
	lane, cells int
	units       []int
}

// place is where a piece went, in the order in which blanks and strips were begun.
type place struct{ blank, strip int }

// search tries everything, where that is few; it leaves the bound as it is when the
// work limit comes first.
func (s *slitter) search() {
	a := &assigner{s: s, costs: s.costs()}
	for k, q := range s.sizes {
		for range min(q.count, mostSearched+1) {
			a.units = append(a.units, k)
		}
	}
	if len(a.units) > mostSearched {
		return
	}
	slices.SortStableFunc(a.units, func(x, y int) int {
		return cmp.Or(s.sizes[y].length-s.sizes[x].length, s.sizes[y].width-s.sizes[x].width)
	})
	if a.put(0, place{}) {
		s.lower, s.proof.searched = s.cost, true
	}
}

// costs gives the cost of a blank for every length of its longest strip.
func (s *slitter) costs() []int64 {
	out, e := make([]int64, s.longest+1), 0
	for x := 1; x <= s.longest; x++ {
		for e < len(s.extents)-1 && s.extents[e].cells < x {
			e++
		}
		out[x] = s.extents[e].cost
	}
	return out
}

// put places unit i and all after it; false where the work limit came first. Equal
// pieces go to places in order, so that their exchanges are not tried.
func (a *assigner) put(i int, from place) bool {
	s := a.s
	if !s.meter.spend(40) {
		return false
	}
	if a.cost > s.cost || a.cost == s.cost && len(a.blanks) >= len(s.best) {
		return true
	}
	if i == len(a.units) {
		s.offer(a.loads())
		return true
	}
	if i == 0 || a.units[i] != a.units[i-1] {
		from = place{}
	}
	for b := from.blank; b <= len(a.blanks); b++ {
		first := 0
		if b == from.blank {
			first = from.strip
		}
		if !a.onto(i, b, first) {
			return false
		}
	}
	return true
}

// onto tries blank b for unit i: its strips from first on, and a new one.
func (a *assigner) onto(i, b, first int) bool {
	q := a.s.sizes[a.units[i]]
	if b == len(a.blanks) {
		a.blanks = append(a.blanks, begun{})
		ok := a.strip(i, b, 0)
		a.blanks = a.blanks[:b]
		return ok
	}
	for k := first; k < len(a.blanks[b].strips); k++ {
		st := a.blanks[b].strips[k]
		if st.lane == q.lane && st.cells+q.length <= a.s.longest && !a.same(b, first, k) && !a.strip(i, b, k) {
			return false
		}
	}
	if a.blanks[b].width+q.width <= a.s.width {
		return a.strip(i, b, len(a.blanks[b].strips))
	}
	return true
}

// same says that an earlier strip of the blank is as wide and as long.
func (a *assigner) same(b, first, k int) bool {
	st := a.blanks[b].strips
	for j := first; j < k; j++ {
		if st[j].lane == st[k].lane && st[j].cells == st[k].cells {
			return true
		}
	}
	return false
}

// strip puts unit i on strip k of blank b, goes on, and takes it off again.
func (a *assigner) strip(i, b, k int) bool {
	q, blank := a.s.sizes[a.units[i]], &a.blanks[b]
	was, cost := *blank, a.cost
	if k == len(blank.strips) {
		blank.strips = append(blank.strips, strand{lane: q.lane})
		blank.width += q.width
	}
	blank.strips[k].cells += q.length
	blank.strips[k].units = append(blank.strips[k].units, a.units[i])
	blank.most = max(blank.most, blank.strips[k].cells)
	a.cost += a.costs[blank.most] - a.costs[was.most]
	ok := a.put(i+1, place{b, k})
	blank = &a.blanks[b]
	st := &blank.strips[k]
	st.cells -= q.length
	st.units = st.units[:len(st.units)-1]
	strips := blank.strips[:len(was.strips)]
	*blank, a.cost = was, cost
	blank.strips = strips
	return ok
}

// loads is the plan in hand.
func (a *assigner) loads() []load {
	var out []load
	for _, b := range a.blanks {
		l := load{holds: make([]int, len(a.s.sizes))}
		for _, st := range b.strips {
			holds := make([]int, len(a.s.sizes))
			for _, k := range st.units {
				holds[k]++
				l.holds[k]++
			}
			l.lanes = append(l.lanes, lane{st.lane, holds})
		}
		a.s.shorten(&l)
		out = append(out, l)
	}
	return out
}
