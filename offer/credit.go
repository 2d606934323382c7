package offer

import (
	"encoding/xml"
	"errors"
	"fmt"
	"math/big"
	"time"
)

// CreditNote takes an invoice back, whole or in part: what was asked for is no
// longer asked, what was paid is paid back. Amounts are positive.
type CreditNote struct {
	Number        string
	Issued        time.Time
	Currency      string
	From, To      Party
	Items         []Item
	Taxes         []TaxItem
	Invoice       string // the invoice's number on its paper
	InvoiceIssued time.Time
	Why           string
}

// ErrCredit is wrapped by errors about a credit note.
var ErrCredit = errors.New("the credit note cannot be made")

// Credit gives the lines and taxes of a credit note over amount, taxes included; an
// empty amount is all that earlier notes left of the invoice. A tax has the share
// of the amount that it has of what is left, rounded down; whole says that nothing
// of the invoice stays.
func Credit(i Invoice, earlier []CreditNote, amountAsked string, places int) (items []Item, taxes []TaxItem, whole bool, err error) {
	t, err := i.Totals(places)
	if err != nil {
		return nil, nil, false, err
	}
	left := amount(t.Gross)
	for _, e := range earlier {
		left.Sub(left, e.gross())
	}
	if left.Sign() <= 0 {
		return nil, nil, false, fmt.Errorf("%w: nothing is left of the invoice", ErrCredit)
	}
	asked := new(big.Rat).Set(left)
	if amountAsked != "" {
		a, ok := new(big.Rat).SetString(amountAsked)
		switch {
		case !ok || decimals(amountAsked) > places || a.Sign() <= 0:
			return nil, nil, false, fmt.Errorf("%w: %q is no amount above nothing with at most %d places", ErrCredit, amountAsked, places)
		case a.Cmp(left) > 0:
			return nil, nil, false, fmt.Errorf("%w: %s is more than the %s that is left of the invoice", ErrCredit, amountAsked, left.FloatString(places))
		}
		asked = a
	}
	net := new(big.Rat).Set(asked)
	for _, x := range i.Taxes {
		share := part(leftOfTax(x, earlier), asked, left, places)
		net.Sub(net, share)
		if share.Sign() != 0 {
			taxes = append(taxes, TaxItem{x.Title, x.Percent, base(share, x.Percent).FloatString(places), share.FloatString(places)})
		}
	}
	return []Item{{"Credit of invoice " + i.Number, net.FloatString(places)}}, taxes, asked.Cmp(left) == 0, nil
}

func leftOfTax(x TaxItem, earlier []CreditNote) *big.Rat {
	left := amount(x.Amount)
	for _, e := range earlier {
		for _, t := range e.Taxes {
			if t.Title == x.Title {
				left.Sub(left, amount(t.Amount))
			}
		}
	}
	return left
}

func (c CreditNote) gross() *big.Rat {
	sum := new(big.Rat)
	for _, l := range c.Items {
		sum.Add(sum, amount(l.Amount))
	}
	for _, t := range c.Taxes {
		sum.Add(sum, amount(t.Amount))
	}
	return sum
}

// Gross is what the note credits, taxes included.
func (c CreditNote) Gross(places int) string { return c.gross().FloatString(places) }

// Against is the note as an invoice of negative amounts: what later invoices count
// as not asked for.
func (c CreditNote) Against() Invoice {
	i := Invoice{Currency: c.Currency}
	for _, l := range c.Items {
		i.Items = append(i.Items, Item{l.What, "-" + l.Amount})
	}
	for _, t := range c.Taxes {
		i.Taxes = append(i.Taxes, TaxItem{t.Title, t.Percent, "-" + t.Base, "-" + t.Amount})
	}
	return i
}

// UBL writes the note as OASIS UBL 2.1 XML.
func (c CreditNote) UBL(places int) ([]byte, error) {
	if c.Number == "" || c.Invoice == "" || c.From.Name == "" || c.To.Name == "" || len(c.Items) == 0 {
		return nil, fmt.Errorf("%w: it needs a number, its invoice's, both names and at least one line", ErrCredit)
	}
	i := Invoice{Currency: c.Currency, Items: c.Items, Taxes: c.Taxes, AlreadyPaid: new(big.Rat).FloatString(places)}
	t, err := i.Totals(places)
	if err != nil {
		return nil, err
	}
	root := element{XMLName: xml.Name{Local: "CreditNote"}, Attrs: []xml.Attr{
		{Name: xml.Name{Local: "xmlns"}, Value: ublCredit},
		{Name: xml.Name{Local: "xmlns:cac"}, Value: ublAggregate}, {Name: xml.Name{Local: "xmlns:cbc"}, Value: ublBasic},
	}}
	root.Children = append(root.Children, basic("UBLVersionID", "2.1"), basic("ID", c.Number), basic("IssueDate", c.Issued.Format(time.DateOnly)),
		basic("CreditNoteTypeCode", "381")) // UN/CEFACT 1001: credit note
	if c.Why != "" {
		root.Children = append(root.Children, basic("Note", c.Why))
	}
	root.Children = append(root.Children, basic("DocumentCurrencyCode", c.Currency),
		group("BillingReference", group("InvoiceDocumentReference", basic("ID", c.Invoice), basic("IssueDate", c.InvoiceIssued.Format(time.DateOnly)))),
		group("AccountingSupplierParty", c.From.ubl()), group("AccountingCustomerParty", c.To.ubl()), i.taxTotal(t),
		group("LegalMonetaryTotal", i.money("LineExtensionAmount", t.Net), i.money("TaxExclusiveAmount", t.Net),
			i.money("TaxInclusiveAmount", t.Gross), i.money("PayableAmount", t.Gross)))
	for n, l := range c.Items {
		root.Children = append(root.Children, group("CreditNoteLine", basic("ID", fmt.Sprint(n+1)),
			i.money("LineExtensionAmount", l.Amount), group("Item", basic("Name", l.What))))
	}
	text, err := xml.MarshalIndent(root, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrCredit, err)
	}
	return append([]byte(xml.Header), append(text, '\n')...), nil
}
