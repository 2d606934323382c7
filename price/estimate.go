package price

import (
	"slices"

	"github.com/govalues/decimal"
)

// Make prices one scheme. An error means that the figures cannot be added up at
// all; a figure that the book lacks is a [Gap], its lines stand without an amount.
func Make(w Work, b Book) (Estimate, error) {
	places, err := b.Places()
	if err != nil {
		return Estimate{}, err
	}
	s := &sheet{work: w, book: b, places: places, out: &Estimate{Scheme: w.Scheme.ID, Currency: b.Currency}}
	s.steel()
	s.counted()
	s.trimmings()
	s.hours()
	s.total()
	s.doubt()
	return *s.out, s.err
}

// total adds up: overhead on the direct cost, the margin as a share of the price,
// taxes on the shares of the price that their kinds of lines have.
func (s *sheet) total() {
	e := s.out
	slices.SortStableFunc(e.Lines, func(a, b Line) int {
		return slices.Index(Kinds[:], a.Kind) - slices.Index(Kinds[:], b.Kind)
	})
	e.Direct = s.round(decimal.Zero, s.places)
	for _, l := range e.Lines {
		e.Direct = s.add(e.Direct, l.Amount)
	}
	e.Overhead = s.round(s.mul(e.Direct, s.rate("overhead")), s.places)
	e.Cost = s.add(e.Direct, e.Overhead)
	e.Price = s.asked(e.Cost)
	e.Margin = s.sub(e.Price, e.Cost)
	e.Total = e.Price
	for _, t := range s.book.Taxes {
		base := s.taxed(t)
		if e.Direct.IsPos() {
			base = s.mul(s.quo(base, e.Direct), e.Price)
		}
		amount := s.round(s.mul(base, t.Share), s.places)
		e.Taxes = append(e.Taxes, TaxAmount{t.Title, amount})
		e.Total = s.add(e.Total, amount)
	}
}

// taxed adds up the lines that a tax falls on.
func (s *sheet) taxed(t Tax) decimal.Decimal {
	base := decimal.Zero
	for _, l := range s.out.Lines {
		if t.Falls(l) {
			base = s.add(base, l.Amount)
		}
	}
	return base
}

// Falls says whether a tax falls on a line.
func (t Tax) Falls(l Line) bool {
	return slices.Contains(t.On, l.Kind) && !slices.Contains(t.Except, l.Key)
}

// asked is the price of a cost: by the shop's mark-up on the cost where it writes
// one, else by its margin as a share of the price.
func (s *sheet) asked(cost decimal.Decimal) decimal.Decimal {
	if m := s.book.Rates["markup"]; m.Written {
		return s.round(s.mul(cost, s.add(decimal.One, m.Value)), s.places)
	}
	return s.round(s.quo(cost, s.kept()), s.places)
}

// kept is the share of the price that cost may take: one less the margin, which
// the book's reader holds below one.
func (s *sheet) kept() decimal.Decimal {
	k := s.sub(decimal.One, s.rate("margin"))
	if !k.IsPos() {
		return decimal.One
	}
	return k
}

// Hours adds up the hours of all lines.
func (e Estimate) Hours() decimal.Decimal {
	var x exact
	sum := x.round(decimal.Zero, 2)
	for _, l := range e.Lines {
		if l.Kind == Labour && l.Unit == "hour" {
			sum = x.add(sum, l.Quantity)
		}
	}
	return sum
}

// Difference is what one scheme adds to (or, negative, saves on) another, by line.
type Difference struct {
	What   string
	Kind   Kind
	Amount decimal.Decimal // of the cost
}

// Differences compares estimates line by line, greatest first. Lines are matched
// by kind and price key: the same trim in another quantity is one difference.
func Differences(from, to Estimate) ([]Difference, error) {
	var e exact
	type key struct {
		kind Kind
		key  string
	}
	sum, what, order := map[key]decimal.Decimal{}, map[key]string{}, []key(nil)
	take := func(l Line, sign decimal.Decimal) {
		k := key{l.Kind, l.Key}
		if _, ok := what[k]; !ok {
			order, what[k] = append(order, k), l.What
			if l.Key == "mill" {
				what[k] = "coil"
			}
			if l.Key == "hanger_hour" {
				what[k] = "hanging"
			}
		}
		sum[k] = e.add(sum[k], e.mul(l.Amount, sign))
	}
	for _, l := range from.Lines {
		take(l, decimal.NegOne)
	}
	for _, l := range to.Lines {
		take(l, decimal.One)
	}
	out := []Difference{}
	for _, k := range order {
		if !sum[k].IsZero() {
			out = append(out, Difference{what[k], k.kind, sum[k]})
		}
	}
	slices.SortStableFunc(out, func(a, b Difference) int { return b.Amount.Abs().Cmp(a.Amount.Abs()) })
	return out, e.err
}
