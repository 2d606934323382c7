package guillotine

import (
	"context"
	"slices"
)

// Branched answers by branch and bound alone, from a plan of each size by itself.
func Branched(c Coil) (Plan, error) {
	s, count, err := ready(c)
	if err != nil || len(s.sizes) == 0 {
		return Plan{Optimal: true}, err
	}
	s.offer(s.shelves(count))
	s.branch(count)
	return s.answer(c), nil
}

// BranchedBelow seeks a plan that takes less than length by branch and bound alone, and
// gives the least length it knows, with what it proves.
func BranchedBelow(c Coil, length int64) (least, bound int64, err error) {
	s, count, err := ready(c)
	if err != nil || len(s.sizes) == 0 {
		return 0, 0, err
	}
	s.best, s.cost = s.shelves(count), length/s.unit
	s.branch(count)
	return s.cost * s.unit, s.lower * s.unit, nil
}

// Searched answers by trying everything within bounds, from a plan of each size by
// itself. It shares no programme and no tables with Branched.
func Searched(c Coil) (Plan, error) {
	s, count, err := ready(c)
	if err != nil || len(s.sizes) == 0 {
		return Plan{Optimal: true}, err
	}
	s.offer(s.shelves(count))
	s.search()
	return s.answer(c), nil
}

// RootCut is a cut or a demand that is found at the root: what a blank counts for, by how many
// strips of each width it has and its longest one, and how much all must make.
type RootCut struct {
	Need   float64
	Amount func(strips map[int64]int, longest int64) float64
}

// RootCuts are the cuts and demands found at the root of the search.
func RootCuts(c Coil) ([]RootCut, error) {
	s, count, err := ready(c)
	if err != nil || len(s.sizes) == 0 {
		return nil, err
	}
	s.offer(s.shelves(count))
	s.cost *= 2 // so that no bound ends the search for cuts
	t := s.newTree(count)
	_, n := t.root()
	var out []RootCut
	for _, r := range n.rules {
		out = append(out, t.rootCut(c, r))
	}
	return out, nil
}

// SumCuts are the cuts from sums of others, which hold for plans that take less than length.
func SumCuts(c Coil, length int64) ([]RootCut, error) {
	t, root, n, err := rootBelow(c, length)
	if t == nil {
		return nil, err
	}
	known := len(t.cuts.found)
	t.begin(root, n)
	var out []RootCut
	for _, cut := range t.cuts.found[known:] {
		out = append(out, t.rootCut(c, cut.rule()))
	}
	return out, nil
}

// rootBelow solves the root of the search for a plan that takes less than length; nil where
// there is nothing to cut.
func rootBelow(c Coil, length int64) (*tree, *priced, *part, error) {
	s, count, err := ready(c)
	if err != nil || len(s.sizes) == 0 {
		return nil, nil, nil, err
	}
	s.best, s.cost = s.shelves(count), length/s.unit
	t := s.newTree(count)
	root, n := t.root()
	return t, root, n, nil
}

func (t *tree) rootCut(c Coil, r rule) RootCut {
	return RootCut{r.needs(), func(strips map[int64]int, longest int64) float64 {
		return r.amount(t, t.extentFor(c, longest)*len(t.setups)+t.roomFor(c, strips))
	}}
}

// roomFor is the first setup with a lane for every strip.
func (t *tree) roomFor(c Coil, strips map[int64]int) int {
	for i, lanes := range t.setups {
		fits := true
		for w, n := range lanes {
			fits = fits && strips[int64(t.s.widths[w])*(c.Width/int64(t.s.width))] <= n
		}
		if fits {
			return i
		}
	}
	return -1
}

func ready(c Coil) (*slitter, []int, error) {
	if err := c.Validate(); err != nil {
		return nil, nil, err
	}
	s, err := newSlitter(c)
	if err != nil {
		return nil, nil, err
	}
	s.meter = newMeter(context.Background(), c.Steps)
	count := make([]int, len(s.sizes))
	for k, q := range s.sizes {
		count[k] = q.count
	}
	return s, count, nil
}

// Pruned is what is left of parts, given what their plans cost at least, when a plan of some
// cost is known.
func Pruned(cost int64, parts []int64) (left []int64) {
	t := &tree{s: &slitter{cost: cost}}
	for _, v := range parts {
		t.open = append(t.open, &part{lower: v})
	}
	t.prune()
	for _, n := range t.open {
		left = append(left, n.lower)
	}
	return left
}

// Live says of a blank, by how many strips of each width it has and its longest one, whether
// a plan of less than length may have it, by the root's duals.
func Live(c Coil, length int64) (live func(strips map[int64]int, longest int64) bool, err error) {
	t, root, n, err := rootBelow(c, length)
	if t == nil {
		return nil, err
	}
	root.boundShapes()
	return func(strips map[int64]int, longest int64) bool {
		_, ok := slices.BinarySearch(n.live[t.extentFor(c, longest)], int32(t.roomFor(c, strips)))
		return ok
	}, nil
}

