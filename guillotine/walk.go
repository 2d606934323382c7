package guillotine

import (
	"math"
	"slices"
)

// walker seeks better plans by small changes of the shapes of blanks: what costs more is
// let pass the more seldom the further the walk has come (simulated annealing; Kirkpatrick,
// Gelatt and Vecchi 1983, from memory). What the lanes fall short of the demands that are
// known counts against a plan; where they meet all, for less than the best plan, new
// demands are sought, and then seats.
type walker struct {
	t      *tree
	luck   chance
	lower  int64   // no plan costs less
	idle   int     // walks since one found a better plan
	shapes []int   // of the blanks
	kin    [][]int // of each setup: those that differ little
	near   [][]int // of each extent: setups that lose little
	lacks  []lack  // of each width
	cost   int64
	full   [][][]room // of each width: lanes on which its pieces found no seats
	passed []float64  // the most that is let pass, for one unit of heat, at any chance
}

const (
	// walkMoves is how many moves a walk has for each blank at least, and mostDoubled how
	// often that is doubled, once for every two walks without a better plan; hot (in
	// every other walk twice that) and cold are the most that is let pass at its begin and
	// end, in one of e times, in mean steps from extent to extent (all assumed).
	walkMoves, mostDoubled, hot, cold = 8000, 3, 2.0, 0.2
	// mostIdle is after how many walks without a better plan no more are made.
	mostIdle = 200
	// patient is after how many of them walks have half the time of the tree, and so on
	// (assumed).
	patient = 3
	// perShort is what a unit of cost that lanes are short of counts (assumed).
	perShort = 1.7
	// cooling is how many moves are made at one heat.
	cooling = 500
	// kinship is how many lanes setups that differ little differ by (assumed).
	kinship = 4
	// nearBy is what part of the longest blank a shape that is near may lose, seldom in one
	// of how many draws others are drawn, and draws how often one is drawn (all assumed).
	nearBy, seldom, draws = 64, 32, 6
	// trades is how many exchanges of lanes are drawn till one loses few (assumed).
	trades = 12
	// mostFull bounds the lanes without seats that are remembered of a width.
	mostFull = 100
	// anew is the place of a blank more.
	anew = -1
)

// newWalker takes what shapes lose from the root.
func (t *tree) newWalker(root *priced) *walker {
	n := len(t.s.widths)
	g := &walker{t: t, luck: 1, lacks: make([]lack, n), full: make([][][]room, n), passed: make([]float64, 1<<10)}
	for i, a := range t.setups {
		g.kin = append(g.kin, nil)
		for j, b := range t.setups {
			if i != j && apart(a, b) <= kinship {
				g.kin[i] = append(g.kin[i], j)
			}
		}
	}
	root.bound()
	for e, x := range t.s.extents {
		g.near = append(g.near, nil)
		for i := range t.setups {
			if x.cost*dualScale-t.worth(e, i) < t.s.extents[len(t.s.extents)-1].cost*dualScale/nearBy {
				g.near[e] = append(g.near[e], i)
			}
		}
	}
	for i := range g.passed {
		g.passed[i] = -math.Log((float64(i) + 0.5) / float64(len(g.passed)))
	}
	t.s.meter.spend((len(t.setups) + len(t.s.extents)) * len(t.setups) * n)
	return g
}

// apart is how many lanes two setups differ by.
func apart(a, b setup) (n int) {
	for w := range a {
		n += max(a[w]-b[w], b[w]-a[w])
	}
	return n
}

// search walks until the meter is down to floor, or the best plan costs no more than
// lower.
func (g *walker) search(floor, lower int64) {
	m := g.t.s.meter
	for g.lower = lower; g.idle < mostIdle && !m.done && m.left > floor && g.lower < g.t.s.cost; g.idle++ {
		if g.walk(walkMoves * len(g.t.s.best) << min(mostDoubled, g.idle/2)) {
			g.idle = -1
		}
	}
}

// walk goes once from hot to cold, from the best plan on; true where it found a better
// one.
func (g *walker) walk(moves int) (better bool) {
	t := g.t
	if !g.open() {
		return false
	}
	longest := t.s.extents[len(t.s.extents)-1]
	step := float64(longest.cost) / float64(len(t.s.extents))
	heat := step * hot * float64(1+g.idle%2)
	slower := math.Pow(step*cold/heat, float64(cooling)/float64(moves))
	for range moves / cooling {
		for range cooling {
			if g.step(heat) && g.cost < t.s.cost && g.short() < tiny {
				better = g.try() || better
			}
		}
		if heat *= slower; t.s.meter.done || g.lower >= t.s.cost {
			break
		}
	}
	return better
}

// open starts from the best plan; false where its blanks have no shapes.
func (g *walker) open() bool {
	g.shapes, g.cost = g.shapes[:0], 0
	for _, b := range g.t.s.best {
		at := g.t.shapeOf(b)
		if at < 0 {
			return false
		}
		g.shapes, g.cost = append(g.shapes, at), g.cost+b.extent.cost
	}
	for w := range g.lacks {
		g.weigh(w)
	}
	return true
}

// try seeks demands that the lanes do not meet, and then seats; true where those are a
// better plan.
func (g *walker) try() bool {
	t, known := g.t, false
	rooms := make([][]room, len(t.s.widths))
	for w := range rooms {
		rooms[w] = g.rooms(w)
		if slices.ContainsFunc(g.full[w], func(full []room) bool { return within(rooms[w], full) }) {
			return false
		}
	}
	for w := range rooms {
		if d := t.fitters[w].short(rooms[w]); d != nil {
			t.demands[w], known = append(t.demands[w], d), true
			g.weigh(w)
		}
	}
	if known || t.s.meter.done {
		return false
	}
	plan, w, _ := t.seated(g.shapes)
	if plan == nil {
		g.full[w] = append(g.full[w], rooms[w])
		g.full[w] = g.full[w][max(0, len(g.full[w])-mostFull):]
		return false
	}
	return t.s.offer(plan)
}

// rooms counts the lanes of a width by extent.
func (g *walker) rooms(w int) (out []room) {
	t, P := g.t, len(g.t.setups)
	n := make([]int, len(t.s.extents))
	for _, at := range g.shapes {
		n[at/P] += t.setups[at%P][w]
	}
	for e, v := range n {
		if v > 0 {
			out = append(out, room{e, float64(v)})
		}
	}
	return out
}

// within says that lanes are no more than others from any extent up.
func within(a, b []room) bool {
	more := 0.0
	for i, j := len(a)-1, len(b)-1; i >= 0; i-- {
		for ; j >= 0 && b[j].extent >= a[i].extent; j-- {
			more -= b[j].lanes
		}
		if more += a[i].lanes; more > 0.5 {
			return false
		}
	}
	return true
}

// shapeOf is the shape of a blank: its extent, and the first setup with its lanes; -1
// where there is none.
func (t *tree) shapeOf(b load) int {
	lanes := make([]int, len(t.s.widths))
	for _, l := range b.lanes {
		lanes[l.width]++
	}
	i := slices.IndexFunc(t.setups, func(s setup) bool { return atMost(lanes, s) })
	if i < 0 {
		return -1
	}
	return slices.Index(t.s.extents, b.extent)*len(t.setups) + i
}
