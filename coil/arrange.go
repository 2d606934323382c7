package coil

import (
	"cmp"
	"slices"

	"coilwright/measure"
	"coilwright/pack"
)

// arranged is a task's reels in the order of threading, with what is left of them.
type arranged struct {
	bins     []bin
	tail     measure.Length
	farthest int
	spare    []int // by reel: another that could give its last piece, or -1
}

// arrange puts a solution's reels and pieces in order. Where going through the
// pieces as they are hung, window by window, needs no more reels and leaves no shorter
// tail, that is the order; else the pieces of the solver's reels are dealt out as near to it as they can be.
func (t *task) arrange(s *solution) arranged {
	best := t.dealt(s.bins)
	for _, order := range t.orders(s.bins) {
		a, ok := t.inSequence(order)
		if !ok {
			continue
		}
		if len(a.bins) < len(best.bins) || a.tail > best.tail || a.tail == best.tail && a.farthest < best.farthest {
			best = a
		}
	}
	if n := len(s.bins) - len(best.bins); n > 0 {
		t.recount(s, best.bins)
	}
	for i := range best.bins {
		t.sortPieces(&best.bins[i])
	}
	best.spare = t.endWell(best.bins)
	best.farthest = t.farthest(best.bins)
	return best
}

// recount takes the price of a plan that needs fewer reels than the solver's. What
// was bought for a minimum stays bought.
func (t *task) recount(s *solution, bins []bin) {
	s.purse.reels = len(bins)
	s.tailBound = 0
	for _, b := range s.bins {
		s.tailBound = max(s.tailBound, b.length)
	}
	for _, b := range s.bins {
		same := func(o bin) bool { return o.source == b.source }
		if !b.source.bought || count(bins, same) >= count(s.bins, same) {
			continue
		}
		s.bins = slices.Delete(slices.Clone(s.bins), slices.IndexFunc(s.bins, same), slices.IndexFunc(s.bins, same)+1)
		if t.book.Mill[b.source.index].Minimum > 1 {
			s.unused = append(s.unused, b.source)
			continue
		}
		s.purse.price -= t.money.price[b.source.index]
		s.purse.coils--
	}
}

func count(bins []bin, is func(bin) bool) int {
	n := 0
	for _, b := range bins {
		if is(b) {
			n++
		}
	}
	return n
}

// orders are the reels in a few orders of use: each time another is the last, on
// which the tail is gathered.
func (t *task) orders(bins []bin) [][]bin {
	rising := slices.Clone(bins)
	slices.SortStableFunc(rising, func(a, b bin) int { return cmp.Compare(a.length, b.length) })
	falling := slices.Clone(rising)
	slices.Reverse(falling)
	out := [][]bin{rising}
	if n := len(rising); n > 1 {
		longLast := append(slices.Clone(falling[1:]), falling[0])
		out = append(out, longLast, falling)
	}
	return out
}

// inSequence cuts the pieces from the reels in that order.
func (t *task) inSequence(order []bin) (arranged, bool) {
	m := t.book.Machine
	line := pack.Line{Setup: int64(m.ThreadingScrap)}
	for _, c := range t.cuts {
		line.Pieces = append(line.Pieces, pack.LinePiece{Length: int64(c.Length + m.CutLoss), Class: t.indexOf[c.Setup]})
	}
	for _, b := range order {
		line.Bins = append(line.Bins, int64(b.length-m.Reserve))
	}
	cut, err := pack.Sequence(line)
	if err != nil || len(cut.Uncut) > 0 {
		return arranged{}, false
	}
	a := arranged{farthest: cut.Farthest}
	for i, pieces := range cut.Bins {
		if len(pieces) > 0 {
			a.bins = append(a.bins, bin{order[i].source, order[i].length, pieces})
		}
	}
	a.tail = t.longestTail(a.bins)
	return a, true
}

// dealt orders reels by where their pieces stand on average, and gives pieces of one
// kind to the reels in that order; a few rounds of both settle it.
func (t *task) dealt(bins []bin) arranged {
	out := make([]bin, len(bins))
	for i, b := range bins {
		out[i] = bin{b.source, b.length, slices.Clone(b.pieces)}
	}
	for range 4 {
		slices.SortStableFunc(out, func(a, b bin) int { return cmp.Compare(t.middle(a), t.middle(b)) })
		t.exchangeAlike(out)
	}
	return arranged{bins: out, tail: t.longestTail(out), farthest: t.farthest(out)}
}

// middle is the average turn of a reel's pieces, set-up by set-up.
func (t *task) middle(b bin) float64 {
	sum := 0
	for _, i := range b.pieces {
		sum += i + len(t.cuts)*t.indexOf[t.cuts[i].Setup]
	}
	return float64(sum) / float64(max(1, len(b.pieces)))
}