// extentFor is the shortest extent as long as a strip.
func (t *tree) extentFor(c Coil, longest int64) int {
	return slices.IndexFunc(t.s.extents, func(x extent) bool { return int64(x.cells)*(c.Longest/int64(t.s.longest)) >= longest })
}

// PartsWith counts the parts, of those that have more lanes than had from some extent up,
// to which lanes belong; both count lanes by extent.
func PartsWith(had, lanes []int) (parts int) {
	var rooms []room
	for e, n := range had {
		if n > 0 {
			rooms = append(rooms, room{e, float64(n)})
		}
	}
	for _, rules := range moreLanes(0, rooms, len(had)) {
		all := true
		for _, r := range rules {
			n := 0
			for _, v := range lanes[r.extent:] {
				n += v
			}
			all = all && r.sign*n >= r.need
		}
		if all {
			parts++
		}
	}
	return parts
}

// SeatPieces seats pieces of given lengths and counts on lanes, and says whether all was
// tried.
func SeatPieces(lengths, count, rooms []int) (strips [][]int, all bool) {
	strips, all, _ = seatPieces(lengths, count, rooms)
	return strips, all
}

// TwoWays is the least cost of a covering programme with a last row that is added when
// the others are met: by the dual method from there, and by the primal method afresh.
// Columns hold a number for every row; false where the dual method did not end.
func TwoWays(need []int, cost []float64, columns [][]int) (dual, primal float64, ok bool) {
	m := len(need) - 1
	build := func(rows int) *programme {
		p := newProgramme(need[:rows])
		for i := range rows {
			p.columns = append(p.columns, lpColumn{cost: 1000, holds: []lpEntry{{i, 1}}})
		}
		for j, c := range columns {
			p.add(cost[j], c[:rows])
		}
		return p
	}
	whole := build(m + 1)
	whole.fresh()
	whole.optimise(10_000)
	part := build(m)
	part.fresh()
	part.optimise(10_000)
	again := build(m + 1)
	for _, b := range part.basis {
		if b >= m {
			b++ // the artificial column of the new row lies before it
		}
		again.basis = append(again.basis, b)
	}
	again.basis = append(again.basis, ^m)
	ok = again.invert() && again.dual(10_000, 1e18) && !again.unsound()
	return again.least(), whole.least(), ok
}

// Walker walks over the shapes of a question's blanks, from each size by itself.
type Walker struct {
	g     *walker
	bound int64
}

// NewWalker knows the demands of the root; nil where the question has no pieces.
func NewWalker(c Coil) (*Walker, error) {
	s, count, err := ready(c)
	if err != nil || len(s.sizes) == 0 {
		return nil, err
	}
	s.offer(s.shelves(count))
	t := s.newTree(count)
	n := t.whole()
	root := t.solve(n)
	w := &Walker{t.newWalker(root), n.lower}
	w.g.open()
	return w, nil
}

// Step makes one move, or tries to.
func (w *Walker) Step(heat float64) { w.g.step(heat) }

// Account is what the walker believes: of every demand, what its lanes hold beyond it, and
// what its blanks cost; and the same counted anew.
func (w *Walker) Account() (kept, counted []float64) {
	g, t := w.g, w.g.t
	kept, counted = append(kept, float64(g.cost), g.short()), append(counted, 0, 0)
	for _, at := range g.shapes {
		counted[0] += float64(t.s.extents[at/len(t.setups)].cost)
	}
	for i, all := range t.demands {
		area := float64(t.s.extents[len(t.s.extents)-1].cost) * float64(t.s.widths[i]) / float64(t.s.width)
		most := 0.0
		for k, d := range all {
			short := d.short(g.rooms(i)) * area
			kept, counted = append(kept, g.lacks[i].have[k]), append(counted, -short)
			most = max(most, short)
		}
		counted[1] += most
	}
	return kept, counted
}

// Walk goes once from hot to cold, and gives the best plan and the root's bound.
func (w *Walker) Walk(c Coil, moves int) (p Plan, bound int64) {
	w.g.walk(moves)
	return w.g.t.s.answer(c), w.bound * w.g.t.s.unit
}

// Within says that lanes, counted by extent, are no more than others from any extent up.
func Within(lanes, others []int) bool {
	rooms := func(n []int) (out []room) {
		for e, v := range n {
			if v > 0 {
				out = append(out, room{e, float64(v)})
			}
		}
		return out
	}
	return within(rooms(lanes), rooms(others))
}

// SpoiltBasis solves a covering programme whose inverse is then spoilt by noise, goes on from
// there by both methods, and gives the basis. Columns hold a number for every row.
func SpoiltBasis(need []int, cost []float64, columns [][]int, noise []float64) []int {
	p := newProgramme(need)
	for i := range need {
		p.columns = append(p.columns, lpColumn{cost: 1000, holds: []lpEntry{{i, 1}}})
	}
	for j, c := range columns {
		p.add(cost[j], c)
	}
	p.fresh()
	p.optimise(1000)
	for i, row := range p.inverse {
		for j := range row {
			row[j] += noise[(i*len(need)+j)%len(noise)]
		}
		p.x[i] -= 1
	}
	p.dual(1, 1e18)
	p.optimise(1)
	return p.basis
}
