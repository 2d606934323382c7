package picture

import (
	"math"
	"slices"
)

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

// end is the corner opposite to low.
func (g grid) end() XY {
	return XY{g.low.X + float64(g.w)*g.pitch, g.low.Y + float64(g.h)*g.pitch}
}

// raster calls do for the runs of cells, row by row, whose middles lie inside an odd
// number of the rings.
func (g grid) raster(rings []Ring, do func(row, from, to int)) {
	count := make([]int, g.h+1)
	g.crossings(rings, func(j int, _ float64) { count[j+1]++ })
	for j := range g.h {
		count[j+1] += count[j]
	}
	all, next := make([]float64, count[g.h]), slices.Clone(count)
	g.crossings(rings, func(j int, x float64) {
		all[next[j]] = x
		next[j]++
	})
	for j := range g.h {
		cuts := all[count[j]:count[j+1]]
		slices.Sort(cuts)
		for k := 0; k+1 < len(cuts); k += 2 {
			from := max(0, int(math.Ceil((cuts[k]-g.low.X)/g.pitch-0.5)))
			to := min(g.w, int(math.Ceil((cuts[k+1]-g.low.X)/g.pitch-0.5)))
			if from < to {
				do(j, from, to)
			}
		}
	}
}

// crossings calls do for each row and place at which the rings cross its middle.
func (g grid) crossings(rings []Ring, do func(row int, x float64)) {
	row := func(y float64) float64 { return min(float64(g.h), max(0, (y-g.low.Y)/g.pitch-0.5)) }
	for _, r := range rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			last := min(g.h-1, int(math.Ceil(row(max(a.Y, b.Y)))))
			for j := int(row(min(a.Y, b.Y))); j <= last; j++ {
				if y := g.low.Y + (float64(j)+0.5)*g.pitch; (a.Y > y) != (b.Y > y) {
					do(j, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
				}
			}
		}
	}
}

// sample reads v between the middles of cells, the border repeated.
func (g grid) sample(v []float32, x, y float64) float64 {
	fx, fy := (x-g.low.X)/g.pitch-0.5, (y-g.low.Y)/g.pitch-0.5
	ix, iy := math.Floor(fx), math.Floor(fy)
	tx, ty := fx-ix, fy-iy
	i0, j0 := min(g.w-1, max(0, int(ix))), min(g.h-1, max(0, int(iy)))
	i1, j1 := min(g.w-1, max(0, int(ix)+1)), min(g.h-1, max(0, int(iy)+1))
	low, high := v[j0*g.w:], v[j1*g.w:]
	a := float64(low[i0])*(1-tx) + float64(low[i1])*tx
	b := float64(high[i0])*(1-tx) + float64(high[i1])*tx
	return a*(1-ty) + b*ty
}

// four are what sample reads: the numbers of the cells around a place, left and right of
// it, the lower row first, and how far it lies between their middles. They serve several v
// at once.
type four struct {
	low, lowRight, high, highRight int
	tx, ty                         float64
}

func (g grid) around(x, y float64) four {
	fx, fy := (x-g.low.X)/g.pitch-0.5, (y-g.low.Y)/g.pitch-0.5
	ix, iy := math.Floor(fx), math.Floor(fy)
	i0, j0 := min(g.w-1, max(0, int(ix))), min(g.h-1, max(0, int(iy)))
	i1, j1 := min(g.w-1, max(0, int(ix)+1)), min(g.h-1, max(0, int(iy)+1))
	return four{j0*g.w + i0, j0*g.w + i1, j1*g.w + i0, j1*g.w + i1, fx - ix, fy - iy}
}

func (f four) of(v []float32) float64 {
	a := float64(v[f.low])*(1-f.tx) + float64(v[f.lowRight])*f.tx
	b := float64(v[f.high])*(1-f.tx) + float64(v[f.highRight])*f.tx
	return a*(1-f.ty) + b*f.ty
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
		if sum[i] > 1e-9 {
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

// boxColumns goes down all columns at once, row by row as memory lies.
func (g grid) boxColumns(a []float32, r int) {
	if r == 0 {
		return
	}
	sums := make([]float64, g.w)
	before := make([]float32, (r+1)*g.w) // the last rows as they were
	for j := -r; j < g.h; j++ {
		if j+r < g.h {
			for i, v := range a[(j+r)*g.w:][:g.w] {
				sums[i] += float64(v)
			}
		}
		if j < 0 {
			continue
		}
		row, was := a[j*g.w:][:g.w], before[j%(r+1)*g.w:][:g.w]
		if j > r {
			for i, v := range was {
				sums[i] -= float64(v)
			}
		}
		copy(was, row)
		for i, v := range sums {
			row[i] = float32(v / float64(2*r+1))
		}
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

// fill gives every cell without weight a value from the nearest cells that have one:
// means are drawn together over cells twice as large, and again, and handed back down
// where nothing finer is known (push and pull: Gortler, Grzeszczuk, Szeliski and
// Cohen, SIGGRAPH 1996).
func (g grid) fill(v, weight []float32) []float32 {
	out := make([]float32, len(v))
	none := false
	for i := range v {
		if weight[i] > 0 {
			out[i] = v[i]
		} else {
			none = true
		}
	}
	if !none || g.w <= 1 && g.h <= 1 {
		return out
	}
	up := grid{g.low, 2 * g.pitch, (g.w + 1) / 2, (g.h + 1) / 2}
	mean, sum := up.zeros(), up.zeros()
	for j := range g.h {
		for i := range g.w {
			if k := j*g.w + i; weight[k] > 0 {
				mean[j/2*up.w+i/2] += v[k] * weight[k]
				sum[j/2*up.w+i/2] += weight[k]
			}
		}
	}
	for k := range mean {
		if sum[k] > 0 {
			mean[k] /= sum[k]
		}
		sum[k] = min(1, sum[k])
	}
	mean = up.fill(mean, sum)
	for k := range out {
		if weight[k] <= 0 {
			at := g.middle(k)
			out[k] = float32(up.sample(mean, at.X, at.Y))
		}
	}
	return out
}
