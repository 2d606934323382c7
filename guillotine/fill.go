package guillotine

import (
	"cmp"
	"context"
	"slices"
)

// Sheet is one question of Fill: the most valuable pieces from one sheet. With
// Exact set, a strip gives pieces of its own width alone. Steps limits the work, in
// elementary steps of about a nanosecond; 0 means DefaultSteps.
type Sheet struct {
	Width, Length int64
	Pieces        []Piece
	Exact         bool
	Steps         int64
}

// Filling is the answer: no filling is worth more than Bound; Optimal says that
// Value meets it.
type Filling struct {
	Strips  []Strip
	Value   int64
	Bound   int64
	Optimal bool
}

// Gap is how far the filling may be from the best.
func (f Filling) Gap() int64 { return f.Bound - f.Value }

// Fill finds the most valuable filling of a sheet. The bound is always proven.
// Errors are *SizeError or ErrOverflow. Pieces that do not fit are left out.
func Fill(ctx context.Context, s Sheet) (Filling, error) {
	if err := s.Validate(); err != nil {
		return Filling{}, err
	}
	f, err := newFilling(s)
	if err != nil {
		return Filling{}, err
	}
	if len(f.kinds) == 0 {
		return Filling{Optimal: true}, nil
	}
	f.meter = newMeter(ctx, s.Steps)
	f.run()
	return f.answer(s), nil
}

// Validate reports the first rule that the question breaks.
func (s Sheet) Validate() error {
	if s.Width <= 0 {
		return &SizeError{StockSize, s.Width, 0, ErrSize}
	}
	if s.Length <= 0 {
		return &SizeError{StockSize, s.Length, 0, ErrSize}
	}
	total, count := int64(0), int64(0)
	for i, p := range s.Pieces {
		if err := p.check(i); err != nil {
			return err
		}
		value, ok := mulFits(p.Value, int64(p.Count))
		if scaled, fits := mulFits(value, scale); !ok || !fits || total > sumLimit-scaled || count > countLimit-int64(p.Count) {
			return ErrOverflow
		}
		total += value * scale
		count += int64(p.Count)
	}
	return nil
}

// kind is pieces of one size and value on the grid; the narrowest come first.
type kind struct {
	width, length int
	value         int64
	count         int
	from          []Cut // pieces of the problem and how many of each
}

// filler is the work in hand: the kinds, the best filling so far, and the least
// bound of what has not been looked at.
type filler struct {
	kinds         []kind
	width, length int // of the sheet, on the grid
	exact         bool
	meter         *meter

	best  [][]int // strips, each a count for every kind
	value int64   // of best
	open  int64   // bound of what the work limit left unsearched
}

func newFilling(s Sheet) (*filler, error) {
	f := &filler{exact: s.Exact}
	across, along := int64(0), int64(0)
	for _, p := range s.Pieces {
		if p.Count > 0 && p.Value > 0 && p.Width <= s.Width && p.Length <= s.Length {
			across, along = gcd(p.Width, across), gcd(p.Length, along)
		}
	}
	if across == 0 {
		return f, nil
	}
	if s.Width/across > cells || s.Length/along > cells {
		return nil, &SizeError{StockSize, max(s.Width/across, s.Length/along), cells, ErrGrid}
	}
	f.width, f.length = int(s.Width/across), int(s.Length/along)
	for i, p := range s.Pieces {
		if p.Count > 0 && p.Value > 0 && p.Width <= s.Width && p.Length <= s.Length {
			f.add(kind{width: int(p.Width / across), length: int(p.Length / along), value: p.Value, count: p.Count, from: []Cut{{i, p.Count}}})
		}
	}
	slices.SortStableFunc(f.kinds, func(a, b kind) int {
		if a.width != b.width {
			return a.width - b.width
		}
		return a.length - b.length
	})
	for i := range f.kinds { // no more than the sheet holds
		k := &f.kinds[i]
		k.count = min(k.count, (f.width/k.width)*(f.length/k.length))
	}
	return f, nil
}

// add joins pieces that are alike.
func (f *filler) add(k kind) {
	for i := range f.kinds {
		if o := &f.kinds[i]; o.width == k.width && o.length == k.length && o.value == k.value {
			o.count += k.count
			o.from = append(o.from, k.from...)
			return
		}
	}
	f.kinds = append(f.kinds, k)
}

// answer writes the best filling in the caller's terms.
func (f *filler) answer(s Sheet) Filling {
	out := Filling{Value: f.value, Bound: max(f.value, f.open)}
	out.Optimal = out.Bound == out.Value
	deal := newDealer(f.kinds)
	for _, counts := range f.best {
		strip := Strip{}
		for k, n := range counts {
			for _, c := range deal.take(k, n) {
				p := s.Pieces[c.Piece]
				strip.Cuts = append(strip.Cuts, c)
				strip.Used += p.Length * int64(c.Count)
				strip.Width = max(strip.Width, p.Width)
			}
		}
		out.Strips = append(out.Strips, strip)
	}
	slices.SortStableFunc(out.Strips, func(a, b Strip) int { return cmp.Compare(b.Width, a.Width) })
	return out
}

// dealer hands the pieces of a kind out in their own order.
type dealer struct{ left [][]Cut }

func newDealer(kinds []kind) *dealer {
	d := &dealer{}
	for _, k := range kinds {
		d.left = append(d.left, slices.Clone(k.from))
	}
	return d
}

func (d *dealer) take(kind, n int) []Cut {
	var out []Cut
	for n > 0 {
		c := &d.left[kind][0]
		give := min(n, c.Count)
		out = append(out, Cut{c.Piece, give})
		c.Count -= give
		n -= give
		if c.Count == 0 {
			d.left[kind] = d.left[kind][1:]
		}
	}
	return out
}
