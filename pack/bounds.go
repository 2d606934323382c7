package pack

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// buy answers: which bins make at least the given length and number, weigh at
// least floor, and weigh least? It returns their weight and numbers per supply.
// When its node limit ends the search it returns a valid lower weight and nil.
// It is the material bound, and it lifts any other bound to a weight that
// whole bins can have.
func (m *model) buy(length int64, number int, floor int64) (int64, []int) {
	b := buyer{m: m, floor: floor, whole: length >= m.total, best: math.MaxInt64, nodes: 20000, now: make([]int, len(m.supplies))}
	b.order = make([]int, len(m.supplies))
	for i := range b.order {
		b.order[i] = i
	}
	slices.SortStableFunc(b.order, func(x, y int) int {
		return cmpProducts(m.supplies[x].cost, m.net(y), m.supplies[y].cost, m.net(x))
	})
	b.cheap = make([]int64, len(b.order)+1)
	b.cheap[len(b.order)] = math.MaxInt64
	for i := len(b.order) - 1; i >= 0; i-- {
		b.cheap[i] = min(b.cheap[i+1], m.supplies[b.order[i]].cost)
	}
	root := b.least(0, length, number, 0)
	b.search(0, length, number, 0, 0)
	if b.nodes <= 0 {
		return max(floor, root), nil
	}
	return b.best, b.plan
}

type buyer struct {
	m     *model
	order []int   // supplies, cheapest for their length first
	cheap []int64 // least cost of one bin among order[i:]
	floor int64
	whole bool // all pieces are asked for: classes must find room too
	now   []int
	best  int64
	plan  []int
	nodes int
}

// least is a lower bound on the whole weight when supplies order[i:] are open:
// the cheapest lengths there are, the last of them in part.
func (b *buyer) least(i int, length int64, number int, sum int64) int64 {
	if length <= 0 && number <= 0 {
		return max(sum, b.floor)
	}
	if i == len(b.order) {
		return math.MaxInt64
	}
	more := int64(0)
	if number > 0 {
		more = b.cheap[i] * int64(number)
	}
	if length > 0 {
		more = max(more, b.fill(i, length))
	}
	if more == math.MaxInt64 {
		return more
	}
	return max(sum+more, b.floor)
}

// fill is the least that a length can weigh, or more than anything where what is
// open does not give it.
func (b *buyer) fill(i int, length int64) int64 {
	sum := int64(0)
	for _, k := range b.order[i:] {
		s, net := b.m.supplies[k], b.m.net(k)
		if int64(s.avail) >= ceilDiv(length, net) {
			return sum + ceilMulDiv(length, s.cost, net)
		}
		sum += int64(s.avail) * s.cost
		length -= int64(s.avail) * net
	}
	return math.MaxInt64
}

// search tries numbers of each supply in turn; more is the length asked for beside
// the pieces and one set-up a bin.
func (b *buyer) search(i int, length int64, number int, sum, more int64) {
	b.nodes--
	if b.nodes <= 0 || b.least(i, length, number, sum) >= b.best {
		return
	}
	if length <= 0 && number <= 0 && sum >= b.floor {
		slack := more - length
		if !b.whole || b.m.setup == 0 || b.m.classes < 2 || b.divides(slack) {
			b.best, b.plan = sum, slices.Clone(b.now)
			return
		}
		next := (slack/b.m.setup + 1) * b.m.setup // room for a set-up more
		length, more = length+next-more, next
	}
	if i == len(b.order) {
		return
	}
	k := b.order[i]
	s := b.m.supplies[k]
	for n := min(s.avail, b.most(s, length, number, sum)); n >= 0 && b.nodes > 0; n-- {
		b.now[k] = n
		b.search(i+1, length-int64(n)*b.m.net(k), number-n, sum+int64(n)*s.cost, more)
	}
	b.now[k] = 0
}

// divides tells whether the bins may do with as many set-ups as the slack holds
// beside one a bin. Bins and classes, joined where a bin holds a class, form
// groups; a group of c classes and n bins takes n+c-1 set-ups at least. So the
// classes must fall into groups, few enough set-ups apart, each with bins whose
// room lies between what it needs and what it may take. Every group is looked at
// alone, which can only err towards yes; true also where there is too much to look at.
func (b *buyer) divides(slack int64) bool {
	m := b.m
	if slack >= m.setup*int64(m.classes-1) {
		return true
	}
	reach, ok := b.reach()
	if !ok {
		return true
	}
	if m.classes > 5 {
		return slack >= m.setup || b.eachHasRoom(b.singleClasses(), slack, reach)
	}
	return b.groups(0, nil, slack, reach)
}

