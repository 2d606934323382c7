package pack

import "slices"

// Line is pieces in the order in which they are wanted, to be cut from bins one
// after another. All lengths share one unit.
type Line struct {
	Pieces []LinePiece
	Bins   []int64 // lengths, in the order of use
	Setup  int64   // lost once for each class cut from a bin
	Window int     // cut only among so many of the first pieces not yet cut; 0 means DefaultWindow, 1 the order itself
	Slack  int64   // a remnant no longer than this is as good as none

	anyOrder bool // pieces may be passed over again and again
}

// LinePiece is one piece of a [Line].
type LinePiece struct {
	Length int64
	Class  int
}

// DefaultWindow is also the most: the search over a window meets in the middle
// of 2 to its power.
const DefaultWindow = 24

// Cut is what [Sequence] gives. Bins lists the pieces (by their index) of
// every bin opened, in the order of cutting; Tails what is left of each. Uncut
// are the pieces for which there was no bin. Farthest is the most places that
// a piece is cut from its turn in its class.
type Cut struct {
	Bins     [][]int
	Tails    []int64
	Uncut    []int
	Farthest int
}

// Sequence cuts pieces nearly in the order in which they are wanted and empties
// every bin but the last: class by class, in the order of each class's first
// piece, and within a class in order, until few pieces more would fill the
// bin; then, of the next Window pieces, those that leave the least. It widens
// the window only as far as it must, and a piece once passed over is first in
// the next bin. Horowitz and Sahni's meeting in the middle (1974, from memory)
// finds the best of a window exactly; the whole is a heuristic, and quick.
//
// Errors: *ItemError with ErrLength, *StockError with ErrLength, ErrSetup.
func Sequence(l Line) (Cut, error) {
	if err := l.validate(); err != nil {
		return Cut{}, err
	}
	q := newSequencer(l)
	for bin := 0; bin < len(l.Bins) && len(q.queues) > 0; bin++ {
		pieces, tail := q.bin(l.Bins[bin])
		q.out.Bins, q.out.Tails = append(q.out.Bins, pieces), append(q.out.Tails, tail)
	}
	q.out.Uncut = slices.Concat(q.queues...)
	for n := len(q.out.Bins); n > 0 && len(q.out.Bins[n-1]) == 0; n-- {
		q.out.Bins, q.out.Tails = q.out.Bins[:n-1], q.out.Tails[:n-1] // too short for what was left
	}
	q.out.Farthest = farthest(l.Pieces, q.out.Bins)
	return q.out, nil
}

func (l Line) validate() error {
	if l.Setup < 0 {
		return ErrSetup
	}
	for k, b := range l.Bins {
		if b <= 0 || b > sumLimit {
			return &StockError{Stock: k, Have: b, Err: ErrLength}
		}
	}
	total := int64(0)
	for i, p := range l.Pieces {
		if p.Length <= 0 {
			return &ItemError{Item: i, Have: p.Length, Err: ErrLength}
		}
		if p.Length > sumLimit-total-l.Setup {
			return &ItemError{Item: i, Have: p.Length, Err: ErrOverflow}
		}
		total += p.Length
	}
	return nil
}

// sequencer holds what is still to cut: a queue a class, those passed over first.
type sequencer struct {
	line   Line
	queues [][]int
	passed int // leading pieces of the first queue that were passed over
	out    Cut
	mids   [2]halves
}

func newSequencer(l Line) *sequencer {
	if l.Window <= 0 || l.Window > DefaultWindow {
		l.Window = DefaultWindow
	}
	q := &sequencer{line: l}
	at := map[int]int{}
	for i, p := range l.Pieces {
		k, ok := at[p.Class]
		if !ok {
			k = len(q.queues)
			at[p.Class] = k
			q.queues = append(q.queues, nil)
		}
		q.queues[k] = append(q.queues[k], i)
	}
	return q
}

// bin fills one bin: whole queues while they fit, then the best end.
func (q *sequencer) bin(room int64) (pieces []int, tail int64) {
	for len(q.queues) > 0 {
		pending := q.queues[0]
		if room <= q.line.Setup {
			break
		}
		n, sum := q.fitting(pending, room-q.line.Setup)
		if n == len(pending) {
			pieces = append(pieces, pending...)
			room -= q.line.Setup + sum
			q.queues, q.passed = q.queues[1:], 0
			continue
		}
		if taken, used := q.end(pending, n, room-q.line.Setup); len(taken) > 0 {
			pieces = append(pieces, taken...)
			room -= q.line.Setup + used
		}
		break
	}
	return pieces, room
}

// fitting is how many leading pieces fit, and their length.
func (q *sequencer) fitting(pending []int, room int64) (n int, sum int64) {
	for _, i := range pending {
		if sum+q.line.Pieces[i].Length > room {
			break
		}
		sum += q.line.Pieces[i].Length
		n++
	}
	return n, sum
}

