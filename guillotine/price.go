package guillotine

import "math/bits"

// prices says what blanks are worth when a piece of each size is worth weight[k] and
// no more than count[k] of it are wanted. Strips of one width share their pieces:
// n strips are worth no more than n times the best one, and no more than one strip n
// times as long. Both are kept, and the lesser counts.
type prices struct {
	s      *slitter
	weight []int64
	count  []int
	short  bool // strips together are not bounded by their pieces: quicker, for plans

	rows  [][]int64 // [k][x]: best strip x cells long of sizes of k's width up to k
	most  []int     // of each width: most strips side by side that are of use
	value [][]int64 // [width][n*extents+e]: bound on n strips in extent e
	total []int64   // [e]: bound on a blank of extent e
}

// work is the size of the tables, in cells.
func (s *slitter) work() int {
	n := 0
	for _, q := range s.sizes {
		n += (s.width/q.width)*s.longest + 1
	}
	return n
}

func (s *slitter) newPrices() *prices {
	p := &prices{s: s, most: make([]int, len(s.widths)), value: make([][]int64, len(s.widths)), total: make([]int64, len(s.extents))}
	store := make([]int64, s.work())
	for _, q := range s.sizes {
		n := (s.width/q.width)*s.longest + 1
		p.rows = append(p.rows, store[:n:n])
		store = store[n:]
	}
	for w, width := range s.widths {
		p.value[w] = make([]int64, (s.width/width+1)*len(s.extents))
	}
	return p
}

// set fills the tables; false where the work limit came first.
func (p *prices) set(weight []int64, count []int) bool {
	p.weight, p.count = weight, count
	for w := range p.s.widths {
		p.width(w)
	}
	p.across()
	cells, extents := 0, 0
	reach := 0
	for w := range p.s.widths {
		cells += (p.s.first[w+1] - p.s.first[w]) * p.reach(w)
		reach = max(reach, p.reach(w))
	}
	for extents < len(p.s.extents) && p.s.extents[extents].cells < reach {
		extents++
	}
	return p.s.meter.spend(cells + extents*p.s.width*len(p.s.widths))
}

// width fills the rows of one width and what 1, 2, ... strips of it are worth.
func (p *prices) width(w int) {
	s := p.s
	pieces := 0
	for k := s.first[w]; k < s.first[w+1]; k++ {
		pieces += p.count[k]
	}
	p.most[w] = min(pieces, s.width/s.widths[w])
	var below []int64
	reach := p.reach(w)
	for k := s.first[w]; k < s.first[w+1]; k++ {
		bounded(p.rows[k][:reach+1], below, s.sizes[k].length, p.count[k], p.weight[k])
		below = p.rows[k][:reach+1]
	}
	E := len(s.extents)
	for n := 1; n <= p.most[w]; n++ {
		for e, x := range s.extents {
			v := int64(n) * below[min(x.cells, reach)]
			if !p.short {
				v = min(v, below[min(n*x.cells, reach)])
			}
			p.value[w][n*E+e] = v
		}
	}
}

// reach is the length up to which the rows of a width are filled.
func (p *prices) reach(w int) int {
	s, cells := p.s, 0
	for k := s.first[w]; k < s.first[w+1]; k++ {
		cells += p.count[k] * s.sizes[k].length
	}
	if p.short {
		return min(s.longest, cells)
	}
	return min(max(1, p.most[w])*s.longest, cells)
}

// bounded is one row of the bounded knapsack: at most count pieces of a length, each
// worth weight, on top of what the row below holds (nil: nothing). Within one
// residue class the best of a sliding window of count+1 entries is kept (from memory:
// Pferschy 1999).
func bounded(row, below []int64, length, count int, weight int64) {
	if below == nil {
		for x := range row {
			row[x] = int64(min(count, x/length)) * weight
		}
		return
	}
	if count == 0 || weight == 0 || length >= len(row) {
		copy(row, below)
		return
	}
	if count <= 3 {
		copy(row, below)
		for n := 1; n <= count; n++ {
			add := int64(n) * weight
			for x := n * length; x < len(row); x++ {
				row[x] = max(row[x], below[x-n*length]+add)
			}
		}
		return
	}
	window := make([]int, 0, len(row)/length+1) // steps of the class, best first
	for r := range length {
		window = window[:0]
		head := 0
		for t, x := 0, r; x < len(row); t, x = t+1, x+length {
			v := below[x] - int64(t)*weight
			for len(window) > head && below[r+window[len(window)-1]*length]-int64(window[len(window)-1])*weight <= v {
				window = window[:len(window)-1]
			}
			window = append(window, t)
			if window[head] < t-count {
				head++
			}
			b := window[head]
			row[x] = below[r+b*length] + int64(t-b)*weight
		}
	}
}

