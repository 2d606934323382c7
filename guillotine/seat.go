package guillotine

import (
	"math/bits"
	"slices"
)

// seater puts the pieces of one width onto lanes of given rooms: a lane after another,
// with the fullest strips first, while what is wasted leaves the pieces room enough.
type seater struct {
	lengths []int // of each size of the width, ascending
	left    []int
	rooms   []int // of the lanes, in the order in which they are filled
	strips  [][]int
	spare   int // cells that may still be wasted
	tries   int
	failed  map[string]bool
	reach   []sums // of each lane
}

// sums marks, for each size, the lengths that pieces of sizes up to it add up to.
type sums [][]uint64

// mostSeats bounds the strips tried for one width (assumed).
const mostSeats = 300

// seatPieces gives each room its strip; nil where none was found, and all says then that
// there is none. It spends steps of work.
func seatPieces(lengths, count, rooms []int) (strips [][]int, all bool, work int) {
	spare, longest := 0, 0
	for _, r := range rooms {
		spare, longest = spare+r, max(longest, r)
	}
	for k, n := range count {
		spare -= n * lengths[k]
	}
	if spare < 0 {
		return nil, true, 1
	}
	g := &seater{lengths: lengths, left: slices.Clone(count), rooms: rooms, strips: make([][]int, len(rooms)), spare: spare,
		tries: mostSeats, failed: map[string]bool{}, reach: make([]sums, len(rooms))}
	for i := range g.reach {
		g.reach[i] = make(sums, len(lengths))
		for k := range lengths {
			g.reach[i][k] = make([]uint64, longest/64+1)
		}
	}
	ok := g.fill(0)
	work = (mostSeats - g.tries + 1) * len(lengths) * (longest/64 + 1) * 4
	if !ok {
		return nil, g.tries > 0, work
	}
	return g.strips, true, work
}

// fill fills lane i and those after it.
func (g *seater) fill(i int) bool {
	if slices.Max(g.left) == 0 {
		return true
	}
	if i == len(g.rooms) {
		return false
	}
	state := key(int64(i), g.left)
	if g.failed[state] {
		return false
	}
	g.addUp(g.reach[i])
	last, strip := g.reach[i][len(g.lengths)-1], make([]int, len(g.lengths))
	for x := highest(last, g.rooms[i]); x >= 0 && g.rooms[i]-x <= g.spare; x = highest(last, x-1) {
		if g.strip(i, strip, len(strip)-1, x, g.rooms[i]-x) {
			return true
		}
		if g.tries <= 0 {
			return false
		}
	}
	g.failed[state] = true
	return false
}

// strip tries every strip of lane i that is exactly x long, of sizes up to k.
func (g *seater) strip(i int, strip []int, k, x, waste int) bool {
	if k < 0 || x == 0 {
		return g.take(i, strip, waste)
	}
	for n := min(g.left[k], x/g.lengths[k]); n >= 0 && g.tries > 0; n-- {
		rest := x - n*g.lengths[k]
		if rest > 0 && (k == 0 || g.reach[i][k-1][rest/64]>>(rest%64)&1 == 0) {
			continue
		}
		strip[k] = n
		if g.strip(i, strip, k-1, rest, waste) {
			return true
		}
	}
	strip[k] = 0
	return false
}

// take gives lane i the strip and goes on.
func (g *seater) take(i int, strip []int, waste int) bool {
	if g.tries--; g.tries < 0 {
		return false
	}
	for k, n := range strip {
		g.left[k] -= n
	}
	g.spare -= waste
	g.strips[i] = slices.Clone(strip)
	if g.fill(i + 1) {
		return true
	}
	g.strips[i] = nil
	g.spare += waste
	for k, n := range strip {
		g.left[k] += n
	}
	return false
}

// addUp marks what the pieces that are left add up to.
func (g *seater) addUp(s sums) {
	for k := range s {
		if k == 0 {
			clear(s[0])
			s[0][0] = 1
		} else {
			copy(s[k], s[k-1])
		}
		n := g.left[k]
		for times := 1; n > 0; times *= 2 { // binary: 1, 2, 4, ... and what is over
			m := min(times, n)
			orShifted(s[k], m*g.lengths[k])
			n -= m
		}
	}
}

// orShifted adds to a set of lengths each of them made longer by n.
func orShifted(set []uint64, n int) {
	words, by := n/64, uint(n%64)
	for i := len(set) - 1; i >= words; i-- {
		v := set[i-words] << by
		if by > 0 && i > words {
			v |= set[i-words-1] >> (64 - by)
		}
		set[i] |= v
	}
}

// highest is the greatest member of a set up to x, -1 where there is none.
func highest(set []uint64, x int) int {
	for i := x / 64; x >= 0 && i >= 0; i-- {
		v := set[i]
		if i == x/64 {
			v &= ^uint64(0) >> (63 - uint(x%64))
		}
		if v != 0 {
			return 64*i + 63 - bits.LeadingZeros64(v)
		}
	}
	return -1
}
