package pack

import "math"

// relaxation is the column-generation linear programme of a part.
type relaxation struct {
	part   *part
	lp     *lp
	cols   []pattern // of elements, as lp.cols
	price  *pricer
	unit   float64 // weight of the dearest supply: costs are scaled by it
	center []float64
	near   float64 // best estimate of the bound so far, in units
	lower  int64   // proven, rounded up to what bins can weigh
	value  float64 // of the linear programme, in the model's weight
	upper  int64   // nothing at or above this is of interest
	exact  bool    // no column is missing
	whole  bool    // the last pricing searched all patterns
}

func newRelaxation(p *part, pool []pattern, upper int64) *relaxation {
	r := &relaxation{part: p, upper: upper, near: math.Inf(-1)}
	for _, s := range p.m.supplies {
		r.unit = max(r.unit, float64(s.cost))
	}
	p.index()
	r.lp = newLP(p.demand(), 20)
	r.price = newPricer(p)
	for _, c := range pool {
		r.addColumn(c)
	}
	r.center = r.volumeDuals()
	return r
}

func (r *relaxation) addColumn(c pattern) {
	r.cols = append(r.cols, c)
	r.lp.add(r.part.column(c, r.unit))
}

// volumeDuals price every element by its length: near the truth where bins
// fill up, and a quiet point to begin from.
func (r *relaxation) volumeDuals() []float64 {
	m := r.part.m
	rate := math.Inf(1)
	for k, s := range m.supplies {
		rate = min(rate, float64(s.cost)/r.unit/float64(m.net(k)))
	}
	y := make([]float64, r.lp.rows)
	for i, e := range r.part.elems {
		y[i] = rate * float64(e.length)
	}
	return y
}

// smooth is how far the duals priced stay with the best ones so far (Wentges 1997, from memory).
const smooth = 0.6

// run generates columns until none is missing, or the proven bound reaches
// upper; a hasty run of so many rounds also ends when the bound cannot rise any more by rounding.
func (r *relaxation) run(w *meter, hasty int) {
	alpha := smooth
	for n := 1; !w.done() && !r.exact; n++ {
		r.value = r.lp.solve(w) * r.unit
		added, better := r.round(alpha, w)
		switch {
		case r.lower >= r.upper:
			return
		case added > 0:
			alpha = smooth
			r.trim()
		case alpha > 0 && !better:
			alpha = 0
		case alpha > 0:
			continue
		case r.lp.artificial() > 1e-4 && r.lp.big < 1e7:
			r.lp.big *= 20
			r.lp.price()
		case hasty == 0 && !r.whole && r.price.refine():
		default:
			r.exact = true
		}
		if hasty > 0 && (n >= hasty || r.lp.artificial() < 1e-4 && r.settled()) {
			return
		}
	}
}

// settled tells that the programme's value, rounded up, is the bound already.
func (r *relaxation) settled() bool {
	return math.Ceil(r.value-1e-6*max(1, r.unit)) <= float64(r.lower)
}

// round prices once and returns how many columns came and whether the bound rose.
func (r *relaxation) round(alpha float64, w *meter) (added int, better bool) {
	y := make([]float64, r.lp.rows)
	for i, v := range r.lp.y {
		y[i] = max(0, alpha*r.center[i]+(1-alpha)*max(0, v))
	}
	scale := r.setValues(y)
	r.price.load(w)
	proof := weights{total: r.total(), heaviest: make([]int64, len(r.part.m.supplies))}
	r.whole = true
	for k := range r.part.m.supplies {
		limit := r.nodes(w)
		v, take := r.price.heaviest(r.part.m.supplies[k].room, 0, limit)
		w.spend(nodeSteps * int64(limit-r.price.nodes))
		r.whole = r.whole && r.price.nodes > 0
		proof.heaviest[k] = v
		added += r.offer(pattern{k, take})
	}
	better = r.prove(proof, y, scale)
	if added > 0 || alpha == 0 {
		added += r.more(y, scale, w)
	}
	return added, better
}

const nodeSteps = 4 // of work, for a node of the pricing search

// nodes is the pricing search's limit; what it cannot finish it bounds.
func (r *relaxation) nodes(w *meter) int {
	return int(max(1, min(200_000, w.left/20)))
}

