package coil

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"

	"coilwright/measure"
)

// Spoiled is what went wrong on site: pieces to form again. Formed is the last
// piece that the machine has formed, in the order of the plan's runs; when empty,
// the last of the spoiled ones.
type Spoiled struct {
	Pieces  []string
	Formed  string
	Counted *Counted // nil: the run went in its order, and took what it said
}

// Counted is what a crew has counted on site, where the run did not go in its order or
// a reel holds another length than was stated: Formed is exactly the pieces that stand
// formed, Left what is on each reel, by id, as far as that was counted. What a reel was
// to give and has no room for any more is given by another one, as spoiled pieces are.
type Counted struct {
	Formed map[string]bool
	Left   map[string]measure.Length
}

// How a coil gives a spoiled piece again.
const (
	FromTail  = "tail"  // from what is left on a coil in use; nothing else changes
	ByMoving  = "moved" // pieces not yet formed go to other coils to make room
	FromStock = "stock" // from a coil of the stock that the plan did not use
	ByBuying  = "buy"   // a coil must be bought
)

// Given says which coil gives a spoiled piece again. OtherLot warns that its lot is
// not that of the piece's wall; Thread that the coil must be threaded anew for it.
type Given struct {
	Piece, Coil, How string
	OtherLot, Thread bool
}

// Moved is a piece not yet formed that another coil gives now.
type Moved struct{ Piece, From, To string }

// Rest is what a coil still has to give after the remedy, in the order of cutting.
type Rest struct {
	ID, Lot    string
	ToCut      []string
	Used, Tail measure.Length // Used counts what was formed too
}

// Remedy is what spoiled pieces do to the rest of a run. Bound speaks of the purchase.
type Remedy struct {
	Given   []Given
	Moved   []Moved
	Buy     []Purchase
	Bound   Bound
	LeftOut []LeftOut
	Rest    []Rest
}

// SpoiledError is a piece that cannot be asked for again, and why.
type SpoiledError struct{ Piece, Why string }

func (e *SpoiledError) Error() string { return fmt.Sprintf("piece %q: %s", e.Piece, e.Why) }

// recutSteps keeps a remedy within some fifty milliseconds.
const recutSteps = 15_000_000

// Recut finds which coils give spoiled pieces again, so that, in this order:
// nothing is bought if that can be, the piece is of its wall's lot, no coil more
// is threaded, the fewest pieces change their coil, and the longest tail stays
// whole. What has been formed stays as it is. Moves of one piece, and exchanges
// of two, are searched one by one; where none serves, the exact solver cuts all
// that is not yet formed of that lot anew. A coil is bought only where that, and
// the tails and coils of other lots, cannot give the piece.
func Recut(in Input, p Plan, s Spoiled) (Remedy, error) {
	y, err := newYard(in, p, s)
	if err != nil {
		return Remedy{}, err
	}
	open := y.again
	for _, try := range [...]func(*ask) bool{y.fromTail, y.byMoving} {
		open = slices.DeleteFunc(open, try)
	}
	if len(open) > 0 {
		open = y.replan(open)
	}
	for _, try := range [...]func(*ask) bool{y.fromStock, y.fromOtherLot} {
		open = slices.DeleteFunc(open, try)
	}
	y.buy(open)
	y.remedy.Bound.Optimal = y.remedy.Bound.Optimal && len(y.remedy.LeftOut) == 0
	y.report()
	return y.remedy, nil
}

// yard is the reels as they stand on site.
type yard struct {
	in      Input
	cuts    map[string]Cut
	hung    map[string]int    // turn in hanging
	firstOf map[Setup]int     // turn of a set-up's first piece
	was     map[string]string // reel of each piece not yet formed, as planned
	reels   []*standing
	again   []*ask
	current *standing // on the machine
	setup   Setup     // of the machine
	remedy  Remedy
}

// standing is one reel: what it has given, what it has yet to give.
type standing struct {
	Reel
	gone  measure.Length // formed pieces, their losses and scraps
	toCut []Cut
	fresh bool // not threaded by the plan
}

// ask is one piece wanted again.
type ask struct {
	Cut
	lot string // of the reel that gave it
}

func newYard(in Input, p Plan, s Spoiled) (*yard, error) {
	y := &yard{in: in, cuts: map[string]Cut{}, hung: map[string]int{}, firstOf: map[Setup]int{}, was: map[string]string{}, remedy: Remedy{Bound: Bound{Price: new(big.Rat), Optimal: true}}}
	for i, c := range in.Cuts {
		y.cuts[c.ID], y.hung[c.ID] = c, i
		if _, ok := y.firstOf[c.Setup]; !ok {
			y.firstOf[c.Setup] = i
		}
	}
	turn := map[string]int{}
	for _, r := range p.Runs {
		for _, id := range r.Pieces {
			turn[id] = len(turn)
		}
	}
	last, err := lastFormed(turn, s)
	if err != nil {
		return nil, err
	}
	y.unroll(p, turn, last, s)
	y.addStock()
	for _, id := range s.Pieces {
		i := slices.IndexFunc(p.Reels, func(r Reel) bool { return slices.Contains(r.Pieces, id) })
		y.again = append(y.again, &ask{y.cuts[id], p.Reels[i].lotText()})
	}
	y.tooMuch(s.Counted)
	slices.SortStableFunc(y.again, func(a, b *ask) int { return cmp.Compare(b.Length, a.Length) })
	return y, nil
}

