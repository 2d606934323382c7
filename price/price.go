// Package price turns what a scheme needs into exact money: steel, trim and hours
// from the pieces themselves, a shop's overhead, margin and taxes, and how far the
// doubt of the measurements carries into the price.
//
// The rounding rule, once for all: a line's quantity is rounded to hundredths of
// its unit, a unit price worked out (not written in the book) to ten-thousandths
// of the currency, and an amount to the currency's smallest unit (ISO 4217); each
// with halves away from zero, as spreadsheets round. Sums add rounded amounts, so
// that they agree with what a person adds up on the paper.
package price

import (
	"fmt"
	"math/big"

	"github.com/govalues/decimal"
	"github.com/govalues/money"
)

// Figure is one number of a shop's book with where it came from. The zero Figure
// is none.
type Figure struct {
	Value    decimal.Decimal
	Written  bool   // the book has it
	Date     string // when it was given, as the shop wrote it
	Supplier string
	Jobs     int // finished jobs that it was learned from; 0: assumed
}

// Tax is a share of the lines of some kinds, added to their price.
type Tax struct {
	Title string
	Share decimal.Decimal
	On    []Kind
	// Except names prices and rates whose lines it leaves out.
	Except []string
}

// Percent is the share as text, such as 7 or 7.25.
func (t Tax) Percent() string {
	var e exact
	return e.mul(t.Share, decimal.Hundred).Trim(0).String()
}

// Book is a shop's prices and rates. Prices are money a unit, rates are hours,
// minutes, shares or money an hour: see [PriceKeys] and [RateKeys].
type Book struct {
	Currency string // ISO 4217
	Prices   map[string]Figure
	Rates    map[string]Figure
	Taxes    []Tax
}

// Kind sorts lines for taxes and for a person's eye.
type Kind string

// The kinds of lines.
const (
	Material Kind = "material"
	Labour   Kind = "labour"
	Other    Kind = "other"
)

// Kinds lists all, in the order in which they stand in an estimate.
var Kinds = [...]Kind{Material, Labour, Other}

// Line is one quantity and what it costs the shop.
type Line struct {
	Kind      Kind
	Work      string // which work its hours are of; empty: they are no hours
	What      string
	Key       string // the book's price or rate that it rests on
	Quantity  decimal.Decimal
	Unit      string
	UnitPrice decimal.Decimal
	Amount    decimal.Decimal
	From      string   // where the quantity came from
	Pieces    []string // ids of the pieces it came from, if it came from pieces
	grows     growth   // how it follows the wall's size, for the doubt
}

// Gap is a figure that the book lacks: an offer cannot be sent while there is one.
type Gap struct{ Key, What, Mend string }

// TaxAmount is one tax worked out.
type TaxAmount struct {
	Title  string
	Amount decimal.Decimal
}

// Estimate is a scheme priced. Cost is what the shop spends, overhead included;
// Price is what it asks before taxes; Total is with them.
type Estimate struct {
	Scheme   string
	Currency string
	Lines    []Line
	Direct   decimal.Decimal // sum of the lines
	Overhead decimal.Decimal
	Cost     decimal.Decimal
	Margin   decimal.Decimal // Price less Cost
	Price    decimal.Decimal
	Taxes    []TaxAmount
	Total    decimal.Decimal
	Parts    []Part // of the hours, by the rate that plans them
	Doubt    Doubt
	Gaps     []Gap
}

// Exact reads a number of at least zero as a decimal of at most nine places.
func Exact(r *big.Rat) (decimal.Decimal, error) {
	d, err := decimal.Parse(r.FloatString(9))
	return d.Trim(0), err
}

// IsShare says whether a number is below one.
func IsShare(d decimal.Decimal) bool { return d.Cmp(decimal.One) < 0 }

// IsCurrency says whether a text is a currency's code of ISO 4217: three capital
// letters that the list has.
func IsCurrency(code string) bool {
	c, err := money.ParseCurr(code)
	return err == nil && c != money.XXX && c != money.XTS && c.Code() == code
}

// Places gives the number of decimal places of the currency's smallest unit.
func (b Book) Places() (int, error) {
	c, err := money.ParseCurr(b.Currency)
	if err != nil || !IsCurrency(b.Currency) {
		return 0, fmt.Errorf("the book's currency %q is none of ISO 4217; write one such as USD", b.Currency)
	}
	return c.Scale(), nil
}

// round rounds a number of at least zero to a number of places, halves up.
func round(d decimal.Decimal, places int) (decimal.Decimal, error) {
	half, err := decimal.New(5, places+1)
	if err != nil {
		return d, err
	}
	up, err := d.Add(half)
	if err != nil {
		return d, err
	}
	return up.Trunc(places).Pad(places), nil
}
