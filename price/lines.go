package price

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"

	"github.com/govalues/decimal"

	"coilwright/coil"
	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/scheme"
	"coilwright/steel"
	"coilwright/trim"
)

// Site is what is known of the work beside the panels. The zero Site is a bare
// wall and a crew that stays until it is done.
type Site struct {
	TearOff       string // what hangs there now and comes off; empty: nothing
	ScaffoldMoves int    // -1: from the walls' widths and heights
}

// Work is one scheme with all that follows from it. Plan must hold every piece,
// those not yet fit to cut too: they are priced, though not cut.
type Work struct {
	House  house.House
	Scheme scheme.Scheme
	Shop   *steel.Book
	Layout *course.Layout
	Trim   []trim.Line // for the whole house, see trim.Totals
	Plan   coil.Plan
	Site   Site
}

// growth is how a line follows the size of the walls.
type growth int

const (
	fixed    growth = iota
	byArea          // with the area covered
	byLength        // with the walls' edges
)

// sheet is an estimate in the making.
type sheet struct {
	exact
	work   Work
	book   Book
	places int
	out    *Estimate
}

// price gives a figure of the book, noting the gap where it has none.
func (s *sheet) figure(figures map[string]Figure, keys []Key, name string) (decimal.Decimal, bool) {
	if f := figures[name]; f.Written {
		return f.Value, true
	}
	if !slices.ContainsFunc(s.out.Gaps, func(g Gap) bool { return g.Key == name }) {
		what := name
		if k, ok := Named(keys, name); ok {
			what = k.What
		}
		s.out.Gaps = append(s.out.Gaps, Gap{name, "the shop's book has no figure for " + what, "write " + name + " in the book"})
	}
	return decimal.Zero, false
}

func (s *sheet) price(name string) (decimal.Decimal, bool) {
	return s.figure(s.book.Prices, PriceKeys, name)
}

func (s *sheet) rate(name string) decimal.Decimal {
	d, _ := s.figure(s.book.Rates, RateKeys, name)
	return d
}

// line rounds a line's quantity, works its amount out and puts it on the estimate.
// Nothing of something is no line.
func (s *sheet) line(l Line) {
	l.Quantity = s.round(l.Quantity, 2)
	if l.Quantity.IsZero() {
		return
	}
	l.UnitPrice = l.UnitPrice.Pad(s.places)
	l.Amount = s.round(s.mul(l.Quantity, l.UnitPrice), s.places)
	s.out.Lines = append(s.out.Lines, l)
}

// strip is one kind of coil.
type strip struct {
	colour           string
	thickness, width measure.Length
}

// steel adds the coil that the plan uses: pieces, cut loss and threading scrap.
// What is left on a reel stays the shop's. A foot costs what it costs in the
// cheapest coil that the mill offers of that strip.
func (s *sheet) steel() {
	used, pieces, order := map[strip]measure.Length{}, map[strip][]string{}, []strip(nil)
	for _, r := range s.work.Plan.Reels {
		k := strip{r.Colour, r.Thickness, r.Width}
		if used[k] == 0 {
			order = append(order, k)
		}
		used[k] += r.Used
		pieces[k] = append(pieces[k], r.Pieces...)
	}
	for _, k := range order {
		foot, ok := s.foot(k)
		if !ok {
			s.out.Gaps = append(s.out.Gaps, Gap{"mill", fmt.Sprintf("the book's mill offers no coil of %s, %.4f in thick, %.4g in wide, so that its steel has no price",
				k.colour, k.thickness.Inches(), k.width.Inches()), "add an offer to mill in the book"})
		}
		s.line(Line{Kind: Material, What: fmt.Sprintf("%s coil, %.4f in x %.4g in", k.colour, k.thickness.Inches(), k.width.Inches()), Key: "mill",
			Quantity: s.feet(used[k]), Unit: "ft", UnitPrice: foot, From: "coil plan: pieces, cut loss and threading scrap", Pieces: pieces[k], grows: byArea})
	}
}

