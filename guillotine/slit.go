package guillotine

import (
	"context"
	"slices"
)

// Coil is one question of Slit: every piece, Count times, from blanks that are cut
// off a coil of that Width. A blank is a multiple of Step long and at most Longest,
// or Longest itself; Step 0 lets a blank be as long as its longest strip. Pieces'
// Value does not count. Steps limits the work, in elementary steps of about a
// nanosecond; 0 means DefaultSteps.
type Coil struct {
	Width, Longest, Step int64
	Pieces               []Piece
	Steps                int64
}

// Blank is a length of coil, freed by one cut, and the strips that it is slit into.
type Blank struct {
	Length int64
	Strips []Strip
}

// Slits is how many slitting cuts the blank takes: one along the far edge of every
// strip but where that is the coil's own edge.
func (b Blank) Slits(coil int64) int {
	n, across := len(b.Strips), int64(0)
	for _, s := range b.Strips {
		across += s.Width
	}
	if across == coil {
		n--
	}
	return n
}

// Plan is the answer to a Coil: no plan takes less than Bound; Optimal says that
// Length meets it. No plan of that length has fewer blanks than BlanksBound.
type Plan struct {
	Blanks       []Blank // longest first
	Length       int64   // of all blanks
	Count        int     // of blanks
	Slits        int
	Bound        int64
	Optimal      bool
	BlanksBound  int
	BlanksProven bool // Optimal, and Count equals BlanksBound
	Proof        Proof
}

// Gap is how far the plan may be from the best.
func (p Plan) Gap() int64 { return p.Length - p.Bound }

// Proof is a certificate in whole numbers of what relaxation proves. A piece i weighs
// Weight[i]. A blank that holds no piece more often than its Count never weighs more
// than its length times Most/Least. The pieces weigh Total together, so they need
// Total*Least/Most of coil, rounded up to what blanks add up to. Searched says that
// branch and bound, or trying everything, proved more than that.
type Proof struct {
	Weight   []int64
	Total    int64
	Least    int64
	Most     int64
	Searched bool
}

// Slit cuts all pieces from the least length of coil, then in the fewest blanks.
// Errors are *SizeError or ErrOverflow.
func Slit(ctx context.Context, c Coil) (Plan, error) {
	if err := c.Validate(); err != nil {
		return Plan{}, err
	}
	s, err := newSlitter(c)
	if err != nil {
		return Plan{}, err
	}
	if len(s.sizes) == 0 {
		return Plan{Optimal: true, BlanksProven: true, Proof: Proof{Weight: make([]int64, len(c.Pieces))}}, nil
	}
	s.meter = newMeter(ctx, c.Steps)
	s.run()
	return s.answer(c), nil
}

// Validate reports the first rule that the question breaks.
func (c Coil) Validate() error {
	for _, v := range []int64{c.Width, c.Longest} {
		if v <= 0 {
			return &SizeError{StockSize, v, 0, ErrSize}
		}
	}
	if c.Step < 0 {
		return &SizeError{StockSize, c.Step, 0, ErrSize}
	}
	total, count := int64(0), int64(0)
	for i, p := range c.Pieces {
		if err := p.check(i); err != nil {
			return err
		}
		if p.Count > 0 && p.Width > c.Width {
			return &SizeError{i, p.Width, c.Width, ErrTooWide}
		}
		if p.Count > 0 && p.Length > c.Longest {
			return &SizeError{i, p.Length, c.Longest, ErrTooLong}
		}
		length, ok := mulFits(max(p.Length, c.Step), int64(p.Count))
		if !ok || total > sumLimit-length {
			return ErrOverflow
		}
		if count > mostPieces-int64(p.Count) {
			return &SizeError{i, int64(p.Count), mostPieces - count, ErrMany}
		}
		total += length
		count += int64(p.Count)
	}
	return nil
}

const (
	// mostPieces bounds the pieces of one coil's question: a house has some hundreds.
	mostPieces = 100_000
	// mostWork bounds the tables of one question to some hundred megabytes.
	mostWork = 1 << 23
)

// size is pieces alike on the grid; sizes are sorted by width, then length.
type size struct {
	width, length int
	lane          int // index of its width among the widths
	count         int
	from          []Cut
}

// extent is a length that a blank may have: cells along the grid, and what it costs
// in units of slitter.unit.
type extent struct {
	cells int
	cost  int64
}

