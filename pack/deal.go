package pack

import "slices"

// dealer hands out the items behind kinds and the stocks behind supplies,
// first come first served, several bins at a time where they are alike.
type dealer struct {
	m     *model
	items [][]Piece // per kind, what is left of its sources
	stock [][]Piece // per supply
}

func newDealer(m *model) *dealer {
	d := &dealer{m: m}
	for _, k := range m.kinds {
		d.items = append(d.items, slices.Clone(k.source))
	}
	for _, s := range m.supplies {
		d.stock = append(d.stock, slices.Clone(s.source))
	}
	return d
}

// deal makes a bin of the pattern, repeated as often as one set of sources
// allows, at most limit times.
func (d *dealer) deal(p pattern, limit int) (Bin, int) {
	times := min(limit, d.stock[p.supply][0].Count)
	for _, e := range p.take {
		if head := d.items[e.kind][0].Count; head >= e.n {
			times = min(times, head/e.n)
		} else {
			times = 1
		}
	}
	b := Bin{Stock: d.stock[p.supply][0].Item, Times: times}
	d.stock[p.supply] = drop(d.stock[p.supply], times)
	for _, e := range p.take {
		b.Pieces = append(b.Pieces, d.draw(e, times)...)
	}
	slices.SortFunc(b.Pieces, func(x, y Piece) int { return x.Item - y.Item })
	return b, times
}

// draw takes an entry's pieces, times over; more than one source is touched
// only when times is 1.
func (d *dealer) draw(e entry, times int) []Piece {
	var out []Piece
	for need := e.n; need > 0; {
		head := d.items[e.kind][0]
		n := min(need, head.Count/times)
		out = append(out, Piece{head.Item, n})
		d.items[e.kind] = drop(d.items[e.kind], n*times)
		need -= n
	}
	return out
}

// drop removes n from the first of the sources, and the source when it is empty.
func drop(src []Piece, n int) []Piece {
	src[0].Count -= n
	if src[0].Count == 0 {
		return src[1:]
	}
	return src
}
