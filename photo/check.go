package photo

import (
	"math"

	"coilwright/adjust"
)

// Check says how well all other numbers check a known length.
type Check struct {
	Photo, Index int // Marks.Lengths[Index] of that photo
	// Unseen is how far, in inches, the length may be misread and still raise no
	// doubt one time in five (the least detectable error of Baarda, 1968); infinite
	// where nothing checks it.
	Unseen float64
	// Also names the further tape measurement within reach that would check it best,
	// "" where none would much better; Then is what Unseen would be with it.
	Also string
	Then float64
}

// Checks tells it of each known length, in the order of the photos and their lengths.
func (s Solution) Checks() []Check {
	m, f := s.model, s.fitted
	z := sizes{m, f, s.Factor}
	all := z.measurables()
	var out []Check
	for i, row := range m.lengthRows(f) {
		l := m.lengths[i]
		alone := redundancy(f, row)
		c := Check{Photo: l.photo, Index: l.index, Unseen: s.unseen(row, alone)}
		c.Then = 0.7 * c.Unseen
		for _, k := range all {
			if !k.reached() || m.taped(k) {
				continue
			}
			if then := s.unseen(row, alone+gain(f, row, k.form.terms)); then < c.Then {
				c.Also, c.Then = k.what, then
			}
		}
		out = append(out, c)
	}
	return out
}

// fourInFive is the normal law's 80 % point: an error that much beyond the bound is found
// four times in five.
const fourInFive = 0.84

// unseen is the least error in a length of that redundancy that is found four times
// in five.
func (s Solution) unseen(row adjust.Row, redundancy float64) float64 {
	if redundancy < leastRedundancy {
		return math.Inf(1)
	}
	return (once(len(s.model.lengths)) + fourInFive) * s.Factor * row.Sigma / math.Sqrt(redundancy)
}

// gain is what the row's redundancy gains if a tape also read that form: one more
// equation takes cov(row, form)^2 / (var form + tape^2) off the row's variance.
func gain(f fitted, row adjust.Row, form []adjust.Term) float64 {
	cov := f.fit.Cov
	shared := cov.Form(row.Terms, form)
	less := shared * shared / (cov.Form(form, form) + tapeSigma*tapeSigma)
	return less / (row.Sigma * row.Sigma)
}

// taped says that a size is a known length already.
func (m model) taped(k measurable) bool {
	for _, l := range m.lengths {
		if same(k.ends[0], k.ends[1], l.a, l.b) || m.opposite(k.ends, l) {
			return true
		}
	}
	return false
}

// opposite says that a length is the same opening's size, read at its other side.
func (m model) opposite(ends [2]int, l modelLength) bool {
	p, q, a, b := m.vertices[ends[0]], m.vertices[ends[1]], m.vertices[l.a], m.vertices[l.b]
	return p.wall == a.wall && p.wall == q.wall && a.wall == b.wall &&
		(p.x == q.x && a.x == b.x && same(p.y, q.y, a.y, b.y) || p.y == q.y && a.y == b.y && same(p.x, q.x, a.x, b.x))
}

// same says that two pairs are one, in either order.
func same(p, q, a, b int) bool { return p == a && q == b || p == b && q == a }