// setValues rounds duals down to whole weights and returns the scale used.
func (r *relaxation) setValues(y []float64) float64 {
	sum := 1.0
	for i, e := range r.part.elems {
		sum += y[i] * float64(e.copies)
	}
	for c, cut := range r.part.cuts {
		sum += y[len(r.part.elems)+c] * float64(cut.most)
	}
	scale := math.Exp2(math.Floor(math.Log2(1e17 / sum)))
	scale = min(scale, math.Exp2(40))
	for i := range r.part.elems {
		r.price.value[i] = int64(y[i] * scale)
	}
	for c := range r.part.cuts {
		r.price.penal[c] = int64(y[len(r.part.elems)+c] * scale)
	}
	return scale
}

// total is the left part of the proof: demand times weights, less the cuts.
func (r *relaxation) total() int64 {
	sum := int64(0)
	for i, e := range r.part.elems {
		sum += int64(e.copies) * r.price.value[i]
	}
	for c, cut := range r.part.cuts {
		sum -= int64(cut.most) * r.price.penal[c]
	}
	return sum
}

// prove turns weights into a bound, exactly, and keeps the duals of the best.
func (r *relaxation) prove(proof weights, y []float64, scale float64) bool {
	m := r.part.m
	cost := make([]int64, len(m.supplies))
	for k, s := range m.supplies {
		cost[k] = s.cost
	}
	best := math.Inf(-1)
	for k, v := range proof.heaviest {
		if v > 0 {
			best = max(best, proof.estimate(float64(cost[k])/float64(v), cost, r.part.lo, r.part.hi))
		}
	}
	if best <= r.near {
		return false
	}
	r.near = best
	copy(r.center, y)
	if b := proof.bound(cost, r.part.lo, r.part.hi); b > r.lower {
		r.lower = r.part.lift(b)
	}
	return true
}

// lift raises a bound to the least weight that enough bins can have.
func (p *part) lift(b int64) int64 {
	if p.m.weight == 0 {
		return b
	}
	length := int64(0)
	for _, e := range p.elems {
		length += e.length * int64(e.copies)
	}
	w, _ := p.m.buy(length, 1, b)
	return max(b, w)
}

// offer adds a pattern when its reduced cost is negative at the true duals.
func (r *relaxation) offer(c pattern) int {
	if len(c.take) == 0 || r.lp.reduced(r.part.column(c, r.unit)) > -1e-7 {
		return 0
	}
	r.addColumn(c)
	return 1
}

// more adds, besides the best, patterns that begin with other elements.
func (r *relaxation) more(y []float64, scale float64, w *meter) int {
	m, added := r.part.m, 0
	base := len(r.part.elems) + len(r.part.cuts)
	most := 8 + len(r.part.elems)/3
	for k, s := range m.supplies {
		floor := int64((float64(s.cost)/r.unit + y[base+2*k] - y[base+2*k+1]) * scale * (1 - 1e-9))
		seen := -1
		for j, l := range r.price.layers {
			if added >= most || l.elem == seen {
				continue
			}
			take := r.price.heaviestFrom(j, s.room, floor, 300)
			w.spend(100 + nodeSteps*int64(300-r.price.nodes))
			if n := r.offer(pattern{k, take}); n > 0 {
				added++
				seen = l.elem
			}
		}
	}
	return added
}

// trim drops columns that have priced out, when there are very many.
func (r *relaxation) trim() {
	if len(r.cols) < 4000+8*r.lp.rows {
		return
	}
	to := 0
	moved := make([]int, len(r.cols))
	for j, c := range r.lp.cols {
		moved[j] = -1
		if r.lp.basic[j] || r.lp.reduced(c) < 0.02 {
			r.cols[to], r.lp.cols[to], r.lp.basic[to] = r.cols[j], c, r.lp.basic[j]
			moved[j] = to
			to++
		}
	}
	r.cols, r.lp.cols, r.lp.basic, r.lp.banned = r.cols[:to], r.lp.cols[:to], r.lp.basic[:to], r.lp.banned[:to]
	for i, v := range r.lp.basis {
		if v >= 0 {
			r.lp.basis[i] = moved[v]
		}
	}
}

// values are the columns' values at the programme's solution.
func (r *relaxation) values() []float64 { return r.lp.columnValues() }
