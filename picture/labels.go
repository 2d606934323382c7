package picture

import "slices"

// labels says which zone a place of the wall wears: the number of the dressing's
// zone, or bare. Cells are small beside any trim. Rows that look alike are mostly one.
type labels struct {
	grid
	rows []*labelRow
}

// labelRow is a row of cells and where they are bare.
type labelRow struct {
	zone []int16
	bare []stretchOf
}

// stretchOf are cells of a row.
type stretchOf struct{ from, to int }

const (
	bare  int16 = -1
	mixed int16 = -2 // several
)

// newLabels rasters a dressing, the last zone first, so that the earlier ones come to
// lie on top. Places that no zone covers take a neighbour's: the photo's mask, not
// the field's edge, says where cladding ends.
func newLabels(w Wall, dress Dressing) *labels {
	low, high := w.box()
	pitch := 0.5
	if len(dress) > 3 { // trim is narrow
		pitch = 0.25
	}
	l := &labels{grid: newGrid(XY{low.X - 1, low.Y - 1}, XY{high.X + 1, high.Y + 1}, pitch)}
	painted := make([][]paintedRun, l.h)
	for z := len(dress) - 1; z >= 0; z-- {
		l.raster(dress[z].Region, func(j, from, to int) {
			painted[j] = append(painted[j], paintedRun{stretchOf{from, to}, int16(z)})
		})
	}
	reach := int(2 / pitch)
	l.rows = make([]*labelRow, l.h)
	for j := range l.rows {
		if j > 0 && slices.Equal(painted[j], painted[j-1]) {
			l.rows[j] = l.rows[j-1]
		} else {
			l.rows[j] = l.row(painted[j], reach)
		}
	}
	l.grow(-1, reach)
	l.grow(1, reach)
	return l
}

// paintedRun are cells that a zone is laid over.
type paintedRun struct {
	stretchOf
	zone int16
}

// row lays runs over a row, one after the other, and lets them spread along it by up to n
// cells.
func (l *labels) row(runs []paintedRun, n int) *labelRow {
	r := &labelRow{zone: make([]int16, l.w)}
	for i := range r.zone {
		r.zone[i] = bare
	}
	for _, p := range runs {
		for i := p.from; i < p.to; i++ {
			r.zone[i] = p.zone
		}
	}
	r.findBare()
	for _, s := range r.bare {
		for i := s.from; s.from > 0 && i < min(s.to, s.from+n); i++ {
			r.zone[i] = r.zone[s.from-1]
		}
		for i := s.to - 1; s.to < l.w && i >= max(s.to-n, s.from) && r.zone[i] == bare; i-- {
			r.zone[i] = r.zone[s.to]
		}
	}
	r.findBare()
	return r
}

func (r *labelRow) findBare() {
	r.bare = nil
	for i := 0; i < len(r.zone); i++ {
		if r.zone[i] == bare {
			from := i
			for i < len(r.zone) && r.zone[i] == bare {
				i++
			}
			r.bare = append(r.bare, stretchOf{from, i})
		}
	}
}

// grow lets zones spread over bare cells by up to n rows, away from the rows that lie way
// of them.
func (l *labels) grow(way, n int) {
	was := slices.Clone(l.rows)
	for j, r := range was {
		if len(r.bare) == 0 {
			continue
		}
		var out *labelRow
		left := r.bare
		for k := j + way; k != j+way*(n+1) && k >= 0 && k < l.h && len(left) > 0; k += way {
			if was[k] == r {
				continue
			}
			if out == nil {
				out = &labelRow{zone: slices.Clone(r.zone)}
			}
			left = out.take(was[k], left)
		}
		if out != nil {
			out.bare = left
			l.rows[j] = out
		}
	}
}

// take fills bare cells with what another row has there, and returns those left.
func (r *labelRow) take(from *labelRow, left []stretchOf) (out []stretchOf) {
	for _, s := range left {
		copy(r.zone[s.from:s.to], from.zone[s.from:s.to])
		for _, b := range from.bare {
			if b = (stretchOf{max(b.from, s.from), min(b.to, s.to)}); b.from < b.to {
				out = append(out, b)
			}
		}
	}
	return out
}

