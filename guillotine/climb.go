package guillotine

import "slices"

// climb is the search for plans of the least cost that is open, and when there is none for
// such as cost a little more (iterative deepening; Korf 1985, from memory). The less a
// plan may cost, the fewer shapes may it have, at the root by their reduced costs and again
// in every node; so each search is small beside one for all better plans.
type climb struct {
	climbing bool
	root     *part // to begin from
	proven   int64 // no plan costs less, but for the parts that were given up
}

// startClimb gives the nodes that wait up for a climb.
func (t *tree) startClimb() {
	t.proven = t.lower()
	t.climbing, t.open, t.over = true, nil, t.proven
}

// more says whether there is anything left to search.
func (t *tree) more() bool { return len(t.open) > 0 || t.climbing && t.over < t.s.cost }

// grain is by how much more plans may cost from one search of a climb to the next.
func (t *tree) grain() int64 { return max(1, t.s.extents[len(t.s.extents)-1].cost/128) }

// rise begins the next search of a climb. The root is solved anew for as long as its duals
// leave shapes out. What trials gave with fewer shapes is forgotten.
func (t *tree) rise() {
	t.proven = t.over
	t.over = min(t.s.cost, t.proven+t.grain())
	t.past = map[rule]history{}
	t.revive()
	for left := -1; left != t.living(); {
		left = t.living()
		p := t.solve(t.afresh())
		p, _ = t.tighten(p, p.n)
		if p.n.lower >= t.over {
			return
		}
		p.bar()
		t.root = p.asRoot()
		if t.s.meter.done || left == t.living() {
			t.settle(p, p.n)
			return
		}
	}
}

// afresh is the root without the shapes that are left out.
func (t *tree) afresh() *part {
	n := &part{rules: t.root.rules, lower: t.root.lower, live: t.live}
	for _, c := range t.root.active {
		if t.lives(c) {
			n.active = append(n.active, c)
		}
	}
	return n
}

// asRoot is the node once more.
func (p *priced) asRoot() *part {
	n := p.with(nil)
	n.depth = 0
	return n
}

// revive lists the shapes that a plan that is sought may have.
func (t *tree) revive() {
	P := len(t.setups)
	t.live = make([][]int32, len(t.s.extents))
	for e := range t.live {
		for i := range t.setups {
			if t.least[e*P+i] < t.over {
				t.live[e] = append(t.live[e], int32(i))
			}
		}
	}
	t.s.meter.spend(len(t.least))
}

// lives says whether a shape is not left out.
func (t *tree) lives(shape int) bool {
	P := len(t.setups)
	_, ok := slices.BinarySearch(t.live[shape/P], int32(shape%P))
	return ok
}

// living is how many shapes are not left out.
func (t *tree) living() (n int) {
	for _, setups := range t.live {
		n += len(setups)
	}
	return n
}
