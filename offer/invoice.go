package offer

import (
	"encoding/xml"
	"errors"
	"fmt"
	"math/big"
	"time"
)

// Party is one side of an invoice.
type Party struct{ Name, Street, City, Post, Country string }

// Item is one line of an invoice: an amount before tax.
type Item struct {
	What   string
	Amount string
}

// TaxItem is a tax on the whole invoice. Per cent and base stand as text, e.g.
// "7.5" and "149.00".
type TaxItem struct{ Title, Percent, Base, Amount string }

// Invoice is one payment asked for.
type Invoice struct {
	Number      string
	Issued, Due time.Time
	Currency    string
	From, To    Party
	Items       []Item
	Taxes       []TaxItem
	OfferDigest string // of the signed offer that it rests on
	AlreadyPaid string // "0.00" if nothing
	Note        string
}

// ErrInvoice is wrapped by errors about an invoice.
var ErrInvoice = errors.New("the invoice cannot be made")

// Totals of an invoice, as exact text.
type Totals struct{ Net, Tax, Gross, Payable string }

// Totals adds the invoice up. All amounts must have the same number of places.
func (i Invoice) Totals(places int) (Totals, error) {
	net, tax := new(big.Rat), new(big.Rat)
	add := func(sum *big.Rat, amount string) error {
		r, ok := new(big.Rat).SetString(amount)
		if !ok || decimals(amount) != places {
			return fmt.Errorf("%w: %q is no amount of %s", ErrInvoice, amount, i.Currency)
		}
		sum.Add(sum, r)
		return nil
	}
	for _, l := range i.Items {
		if err := add(net, l.Amount); err != nil {
			return Totals{}, err
		}
	}
	for _, t := range i.Taxes {
		if err := add(tax, t.Amount); err != nil {
			return Totals{}, err
		}
	}
	paid := new(big.Rat)
	if err := add(paid, i.AlreadyPaid); err != nil {
		return Totals{}, err
	}
	gross := new(big.Rat).Add(net, tax)
	text := func(r *big.Rat) string { return r.FloatString(places) }
	return Totals{text(net), text(tax), text(gross), text(new(big.Rat).Sub(gross, paid))}, nil
}

// The names of OASIS UBL 2.1 (ISO/IEC 19845).
const (
	ublCredit    = "urn:oasis:names:specification:ubl:schema:xsd:CreditNote-2"
	ublInvoice   = "urn:oasis:names:specification:ubl:schema:xsd:Invoice-2"
	ublAggregate = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
	ublBasic     = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"
)

// element is one element of XML with its children in the order that UBL's schema
// asks for.
type element struct {
	XMLName  xml.Name
	Attrs    []xml.Attr `xml:",any,attr"`
	Text     string     `xml:",chardata"`
	Children []element
}

func basic(name, text string, attrs ...string) element {
	e := element{XMLName: xml.Name{Local: "cbc:" + name}, Text: text}
	for k := 0; k+1 < len(attrs); k += 2 {
		e.Attrs = append(e.Attrs, xml.Attr{Name: xml.Name{Local: attrs[k]}, Value: attrs[k+1]})
	}
	return e
}

func group(name string, children ...element) element {
	return element{XMLName: xml.Name{Local: "cac:" + name}, Children: children}
}

// UBL writes the invoice as OASIS UBL 2.1 XML.
func (i Invoice) UBL(places int) ([]byte, error) {
	if i.Number == "" || i.From.Name == "" || i.To.Name == "" || len(i.Items) == 0 {
		return nil, fmt.Errorf("%w: it needs a number, both names and at least one line", ErrInvoice)
	}
	t, err := i.Totals(places)
	if err != nil {
		return nil, err
	}
	root := element{XMLName: xml.Name{Local: "Invoice"}, Attrs: []xml.Attr{
		{Name: xml.Name{Local: "xmlns"}, Value: ublInvoice},
		{Name: xml.Name{Local: "xmlns:cac"}, Value: ublAggregate}, {Name: xml.Name{Local: "xmlns:cbc"}, Value: ublBasic},
	}}
	root.Children = append(root.Children,
		basic("UBLVersionID", "2.1"), basic("ID", i.Number),
		basic("IssueDate", i.Issued.Format(time.DateOnly)), basic("DueDate", i.Due.Format(time.DateOnly)),
		basic("InvoiceTypeCode", "380")) // UN/CEFACT 1001: commercial invoice
	if i.Note != "" {
		root.Children = append(root.Children, basic("Note", i.Note))
	}
	root.Children = append(root.Children, basic("DocumentCurrencyCode", i.Currency))
	if i.OfferDigest != "" {
		root.Children = append(root.Children, group("ContractDocumentReference", basic("ID", i.OfferDigest)))
	}
	root.Children = append(root.Children,
		group("AccountingSupplierParty", i.From.ubl()), group("AccountingCustomerParty", i.To.ubl()),
		i.taxTotal(t), i.monetaryTotal(t))
	for n, l := range i.Items {
		root.Children = append(root.Children, group("InvoiceLine", basic("ID", fmt.Sprint(n+1)),
			i.money("LineExtensionAmount", l.Amount), group("Item", basic("Name", l.What))))
	}
	text, err := xml.MarshalIndent(root, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInvoice, err)
	}
	return append([]byte(xml.Header), append(text, '\n')...), nil
}

func (i Invoice) money(name, amount string) element {
	return basic(name, amount, "currencyID", i.Currency)
}

func (i Invoice) taxTotal(t Totals) element {
	total := group("TaxTotal", i.money("TaxAmount", t.Tax))
	for _, x := range i.Taxes {
		total.Children = append(total.Children, group("TaxSubtotal",
			i.money("TaxableAmount", x.Base), i.money("TaxAmount", x.Amount),
			group("TaxCategory", basic("Name", x.Title), basic("Percent", x.Percent), group("TaxScheme", basic("Name", x.Title)))))
	}
	return total
}

func (i Invoice) monetaryTotal(t Totals) element {
	return group("LegalMonetaryTotal",
		i.money("LineExtensionAmount", t.Net), i.money("TaxExclusiveAmount", t.Net), i.money("TaxInclusiveAmount", t.Gross),
		i.money("PrepaidAmount", i.AlreadyPaid), i.money("PayableAmount", t.Payable))
}

func (p Party) ubl() element {
	address := group("PostalAddress")
	for _, f := range []struct{ name, text string }{{"StreetName", p.Street}, {"CityName", p.City}, {"PostalZone", p.Post}} {
		if f.text != "" {
			address.Children = append(address.Children, basic(f.name, f.text))
		}
	}
	if p.Country != "" {
		address.Children = append(address.Children, group("Country", basic("IdentificationCode", p.Country)))
	}
	party := group("Party", group("PartyName", basic("Name", p.Name)))
	if len(address.Children) > 0 {
		party.Children = append(party.Children, address)
	}
	return party
}
