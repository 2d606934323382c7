package guillotine

import "slices"

// strip begins the set's next strip, worth no more than the one before; false where
// the search ends.
func (h *shared) strip(i int, before, value int64) bool {
	q := &h.set
	if value > q.worth {
		q.worth, q.found = value, nil
		for _, strip := range q.strips {
			q.found = append(q.found, slices.Clone(strip))
		}
	}
	if q.worth+q.slack >= q.most {
		return false
	}
	if i == q.n || value+h.oneLong((q.n-i)*q.room) <= q.worth+q.slack {
		return true
	}
	q.strips = append(q.strips, make([]int, len(q.left)))
	ok := h.piece(i, h.p.s.first[q.lane+1]-1, q.room, 0, before, value)
	q.strips = q.strips[:i]
	return ok
}

// oneLong bounds what is left by filling one strip with it in the order of worth, the
// last piece in part (Dantzig 1957, from memory).
func (h *shared) oneLong(room int) int64 {
	p, s, q := h.p, h.p.s, &h.set
	lo, sum := s.first[q.lane], int64(0)
	for _, j := range h.order[q.lane] {
		n, length, weight := q.left[j], s.sizes[lo+j].length, p.weight[lo+j]
		if n == 0 || length > q.room {
			continue
		}
		if n*length >= room {
			return sum + ceilDiv(int64(room), weight, int64(length))
		}
		room -= n * length
		sum += int64(n) * weight
	}
	return sum
}

// taking is a number of pieces and what the strip may be worth then.
type taking struct {
	n       int
	promise int64
}

// choices lists how many of size k the strip may take, what promises most first.
func (h *shared) choices(buf []taking, k, room int, here, need int64) []taking {
	p, q := h.p, h.p.s.sizes[k]
	lo := h.p.s.first[h.set.lane]
	for n := 0; n <= h.set.left[k-lo] && n*q.length <= room; n++ {
		promise := here + int64(n)*p.weight[k]
		if k > lo {
			promise += p.rows[k-1][room-n*q.length]
		}
		if promise <= need {
			continue
		}
		buf = append(buf, taking{n, promise})
		for i := len(buf) - 1; i > 0 && buf[i].promise > buf[i-1].promise; i-- {
			buf[i], buf[i-1] = buf[i-1], buf[i]
		}
	}
	return buf
}

// need is what a strip must be worth more than: strips are of falling worth, so each
// must be worth its share of what is missing.
func (q *knapsack) need(i int, value int64) int64 {
	return (q.worth + q.slack - value) / int64(q.n-i)
}

// piece decides how many of size k strip i takes.
func (h *shared) piece(i, k, room int, here, before, value int64) bool {
	s, q := h.p.s, &h.set
	if q.nodes--; q.nodes <= 0 {
		return false
	}
	lo := s.first[q.lane]
	if k < lo {
		return here > before || h.strip(i+1, here, value+here)
	}
	var buf [16]taking
	for _, c := range h.choices(buf[:0], k, room, here, q.need(i, value)) {
		more := here + int64(c.n)*h.p.weight[k]
		if c.promise <= q.need(i, value) {
			break
		}
		if more > before {
			continue
		}
		q.strips[i][k-lo] = c.n
		q.left[k-lo] -= c.n
		ok := h.piece(i, k-1, room-c.n*s.sizes[k].length, more, before, value)
		q.left[k-lo] += c.n
		q.strips[i][k-lo] = 0
		if !ok {
			return false
		}
	}
	return true
}

// guess splits the best single strip as long as all together, each part as full as
// can be, and tops the parts up.
func (h *shared) guess() {
	p, s, q := h.p, h.p.s, &h.set
	lo, hi := s.first[q.lane], s.first[q.lane+1]
	all := make([]int, len(s.sizes))
	p.trace(q.lane, min(q.n*q.room, p.reach(q.lane)), 1, all)
	rest := slices.Clone(q.left)
	for i := range rest {
		rest[i] -= all[lo+i]
	}
	var found [][]int
	worth := int64(0)
	for range q.n {
		strip := make([]int, hi-lo)
		room := h.fullest(all[lo:hi], strip)
		for _, j := range h.order[q.lane] {
			n := min(rest[j], room/s.sizes[lo+j].length)
			strip[j] += n
			rest[j] -= n
			room -= n * s.sizes[lo+j].length
		}
		for i, n := range strip {
			worth += int64(n) * p.weight[lo+i]
		}
		found = append(found, strip)
	}
	q.worth, q.found = worth, found
}

// fullest moves what fills a strip most from left to it, long pieces first, and gives
// the room left over.
func (h *shared) fullest(left, strip []int) int {
	s, q := h.p.s, &h.set
	lo := s.first[q.lane]
	from, used := q.from[:q.room+1], q.used[:q.room+1] // from: 1 + the size that reached a length first
	clear(from)
	from[0] = -1
	top := 0
	for j := len(left) - 1; j >= 0; j-- {
		length, count := s.sizes[lo+j].length, int32(left[j])
		if count == 0 || length > q.room {
			continue
		}
		end := min(q.room, top+int(count)*length)
		s.meter.spend(2 * end)
		clear(used[:end+1])
		for x := length; x <= end; x++ {
			if from[x] == 0 && from[x-length] != 0 && used[x-length] < count {
				from[x], used[x] = int32(j+1), used[x-length]+1
				top = max(top, x)
			}
		}
	}
	for x := top; x > 0; {
		j := int(from[x]) - 1
		strip[j]++
		left[j]--
		x -= s.sizes[lo+j].length
	}
	return q.room - top
}
