package box

import (
	"cmp"
	"slices"
	"sort"

	"coilwright/measure"
)

// bin is one section while pieces are assigned to it.
type bin struct {
	left measure.Length
	cuts []cut
	open bool
}

// cut is piece n of a strip.
type cut struct{ strip, n int }

// laid is a strip's place in the plan in hand: its joints, the bin of each piece,
// and the rule that it breaks.
type laid struct {
	done   bool
	joints split
	bins   []int
	broken int // 0: none, else index into the rules plus one
}

// hand is the plan in hand of one group.
type hand struct {
	*model
	bins   []bin
	closed []int // numbers of bins that are not open
	rest   []int // open bins with a useful remnant, by remnant and number
	laid   []laid
	order  []int // buffer of place

	sections, joints, broken int
	squares                  int64 // sum of the squares of all remnants, in steps
}

func newHand(m *model) *hand { return &hand{model: m, laid: make([]laid, len(m.strips))} }

func (h *hand) placed(i int) (split, bool) { return h.laid[i].joints, h.laid[i].done }

// roomy gives the place in rest of the least remnant that holds a length.
func (h *hand) roomy(length measure.Length) int { return h.from(length, 0) }

// at gives the place of bin k in rest.
func (h *hand) at(k int) int { return h.from(h.bins[k].left, k) }

// from gives the first place in rest, which goes by remnant and then by number, of
// a remnant and number at least those given.
func (h *hand) from(left measure.Length, number int) int {
	return sort.Search(len(h.rest), func(i int) bool {
		k := h.rest[i]
		l := h.bins[k].left
		return l > left || l == left && k >= number
	})
}

// set changes what is left of a bin.
func (h *hand) set(k int, left measure.Length) {
	b := &h.bins[k]
	old := int64(b.left / h.Step)
	if b.open && b.left >= h.least {
		at := h.at(k)
		h.rest = slices.Delete(h.rest, at, at+1)
	}
	b.left = left
	if b.open && left >= h.least {
		h.rest = slices.Insert(h.rest, h.at(k), k)
	}
	if b.open {
		now := int64(left / h.Step)
		h.squares += now*now - old*old
	}
}

// fresh opens a section.
func (h *hand) fresh() int {
	for len(h.closed) > 0 {
		k := h.closed[len(h.closed)-1]
		h.closed = h.closed[:len(h.closed)-1]
		if !h.bins[k].open {
			h.reopen(k)
			return k
		}
	}
	h.bins = append(h.bins, bin{})
	h.reopen(len(h.bins) - 1)
	return len(h.bins) - 1
}

func (h *hand) reopen(k int) {
	h.bins[k].open, h.bins[k].left = true, 0
	h.sections++
	h.set(k, h.section)
}

// put cuts piece n of strip i, length long, from bin k.
func (h *hand) put(i, n int, length measure.Length, k int) {
	if !h.bins[k].open {
		h.reopen(k)
	}
	h.bins[k].cuts = append(h.bins[k].cuts, cut{i, n})
	h.set(k, h.bins[k].left-length)
}

// place lays strip i with the joints at; bins says where each piece comes from, and
// nil lets each take the tightest remnant, the longest piece first.
func (h *hand) place(i int, at split, bins []int, broken int) {
	s := &h.laid[i]
	s.done, s.joints, s.broken = true, append(s.joints[:0], at...), broken
	n := len(at) + 1
	s.bins = append(s.bins[:0], bins...)
	h.joints += n - 1
	h.broken += broken
	if bins != nil {
		for k, b := range bins {
			h.put(i, k, h.piece(i, at, k), b)
		}
		return
	}
	s.bins = slices.Grow(s.bins, n)[:n]
	h.order = h.order[:0]
	for k := range n {
		h.order = append(h.order, k)
	}
	slices.SortStableFunc(h.order, func(a, b int) int { return cmp.Compare(h.piece(i, at, b), h.piece(i, at, a)) })
	for _, k := range h.order {
		length := h.piece(i, at, k)
		b := -1
		if r := h.roomy(length); r < len(h.rest) {
			b = h.rest[r]
		} else {
			b = h.fresh()
		}
		s.bins[k] = b
		h.put(i, k, length, b)
	}
}

// take undoes place; sections without cuts are closed.
func (h *hand) take(i int) {
	s := &h.laid[i]
	for k, b := range s.bins {
		length := h.piece(i, s.joints, k)
		c := &h.bins[b]
		at := slices.Index(c.cuts, cut{i, k})
		c.cuts = slices.Delete(c.cuts, at, at+1)
		h.set(b, c.left+length)
		if len(c.cuts) == 0 {
			h.set(b, 0)
			c.open = false
			h.sections--
			h.closed = append(h.closed, b)
		}
	}
	h.joints -= len(s.joints)
	h.broken -= s.broken
	s.done = false
}

// rank orders plans in hand: rules kept, then sections, then what the phase asks.
// While sections can still be saved, remnants gathered in few sections come before
// joints.
func (h *hand) rank(saving bool) [4]int64 {
	r := [4]int64{int64(h.broken), int64(h.sections), int64(h.joints), -h.squares}
	if saving {
		r[2], r[3] = r[3], r[2]
	}
	return r
}

func better(a, b [4]int64) bool { return slices.Compare(a[:], b[:]) < 0 }