// load is one blank on the grid: what it holds of every size.
type load struct {
	extent extent
	lanes  []lane
	holds  []int
}

// lane is a strip on the grid.
type lane struct {
	width int // index of its width
	holds []int
}

// slitter is the work in hand.
type slitter struct {
	sizes   []size
	widths  []int // distinct, ascending, on the grid
	first   []int // first size of each width; one more at the end
	width   int   // of the coil, on the grid
	longest int   // cells of the longest blank
	extents []extent
	unit    int64 // of cost, in the caller's unit
	meter   *meter

	best  []load
	cost  int64 // of best, -1 before there is one
	lower int64 // proven bound on the cost
	proof proof
}

func newSlitter(c Coil) (*slitter, error) {
	s := &slitter{cost: -1}
	across, along := int64(0), int64(0)
	for _, p := range c.Pieces {
		if p.Count > 0 {
			across, along = gcd(p.Width, across), gcd(p.Length, along)
		}
	}
	if across == 0 {
		return s, nil
	}
	if c.Width/across > cells || c.Longest/along > cells {
		return nil, &SizeError{StockSize, max(c.Width/across, c.Longest/along), cells, ErrGrid}
	}
	s.width, s.longest = int(c.Width/across), int(c.Longest/along)
	for i, p := range c.Pieces {
		if p.Count > 0 {
			s.add(size{width: int(p.Width / across), length: int(p.Length / along), count: p.Count, from: []Cut{{i, p.Count}}})
		}
	}
	s.sort()
	if c.Step > 0 && c.Longest/c.Step > cells {
		return nil, &SizeError{StockSize, c.Longest / c.Step, cells, ErrGrid}
	}
	if n := s.work(); n > mostWork {
		return nil, &SizeError{StockSize, int64(n), mostWork, ErrMany}
	}
	s.lengths(c, along)
	return s, nil
}

// add joins pieces that are alike.
func (s *slitter) add(q size) {
	for i := range s.sizes {
		if o := &s.sizes[i]; o.width == q.width && o.length == q.length {
			o.count += q.count
			o.from = append(o.from, q.from...)
			return
		}
	}
	s.sizes = append(s.sizes, q)
}

func (s *slitter) sort() {
	slices.SortFunc(s.sizes, func(a, b size) int {
		if a.width != b.width {
			return a.width - b.width
		}
		return a.length - b.length
	})
	for i := range s.sizes {
		q := &s.sizes[i]
		if n := len(s.widths); n == 0 || s.widths[n-1] != q.width {
			s.widths = append(s.widths, q.width)
			s.first = append(s.first, i)
		}
		q.lane = len(s.widths) - 1
	}
	s.first = append(s.first, len(s.sizes))
}

// lengths lists the lengths of blanks that a plan may need: those that hold a piece,
// each the shortest for what it holds.
func (s *slitter) lengths(c Coil, along int64) {
	step := c.Step
	if step == 0 {
		step = along
	}
	s.unit = gcd(step, c.Longest)
	if c.Step == 0 {
		s.unit = along
	}
	reach := s.reachable()
	last := 0
	for l := step; ; l += step {
		if c.Step > 0 {
			l = min(l, c.Longest)
		}
		if l > c.Longest {
			return
		}
		n := int(l / along)
		for n > last && !reach[n] {
			n--
		}
		if n > last {
			s.extents = append(s.extents, extent{n, l / s.unit})
			last = n
		}
		if l == c.Longest {
			return
		}
	}
}

// reachable marks the lengths that some strip's pieces add up to.
func (s *slitter) reachable() []bool {
	all := make([]bool, s.longest+1)
	for w := range s.widths {
		here := make([]bool, s.longest+1)
		here[0] = true
		for _, q := range s.sizes[s.first[w]:s.first[w+1]] {
			reachMore(here, q.length, q.count)
		}
		for x, ok := range here {
			all[x] = all[x] || ok
		}
	}
	return all
}

// reachMore adds up to count lengths to what is reached.
func reachMore(here []bool, length, count int) {
	used := make([]int, len(here))
	for x := length; x < len(here); x++ {
		if !here[x] && here[x-length] && used[x-length] < count {
			here[x], used[x] = true, used[x-length]+1
		}
	}
}
