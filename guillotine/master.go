package guillotine

import (
	"encoding/binary"
	"slices"
)

// master is the linear programme over blanks that can be cut, for what is left.
type master struct {
	s     *slitter
	left  []int
	rows  []int // sizes that are wanted
	lp    *programme
	loads []load // of each column
	have  map[string]bool
}

// newMaster starts from each size by itself, and from loads, without the pieces that
// are not wanted.
func (s *slitter) newMaster(left []int, loads []load) *master {
	m := &master{s: s, left: left, have: map[string]bool{}}
	var need []int
	for k, n := range left {
		if n > 0 {
			m.rows, need = append(m.rows, k), append(need, n)
		}
	}
	m.lp = newProgramme(need)
	for _, k := range m.rows {
		m.add(s.abreast(k, left[k]))
	}
	m.lp.start()
	for _, b := range loads {
		if b = s.clip(b, left); b.lanes != nil {
			m.add(b)
		}
	}
	return m
}

// abreast is a blank of one size alone, side by side.
func (s *slitter) abreast(k, count int) load {
	_, holds := s.alone(k, count)
	b, one := load{holds: holds}, make([]int, len(s.sizes))
	one[k] = 1
	for range holds[k] {
		b.lanes = append(b.lanes, lane{s.sizes[k].lane, one})
	}
	s.shorten(&b)
	return b
}

// clip leaves out the pieces that are not wanted; no lanes where that is all.
func (s *slitter) clip(b load, left []int) load {
	s.meter.spend(2 * len(left))
	if b.times(left) > 0 {
		return b
	}
	c := load{holds: make([]int, len(b.holds))}
	for _, l := range b.lanes {
		h, any := slices.Clone(l.holds), false
		for k, n := range h {
			h[k] = min(n, left[k]-c.holds[k])
			c.holds[k] += h[k]
			any = any || h[k] > 0
		}
		if any {
			c.lanes = append(c.lanes, lane{l.width, h})
		}
	}
	s.meter.spend(4 * len(left) * len(b.lanes))
	if c.lanes != nil {
		s.shorten(&c)
	}
	return c
}

// add puts a blank at the end; false where one like it is there.
func (m *master) add(b load) bool {
	holds := make([]int, len(m.rows))
	for i, k := range m.rows {
		holds[i] = b.holds[k]
	}
	k := key(b.extent.cost, holds)
	m.s.meter.spend(20 * len(holds))
	if m.have[k] {
		return false
	}
	m.have[k] = true
	m.lp.add(float64(b.extent.cost), holds)
	m.loads = append(m.loads, b)
	return true
}

// key is equal for equal blanks.
func key(cost int64, holds []int) string {
	b := binary.AppendVarint(make([]byte, 0, 8+len(holds)), cost)
	for _, n := range holds {
		b = binary.AppendVarint(b, int64(n))
	}
	return string(b)
}

// solve pivots to the best amounts of the blanks on hand, and gives their cost.
func (m *master) solve() float64 {
	was := m.lp.work
	m.lp.optimise(50 * len(m.rows))
	m.s.meter.spend(m.lp.work - was)
	return m.lp.least()
}

// weights are the duals in whole numbers, of every size, and what one unit of cost is
// in them.
func (m *master) weights() (out []int64, scale float64) {
	return m.s.whole(m.lp.duals(), m.rows, m.left)
}

// whole turns duals of rows into whole numbers that add up safely.
func (s *slitter) whole(y []float64, rows, count []int) (out []int64, scale float64) {
	total := 1.0
	for i, k := range rows {
		y[i] = max(0, y[i])
		total += y[i] * float64(count[k])
	}
	scale = min(1<<20, float64(1<<60)/total)
	out = make([]int64, len(s.sizes))
	for i, k := range rows {
		out[k] = int64(y[i] * scale)
	}
	return out, scale
}