// end closes a bin in which only n of the pending pieces fit in their order: it
// keeps a beginning and looks for the subset of the next few that fills the
// rest, with ever more of them, and takes what it chose from the queue.
func (q *sequencer) end(pending []int, n int, room int64) (taken []int, used int64) {
	best := choice{keep: n, used: q.sum(pending[:n])}
	for width := min(6, q.line.Window); ; width = min(width+6, q.line.Window) {
		after := len(pending) - n // where few wait, more of the beginning is looked at
		for _, back := range [3]int{width / 2, width / 3, max(2*width/3, width-after)} {
			keep := max(n-back, min(q.passed, n))
			c := q.choose(pending, keep, width, room)
			if c.used > best.used {
				best = c
			}
			if room-best.used <= q.line.Slack {
				return q.take(pending, best), best.used
			}
		}
		if width == q.line.Window {
			return q.take(pending, best), best.used
		}
	}
}

// choice keeps the first pieces of a queue and a subset of those after them.
type choice struct {
	keep int
	mask uint32
	used int64
}

func (q *sequencer) choose(pending []int, keep, width int, room int64) choice {
	base := q.sum(pending[:keep])
	var lengths [DefaultWindow]int64
	window := pending[keep:min(keep+width, len(pending))]
	for i, p := range window {
		lengths[i] = q.line.Pieces[p].Length
	}
	mask, sum := q.subset(lengths[:len(window)], room-base)
	return choice{keep, mask, base + sum}
}

func (q *sequencer) sum(list []int) int64 {
	sum := int64(0)
	for _, i := range list {
		sum += q.line.Pieces[i].Length
	}
	return sum
}

// take splits the first queue into what is cut now and what waits: the few
// passed over move up to the pieces behind the window.
func (q *sequencer) take(pending []int, c choice) []int {
	taken := slices.Clone(pending[:c.keep])
	window := pending[c.keep:min(c.keep+DefaultWindow, len(pending))]
	var waits []int
	q.passed = 0
	for i, p := range window {
		if c.mask>>i&1 == 0 {
			waits = append(waits, p)
			continue
		}
		taken = append(taken, p)
		if !q.line.anyOrder {
			q.passed = len(waits)
		}
	}
	from := c.keep + len(window) - len(waits)
	copy(pending[from:], waits)
	q.queues[0] = pending[from:]
	return taken
}

// halves are all subset sums of half a window, ascending, each with its subset. The
// buffers are used again and again.
type halves struct {
	sum, nextSum   []int64
	mask, nextMask []uint32
}

// of lists the sums within the room by merging: those without a piece, and those with it.
// Of equal sums the one without later pieces comes first.
func (h *halves) of(lengths []int64, shift int, room int64) {
	h.sum, h.mask = append(h.sum[:0], 0), append(h.mask[:0], 0)
	for i, l := range lengths {
		n := len(h.sum)
		sum, mask := h.nextSum[:0], h.nextMask[:0]
		bit := uint32(1) << (shift + i)
		for a, b := 0, 0; b < n; {
			if a < n && h.sum[a] <= h.sum[b]+l {
				sum, mask = append(sum, h.sum[a]), append(mask, h.mask[a])
				a++
			} else if h.sum[b]+l > room {
				break
			} else {
				sum, mask = append(sum, h.sum[b]+l), append(mask, h.mask[b]|bit)
				b++
			}
		}
		h.sum, h.nextSum, h.mask, h.nextMask = sum, h.sum, mask, h.mask
	}
}

// subset finds the lengths that add up to most within the room.
func (q *sequencer) subset(lengths []int64, room int64) (mask uint32, sum int64) {
	half := len(lengths) / 2
	low, high := &q.mids[0], &q.mids[1]
	low.of(lengths[:half], 0, room)
	high.of(lengths[half:], half, room)
	j := len(high.sum) - 1
	for i, s := range low.sum {
		for j >= 0 && s+high.sum[j] > room {
			j--
		}
		if j < 0 {
			break
		}
		if t := s + high.sum[j]; t > sum {
			sum, mask = t, low.mask[i]|high.mask[j]
		}
		if room-sum <= q.line.Slack {
			break
		}
	}
	return mask, sum
}

// farthest is the most places between a piece's turn in its class and its cut.
func farthest(pieces []LinePiece, bins [][]int) int {
	turn, next := make([]int, len(pieces)), map[int]int{}
	for i, p := range pieces {
		turn[i] = next[p.Class]
		next[p.Class]++
	}
	far := 0
	clear(next)
	for _, bin := range bins {
		for _, i := range bin {
			c := pieces[i].Class
			far = max(far, turn[i]-next[c], next[c]-turn[i])
			next[c]++
		}
	}
	return far
}
