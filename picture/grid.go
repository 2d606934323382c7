package picture

import "math"

// grid is a raster over a wall: cell (i, j) is pitch inches square, the first one's
// corner at low.
type grid struct {
	low   XY
	pitch float64
	w, h  int
}

func newGrid(low, high XY, pitch float64) grid {
	return grid{low, pitch, max(1, int(math.Ceil((high.X-low.X)/pitch))), max(1, int(math.Ceil((high.Y-low.Y)/pitch)))}
}

// cell is the number of the cell at a place, -1 outside.
func (g grid) cell(x, y float64) int {
	i, j := int(math.Floor((x-g.low.X)/g.pitch)), int(math.Floor((y-g.low.Y)/g.pitch))
	if i < 0 || j < 0 || i >= g.w || j >= g.h {
		return -1
	}
	return j*g.w + i
}

// middle of a cell.
func (g grid) middle(n int) XY {
	return XY{g.low.X + (float64(n%g.w)+0.5)*g.pitch, g.low.Y + (float64(n/g.w)+0.5)*g.pitch}
}

// sample reads v between the middles of cells, the border repeated.
func (g grid) sample(v []float32, x, y float64) float64 {
	fx, fy := (x-g.low.X)/g.pitch-0.5, (y-g.low.Y)/g.pitch-0.5
	ix, iy := math.Floor(fx), math.Floor(fy)
	tx, ty := fx-ix, fy-iy
	at := func(i, j float64) float64 {
		return float64(v[min(g.h-1, max(0, int(j)))*g.w+min(g.w-1, max(0, int(i)))])
	}
	return (at(ix, iy)*(1-tx)+at(ix+1, iy)*tx)*(1-ty) + (at(ix, iy+1)*(1-tx)+at(ix+1, iy+1)*tx)*ty
}

// spread is the weighted mean around each cell, Gaussian of about deviation inches
// (three box passes), and the weight that it rests on. Cells without weight near
// them stay 0.
func (g grid) spread(v, weight []float32, along, up float64) (mean, sum []float32) {
	mean, sum = make([]float32, len(v)), make([]float32, len(v))
	for i := range v {
		mean[i], sum[i] = v[i]*weight[i], weight[i]
	}
	for _, a := range [][]float32{mean, sum} {
		for range 3 {
			g.boxRows(a, g.radius(along))
			g.boxColumns(a, g.radius(up))
		}
	}
	for i := range mean {
		if sum[i] > 1e-6 {
			mean[i] /= sum[i]
		} else {
			mean[i], sum[i] = 0, 0
		}
	}
	return mean, sum
}

// radius of the box that thrice gives the deviation: 3 (2r+1)^2/12 = deviation^2.
func (g grid) radius(deviation float64) int {
	return max(0, int(math.Round((2*deviation/g.pitch-1)/2)))
}

func (g grid) boxRows(a []float32, r int) {
	if r == 0 {
		return
	}
	line := make([]float32, g.w)
	for j := range g.h {
		row := a[j*g.w : (j+1)*g.w]
		copy(line, row)
		slide(line, r, func(i int, v float32) { row[i] = v })
	}
}

func (g grid) boxColumns(a []float32, r int) {
	if r == 0 {
		return
	}
	line := make([]float32, g.h)
	for i := range g.w {
		for j := range g.h {
			line[j] = a[j*g.w+i]
		}
		slide(line, r, func(j int, v float32) { a[j*g.w+i] = v })
	}
}

// slide gives the means of 2r+1 neighbours, nothing beyond the ends.
func slide(line []float32, r int, put func(int, float32)) {
	var sum float64
	n := len(line)
	for i := 0; i < min(r, n); i++ {
		sum += float64(line[i])
	}
	for i := range n {
		if i+r < n {
			sum += float64(line[i+r])
		}
		if i-r-1 >= 0 {
			sum -= float64(line[i-r-1])
		}
		put(i, float32(sum/float64(2*r+1)))
	}
}

// fill gives every cell without weight a value from its neighbours, near ones first:
// widths double until all is filled.
func (g grid) fill(v, weight []float32, along, up float64) []float32 {
	out := append([]float32(nil), v...)
	have := append([]float32(nil), weight...)
	for try := 0; try < 8; try++ {
		mean, sum := g.spread(v, weight, along, up)
		left := 0
		for i := range out {
			if have[i] <= 0 {
				if sum[i] > 0 {
					out[i], have[i] = mean[i], 1
				} else {
					left++
				}
			}
		}
		if left == 0 {
			break
		}
		along, up = along*2, up*2
	}
	return out
}
