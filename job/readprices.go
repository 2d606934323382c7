package job

import (
	"math/big"

	"coilwright/document"
	"coilwright/offer"
	"coilwright/price"
	"coilwright/steel"
)

// prices reads the part of a shop's book that is about money.
func prices(o document.Object) price.Book {
	b := price.Book{
		Currency: currency(o.Get("currency")),
		Prices:   figures(o.Get("prices")), Rates: figures(o.Get("rates")),
	}
	for _, v := range o.Get("taxes").List() {
		b.Taxes = append(b.Taxes, tax(v))
	}
	if m := b.Rates["margin"]; m.Written && !price.IsShare(m.Value) {
		o.Get("rates").Peek("margin").Errorf("write a share below 1, such as 0.25", "a margin of %s leaves no room for the cost", m.Value)
	}
	if b.Rates["margin"].Written && b.Rates["markup"].Written {
		o.Get("rates").Peek("markup").Errorf("write null for one of them", "the book has a margin and a mark-up; a price follows from one")
	}
	for _, some := range [...]struct{ name, mend string }{
		{"crew", "write how many people are on site, or null where days are not reckoned"},
		{"day_hours", "write how many hours a day has, or null where days are not reckoned"},
	} {
		if f := b.Rates[some.name]; f.Written && f.Value.IsZero() {
			o.Get("rates").Peek(some.name).Errorf(some.mend, "with %s of 0 no work is ever done", some.name)
		}
	}
	return b
}

// currency reads three capital letters, as ISO 4217 has them.
func currency(v document.Value) string {
	c := v.Text()
	if v.IsText() && !price.IsCurrency(c) {
		v.Errorf("write its three capital letters, such as USD", "%q is no currency code of ISO 4217", c)
	}
	return c
}

// figures reads an object of the shop's own names. Names that nothing asks for do
// no harm: another shop's program may use them.
func figures(v document.Value) map[string]price.Figure {
	out := map[string]price.Figure{}
	for _, w := range v.Map() {
		if w.Present() { // null takes a figure of the book below away
			out[w.Name()] = figure(w)
		}
	}
	return out
}

// most money or minutes that a figure of a book may state (assumed: a slip beyond).
const mostFigure = 1e9

func figure(v document.Value) price.Figure {
	f := price.Figure{Written: true}
	if !v.IsObject() {
		exactly(v, &f)
		return f
	}
	o := v.Object(datedFields)
	exactly(o.Need("value"), &f)
	f.Date, f.Supplier, f.Jobs = o.Get("date").Text(), o.Get("supplier").Text(), o.Get("jobs").Int(0, 1_000_000)
	return f
}

// exactly reads a figure's decimal, up to nine places.
func exactly(v document.Value, f *price.Figure) {
	r := v.Decimal(0, mostFigure)
	if r == nil {
		return
	}
	var err error
	if f.Value, err = price.Exact(r); err != nil {
		v.Errorf("write fewer digits", "it is no decimal number that money can be counted with: %v", err)
	}
}

// forming makes the machine and the book's rates tell the same of set-ups and feed: a
// rate that the book has stands over the machine's own figure, which is assumed.
func forming(o document.Object, m *steel.Machine, rates map[string]price.Figure) {
	formingRate(o, price.SetUpMinutes, &m.SetupMinutes, rates)
	formingRate(o, price.FeedFtPerMinute, &m.FeedFtPerMinute, rates)
}

func formingRate(o document.Object, name string, own *float64, rates map[string]price.Figure) {
	machine := o.Get("machine").Peek(name)
	if f := rates[name]; f.Written {
		was := *own
		if *own, _ = f.Value.Float64(); machine.Present() && was != *own {
			machine.Warnf("leave it out here, or write it under rates", "the machine's %s is not used: the book's rate of %s stands over it", name, f.Value)
		}
		return
	}
	if r := new(big.Rat).SetFloat64(*own); o.Has("machine") && r != nil {
		if value, err := price.Exact(r); err == nil {
			rates[name] = price.Figure{Value: value, Written: true}
		}
	}
}

func tax(v document.Value) price.Tax {
	o := v.Object(taxFields)
	t := price.Tax{Title: o.Need("title").Text()}
	share := o.Need("share")
	t.Share = figure(share).Value
	if !price.IsShare(t.Share) {
		share.Errorf("write a share, such as 0.07 for 7 per cent", "a tax of %s times the price cannot be", t.Share)
	}
	for _, k := range o.Need("on").List() {
		t.On = append(t.On, price.Kind(k.OneOf("kind of line", names(price.Kinds[:]))))
	}
	for _, v := range o.Get("except").List() {
		t.Except = append(t.Except, v.ID())
	}
	return t
}

// site reads what is known of the work beside the panels, and whom it is done for.
func site(v document.Value) (price.Site, offer.Visit) {
	o := v.Object(siteFields)
	s := price.Site{TearOff: o.Get("tear_off").Text(), ScaffoldMoves: -1}
	if m := o.Get("scaffold_moves"); m.Present() {
		s.ScaffoldMoves = m.Int(0, 10_000)
	}
	return s, visit(o)
}
