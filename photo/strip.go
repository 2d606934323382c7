package photo

import (
	"image"
	"math"
)

// sample gives the picture's red, green and blue at a place, each from 0 to 255,
// between the four pixels around it; beyond the picture its border goes on.
func sample(img *image.RGBA, at Pixel) [3]float64 {
	b := img.Rect
	u := min(max(at.U-0.5, 0), float64(b.Dx()-1))
	v := min(max(at.V-0.5, 0), float64(b.Dy()-1))
	x, y := min(int(u), b.Dx()-2), min(int(v), b.Dy()-2)
	x, y = max(x, 0), max(y, 0)
	fx, fy := u-float64(x), v-float64(y)
	o := y*img.Stride + 4*x
	right, down := 4, img.Stride
	if b.Dx() < 2 {
		right = 0
	}
	if b.Dy() < 2 {
		down = 0
	}
	p := img.Pix[o:]
	var out [3]float64
	for c := range out {
		top := float64(p[c])*(1-fx) + float64(p[right+c])*fx
		low := float64(p[down+c])*(1-fx) + float64(p[down+right+c])*fx
		out[c] = top*(1-fy) + low*fy
	}
	return out
}

// Parameters of the search for an edge. Steps and spans are in pixels.
const (
	searchStep  = 0.25 // between offsets tried
	longestEdge = 140  // of an edge looked at from a corner: lenses bend longer ones
	acrossStep  = 0.5  // half the distance over which a gradient is taken
	faintest    = 2.5  // mean step in brightness (of 255) that counts as an edge
)

// strip is a band along a supposed edge: for each place along it and each offset
// across it, the gradient across.
type strip struct {
	from, to Pixel
	normal   Pixel
	offsets  int // on each side
	grads    [][][3]float64
	levels   [][]float64 // brightness there
}

func newStrip(img *image.RGBA, from, to Pixel, reach float64) (strip, bool) {
	long := math.Hypot(to.U-from.U, to.V-from.V)
	if !(long >= 4) {
		return strip{}, false
	}
	s := strip{from: from, to: to, normal: Pixel{-(to.V - from.V) / long, (to.U - from.U) / long}, offsets: int(reach / searchStep)}
	count := max(6, min(int(long), 160))
	for k := range count {
		f := (float64(k) + 0.5) / float64(count)
		p := Pixel{from.U + f*(to.U-from.U), from.V + f*(to.V-from.V)}
		row, level := make([][3]float64, 2*s.offsets+1), make([]float64, 2*s.offsets+1)
		for i := range row {
			off := float64(i-s.offsets) * searchStep
			a := sample(img, s.shifted(p, off+acrossStep))
			b := sample(img, s.shifted(p, off-acrossStep))
			for c := range a {
				row[i][c] = a[c] - b[c]
			}
			m := sample(img, s.shifted(p, off))
			level[i] = 0.299*m[0] + 0.587*m[1] + 0.114*m[2] // luma (ITU-R BT.601)
		}
		s.grads, s.levels = append(s.grads, row), append(s.levels, level)
	}
	return s, true
}

func (s strip) shifted(p Pixel, by float64) Pixel {
	return Pixel{p.U + by*s.normal.U, p.V + by*s.normal.V}
}

// mean is the mean step in each colour along the line that runs at offset i at the
// strip's start and j at its end (in steps, may be fractions), with its sign, so
// that what changes sides along the line does not count.
func (s strip) mean(i, j float64) [3]float64 {
	var sum [3]float64
	n := float64(len(s.grads))
	for k, row := range s.grads {
		at := i + (j-i)*(float64(k)+0.5)/n + float64(s.offsets)
		low := min(max(int(at), 0), len(row)-2)
		f := min(max(at-float64(low), 0), 1)
		for c := range sum {
			sum[c] += (row[low][c]*(1-f) + row[low+1][c]*f) / n
		}
	}
	return sum
}

// step is the size of the mean step along a line, of 255.
func (s strip) step(i, j float64) float64 {
	m := s.mean(i, j)
	return math.Sqrt((m[0]*m[0] + m[1]*m[1] + m[2]*m[2]) / 3)
}

// edge finds the line of the largest step, near lines preferred, and gives its
// ends; inner is the side (1 or -1 along the normal) of what the edge bounds, 0
// where not known. ok is false where there is none.
func (s strip) edge(inner float64, upright bool) (found, bool) {
	i, j, best := s.strongest()
	if best < faintest {
		return found{}, false
	}
	i, j = s.refined(i, j)
	if shift := s.innerTwin(i, j, inner); upright && shift != 0 {
		i, j = s.refined(i+shift, j+shift)
	}
	return found{s.shifted(s.from, i*searchStep), s.shifted(s.to, j*searchStep), s.normal, best, searchStep * s.settled(i, j, inner)}, true
}

// found is the line of the largest step. The edge itself lies settle pixels beside
// it along the normal.
type found struct {
	a, b     Pixel
	normal   Pixel
	strength float64
	settle   float64
}

// edge gives the edge, settled.
func (f found) edge() (a, b Pixel) {
	move := func(p Pixel) Pixel { return Pixel{p.U + f.settle*f.normal.U, p.V + f.settle*f.normal.V} }
	return move(f.a), move(f.b)
}

