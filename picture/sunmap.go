package picture

import (
	"math"

	"coilwright/cores"
)

// sunMap says quickly whether pixels of wall lie all in the sun or all in the shade.
type sunMap struct {
	d     *daylight
	near  []uint8 // by cell: what lies within nearBy cells of it
	tiles grid
	tile  []uint8 // what lies near some cell of a tile
}

// What lies near a cell.
const (
	someSun uint8 = 1 << iota
	someShade
)

// nearBy is as far, in cells, as a place may look that lies up to one cell off another in
// either direction: between the middles of cells.
const nearBy = 2

// perTile is how many cells there are to a side of a tile.
const perTile = 10

// Shares of the sun that count as none and as all.
const (
	noSun  = 0.004
	allSun = 0.996
)

// sunlight is what the sun is on some pixels, by the depth that a face has there: for each
// of depthBands bands, from the sheathing out to the face plane, whether there is some sun,
// and depthBands bits higher whether there is some shade.
type sunlight uint16

const (
	depthBands = 8
	allBands   = 1<<depthBands - 1
)

// at the depths of some bands.
func (s sunlight) at(bands uint8) sunning {
	sun, dark := uint8(s)&bands, uint8(s>>depthBands)&bands
	switch {
	case sun == 0:
		return shade
	case dark == 0:
		return bright
	}
	return varied
}

// bandOf is the band of a depth.
func bandOf(z, standoff float64) int { return min(depthBands-1, max(0, int(z/standoff*depthBands))) }

// evenly is the same sun at all depths.
func evenly(found uint8) (out sunlight) {
	if found&someSun != 0 {
		out |= allBands
	}
	if found&someShade != 0 {
		out |= allBands << depthBands
	}
	return out
}

func (d *daylight) sunMap() *sunMap {
	g := d.cells
	each, along := make([]uint8, g.w*g.h), make([]uint8, g.w*g.h)
	cores.Each(g.h, func(j int) {
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
	m := &sunMap{d: d, near: make([]uint8, g.w*g.h), tiles: grid{g.low, g.pitch * perTile, (g.w + perTile - 1) / perTile, (g.h + perTile - 1) / perTile}}
	m.tile = make([]uint8, m.tiles.w*m.tiles.h)
	cores.Each(m.tiles.h, func(t int) {
		tiles := m.tile[t*m.tiles.w : (t+1)*m.tiles.w]
		for j := t * perTile; j < min(g.h, (t+1)*perTile); j++ {
			row := m.near[j*g.w : (j+1)*g.w]
			for k := max(0, j-nearBy); k < min(g.h, j+nearBy+1); k++ {
				for i, b := range along[k*g.w : (k+1)*g.w] {
					row[i] |= b
				}
			}
			for i, b := range row {
				tiles[i/perTile] |= b
			}
		}
	})
	return m
}

// whole is what lies near a whole stretch, at any depth.
func (m *sunMap) whole(w *way) (found uint8) {
	low, high := [2]float32{1e9, 1e9}, [2]float32{-1e9, -1e9}
	for _, k := range [2]float32{0, span} {
		for _, z := range [2]float32{0, float32(m.d.wall.Standoff)} {
			u, v := w.x+k*w.dx+z*(w.run+k*w.dRun), w.y+k*w.dy+z*(w.rise+k*w.dRise)
			low = [2]float32{min(low[0], u), min(low[1], v)}
			high = [2]float32{max(high[0], u), max(high[1], v)}
		}
	}
	tile := func(v, bow float32, n int) int { return min(n-1, max(0, int((v+bow*span*span/4)/65536)/perTile)) }
	for j := tile(low[1], min(0, w.bowY), m.tiles.h); j <= tile(high[1], max(0, w.bowY), m.tiles.h); j++ {
		for i := tile(low[0], min(0, w.bowX), m.tiles.w); i <= tile(high[0], max(0, w.bowX), m.tiles.w); i++ {
			found |= m.tile[j*m.tiles.w+i]
		}
	}
	return found
}

// along looks at the sun for pixels of a way, from the first to before the last, at every
// cell or closer and at depths no further apart.
func (m *sunMap) along(w *way, from, to int) (out sunlight) {
	const cell = 65536
	deep := float32(m.d.wall.Standoff / depthBands)
	x, y, bowX, bowY := w.x/cell+0.5, w.y/cell+0.5, w.bowX/cell, w.bowY/cell
	dx, dy, run, rise := w.dx/cell, w.dy/cell, w.run/cell*deep, w.rise/cell*deep
	dRun, dRise := w.dRun/cell*deep, w.dRise/cell*deep
	n := float32(to - 1 - from)
	steps := cells(n*(abs(dx)+abs(span*bowX)+depthBands*abs(dRun)), n*(abs(dy)+abs(span*bowY)+depthBands*abs(dRise)))
	depths := cells(abs(run)+abs(span*dRun), abs(rise)+abs(span*dRise))
	g := m.d.cells
	for i := float32(0); i <= steps; i++ {
		k := float32(from) + n*i/steps
		u, v := x+k*(dx+(span-k)*bowX), y+k*(dy+(span-k)*bowY)
		du, dv := (run+k*dRun)/depths, (rise+k*dRise)/depths
		found := m.near[min(g.h-1, max(0, int(v)))*g.w+min(g.w-1, max(0, int(u)))]
		for band := range depthBands {
			for z := float32(0); z < depths; z++ {
				u, v = u+du, v+dv
				found |= m.near[min(g.h-1, max(0, int(v)))*g.w+min(g.w-1, max(0, int(u)))]
			}
			out |= sunlight(found&someSun)<<band | sunlight(found&someShade>>1)<<(band+depthBands)
			found = m.near[min(g.h-1, max(0, int(v)))*g.w+min(g.w-1, max(0, int(u)))]
		}
	}
	return out
}

// cells is how many steps it takes to go so far across and up by a cell at most.
func cells(across, up float32) float32 {
	return float32(math.Ceil(max(float64(abs(across)), float64(abs(up)), 1)))
}

func abs(v float32) float32 { return max(v, -v) }

// light looks at the sun on a stretch, quarter by quarter.
func (m *sunMap) light(s *stretch) {
	const wide = span / quarters
	w := m.d.way(s)
	if found := m.whole(w); found != someSun|someShade {
		s.sun, s.way = evenly(found), nil
		for n := range s.quarter {
			s.quarter[n] = s.sun
		}
		return
	}
	s.sun, s.way = 0, w
	for n := range s.quarter {
		s.quarter[n] = 0
		if from, to := max(int(s.from), n*wide), min(int(s.to), (n+1)*wide); from < to {
			s.quarter[n] = m.along(w, from, to)
		}
		s.sun |= s.quarter[n]
	}
}
