package pack

import "math"

// enumerate lists every pattern that a plan of at most the target weight can
// use. Given whole weights of the kinds, no pattern of supply k gives more
// than cost[k]*q for the rational q = top/unit, so a plan can lose only
//
//	budget = target*top - unit*(sum of demand*weight)
//
// and a pattern that alone loses more is in no such plan (reduced-cost
// fixing). Near the optimum few patterns are left: what remains is an exact
// cover. It returns false when the limits come first.
func (r *relaxation) enumerate(target int64, w *meter) ([]pattern, bool) {
	e := &enumerator{r: r, q: r.price, w: w, nodes: enumerationNodes}
	if !e.weigh(target) {
		return nil, false
	}
	m := r.part.m
	for k, s := range m.supplies {
		e.supply, e.cost = k, s.cost
		e.need = ceilDiv(s.cost*e.top-e.budget, e.unit)
		e.q.reset(0, 0)
		e.walk(0, s.room, 0)
	}
	return e.found, e.nodes > 0 && len(e.found) < enumerationPatterns
}

const (
	enumerationNodes    = 3_000_000
	enumerationPatterns = 15_000
)

type enumerator struct {
	r      *relaxation
	q      *pricer
	w      *meter
	top    int64
	unit   int64
	budget int64
	supply int
	cost   int64
	need   int64 // weight a pattern must have
	stack  []entry
	found  []pattern
	nodes  int
}

// weigh sets the weights from the best duals, one at least for every kind so
// that none is left out, and finds the heaviest patterns. False when the
// numbers are too large or the target is below the bound anyway.
func (e *enumerator) weigh(target int64) bool {
	r, m := e.r, e.r.part.m
	scale := math.Exp2(36)
	for _, s := range m.supplies {
		scale = min(scale, math.Exp2(60)/(r.unit*float64(max(target, s.cost)+1)*4))
	}
	if scale < 1000 {
		return false
	}
	for i := range r.part.elems {
		e.q.value[i] = max(1, int64(r.center[i]*scale*1))
	}
	e.q.load(e.w)
	e.top, e.unit = 0, 1
	for _, s := range m.supplies {
		v, _ := e.q.heaviest(s.room, 0, enumerationNodes)
		e.w.spend(nodeSteps * int64(enumerationNodes-e.q.nodes))
		if cmpProducts(v, e.unit, e.top, s.cost) > 0 {
			e.top, e.unit = v, s.cost
		}
	}
	if e.top > math.MaxInt64/4/max(target, 1) {
		return false
	}
	e.budget = target*e.top - e.unit*r.total()
	return e.budget >= 0
}

// walk goes through all patterns that can still reach the weight needed.
func (e *enumerator) walk(j int, room, value int64) {
	q := e.q
	if value >= e.need && len(e.stack) > 0 {
		e.keep()
	}
	for ; j < len(q.layers); j++ {
		e.nodes--
		if e.nodes <= 0 || len(e.found) >= enumerationPatterns || value+q.bound(j, room) < e.need {
			return
		}
		l := q.layers[j]
		fee := q.fee(l)
		if l.length+fee > room || value+l.value+q.bound(j+1, room-l.length-fee) < e.need {
			continue
		}
		opened := q.opened
		q.opened |= q.part.elems[l.elem].classes
		e.stack = append(e.stack, entry{l.elem, l.mult})
		e.walk(j+1, room-l.length-fee, value+l.value)
		e.stack = e.stack[:len(e.stack)-1]
		q.opened = opened
	}
}

// keep writes the pattern in kinds; layers of one element are added up.
func (e *enumerator) keep() {
	var take []entry
	for _, t := range e.stack {
		if n := len(take); n > 0 && take[n-1].kind == t.kind {
			take[n-1].n += t.n
		} else {
			take = append(take, t)
		}
	}
	e.found = append(e.found, pattern{e.supply, take})
}
