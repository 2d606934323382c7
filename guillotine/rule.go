package guillotine

// What a rule counts.
const (
	blanks  = iota // of at least an extent
	lanes          // of a width in them
	likes          // those of a setup
	exactly        // those of a setup that have the extent itself
	arcs           // strips that take n of a size from a place
	shapes         // blanks by extent and setup, as a cut weighs them
)

// rule is a row of a node's programme beside the pieces: sign times what it counts
// must be at least need.
type rule struct {
	kind, extent, width, setup int
	size, from, n              int // of arcs
	cut                        *cut
	slack                      int // rounds in which the cut did not bind
	sign, need                 int
}

// like says that two rules count the same with the same sign.
func (r rule) like(o rule) bool {
	o.need, o.slack = r.need, r.slack
	return o == r
}

// amount is what the rule counts of a blank.
func (r *rule) amount(t *tree, c *column) float64 {
	switch {
	case r.kind == shapes:
		return float64(r.cut.table[c.extent*len(t.setups)+c.setup]) / cutUnit
	case r.kind == arcs:
		return float64(r.sign * t.setups[c.setup][r.width] * r.passes(t, c.strips[r.width]))
	case c.extent < r.extent || r.kind == exactly && c.extent > r.extent:
		return 0
	case r.kind == blanks:
		return float64(r.sign)
	case r.kind == lanes:
		return float64(r.sign * t.setups[c.setup][r.width])
	case c.setup == r.setup:
		return float64(r.sign)
	}
	return 0
}

// passes is 1 where a strip takes n of the size from the place.
func (r *rule) passes(t *tree, strip []int) int {
	lo, x := t.s.first[r.width], 0
	if strip == nil {
		return 0
	}
	for k := lo; k < r.size; k++ {
		x += strip[k-lo] * t.s.sizes[k].length
	}
	if x == r.from && strip[r.size-lo] == r.n {
		return 1
	}
	return 0
}

// pay puts what the rule is worth into the tables; worth is not negative. What a blank
// is worth may come out more, never less.
func (r *rule) pay(t *tree, worth int64) {
	b, P := &t.tables, len(t.setups)
	v := worth * int64(r.sign)
	switch r.kind {
	case shapes:
		for i, a := range r.cut.table {
			b.shape[i] += ceilMul(a, worth, cutUnit)
		}
		t.s.meter.spend(4 * len(r.cut.table))
	case arcs:
		b.arcs[r.size] = append(b.arcs[r.size], toll{r.from, r.n, v})
	case lanes:
		for e := r.extent; e < len(t.s.extents); e++ {
			b.lane[r.width][e] += v
		}
	case blanks:
		for i := r.extent * P; i < len(b.shape); i++ {
			b.shape[i] += v
		}
		t.s.meter.spend(len(b.shape))
	case exactly:
		b.shape[r.extent*P+r.setup] += v
	case likes:
		for e := r.extent; e < len(t.s.extents); e++ {
			b.shape[e*P+r.setup] += v
		}
	}
}