// foot is the price of one foot of a strip, to a ten-thousandth.
func (s *sheet) foot(k strip) (decimal.Decimal, bool) {
	var best *big.Rat
	for _, m := range s.work.Shop.Mill {
		if m.Price == nil || m.Length <= 0 || !m.Fits(k.colour, k.thickness, k.width) {
			continue
		}
		each := new(big.Rat).Mul(m.Price, big.NewRat(int64(measure.Foot), int64(m.Length)))
		if best == nil || each.Cmp(best) < 0 {
			best = each
		}
	}
	if best == nil {
		return decimal.Zero, false
	}
	return s.round(s.keep(decimal.Parse(best.FloatString(12))), 4), true
}

// trimmings adds trim, barrier and nails. What is bought in lengths or rolls is
// priced in whole ones.
func (s *sheet) trimmings() {
	nails := 0
	for _, t := range s.work.Trim {
		if t.Kind == trim.PanelNails || t.Kind == trim.TrimNails {
			nails += t.Count
			continue
		}
		b, known := pricedBy[t.Kind]
		if !known {
			continue
		}
		quantity := s.quantity(t, b.unit)
		if quantity.IsZero() {
			continue
		}
		p, _ := s.price(b.key)
		s.line(Line{Kind: Material, What: t.What, Key: b.key, Quantity: quantity, Unit: b.unit, UnitPrice: p, From: "trim list: " + t.From, grows: growthOf(b.unit)})
	}
	s.sealant()
	if nails == 0 {
		return
	}
	if each := s.rate("nails_per_lb"); each.IsPos() {
		p, _ := s.price("nails_lb")
		s.line(Line{Kind: Material, What: "nails", Key: "nails_lb", Quantity: s.quo(s.whole(nails), each), Unit: "lb", UnitPrice: p,
			From: fmt.Sprintf("trim list: %d nails", nails), grows: byArea})
	}
}

// sealant is whole tubes for a bead along the channels, where the book prices it
// (common practice, no source).
func (s *sheet) sealant() {
	tube, each := s.book.Prices["sealant_tube"], s.book.Rates["sealant_ft_tube"]
	if !tube.Written || !s.rate("sealant_ft_tube").IsPos() {
		return
	}
	feet := decimal.Zero
	for _, t := range s.work.Trim {
		if t.Kind == trim.Channel {
			feet = s.add(feet, s.feet(t.Length))
		}
	}
	s.line(Line{Kind: Material, What: "sealant", Key: "sealant_tube", Quantity: s.quo(feet, each.Value).Ceil(0), Unit: "tube", UnitPrice: tube.Value,
		From: fmt.Sprintf("trim list: a bead along %s ft of channel", feet), grows: byLength})
}

func growthOf(unit string) growth {
	if unit == "ft" {
		return byLength
	}
	return byArea
}

// quantity is how much of a kind of trim is bought, in its unit.
func (s *sheet) quantity(t trim.Line, unit string) decimal.Decimal {
	switch {
	case unit == "roll":
		return s.whole(t.Pieces)
	case unit == "sq ft":
		return s.squareFeet(t.Area)
	case t.Pieces > 0 && s.work.Shop.Trim.StockLength > 0:
		return s.feet(measure.Length(t.Pieces) * s.work.Shop.Trim.StockLength)
	}
	return s.feet(t.Length)
}

// counted adds panels bought by the piece.
func (s *sheet) counted() {
	count := map[string]int{}
	for _, z := range s.work.Layout.Zones {
		if z.Counted {
			count[s.work.Scheme.Zones[z.Zone].Panel] += z.Count
		}
	}
	panels := make([]string, 0, len(count))
	for id := range count {
		panels = append(panels, id)
	}
	slices.SortFunc(panels, cmp.Compare[string])
	for _, id := range panels {
		key := id + "_piece"
		p, _ := s.price(key)
		s.line(Line{Kind: Material, What: id + " panels", Key: key, Quantity: s.whole(count[id]), Unit: "piece", UnitPrice: p, From: "layout: zones of counted panels", grows: byArea})
	}
}
