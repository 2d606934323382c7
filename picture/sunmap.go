package picture

import "math"

// sunMap says quickly whether a stretch of wall lies all in the sun or all in the
// shade, whatever depth its face has there.
type sunMap struct {
	d         *daylight
	tiles     grid
	low, high []float32 // least and most share of the sun in a tile
}

// tile is the size of the tiles in inches.
const tile = 2.0

func (d *daylight) sunMap() *sunMap {
	m := &sunMap{d: d, tiles: newGrid(d.cells.low, d.cells.end(), tile)}
	m.low, m.high = m.tiles.zeros(), m.tiles.zeros()
	for i := range m.low {
		m.low[i], m.high[i] = 1, 0
	}
	for n, v := range d.shine {
		at := d.cells.middle(n)
		if k := m.tiles.cell(at.X, at.Y); k >= 0 {
			m.low[k], m.high[k] = min(m.low[k], v), max(m.high[k], v)
		}
	}
	return m
}

// along looks at the sun between two places of a stretch that bends by so much.
func (m *sunMap) along(a, b [2]float32, bend float64) sunning {
	margin := 1.5*m.d.cells.pitch + bend
	x0, x1 := float64(min(a[0], b[0])), float64(max(a[0], b[0]))
	y0, y1 := float64(min(a[1], b[1])), float64(max(a[1], b[1]))
	deepX, deepY := m.d.drawn((x0+x1)/2, (y0+y1)/2, anchor, 0)
	faceX, faceY := m.d.drawn((x0+x1)/2, (y0+y1)/2, anchor, m.d.wall.Standoff)
	x0, x1 = x0+min(deepX, faceX)-margin, x1+max(deepX, faceX)+margin
	y0, y1 = y0+min(deepY, faceY)-margin, y1+max(deepY, faceY)+margin
	low, high := float32(1), float32(0)
	g := m.tiles
	index := func(v, from float64, n int) int {
		return min(n-1, max(0, int(math.Floor((v-from)/g.pitch))))
	}
	for j := index(y0, g.low.Y, g.h); j <= index(y1, g.low.Y, g.h); j++ {
		for i := index(x0, g.low.X, g.w); i <= index(x1, g.low.X, g.w); i++ {
			low, high = min(low, m.low[j*g.w+i]), max(high, m.high[j*g.w+i])
		}
	}
	switch {
	case high < 0.004:
		return shade
	case low > 0.996:
		return bright
	}
	return varied
}

// light looks at the sun on a stretch, and on its quarters where it varies.
func (m *sunMap) light(s *stretch) {
	bend := meanBow * math.Hypot(float64(s.bow[0]), float64(s.bow[1]))
	if s.sun = m.along(s.a, s.b, bend); s.sun != varied {
		return
	}
	s.way = m.d.way(s)
	at := func(n int) [2]float32 {
		t := float32(n) / quarters
		return [2]float32{s.a[0] + t*(s.b[0]-s.a[0]), s.a[1] + t*(s.b[1]-s.a[1])}
	}
	for n := range s.quarter {
		s.quarter[n] = m.along(at(n), at(n+1), bend)
	}
}