// exchangeAlike deals pieces of one length and set-up anew: the earliest to the first reel.
func (t *task) exchangeAlike(bins []bin) {
	type kind struct {
		length measure.Length
		setup  Setup
	}
	of := func(i int) kind { return kind{t.cuts[i].Length, t.cuts[i].Setup} }
	alike := map[kind][]int{}
	for _, b := range bins {
		for _, i := range b.pieces {
			alike[of(i)] = append(alike[of(i)], i)
		}
	}
	for _, list := range alike {
		slices.Sort(list)
	}
	for _, b := range bins {
		for j, i := range b.pieces {
			k := of(i)
			b.pieces[j], alike[k] = alike[k][0], alike[k][1:]
		}
	}
}

// sortPieces puts a reel's pieces set-up by set-up, in each by the order of hanging
// unless a sequence has given them one.
func (t *task) sortPieces(b *bin) {
	slices.SortStableFunc(b.pieces, func(i, j int) int {
		return cmp.Or(cmp.Compare(t.indexOf[t.cuts[i].Setup], t.indexOf[t.cuts[j].Setup]), cmp.Compare(i, j))
	})
}

// used is what a reel's pieces take of it.
func (t *task) used(b bin) measure.Length {
	sum, seen := measure.Length(0), map[int]bool{}
	for _, i := range b.pieces {
		sum += t.cuts[i].Length + t.book.Machine.CutLoss
		if s := t.indexOf[t.cuts[i].Setup]; !seen[s] {
			seen[s] = true
			sum += t.book.Machine.ThreadingScrap
		}
	}
	return sum
}

func (t *task) longestTail(bins []bin) measure.Length {
	most := measure.Length(0)
	for _, b := range bins {
		most = max(most, b.length-t.used(b))
	}
	return most
}

// farthest is the most places between a piece's turn among its set-up and its cut.
func (t *task) farthest(bins []bin) int {
	turn, count := make([]int, len(t.cuts)), make([]int, len(t.runs))
	for i, c := range t.cuts {
		s := t.indexOf[c.Setup]
		turn[i] = count[s]
		count[s]++
	}
	clear(count)
	far := 0
	for _, b := range bins {
		for _, i := range b.pieces {
			s := t.indexOf[t.cuts[i].Setup]
			far = max(far, turn[i]-count[s], count[s]-turn[i])
			count[s]++
		}
	}
	return far
}

// endWell makes the last piece of every reel one that the tail of another could
// give, the latest there is among the last few of the reel's last set-up; where no
// tail could, a coil of the stock that stays unused. It returns that other for
// each, a coil of the stock by its place after the reels; -1 where there is none.
func (t *task) endWell(bins []bin) []int {
	tails, out := t.tails(bins), make([]int, len(bins))
	used := longestFirst(tails, 0, len(bins))
	unused := longestFirst(tails, len(bins), len(tails))
	for i := range bins {
		out[i] = -1
		for _, others := range [2][]int{used, unused} {
			if out[i] < 0 {
				out[i] = t.endOn(&bins[i], i, tails, others)
			}
		}
	}
	return out
}

// longestFirst is the places from one to another, the longest tail first.
func longestFirst(tails []tail, from, to int) []int {
	var order []int
	for i := from; i < to; i++ {
		order = append(order, i)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(tails[b].left, tails[a].left) })
	return order
}

// endOn puts the latest piece that one of the others could give last on a reel.
func (t *task) endOn(b *bin, own int, tails []tail, others []int) int {
	last := len(b.pieces) - 1
	for j := last; j >= 0 && last-j < pack.DefaultWindow && t.cuts[b.pieces[j]].Setup == t.cuts[b.pieces[last]].Setup; j-- {
		if k := t.spare(tails, others, own, t.cuts[b.pieces[j]]); k >= 0 {
			piece := b.pieces[j]
			b.pieces = append(slices.Delete(slices.Clone(b.pieces), j, j+1), piece)
			return k
		}
	}
	return -1
}

// tail is what is left of a reel, and the set-ups it is threaded for.
type tail struct {
	left   measure.Length
	setups map[Setup]bool
}

// tails of the reels, then of the stock: none where a reel is threaded from it.
func (t *task) tails(bins []bin) []tail {
	out := make([]tail, len(bins)+len(t.stock))
	for i, k := range t.stock {
		out[len(bins)+i].left = k.Length - t.book.Machine.Reserve
	}
	for i, b := range bins {
		out[i] = tail{b.length - t.book.Machine.Reserve - t.used(b), map[Setup]bool{}}
		for _, j := range b.pieces {
			out[i].setups[t.cuts[j].Setup] = true
		}
		if !b.source.bought {
			out[len(bins)+b.source.index].left = 0
		}
	}
	return out
}

// spare is another whose tail could give a piece, the first that can; -1 where none could.
func (t *task) spare(tails []tail, order []int, own int, c Cut) int {
	for _, i := range order {
		need := c.Length + t.book.Machine.CutLoss
		if tails[i].left < need {
			return -1
		}
		if !tails[i].setups[c.Setup] {
			need += t.book.Machine.ThreadingScrap
		}
		if i != own && tails[i].left >= need {
			return i
		}
	}
	return -1
}
