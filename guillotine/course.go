package guillotine

// course says which node comes next: for a while the newest that may give a plan
// within a target between bound and plan, so that plans are found; then for a while
// the one of least bound, so that the bound rises.
type course struct{ step, round int }

// diveNodes and boundNodes are how long a while is (assumed).
const diveNodes, boundNodes = 60, 20

func (c *course) pick(t *tree) int {
	if c.step++; c.step > diveNodes+boundNodes {
		c.step, c.round = 1, c.round+1
	}
	lower := t.leastOpen()
	if c.step <= diveNodes {
		eighths := [...]int64{4, 6, 2, 8, 3, 5}
		target := lower + (t.s.cost-1-lower)*eighths[c.round%len(eighths)]/8
		for i := len(t.open) - 1; i >= 0; i-- {
			if t.open[i].lower <= target {
				return i
			}
		}
	}
	for i := len(t.open) - 1; i >= 0; i-- {
		if t.open[i].lower == lower {
			return i
		}
	}
	return len(t.open) - 1
}
