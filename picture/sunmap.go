package picture

import "math"

// sunMap says quickly whether pixels of wall lie all in the sun or all in the shade,
// whatever depth its face has there.
type sunMap struct {
	d    *daylight
	near []uint8 // by cell: what lies within nearBy cells of it
}

// What lies near a cell.
const (
	someSun uint8 = 1 << iota
	someShade
)

// nearBy is as far, in cells, as a place may look that lies up to one cell off another in
// either direction: between the middles of cells.
const nearBy = 2

// Shares of the sun that count as none and as all.
const (
	noSun  = 0.004
	allSun = 0.996
)

func (d *daylight) sunMap() *sunMap {
	g := d.cells
	each, along := make([]uint8, g.w*g.h), make([]uint8, g.w*g.h)
	parallel(g.h, func(j int) {
		row := each[j*g.w : (j+1)*g.w]
		for i, v := range d.shine[j*g.w : (j+1)*g.w] {
			if v >= noSun {
				row[i] |= someSun
			}
			if v <= allSun {
				row[i] |= someShade
			}
		}
		for i := range row {
			for _, b := range row[max(0, i-nearBy):min(g.w, i+nearBy+1)] {
				along[j*g.w+i] |= b
			}
		}
	})
	m := &sunMap{d, make([]uint8, g.w*g.h)}
	parallel(g.h, func(j int) {
		row := m.near[j*g.w : (j+1)*g.w]
		for k := max(0, j-nearBy); k < min(g.h, j+nearBy+1); k++ {
			for i, b := range along[k*g.w : (k+1)*g.w] {
				row[i] |= b
			}
		}
	})
	return m
}

// along looks at the sun for pixels of a way, from the first to before the last, at every
// cell or closer, and at all depths.
func (m *sunMap) along(w *way, from, to int) sunning {
	const cell = 65536
	deep := float32(m.d.wall.Standoff)
	x, y, bowX, bowY := w.x/cell, w.y/cell, w.bowX/cell, w.bowY/cell
	dx, dy, run, rise := w.dx/cell, w.dy/cell, w.run/cell*deep, w.rise/cell*deep
	dRun, dRise := w.dRun/cell*deep, w.dRise/cell*deep
	n := float32(to - 1 - from)
	cells := func(a, b float32) float32 { return float32(math.Ceil(max(float64(a), float64(-a), float64(b), float64(-b), 1))) }
	steps := cells(n*(abs(dx)+abs(span*bowX)+abs(dRun)), n*(abs(dy)+abs(span*bowY)+abs(dRise)))
	depths := cells(abs(run)+abs(span*dRun), abs(rise)+abs(span*dRise))
	g, found := m.d.cells, uint8(0)
	for i := float32(0); i <= steps; i++ {
		k := float32(from) + n*i/steps
		u, v := x+k*(dx+(span-k)*bowX)+0.5, y+k*(dy+(span-k)*bowY)+0.5
		du, dv := (run+k*dRun)/depths, (rise+k*dRise)/depths
		for z := float32(0); z <= depths; z++ {
			at := min(g.h-1, max(0, int(v)))*g.w + min(g.w-1, max(0, int(u)))
			found |= m.near[at]
			u, v = u+du, v+dv
		}
	}
	switch found {
	case someShade:
		return shade
	case someSun:
		return bright
	}
	return varied
}

func abs(v float32) float32 { return max(v, -v) }

// light looks at the sun on a stretch, quarter by quarter.
func (m *sunMap) light(s *stretch) {
	const wide = span / quarters
	w := m.d.way(s)
	s.sun, s.way = m.along(w, int(s.from), min(int(s.to), int(s.from)+1)), nil
	for n := range s.quarter {
		s.quarter[n] = s.sun
		if from, to := max(int(s.from), n*wide), min(int(s.to), (n+1)*wide); from < to {
			s.quarter[n] = m.along(w, from, to)
		}
	}
	for _, q := range s.quarter {
		if q != s.sun {
			s.sun = varied
		}
	}
	if s.sun == varied {
		s.way = w
	}
}
