package mask

// spread adds a coarse change to the full matte, its edges drawn to the photo's own: in
// each window around a coarse cell the change is taken as linear in the colour, by
// least squares, and the coefficients are enlarged.
func (w *work) spread(x []float32) {
	a := w.guided(x, 2, 1e-4)
	scale := 1 / float32(w.step)
	bands(w.full.h, func(_, from, to int) {
		for v := from; v < to; v++ {
			y := max(0, (float32(v)+0.5)*scale-0.5)
			row := w.out.Pix[v*w.out.Stride:][:w.full.w]
			pix := w.im.Pix[v*w.im.Stride:]
			j := min(w.small.h-1, int(y))
			w.spreadRow(v, row, pix, a, j, min(w.small.h-1, j+1), y-float32(j), scale)
		}
	})
}

// spreadRow enlarges the coefficients of coarse rows j and k, t between them, along row v
// of the photo.
func (w *work) spreadRow(v int, row, pix []uint8, a [4][]float32, j, k int, t, scale float32) {
	n := w.small.w
	var line [4][]float32
	for c := range line {
		line[c] = make([]float32, n+1)
		for i := range n {
			p, q := a[c][j*n+i], a[c][k*n+i]
			line[c][i] = p + t*(q-p)
		}
		line[c][n] = line[c][n-1]
	}
	for u := range row {
		if !w.asks(u, v) {
			continue
		}
		x := max(0, (float32(u)+0.5)*scale-0.5)
		i := min(n-1, int(x))
		s := x - float32(i)
		var at [4]float32
		for c := range at {
			at[c] = line[c][i] + s*(line[c][i+1]-line[c][i])
		}
		d := at[3]*255 + at[0]*float32(pix[4*u]) + at[1]*float32(pix[4*u+1]) + at[2]*float32(pix[4*u+2])
		row[u] = uint8(min(255, max(0, float32(row[u])+d)) + 0.5)
	}
}

// guided gives the coefficients (for red, green, blue, and the constant) of the guided
// filter over windows of 2r+1 cells.
func (w *work) guided(x []float32, r int, eps float32) (out [4][]float32) {
	s := w.small
	mean := func(of func(k int) float32) []float32 {
		v := make([]float32, s.w*s.h)
		for k := range v {
			v[k] = of(k)
		}
		return s.boxed(v, r)
	}
	g := w.colour
	var m [3][]float32
	for c := range m {
		m[c] = mean(func(k int) float32 { return g[c][k] })
	}
	mx := mean(func(k int) float32 { return x[k] })
	var cross [3][]float32
	var cov [6][]float32 // rr rg rb gg gb bb
	n := 0
	for c := range 3 {
		cross[c] = mean(func(k int) float32 { return g[c][k] * x[k] })
		for d := c; d < 3; d++ {
			cov[n] = mean(func(k int) float32 { return g[c][k] * g[d][k] })
			n++
		}
	}
	for c := range out {
		out[c] = make([]float32, s.w*s.h)
	}
	for k := range x {
		var sigma [6]float32
		n := 0
		for c := range 3 {
			for d := c; d < 3; d++ {
				sigma[n] = cov[n][k] - m[c][k]*m[d][k]
				n++
			}
		}
		right := [3]float32{cross[0][k] - m[0][k]*mx[k], cross[1][k] - m[1][k]*mx[k], cross[2][k] - m[2][k]*mx[k]}
		a := solved(sigma, right, eps)
		out[3][k] = mx[k]
		for c := range 3 {
			out[c][k] = a[c]
			out[3][k] -= a[c] * m[c][k]
		}
	}
	for c := range out {
		out[c] = s.boxed(out[c], r)
	}
	return out
}

// solved solves (S + eps) a = right for a symmetric S given by its upper half.
func solved(s [6]float32, right [3]float32, eps float32) (a [3]float32) {
	p, q, r, t, u, v := s[0]+eps, s[1], s[2], s[3]+eps, s[4], s[5]+eps
	c0, c1, c2 := t*v-u*u, r*u-q*v, q*u-r*t
	det := p*c0 + q*c1 + r*c2
	if det <= 0 {
		return a
	}
	d1, d2, e2 := p*v-r*r, q*r-p*u, p*t-q*q
	a[0] = (c0*right[0] + c1*right[1] + c2*right[2]) / det
	a[1] = (c1*right[0] + d1*right[1] + d2*right[2]) / det
	a[2] = (c2*right[0] + d2*right[1] + e2*right[2]) / det
	return a
}

// boxed is the mean over 2r+1 cells each way, fewer at the edges.
func (s shape) boxed(v []float32, r int) []float32 {
	out := make([]float32, len(v))
	line := make([]float32, max(s.w, s.h))
	mean := func(first, step, n int, from, to []float32) {
		for i := range n {
			line[i] = from[first+i*step]
		}
		var sum float32
		count := 0
		for i := 0; i < min(r, n); i++ {
			sum, count = sum+line[i], count+1
		}
		for i := range n {
			if i+r < n {
				sum, count = sum+line[i+r], count+1
			}
			if i > r {
				sum, count = sum-line[i-r-1], count-1
			}
			to[first+i*step] = sum / float32(count)
		}
	}
	for j := range s.h {
		mean(j*s.w, 1, s.w, v, out)
	}
	for i := range s.w {
		mean(i, s.w, s.h, out, out)
	}
	return out
}
