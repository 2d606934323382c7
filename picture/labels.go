package picture

// labels says which zone a place of the wall wears: the number of the dressing's
// zone, or bare. Cells are small beside any trim.
type labels struct {
	grid
	zone []int16
}

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
	l.zone = make([]int16, l.w*l.h)
	for i := range l.zone {
		l.zone[i] = bare
	}
	for z := len(dress) - 1; z >= 0; z-- {
		l.paint(dress[z].Region, int16(z))
	}
	l.grow(int(2 / pitch))
	return l
}

// paint gives a zone the cells inside its rings.
func (l *labels) paint(rings []Ring, zone int16) {
	l.raster(rings, func(j, from, to int) {
		row := l.zone[j*l.w : (j+1)*l.w]
		for i := from; i < to; i++ {
			row[i] = zone
		}
	})
}

// grow lets zones spread over bare cells by up to n cells, first along the rows,
// then up and down.
func (l *labels) grow(n int) {
	for j := range l.h {
		l.spread(j*l.w, 1, l.w, n)
	}
	for i := range l.w {
		l.spread(i, l.w, l.h, n)
	}
}

// spread grows along one line of count cells, forwards and backwards.
func (l *labels) spread(first, step, count, n int) {
	for _, way := range [2]int{step, -step} {
		at := first
		if way < 0 {
			at += (count - 1) * step
		}
		last, age := bare, n
		for range count {
			if z := l.zone[at]; z == bare && age < n {
				l.zone[at] = last
				age++
			} else if z != bare && (z != last || age > 0) {
				last, age = z, 0
			}
			at += way
		}
	}
}

// at is the zone at a place.
func (l *labels) at(x, y float64) int16 {
	if k := l.cell(x, y); k >= 0 {
		return l.zone[k]
	}
	return bare
}

// bands gives, for each row of cells, the one zone that a strip of wall from x0 to
// x1 wears there, or mixed.
func (l *labels) bands(x0, x1 float64) []int16 {
	out := make([]int16, l.h)
	i0 := max(0, int((x0-l.low.X)/l.pitch)-1)
	i1 := min(l.w-1, int((x1-l.low.X)/l.pitch)+1)
	for j := range out {
		out[j] = bare
		for i := i0; i <= i1; i++ {
			switch z := l.zone[j*l.w+i]; {
			case z == bare || z == out[j]:
			case out[j] == bare:
				out[j] = z
			default:
				out[j] = mixed
			}
		}
	}
	return out
}

// between is the one zone of all rows from y0 to y1 and their neighbours, or mixed.
func (l *labels) between(bands []int16, y0, y1 float64) int16 {
	j0 := max(0, int((min(y0, y1)-l.low.Y)/l.pitch)-1)
	j1 := min(l.h-1, int((max(y0, y1)-l.low.Y)/l.pitch)+1)
	out := bare
	for j := j0; j <= j1; j++ {
		switch z := bands[j]; {
		case z == bare || z == out:
		case out == bare:
			out = z
		default:
			return mixed
		}
	}
	return out
}
