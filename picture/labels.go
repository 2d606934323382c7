package picture

import "slices"

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
	l := &labels{grid: newGrid(XY{low.X - 1, low.Y - 1}, XY{high.X + 1, high.Y + 1}, 0.25)}
	l.zone = make([]int16, l.w*l.h)
	for i := range l.zone {
		l.zone[i] = bare
	}
	for z := len(dress) - 1; z >= 0; z-- {
		l.paint(dress[z].Region, int16(z))
	}
	l.grow(8)
	return l
}

// paint gives a zone the cells whose middles lie inside its rings, row by row.
func (l *labels) paint(rings []Ring, zone int16) {
	var cuts []float64
	for j := range l.h {
		y := l.low.Y + (float64(j)+0.5)*l.pitch
		cuts = cuts[:0]
		for _, r := range rings {
			for i, a := range r {
				b := r[(i+1)%len(r)]
				if (a.Y > y) != (b.Y > y) {
					cuts = append(cuts, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
				}
			}
		}
		slices.Sort(cuts)
		for k := 0; k+1 < len(cuts); k += 2 {
			from := max(0, int((cuts[k]-l.low.X)/l.pitch+0.5))
			to := min(l.w, int((cuts[k+1]-l.low.X)/l.pitch+0.5))
			for i := from; i < to; i++ {
				l.zone[j*l.w+i] = zone
			}
		}
	}
}

// grow lets zones spread over bare cells by n cells.
func (l *labels) grow(n int) {
	for range n {
		next := slices.Clone(l.zone)
		for k, z := range l.zone {
			if z != bare {
				continue
			}
			i := k % l.w
			for _, m := range [4]int{k - 1, k + 1, k - l.w, k + l.w} {
				if m < 0 || m >= len(l.zone) || (m == k-1 && i == 0) || (m == k+1 && i == l.w-1) {
					continue
				}
				if l.zone[m] != bare {
					next[k] = l.zone[m]
				}
			}
		}
		l.zone = next
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
