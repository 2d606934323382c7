package pack

import (
	"cmp"
	"slices"
)

// kind is all pieces of one length and class, in the model's reduced unit.
type kind struct {
	length int64
	demand int
	class  int
	source []Piece // items of the problem, with what each asks
}

// supply is all stock of one length and cost.
type supply struct {
	room   int64 // reduced length
	full   int64 // length in the caller's unit
	cost   int64 // money, times model.weight, plus one bin
	avail  int   // bins there are, at most the number of pieces
	source []Piece
}

// model is a problem reduced: kinds longest first, supplies longest first,
// lengths divided by their greatest common divisor, one class folded away,
// dominated stock dropped.
type model struct {
	kinds    []kind
	supplies []supply
	setup    int64 // 0 when there is at most one class
	classes  int
	weight   int64 // bins one unit of money outweighs
	count    int   // pieces
	most     int   // bins that a plan worth having can open
	fewest   int   // bins that any plan opens; 0 until counted
	total    int64 // reduced length of all pieces
}

// entry is n pieces of one kind; pattern is what one bin of a supply gives.
type entry struct{ kind, n int }

type pattern struct {
	supply int
	take   []entry // by kind, ascending
}

// newModel reduces a valid problem.
func newModel(p Problem) (*model, error) {
	m := &model{}
	m.kinds = groupKinds(p)
	m.classes = denseClasses(m.kinds)
	fold := int64(0)
	if m.classes <= 1 {
		fold = p.Setup
	} else {
		m.setup = p.Setup
	}
	g := m.setup
	for _, k := range m.kinds {
		g = gcd(g, k.length)
		m.count += k.demand
	}
	g = max(g, 1)
	m.setup /= g
	for i := range m.kinds {
		m.kinds[i].length /= g
		m.total += m.kinds[i].length * int64(m.kinds[i].demand)
	}
	return m, m.supply(p, fold, g)
}

// groupKinds merges items of equal length and class, longest first. Without a
// set-up length classes do not matter.
func groupKinds(p Problem) []kind {
	type key struct {
		length int64
		class  int
	}
	at := map[key]int{}
	var kinds []kind
	for i, it := range p.Items {
		if it.Count == 0 {
			continue
		}
		k := key{it.Length, it.Class}
		if p.Setup == 0 {
			k.class = 0
		}
		j, ok := at[k]
		if !ok {
			j = len(kinds)
			at[k] = j
			kinds = append(kinds, kind{length: k.length, class: k.class})
		}
		kinds[j].demand += it.Count
		kinds[j].source = append(kinds[j].source, Piece{i, it.Count})
	}
	slices.SortStableFunc(kinds, func(a, b kind) int { return cmp.Compare(b.length, a.length) })
	return kinds
}

// denseClasses renumbers classes 0, 1, ... and returns how many there are.
func denseClasses(kinds []kind) int {
	seen := map[int]int{}
	for i, k := range kinds {
		if _, ok := seen[k.class]; !ok {
			seen[k.class] = len(seen)
		}
		kinds[i].class = seen[k.class]
	}
	return len(seen)
}

// supply groups the stock, weighs it, and drops what another, unlimited and
// no dearer, makes useless. Shortening to the unit g loses nothing: every
// load is a multiple of it.
func (m *model) supply(p Problem, fold, g int64) error {
	m.most = m.mostBins(p, fold, g)
	m.weight = m.weightFor(p)
	type key struct{ length, cost int64 }
	at := map[key]int{}
	for i, s := range p.Stocks {
		room := (s.Length - fold) / g
		if s.Count == 0 || s.Length <= fold || len(m.kinds) == 0 || room < m.shortest()+m.setup {
			continue
		}
		avail := m.count
		if s.Count > 0 {
			avail = min(avail, s.Count)
		}
		cost, ok := mulFits(s.Cost, m.weight)
		if _, fits := mulFits(cost+1, int64(m.most)); !ok || !fits {
			return &StockError{Stock: i, Have: s.Cost, Err: ErrOverflow}
		}
		j, old := at[key{s.Length, s.Cost}]
		if !old {
			j = len(m.supplies)
			at[key{s.Length, s.Cost}] = j
			m.supplies = append(m.supplies, supply{room: room, full: s.Length, cost: cost + 1})
		}
		m.supplies[j].avail = min(m.count, m.supplies[j].avail+avail)
		m.supplies[j].source = append(m.supplies[j].source, Piece{i, avail})
	}
	slices.SortStableFunc(m.supplies, func(a, b supply) int {
		return cmp.Or(cmp.Compare(b.full, a.full), cmp.Compare(a.cost, b.cost))
	})
	m.dropDominated()
	return nil
}

// mostBins bounds the bins of a plan that nobody can better: two bins of one stock
// that are at most half full could be one, and all the others hold half at least.
func (m *model) mostBins(p Problem, fold, g int64) int {
	load := m.total
	if m.setup > 0 {
		load += m.setup * int64(m.count)
	}
	sum := int64(0)
	for _, s := range p.Stocks {
		room := (s.Length - fold) / g
		if s.Count == 0 || s.Length <= fold || room <= 0 {
			continue
		}
		n := 2*ceilDiv(load, room) + 1
		if s.Count > 0 {
			n = min(n, int64(s.Count))
		}
		sum = min(int64(m.count), sum+n)
	}
	return int(sum)
}

// weightFor is 0 when all stock costs the same, for then only bins count.
func (m *model) weightFor(p Problem) int64 {
	first := int64(-1)
	for _, s := range p.Stocks {
		if s.Count == 0 {
			continue
		}
		if first >= 0 && s.Cost != first {
			return int64(m.most) + 1
		}
		first = s.Cost
	}
	return 0
}

func (m *model) dropDominated() {
	kept := m.supplies[:0]
	for _, s := range m.supplies {
		useless := slices.ContainsFunc(kept, func(o supply) bool {
			return o.avail >= m.count && o.cost <= s.cost
		})
		if !useless {
			kept = append(kept, s)
		}
	}
	m.supplies = kept
}

// net is the length a bin has for pieces at most: one class at least is set up.
func (m *model) net(k int) int64 { return m.supplies[k].room - m.setup }

func (m *model) shortest() int64 { return m.kinds[len(m.kinds)-1].length }

// load is the length a pattern uses, set-ups included.
func (m *model) load(take []entry) int64 {
	sum := int64(0)
	for i, e := range take {
		sum += int64(e.n) * m.kinds[e.kind].length
		if m.setup > 0 && !classBefore(m.kinds, take[:i], m.kinds[e.kind].class) {
			sum += m.setup
		}
	}
	return sum
}

func classBefore(kinds []kind, take []entry, class int) bool {
	for _, e := range take {
		if kinds[e.kind].class == class {
			return true
		}
	}
	return false
}

func (m *model) demands() []int {
	d := make([]int, len(m.kinds))
	for i, k := range m.kinds {
		d[i] = k.demand
	}
	return d
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