// strongest tries all lines: the largest step that is a peak across the line. A
// person's mark is most likely right, so what lies at the search's end must be
// ten times as strong.
func (s strip) strongest() (bi, bj, best float64) {
	n := s.offsets
	at := make([]float64, (2*n+1)*(2*n+1))
	value := func(i, j int) float64 { return at[(i+n)*(2*n+1)+j+n] }
	for i := -n; i <= n; i++ {
		for j := -n; j <= n; j++ {
			at[(i+n)*(2*n+1)+j+n] = s.step(float64(i), float64(j))
		}
	}
	for i := 1 - n; i < n; i++ {
		for j := 1 - n; j < n; j++ {
			v := value(i, j)
			off := float64(abs(i)+abs(j)) / float64(2*n)
			w := v * (1 - 0.9*off*off)
			if w > best && v >= value(i-1, j-1) && v >= value(i+1, j+1) {
				best, bi, bj = w, float64(i), float64(j)
			}
		}
	}
	return bi, bj, best
}

func abs(i int) int { return max(i, -i) }

// refined gives a line to a fraction of a step, by parabolas through three.
func (s strip) refined(i, j float64) (float64, float64) {
	for range 3 {
		i += peak(func(d float64) float64 { return s.step(i+d, j) })
		j += peak(func(d float64) float64 { return s.step(i, j+d) })
	}
	return i, j
}

// Casings and corner boards stand out of the wall: beside their face's edge runs
// that of their return or of their shadow. Both show, up to twinSpan pixels apart;
// the face's is the inner one, taken if at least twinShare as strong. Only upright
// edges: seen from the ground some way off, heads and sills hide their returns.
const (
	twinSpan  = 3.0
	twinShare = 0.2
)

// innerTwin gives by how many steps the line must move to lie on the inner one of
// a pair of edges; 0 where the edge is single.
func (s strip) innerTwin(i, j, inner float64) float64 {
	if inner == 0 {
		return 0
	}
	whole, outer := s.step(i, j), s.mean(i, j)
	for d := twinSpan; d >= 0.75; d -= searchStep {
		shift := inner * d / searchStep
		v, m := s.step(i+shift, j+shift), s.mean(i+shift, j+shift)
		opposite := m[0]*outer[0]+m[1]*outer[1]+m[2]*outer[2] < 0 // into the band and out of it
		if opposite && v > twinShare*whole && v > faintest/2 && v >= s.step(i+shift+1, j+shift+1) && v >= s.step(i+shift-1, j+shift-1) {
			return shift
		}
	}
	return 0
}

// peak gives where, from -1 to 1, a parabola through f at -2, 0 and 2 is highest.
func peak(f func(float64) float64) float64 {
	a, b, c := f(-2), f(0), f(2)
	if d := a - 2*b + c; d < 0 {
		return min(max((a-c)/d, -1), 1)
	}
	return 0
}

// blur is the standard deviation, in pixels, of how a picture softens an edge:
// lens, pixel and demosaicing together; 0.5 to 0.7 is common for sharp photos.
const blur = 0.6

// settled moves a line found by its gradient on to the edge itself. Beside an edge
// often runs a thin line, a shadow or a return too thin to show as two: it pushes
// the steepest place away from the edge. So the mean brightness across is fitted
// by a step with a thin line on its outer side, both blurred.
func (s strip) settled(i, j, inner float64) float64 {
	const window, reach, step = 2.5, 0.6, 0.05
	var offs, levels, weights []float64
	n := float64(len(s.levels))
	for o := -window; o <= window; o += searchStep {
		sum := 0.0
		for k, row := range s.levels {
			at := i + (j-i)*(float64(k)+0.5)/n + o/searchStep + float64(s.offsets)
			low := min(max(int(at), 0), len(row)-2)
			f := min(max(at-float64(low), 0), 1)
			sum += row[low]*(1-f) + row[low+1]*f
		}
		offs, levels = append(offs, o), append(levels, sum/n)
		weights = append(weights, math.Exp(-o*o/3))
	}
	best, at := math.Inf(1), 0.0
	plain := math.Inf(1)
	for e := -reach; e <= reach; e += step {
		if left := unexplained(offs, levels, weights, e, e-0.3*inner); left < best {
			best, at = left, e
		}
		plain = min(plain, unexplained(offs, levels, weights, e, math.NaN()))
	}
	if math.Abs(at) > reach-step || best > lineShare*plain {
		return 0
	}
	return at / searchStep
}

// lineShare is what a thin line must bring the misfit down to before it is
// believed.
const lineShare = 0.55

// unexplained is the weighted square sum that a step at e and a line at l leave of
// levels, by Gram and Schmidt.
func unexplained(offs, levels, weights []float64, e, l float64) float64 {
	n := len(offs)
	var basis [3][]float64
	for b := range basis {
		basis[b] = make([]float64, n)
	}
	rest := make([]float64, n)
	for k, o := range offs {
		w := math.Sqrt(weights[k])
		basis[0][k] = w
		basis[1][k] = w * 0.5 * math.Erfc((e-o)/(blur*math.Sqrt2))
		if l == l { // a line is asked for
			basis[2][k] = w * math.Exp(-(o-l)*(o-l)/(2*blur*blur))
		}
		rest[k] = w * levels[k]
	}
	for b := range basis {
		for c := range b {
			project(basis[b], basis[c])
		}
		project(rest, basis[b])
	}
	sum := 0.0
	for _, r := range rest {
		sum += r * r
	}
	return sum
}

// project takes out of v what lies along u.
func project(v, u []float64) {
	var uv, uu float64
	for k := range u {
		uv += u[k] * v[k]
		uu += u[k] * u[k]
	}
	if uu == 0 {
		return
	}
	for k := range v {
		v[k] -= uv / uu * u[k]
	}
}
