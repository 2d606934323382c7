package job

import (
	"encoding/json"
	"fmt"

	"coilwright/coil"
	"coilwright/course"
	"coilwright/measure"
	"coilwright/price"
	trims "coilwright/trim"
)

// Price prices one scheme: every piece of it, those too that are not fit to cut yet.
func (j *Job) Price(id string) (price.Estimate, error) {
	s, err := j.Scheme(id)
	if err != nil {
		return price.Estimate{}, err
	}
	l, err := j.Layout(id, false)
	if err != nil {
		return price.Estimate{}, err
	}
	lines := trims.Quantities(j.House, j.Schemes[s], &j.Book, l)
	e, err := price.Make(price.Work{
		House: j.House, Scheme: j.Schemes[s], Shop: &j.Book, Layout: l,
		Trim: trims.Totals(lines, &j.Book), Plan: j.planAll(l), Site: j.Site,
	}, j.Prices)
	if err != nil {
		return e, fmt.Errorf("scheme %s cannot be priced: %w", id, err)
	}
	return e, nil
}

// planAll plans the run of every piece, fit to cut or not.
func (j *Job) planAll(l *course.Layout) coil.Plan {
	var cuts []coil.Cut
	length := map[string]measure.Length{}
	for _, p := range l.Pieces {
		if p.Length > 0 {
			cuts = append(cuts, j.cut(p))
			length[p.ID] = p.Length
		}
	}
	plan := coil.Make(j.coilInput(cuts, coil.Quick))
	plan.Time(&j.Book, length)
	return plan
}

// PriceAnswer is the answer of price. Money is exact decimals in the currency.
type PriceAnswer struct {
	Currency string              `json:"currency"`
	Schemes  []SchemePriceAnswer `json:"schemes"`
}

// SchemePriceAnswer is one scheme priced. Differences are against the job's first
// scheme, in cost. Ready says that nothing is missing from the shop's book.
type SchemePriceAnswer struct {
	ID          string             `json:"id"`
	Title       string             `json:"title"`
	Lines       []PriceLineAnswer  `json:"lines"`
	Direct      json.Number        `json:"direct"`
	Overhead    json.Number        `json:"overhead"`
	Cost        json.Number        `json:"cost"`
	Price       json.Number        `json:"price"`
	Margin      json.Number        `json:"margin"`
	Taxes       []TaxAnswer        `json:"taxes"`
	Total       json.Number        `json:"total"`
	PlusMinus   json.Number        `json:"plus_minus"`
	Loosest     string             `json:"loosest"`
	Unknown     []string           `json:"unknown"`
	Ready       bool               `json:"ready"`
	Missing     []MissingAnswer    `json:"missing"`
	Differences []DifferenceAnswer `json:"differences"`
}

// PriceLineAnswer is one line: quantity x unit price = amount.
type PriceLineAnswer struct {
	Kind      string      `json:"kind"`
	What      string      `json:"what"`
	Quantity  json.Number `json:"quantity"`
	Unit      string      `json:"unit"`
	UnitPrice json.Number `json:"unit_price"`
	Amount    json.Number `json:"amount"`
	From      string      `json:"from"`
	Key       string      `json:"key"`
	Pieces    []string    `json:"pieces"`
}

// TaxAnswer is one tax.
type TaxAnswer struct {
	Title  string      `json:"title"`
	Amount json.Number `json:"amount"`
}

// MissingAnswer is a figure that the shop's book lacks.
type MissingAnswer struct {
	Key  string `json:"key"`
	What string `json:"what"`
	Mend string `json:"mend"`
}

// DifferenceAnswer is what a scheme adds, or saves where negative.
type DifferenceAnswer struct {
	What   string      `json:"what"`
	Kind   string      `json:"kind"`
	Amount json.Number `json:"amount"`
}

// PriceAnswer shapes priced schemes for other programs.
func (j *Job) PriceAnswer(all []price.Estimate) (PriceAnswer, error) {
	a := PriceAnswer{Currency: j.Prices.Currency, Schemes: []SchemePriceAnswer{}}
	for i, e := range all {
		differences, err := price.Differences(all[0], e)
		if err != nil {
			return a, err
		}
		s := schemePrice(e)
		s.Title = j.Schemes[i].Title
		for _, d := range differences {
			s.Differences = append(s.Differences, DifferenceAnswer{d.What, string(d.Kind), money(d.Amount)})
		}
		a.Schemes = append(a.Schemes, s)
	}
	return a, nil
}

func schemePrice(e price.Estimate) SchemePriceAnswer {
	s := SchemePriceAnswer{
		ID: e.Scheme, Lines: []PriceLineAnswer{}, Taxes: []TaxAnswer{}, Missing: []MissingAnswer{}, Differences: []DifferenceAnswer{},
		Direct: money(e.Direct), Overhead: money(e.Overhead), Cost: money(e.Cost), Price: money(e.Price), Margin: money(e.Margin),
		Total: money(e.Total), PlusMinus: money(e.Doubt.PlusMinus), Loosest: e.Doubt.Loosest, Unknown: append([]string{}, e.Doubt.Unknown...),
		Ready: len(e.Gaps) == 0,
	}
	for _, l := range e.Lines {
		s.Lines = append(s.Lines, PriceLineAnswer{string(l.Kind), l.What, money(l.Quantity), l.Unit, money(l.UnitPrice), money(l.Amount),
			l.From, l.Key, append([]string{}, l.Pieces...)})
	}
	for _, t := range e.Taxes {
		s.Taxes = append(s.Taxes, TaxAnswer{t.Title, money(t.Amount)})
	}
	for _, g := range e.Gaps {
		s.Missing = append(s.Missing, MissingAnswer{g.Key, g.What, g.Mend})
	}
	return s
}

// money writes a decimal as a JSON number, all its digits.
func money(d fmt.Stringer) json.Number { return json.Number(d.String()) }
