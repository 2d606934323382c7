package guillotine

import (
	"math"
	"slices"
)

// scale is how many steps of a multiplier one unit of value has.
const scale = 1000

// relaxed is a sheet whose counts may be exceeded at a price: multiplier[k] is paid
// for each piece of kind k and given back for each that is on offer. Its best
// filling is worth at least as much as any filling that keeps to the counts
// (Lagrangian relaxation; Geoffrion 1974, from memory):
//
//	value <= (sum multiplier*count + best of (scale*value - multiplier)) / scale.
type relaxed struct {
	f          *filler
	count      []int   // what is left of each kind
	top        int     // kinds from here on are out of the question
	width      int     // what is left of the sheet
	multiplier []int64 // >= 0

	strip [][]int64 // [k+1][x]: best strip of length x from kinds up to k (one width if exact)
	sheet []int64   // [y]: best strips of total width y
	last  []int     // [y]: kind whose width the last strip has, -1 for none
	bound int64     // times scale
}

func (f *filler) relax() *relaxed {
	r := &relaxed{f: f, sheet: make([]int64, f.width+1), last: make([]int, f.width+1)}
	cells := make([]int64, (len(f.kinds)+1)*(f.length+1))
	for range len(f.kinds) + 1 {
		r.strip = append(r.strip, cells[:f.length+1])
		cells = cells[f.length+1:]
	}
	return r
}

// solve fills the tables and the bound for the present multipliers.
func (r *relaxed) solve() {
	sum := int64(0)
	for k := range r.top {
		r.row(k)
		sum += r.multiplier[k] * int64(r.count[k])
	}
	r.across()
	r.bound = sum + r.sheet[r.width]
	r.f.meter.spend(r.top * (r.f.length + r.width))
}

// begins says that strips of kind k's width take nothing narrower.
func (r *relaxed) begins(k int) bool {
	return r.f.exact && (k == 0 || r.f.kinds[k-1].width != r.f.kinds[k].width)
}

// below is the row of strip that kind k adds to.
func (r *relaxed) below(k int) []int64 {
	if r.begins(k) {
		return r.strip[0]
	}
	return r.strip[k]
}

// row adds kind k to the strips: at most count pieces of it.
func (r *relaxed) row(k int) {
	kind, row, below := r.f.kinds[k], r.strip[k+1], r.below(k)
	copy(row, below)
	gain := kind.value*scale - r.multiplier[k]
	if gain <= 0 {
		return
	}
	for x := kind.length; x < len(row); x++ {
		for n := 1; n <= r.count[k] && n*kind.length <= x; n++ {
			row[x] = max(row[x], below[x-n*kind.length]+int64(n)*gain)
		}
	}
}

// across fills the sheet with the best strips of every width.
func (r *relaxed) across() {
	for y := range r.width + 1 {
		r.sheet[y], r.last[y] = 0, -1
		if y > 0 {
			r.sheet[y] = r.sheet[y-1]
		}
		for k := range r.top {
			w := r.f.kinds[k].width
			if w > y {
				break
			}
			if v := r.sheet[y-w] + r.strip[k+1][r.f.length]; v > r.sheet[y] {
				r.sheet[y], r.last[y] = v, k
			}
		}
	}
}

// strips reads the best strips from the tables.
func (r *relaxed) strips() [][]int {
	var out [][]int
	for y := r.width; y > 0; {
		k := r.last[y]
		if k < 0 {
			y--
			continue
		}
		out = append(out, r.trace(k))
		y -= r.f.kinds[k].width
	}
	return out
}

// trace reads one strip of the width of kind k.
func (r *relaxed) trace(k int) []int {
	counts := make([]int, len(r.f.kinds))
	for x := r.f.length; k >= 0; k-- {
		kind, below := r.f.kinds[k], r.below(k)
		gain := kind.value*scale - r.multiplier[k]
		for n := 0; n*kind.length <= x; n++ {
			if below[x-n*kind.length]+int64(n)*gain == r.strip[k+1][x] {
				counts[k] = n
				x -= n * kind.length
				break
			}
		}
		if r.begins(k) {
			break
		}
	}
	return counts
}