// at is the zone at a place.
func (l *labels) at(x, y float64) int16 {
	x, y = (x-l.low.X)/l.pitch, (y-l.low.Y)/l.pitch
	if !(x >= 0 && y >= 0 && x < float64(l.w) && y < float64(l.h)) {
		return bare
	}
	return l.rows[int(y)].zone[int(x)]
}

// within is the zone of all places so far around one, where they lie in one cell.
func (l *labels) within(x, y, wide, high float32) (int16, bool) {
	perInch := float32(1 / l.pitch)
	x, y, wide, high = (x-float32(l.low.X))*perInch, (y-float32(l.low.Y))*perInch, wide*perInch, high*perInch
	if x < wide || y < high {
		return 0, false
	}
	i, j := int(x-wide), int(y-high)
	if i != int(x+wide) || j != int(y+high) || j >= l.h || i >= l.w {
		return 0, false
	}
	return l.rows[j].zone[i], true
}

// bands gives, for each row of cells, the one zone that a strip of wall from x0 to
// x1 wears there, or mixed.
func (l *labels) bands(x0, x1 float64) []int16 {
	out := make([]int16, l.h)
	i0 := max(0, int((x0-l.low.X)/l.pitch)-1)
	i1 := min(l.w-1, int((x1-l.low.X)/l.pitch)+1)
	for j, r := range l.rows {
		if j > 0 && r == l.rows[j-1] {
			out[j] = out[j-1]
		} else {
			out[j] = r.band(i0, i1+1)
		}
	}
	return out
}

// worn is between which heights, from low to high, bands may wear a zone.
func (l *labels) worn(bands []int16, zone int16, low, high float64) (from, to float64) {
	from, to = high, low
	for j, z := range bands {
		if z == zone || z == mixed {
			y := l.low.Y + float64(j)*l.pitch
			from, to = min(from, y), max(to, y+l.pitch)
		}
	}
	from = min(high, max(low, from))
	return from, max(from, min(high, to))
}

// band is the one zone from cell i to before k, or mixed.
func (r *labelRow) band(i, k int) int16 {
	return sole(r.zone[i:max(i, k)])
}

// sole is the one zone among zones and bare places, or mixed.
func sole(zones []int16) int16 {
	out := bare
	for _, z := range zones {
		switch {
		case z == bare || z == out:
		case out == bare:
			out = z
		default:
			return mixed
		}
	}
	return out
}

// only is the one zone of every row from y0 to y1 and its neighbours, or mixed.
func (l *labels) only(bands []int16, y0, y1 float64) int16 {
	j0, j1 := l.beside(y0, y1)
	for _, z := range bands[j0+1 : j1+1] {
		if z != bands[j0] {
			return mixed
		}
	}
	return bands[j0]
}

// beside are the rows from y0 to y1 with their neighbours, the first and the last.
func (l *labels) beside(y0, y1 float64) (j0, j1 int) {
	j0 = max(0, int((min(y0, y1)-l.low.Y)/l.pitch)-1)
	j1 = min(l.h-1, int((max(y0, y1)-l.low.Y)/l.pitch)+1)
	return j0, j1
}

// between is the one zone of all rows from y0 to y1 and their neighbours, or mixed.
func (l *labels) between(bands []int16, y0, y1 float64) int16 {
	j0, j1 := l.beside(y0, y1)
	return sole(bands[j0 : j1+1])
}

// reach is from where to where some zones are seen at all, upwards or along the rows, as
// shares of the raster.
func (l *labels) reach(wear []bool, along bool) (from, to float64) {
	low, high := [2]int{l.w, l.h}, [2]int{}
	for j, r := range l.rows {
		if j > 0 && r == l.rows[j-1] {
			if high[1] == j {
				high[1]++
			}
			continue
		}
		for i, z := range r.zone {
			if z >= 0 && wear[z] {
				low, high = [2]int{min(low[0], i), min(low[1], j)}, [2]int{max(high[0], i+1), j + 1}
			}
		}
	}
	if along {
		return float64(min(low[0], high[0])) / float64(l.w), float64(high[0]) / float64(l.w)
	}
	return float64(min(low[1], high[1])) / float64(l.h), float64(high[1]) / float64(l.h)
}
