package sheet

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"coilwright/measure"
	"coilwright/steel"
)

// Limits of a coil that the mill sells, as a book has them.
const (
	mostLeadDays = 10_000
	mostMinimum  = 1_000
	mostPlaces   = 9
	inchPlaces   = 9 // tell neighbouring nanometres apart
)

// coilRow is a row of a coil: its price under value, its sizes so that they read back
// exactly. A thickness or width that it does not state stays empty.
func coilRow(m steel.Mill, u measure.Units) []any {
	count := func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	}
	return []any{coilPart, "", m.Title, "coil", coilPrice(m.Price), m.Date, m.Supplier, "",
		m.Colour, stripSize(m.Thickness, u), stripSize(m.Width, u), reelLength(m.Length, u), count(m.LeadDays), count(m.Minimum)}
}

// stripSize is a thickness or width as coil is ordered by: decimal inches, or
// millimetres; empty where there is none.
func stripSize(l measure.Length, u measure.Units) string {
	switch {
	case l == 0:
		return ""
	case u == measure.Metric:
		return l.Text(u)
	}
	inches := big.NewRat(int64(l), int64(measure.Inch)).FloatString(inchPlaces)
	return strings.TrimRight(strings.TrimRight(inches, "0"), ".") + " in"
}

// reelLength is a reel's length, in whole feet where it has them.
func reelLength(l measure.Length, u measure.Units) string {
	if u == measure.Metric || l%measure.Foot != 0 {
		return l.Text(u)
	}
	return fmt.Sprintf("%d ft", l/measure.Foot)
}

// coilPrice is a price's own decimals, at least two of them.
func coilPrice(p *big.Rat) string {
	if p == nil {
		return ""
	}
	places, exact := p.FloatPrec()
	if !exact || places > mostPlaces {
		places = mostPlaces
	}
	return p.FloatString(max(places, 2))
}

// readCoil reads a row of a coil as a book's file holds it.
func readCoil(r bookRow, colours []string) (map[string]any, error) {
	of := "the coil"
	if title := r.cell("what"); title != "" {
		of = fmt.Sprintf("%.80q", title)
	}
	if r.cell("value") == "" {
		return nil, fmt.Errorf("%s has no price; write that of one coil under value", of)
	}
	out, err := r.dated(of)
	if err != nil {
		return nil, err
	}
	if out["jobs"] != nil {
		return nil, errors.New("a coil's price is learned from no jobs; leave jobs empty")
	}
	if out["price"], err = r.value(of); err != nil {
		return nil, err
	}
	if out["colour"], err = r.colour(of, colours); err != nil {
		return nil, err
	}
	if title := r.cell("what"); title != "" {
		out["title"] = title
	}
	if err := r.sizes(out, of); err != nil {
		return nil, err
	}
	if err := r.count(out, "lead_days", of, mostLeadDays); err != nil {
		return nil, err
	}
	return out, r.count(out, "minimum", of, mostMinimum)
}

func (r bookRow) colour(of string, known []string) (string, error) {
	c := r.cell("colour")
	switch {
	case c == "" || c == steel.AnyColour:
		return steel.AnyColour, nil
	case len(known) > 0 && !slices.Contains(known, c):
		return "", fmt.Errorf("the colour of %s is %q, which the book does not list; write %s or %s", of, c, steel.AnyColour, strings.Join(known, ", "))
	}
	return c, nil
}

// sizes reads thickness, width and length; only the length must be there.
func (r bookRow) sizes(out map[string]any, of string) error {
	for _, s := range []struct {
		name string
		most measure.Length
		such string
	}{{"thickness", measure.Inch, "0.019 in"}, {"width", measure.MaxHouse, "14 in"}, {"length", measure.MaxCoil, "500 ft"}} {
		text := r.cell(s.name)
		if text == "" && s.name != "length" {
			continue
		}
		l, err := measure.ParseLength(text)
		if err != nil || l <= 0 || l > s.most {
			return fmt.Errorf("the %s of %s is %q; write it with its unit, such as %s, up to %s", s.name, of, text, s.such, s.most.Text(measure.Metric))
		}
		out[s.name] = text
	}
	return nil
}