// descend betters the multipliers by steps along the subgradient (Held and Karp
// 1971, step length after Polyak; from memory), offering what it meets as fillings.
// It stops when nothing above target can be had, and leaves the best multipliers'
// tables in place. before is what the strips chosen so far are worth.
func (r *relaxed) descend(steps int, chosen [][]int, before int64) {
	f := r.f
	best, at := int64(math.MaxInt64), slices.Clone(r.multiplier)
	pace, stalled := 1.0, 0
	for range steps {
		r.solve()
		strips := r.strips()
		f.repair(r, strips, chosen, before)
		if r.bound < best {
			best, stalled = r.bound, 0
			copy(at, r.multiplier)
		} else if stalled++; stalled%8 == 0 {
			pace /= 2
			copy(r.multiplier, at)
		}
		if r.closed(best, before) || f.meter.done || !r.step(strips, pace, before) {
			break
		}
	}
	copy(r.multiplier, at)
	r.solve()
}

// closed says that a bound on what is left admits nothing better than the best.
func (r *relaxed) closed(bound, before int64) bool { return before+bound/scale <= r.f.value }

// step moves the multipliers against the subgradient count - used; false where it
// is nought: then the relaxed filling is a filling.
func (r *relaxed) step(strips [][]int, pace float64, before int64) bool {
	slope, norm := make([]int, r.top), 0.0
	for k := range r.top {
		slope[k] = r.count[k]
		for _, s := range strips {
			slope[k] -= s[k]
		}
		if slope[k] > 0 && r.multiplier[k] == 0 {
			slope[k] = 0
		}
		norm += float64(slope[k] * slope[k])
	}
	if norm == 0 {
		return false
	}
	length := pace * (float64(r.bound) - float64(scale*(r.f.value-before))) / norm
	for k, s := range slope {
		r.multiplier[k] = max(0, r.multiplier[k]-int64(math.Round(length*float64(s))))
	}
	return true
}

// repair makes a filling of a relaxed one: pieces beyond their count go out, then
// every strip, and the width that is left, takes what still fits, by value.
func (f *filler) repair(r *relaxed, strips, chosen [][]int, before int64) {
	left := slices.Clone(r.count)
	out, value, width := slices.Clone(chosen), before, r.width
	for _, s := range strips {
		s = slices.Clone(s)
		room, top := f.length, 0
		for k := range s {
			s[k] = min(s[k], left[k])
			left[k] -= s[k]
			room -= s[k] * f.kinds[k].length
			value += int64(s[k]) * f.kinds[k].value
			if s[k] > 0 {
				top = f.kinds[k].width
			}
		}
		if top > 0 {
			width -= top
			value += f.top(s, left, room, top)
			out = append(out, s)
		}
	}
	for {
		s, top, v := f.another(left, width)
		if v == 0 {
			break
		}
		out, width, value = append(out, s), width-top, value+v
	}
	if value > f.value {
		f.value, f.best = value, out
	}
}

// top puts what fits onto a strip, dearest by length first.
func (f *filler) top(strip, left []int, room, width int) (value int64) {
	for {
		best := -1
		for k, q := range f.kinds {
			if left[k] == 0 || q.length > room || q.width > width || f.exact && q.width != width {
				continue
			}
			if best < 0 || q.value*int64(f.kinds[best].length) > f.kinds[best].value*int64(q.length) {
				best = k
			}
		}
		if best < 0 {
			return value
		}
		n := min(left[best], room/f.kinds[best].length)
		strip[best] += n
		left[best] -= n
		room -= n * f.kinds[best].length
		value += int64(n) * f.kinds[best].value
	}
}

// another is one more strip, of the width that is worth most; it takes from left.
func (f *filler) another(left []int, width int) (strip []int, top int, value int64) {
	var rest []int
	for k, q := range f.kinds {
		if left[k] == 0 || q.width > width || q.width == top {
			continue
		}
		s, l := make([]int, len(f.kinds)), slices.Clone(left)
		s[k]++
		l[k]--
		v := q.value + f.top(s, l, f.length-q.length, q.width)
		if v*int64(max(1, top)) > value*int64(q.width) {
			strip, rest, top, value = s, l, q.width, v
		}
	}
	copy(left, rest)
	return strip, top, value
}
