package guillotine

// What a rule counts.
const (
	blanks  = iota // of at least an extent
	lanes          // of a width in them
	likes          // those of a setup
	ones           // those of a setup and of just that extent
	shapes         // blanks by extent and setup, as a cut weighs them
	demands        // lanes of a width by extent, as a demand weighs them
)

// rule is a row of a node's programme: sign times what it counts must be at least need.
type rule struct {
	kind, extent, width, setup int
	cut                        *cut
	demand                     *demand
	slack                      int // nodes in which the cut or demand did not bind
	sign, need                 int
}

// like says that two rules count the same with the same sign.
func (r rule) like(o rule) bool {
	o.need, o.slack = r.need, r.slack
	return o == r
}

// needs is the right side of the row.
func (r *rule) needs() float64 {
	if r.kind == demands {
		return float64(r.demand.need) / float64(r.demand.unit)
	}
	return float64(r.need)
}

// gives is what the row's right side is worth, rounded down; worth is not negative.
func (r *rule) gives(worth int64) int64 {
	if r.kind == demands {
		return floorMul(worth, r.demand.need, r.demand.unit)
	}
	return worth * int64(r.need)
}

// bars says that the rule lets a plan have none of one shape.
func (r *rule) bars() bool { return r.kind == ones && r.sign < 0 && r.need == 0 }

// shape is what a rule of one shape counts.
func (r *rule) shape(t *tree) int { return r.extent*len(t.setups) + r.setup }

// amount is what the rule counts of a blank.
func (r *rule) amount(t *tree, shape int) float64 {
	extent, setup := shape/len(t.setups), shape%len(t.setups)
	switch {
	case r.kind == shapes:
		return float64(r.cut.table[shape]) / cutUnit
	case r.kind == demands:
		return float64(int64(t.setups[setup][r.width])*r.demand.strip[extent]) / float64(r.demand.unit)
	case extent < r.extent || r.kind == ones && extent > r.extent:
		return 0
	case r.kind == blanks:
		return float64(r.sign)
	case r.kind == lanes:
		return float64(r.sign * t.setups[setup][r.width])
	case setup == r.setup:
		return float64(r.sign)
	}
	return 0
}

// pay puts what the rule is worth into the tables; worth is not negative. What a blank
// is worth may come out more, never less. A cut pays for the shapes that are live alone.
func (r *rule) pay(t *tree, live [][]int32, worth int64) {
	b, P := &t.tables, len(t.setups)
	v := worth * int64(r.sign)
	switch r.kind {
	case shapes:
		b.payCut(t, live, r.cut, worth)
	case demands:
		for e, a := range r.demand.strip {
			b.lane[r.width][e] += ceilMul(a, worth, r.demand.unit)
		}
		lo := t.s.first[r.width]
		for i, a := range r.demand.weight {
			b.weight[lo+i] += floorMul(a, worth, r.demand.unit)
		}
		t.s.meter.spend(4 * len(r.demand.strip))
	case lanes:
		for e := r.extent; e < len(t.s.extents); e++ {
			b.lane[r.width][e] += v
		}
	case blanks:
		for e := r.extent; e < len(t.s.extents); e++ {
			b.blank[e] += v
		}
	case ones:
		b.shape[r.shape(t)] += v
	case likes:
		for e := r.extent; e < len(t.s.extents); e++ {
			b.shape[e*P+r.setup] += v
		}
	}
}

// payCut is pay for a cut. Products that fit are shifted, not divided.
func (b *tables) payCut(t *tree, live [][]int32, c *cut, worth int64) {
	P := len(t.setups)
	for e, setups := range live {
		shape, table := b.shape[e*P:(e+1)*P], c.table[e*P:(e+1)*P]
		if worth < mostShifted {
			for _, i := range setups {
				shape[i] += (int64(table[i])*worth + cutUnit - 1) >> cutBits
			}
			t.s.meter.spend(len(setups))
			continue
		}
		for _, i := range setups {
			shape[i] += ceilMul(int64(table[i]), worth, cutUnit)
		}
		t.s.meter.spend(4 * len(setups))
	}
}