// reach lists the rooms that some of the bins have together; false when it would
// be long, or when a bin more could be too small to bring a set-up's room.
func (b *buyer) reach() ([]int64, bool) {
	reach := []int64{0}
	for k, n := range b.now {
		net := b.m.net(k)
		if net < b.m.setup {
			return nil, false
		}
		for ; n > 0; n-- {
			with := make([]int64, len(reach))
			for i, r := range reach {
				with[i] = r + net
			}
			reach = append(reach, with...)
			slices.Sort(reach)
			reach = slices.Compact(reach)
			if b.nodes -= len(reach) / 64; len(reach) > 4096 || b.nodes <= 0 {
				return nil, false
			}
		}
	}
	return reach, true
}

// groups tries every way to divide the classes from class on among the groups so far and new ones.
func (b *buyer) groups(class int, so [][]int, slack int64, reach []int64) bool {
	if class == b.m.classes {
		return b.eachHasRoom(so, slack, reach)
	}
	for g := range so {
		with := slices.Clone(so)
		with[g] = append(slices.Clone(so[g]), class)
		if b.groups(class+1, with, slack, reach) {
			return true
		}
	}
	return b.groups(class+1, append(slices.Clone(so), []int{class}), slack, reach)
}

func (b *buyer) eachHasRoom(groups [][]int, slack int64, reach []int64) bool {
	slack -= b.m.setup * int64(b.m.classes-len(groups))
	if slack < 0 {
		return false
	}
	for _, g := range groups {
		need := b.m.setup * int64(len(g)-1)
		for _, class := range g {
			need += b.m.classTotal(class)
		}
		i, _ := slices.BinarySearch(reach, need)
		if i == len(reach) || reach[i] > need+slack {
			return false
		}
	}
	return true
}

func (b *buyer) singleClasses() [][]int {
	var out [][]int
	for c := range b.m.classes {
		out = append(out, []int{c})
	}
	return out
}

// classTotal is the length of a class's pieces.
func (m *model) classTotal(class int) int64 {
	sum := int64(0)
	for _, k := range m.kinds {
		if k.class == class {
			sum += k.length * int64(k.demand)
		}
	}
	return sum
}

// most is how many bins of a supply can be of use: enough for all three wants.
func (b *buyer) most(s supply, length int64, number int, sum int64) int {
	n := int64(max(0, number))
	if n = max(n, ceilDiv(max(0, length), s.room-b.m.setup)); b.whole && b.m.setup > 0 {
		n += int64(b.m.classes) // for the set-ups more
	}
	n = max(n, ceilDiv(max(0, b.floor-sum), s.cost))
	return int(min(n, int64(b.m.count)))
}

// minBins is a lower bound on the number of bins, from dual feasible functions
// on the longest room: the classical L2 (Martello and Toth 1990) and the
// rounding function u(k) (Fekete and Schepers 2001), both from memory.
func (m *model) minBins() int {
	if m.fewest == 0 {
		m.fewest = m.countBins()
	}
	return m.fewest
}

func (m *model) countBins() int {
	c := m.net(0)
	best := max(ceilDiv(m.total, c), 1)
	if _, ok := mulFits(c, int64(m.count)*64); !ok {
		return int(best)
	}
	for _, k := range m.kinds {
		if a := k.length; 2*a <= c && a > c-m.kinds[0].length { // else no piece grows
			best = max(best, ceilDiv(m.thresholdSum(a, c), c))
		}
	}
	for k := int64(1); k <= 32; k++ {
		best = max(best, ceilDiv(m.roundedSum(k, c), k*c))
	}
	return int(best)
}

// thresholdSum counts pieces longer than c-a as c, shorter than a as nothing.
func (m *model) thresholdSum(a, c int64) int64 {
	sum := int64(0)
	for _, k := range m.kinds {
		switch {
		case k.length > c-a:
			sum += c * int64(k.demand)
		case k.length >= a:
			sum += k.length * int64(k.demand)
		}
	}
	return sum
}

func (m *model) roundedSum(k, c int64) int64 {
	sum := int64(0)
	for _, t := range m.kinds {
		v := k * t.length
		if q := (k + 1) * t.length; q%c != 0 {
			v = q / c * c
		}
		sum += v * int64(t.demand)
	}
	return sum
}

// cmpProducts compares a*b with c*d, all non-negative, exactly.
func cmpProducts(a, b, c, d int64) int {
	h1, l1 := bits.Mul64(uint64(a), uint64(b))
	h2, l2 := bits.Mul64(uint64(c), uint64(d))
	return cmp.Or(cmp.Compare(h1, h2), cmp.Compare(l1, l2))
}

// ceilMulDiv is a*b/c rounded up, for non-negative a, b and positive c, capped
// at half the range.
func ceilMulDiv(a, b, c int64) int64 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	if hi >= uint64(c) {
		return sumLimit
	}
	q, r := bits.Div64(hi, lo, uint64(c))
	if r > 0 {
		q++
	}
	return int64(min(q, sumLimit))
}

func ceilDiv(a, b int64) int64 {
	if a <= 0 {
		return a / b
	}
	return (a-1)/b + 1
}