// lastFormed checks the pieces and gives the turn of the last one formed.
func lastFormed(turn map[string]int, s Spoiled) (int, error) {
	last := -1
	for i, id := range s.Pieces {
		at, ok := turn[id]
		switch {
		case !ok:
			return 0, &SpoiledError{id, "the run forms no such piece; use the piece's id from the cut list"}
		case slices.Contains(s.Pieces[:i], id):
			return 0, &SpoiledError{id, "it is named twice; name each spoiled piece once"}
		}
		last = max(last, at)
	}
	if s.Formed == "" {
		return last, nil
	}
	at, ok := turn[s.Formed]
	if !ok {
		return 0, &SpoiledError{s.Formed, "the run forms no such piece; name the last piece that the machine has formed"}
	}
	for _, id := range s.Pieces {
		if turn[id] > at && s.Counted == nil {
			return 0, &SpoiledError{id, fmt.Sprintf("the run forms it after %s, so it cannot be spoiled yet; name the last piece formed", s.Formed)}
		}
	}
	return at, nil
}

// unroll divides every reel into what is formed and what is not.
func (y *yard) unroll(p Plan, turn map[string]int, last int, sp Spoiled) {
	m := y.in.Book.Machine
	for _, r := range p.Reels {
		s := &standing{Reel: r}
		seen := map[Setup]bool{}
		for _, id := range r.Pieces {
			c := y.cuts[id]
			if turn[id] == last {
				y.current, y.setup = s, c.Setup
			}
			switch formed, again := sp.formed(id, turn[id] <= last); {
			case again:
				continue
			case !formed:
				s.toCut = append(s.toCut, c)
				y.was[id] = r.ID
				continue
			}
			s.gone += c.Length + m.CutLoss
			if !seen[c.Setup] {
				seen[c.Setup] = true
				s.gone += m.ThreadingScrap
			}
		}
		if sp.Counted != nil {
			if left, known := sp.Counted.Left[r.ID]; known {
				s.gone = r.Length - left
			}
		}
		y.reels = append(y.reels, s)
	}
}

// formed says whether a piece stands formed, and whether it is to be formed again
// without standing on any reel's list: planned is what the run's order says.
func (s Spoiled) formed(id string, planned bool) (formed, again bool) {
	if s.Counted == nil {
		return planned, false
	}
	return s.Counted.Formed[id], slices.Contains(s.Pieces, id)
}

// tooMuch takes off the reels that were counted what they have no room for, the last
// first.
func (y *yard) tooMuch(c *Counted) {
	if c == nil {
		return
	}
	for _, s := range y.reels {
		for y.room(s) < 0 && len(s.toCut) > 0 {
			last := len(s.toCut) - 1
			y.again = append(y.again, &ask{s.toCut[last], s.lotText()})
			delete(y.was, s.toCut[last].ID)
			s.toCut = s.toCut[:last]
		}
	}
}

// addStock adds the coils of the stock that the plan did not thread.
func (y *yard) addStock() {
	for _, c := range y.in.Book.Coils {
		if c.Length <= 0 || slices.ContainsFunc(y.reels, func(s *standing) bool { return s.ID == c.ID && !s.Bought }) {
			continue
		}
		y.reels = append(y.reels, &standing{fresh: true, Reel: Reel{ID: c.ID, Lot: c.Lot, Colour: c.Colour, Thickness: c.Thickness, Width: c.Width, Length: c.Length}})
	}
}

// used is what a reel has given and is to give.
func (y *yard) used(s *standing) measure.Length {
	sum, m := s.gone, y.in.Book.Machine
	seen := map[Setup]bool{}
	for _, c := range s.toCut {
		sum += c.Length + m.CutLoss
		if !seen[c.Setup] && (s != y.current || c.Setup != y.setup) {
			sum += m.ThreadingScrap
		}
		seen[c.Setup] = true
	}
	return sum
}

func (y *yard) room(s *standing) measure.Length {
	return s.Length - y.in.Book.Machine.Reserve - y.used(s)
}

// threads tells whether a reel would have to be threaded for a set-up: it is not on the machine in it,
// nor yet to be.
func (y *yard) threads(s *standing, set Setup) bool {
	if s == y.current && set == y.setup {
		return false
	}
	return !slices.ContainsFunc(s.toCut, func(c Cut) bool { return c.Setup == set })
}

func (y *yard) need(s *standing, c Cut) measure.Length {
	n := c.Length + y.in.Book.Machine.CutLoss
	if y.threads(s, c.Setup) {
		n += y.in.Book.Machine.ThreadingScrap
	}
	return n
}

func (y *yard) suits(s *standing, c Cut) bool {
	return stripOf(c.Setup).suits(s.Colour, s.Thickness, s.Width)
}

// give records a piece given again; it is cut next of its set-up on that reel.
func (y *yard) give(a *ask, s *standing, how string) {
	y.remedy.Given = append(y.remedy.Given, Given{Piece: a.ID, How: how, OtherLot: s.lotText() != a.lot})
	at := slices.IndexFunc(s.toCut, func(c Cut) bool { return c.Setup == a.Setup })
	if at < 0 {
		at = 0
		if s != y.current || a.Setup != y.setup {
			at = len(s.toCut)
		}
	}
	s.toCut = slices.Insert(s.toCut, at, a.Cut)
	s.fresh = false
}