// across fills every extent's blank with the best strips side by side.
func (p *prices) across() {
	s := p.s
	best, reach := make([]int64, s.width+1), 0
	for w := range s.widths {
		reach = max(reach, p.reach(w))
	}
	for e, x := range s.extents {
		p.sideBySide(e, best, nil)
		p.total[e] = best[s.width]
		if x.cells >= reach { // longer blanks hold no more
			clear(p.total[e+1:])
			break
		}
	}
}

// sideBySide is the knapsack over widths of one extent; chosen[w][y], where not nil,
// tells how many strips of width w the best blank of width y has, of widths up to w.
func (p *prices) sideBySide(e int, best []int64, chosen [][]int) {
	s, E := p.s, len(p.s.extents)
	clear(best)
	for w, width := range s.widths {
		if p.most[w] == 0 {
			continue
		}
		for y := s.width; y >= 0; y-- {
			v, at := best[y], 0
			for n := 1; n <= p.most[w] && n*width <= y; n++ {
				if t := best[y-n*width] + p.value[w][n*E+e]; t > v {
					v, at = t, n
				}
			}
			best[y] = v
			if chosen != nil {
				chosen[w][y] = at
			}
		}
	}
}

// richest is the extent that holds most for its cost, -1 where all are worth nothing.
func (p *prices) richest() int { return p.richestBut(nil) }

// richestBut leaves out the extents that are done.
func (p *prices) richestBut(done []bool) int {
	best := -1
	for e, v := range p.total {
		if v > 0 && (done == nil || !done[e]) && (best < 0 || more(v, p.s.extents[best].cost, p.total[best], p.s.extents[e].cost)) {
			best = e
		}
	}
	return best
}

// more says whether a*b > c*d, exactly.
func more(a, b, c, d int64) bool {
	ah, al := bits.Mul64(uint64(a), uint64(b))
	ch, cl := bits.Mul64(uint64(c), uint64(d))
	return ah > ch || ah == ch && al > cl
}

// needs is the least cost of blanks that hold the given weight together, when the
// richest holds most for its cost (Farley 1990, from memory), rounded up.
func (p *prices) needs(weight int64) int64 {
	e := p.richest()
	if e < 0 {
		return 0
	}
	return ceilDiv(weight, p.s.extents[e].cost, p.total[e])
}

// ceilDiv is a*b/c rounded up; the answer must fit.
func ceilDiv(a, b, c int64) int64 {
	h, l := bits.Mul64(uint64(a), uint64(b))
	q, r := bits.Div64(h, l, uint64(c))
	if r > 0 {
		q++
	}
	return int64(q)
}

// floorMul is a*b/c rounded down; the answer must fit.
func floorMul(a, b, c int64) int64 {
	h, l := bits.Mul64(uint64(a), uint64(b))
	q, _ := bits.Div64(h, l, uint64(c))
	return int64(q)
}

// holds reads the pieces of the best blank of an extent. Where strips of a width
// are bounded by their pieces together, the pieces are those of one long strip.
func (p *prices) holds(e int) []int {
	s := p.s
	best, chosen := make([]int64, s.width+1), make([][]int, len(s.widths))
	for w := range chosen {
		chosen[w] = make([]int, s.width+1)
	}
	p.sideBySide(e, best, chosen)
	out, E := make([]int, len(s.sizes)), len(s.extents)
	y := s.width
	for w := len(s.widths) - 1; w >= 0; w-- {
		n := chosen[w][y]
		y -= n * s.widths[w]
		if n == 0 {
			continue
		}
		x := s.extents[e].cells
		if alone := p.value[w][E+e]; p.value[w][n*E+e] == int64(n)*alone {
			p.trace(w, x, n, out)
		} else {
			p.trace(w, n*x, 1, out)
		}
	}
	return out
}

// trace adds times the pieces of the best strip x cells long to out.
func (p *prices) trace(w, x, times int, out []int) {
	s := p.s
	x = min(x, p.reach(w))
	for k := s.first[w+1] - 1; k >= s.first[w]; k-- {
		q, left := s.sizes[k], int64(0)
		for n := 0; n <= p.count[k] && n*q.length <= x; n++ {
			if k > s.first[w] {
				left = p.rows[k-1][x-n*q.length]
			}
			if left+int64(n)*p.weight[k] == p.rows[k][x] {
				out[k] += n * times
				x -= n * q.length
				break
			}
		}
	}
}
