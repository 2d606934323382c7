package mask

import "math"

// walk is the system of a random walk on a grid: at each cell the weights to the right
// and below, the patience (how readily the walk gives up there), and what is fixed.
//
// The solution x makes sum w (x_i - x_j)^2 + sum patience x_i^2 least, x being given
// where it is fixed.
type walk struct {
	shape
	right, below []float32 // 0 at the raster's end
	patience     []float32
	fixed        []bool
	x            []float32
}

// fewCells is how many cells are solved without coarser help.
const fewCells = 600

// solve finds x to about 1/100 of the greatest fixed value or better: conjugate gradients from
// the coarsest grid up, each solution the start of the next (the cascade of F. A.
// Bornemann and P. Deuflhard, Numerische Mathematik 75 (1996), 135-152), coarser grids
// by joining four cells (Galerkin's, constant over each four).
func (s *walk) solve() {
	if s.w*s.h > fewCells {
		c := s.coarser()
		c.solve()
		for j := range s.h {
			for i := range s.w {
				if k := j*s.w + i; !s.fixed[k] {
					s.x[k] = c.x[j/2*c.w+i/2]
				}
			}
		}
	}
	s.conjugate(1e-4, 400)
}

// coarser is the walk on cells of four. A cell that holds a fixed one is drawn to its
// value strongly.
func (s *walk) coarser() *walk {
	c := newWalk(shape{(s.w + 1) / 2, (s.h + 1) / 2})
	held, n := make([]float32, len(c.x)), make([]float32, len(c.x))
	for j := range s.h {
		for i := range s.w {
			k, to := j*s.w+i, j/2*c.w+i/2
			c.patience[to] += s.patience[k]
			if s.fixed[k] {
				held[to] += s.x[k]
				n[to]++
			}
			if i%2 == 1 {
				c.right[to] += s.right[k]
			}
			if j%2 == 1 {
				c.below[to] += s.below[k]
			}
		}
	}
	for k := range n {
		if n[k] > 0 {
			c.fixed[k], c.x[k] = true, held[k]/n[k]
		}
	}
	return c
}

func newWalk(s shape) *walk {
	n := s.w * s.h
	return &walk{s, make([]float32, n), make([]float32, n), make([]float32, n), make([]bool, n), make([]float32, n)}
}

// diagonal of the system.
func (s *walk) diagonal() []float32 {
	d := append([]float32(nil), s.patience...)
	for j := range s.h {
		for i := range s.w {
			k := j*s.w + i
			d[k] += s.right[k] + s.below[k]
			if i > 0 {
				d[k] += s.right[k-1]
			}
			if j > 0 {
				d[k] += s.below[k-s.w]
			}
		}
	}
	return d
}

// times gives the system times v, by rows from to to; fixed cells give 0. Sum is the
// product with v.
func (s *walk) times(v, d, out []float32, from, to int) (sum float64) {
	for j := from; j < to; j++ {
		row := 0.0
		for k := j * s.w; k < (j+1)*s.w; k++ {
			if s.fixed[k] {
				out[k] = 0
				continue
			}
			a := d[k] * v[k]
			if k+1 < len(v) {
				a -= s.right[k] * v[k+1]
			}
			if k > 0 {
				a -= s.right[k-1] * v[k-1]
			}
			if j > 0 {
				a -= s.below[k-s.w] * v[k-s.w]
			}
			if j+1 < s.h {
				a -= s.below[k] * v[k+s.w]
			}
			out[k] = a
			row += float64(a) * float64(v[k])
		}
		sum += row
	}
	return sum
}

// conjugate improves x by conjugate gradients, the diagonal as preconditioner, until
// no cell's own equation asks for a change of more than the tolerance.
func (s *walk) conjugate(tolerance float64, most int) {
	n, d := len(s.x), s.diagonal()
	r, p, q := make([]float32, n), make([]float32, n), make([]float32, n)
	s.times(s.x, d, r, 0, s.h)
	var rz float64
	for k := range r {
		if s.fixed[k] || d[k] <= 0 {
			r[k] = 0
			continue
		}
		r[k] = -r[k]
		p[k] = r[k] / d[k]
		rz += float64(r[k]) * float64(p[k])
	}
	var sums [slices]float64
	for range most {
		bands(s.h, func(b, from, to int) { sums[b] = s.times(p, d, q, from, to) })
		pq := total(&sums)
		if pq <= 0 {
			return
		}
		step := float32(rz / pq)
		var worst [slices]float64
		bands(s.h, func(b, from, to int) {
			sums[b], worst[b] = s.advance(p, q, r, d, step, from*s.w, to*s.w)
		})
		next := total(&sums)
		if maximum(&worst) < tolerance {
			return
		}
		back := float32(next / rz)
		bands(s.h, func(_, from, to int) {
			for k := from * s.w; k < to*s.w; k++ {
				if d[k] > 0 {
					p[k] = r[k]/d[k] + back*p[k]
				}
			}
		})
		rz = next
	}
}

// advance goes a step along p over cells from to to, and gives the new residual's
// product with its preconditioned self and its largest change asked for.
func (s *walk) advance(p, q, r, d []float32, step float32, from, to int) (sum, worst float64) {
	for k := from; k < to; k++ {
		s.x[k] += step * p[k]
		r[k] -= step * q[k]
		if d[k] > 0 {
			z := float64(r[k]) / float64(d[k])
			sum += float64(r[k]) * z
			worst = max(worst, math.Abs(z))
		}
	}
	return sum, worst
}
