package offer

import (
	"encoding/xml"
	"errors"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func noteOf(i Invoice, items []Item, taxes []TaxItem) CreditNote {
	return CreditNote{Number: "C-1", Issued: now, Currency: i.Currency, From: i.From, To: i.To, Items: items, Taxes: taxes, Invoice: i.Number, InvoiceIssued: i.Issued, Why: "Work <left> out"}
}

// Of 3885.76 with 254.21 of tax, 1000 has 254.21/3885.76 of it: 65.4209, rounded
// down 65.42; what is left then has the rest, to the cent. By hand.
func TestCreditByHand(t *testing.T) {
	i := invoice()
	items, taxes, whole, err := Credit(i, nil, "1000", 2)
	if err != nil || whole || items[0].Amount != "934.58" || taxes[0].Amount != "65.42" || taxes[0].Base != "934.57" {
		t.Fatal(items, taxes, whole, err)
	}
	first := noteOf(i, items, taxes)
	items, taxes, whole, err = Credit(i, []CreditNote{first}, "", 2)
	if err != nil || !whole || items[0].Amount != "2696.97" || taxes[0].Amount != "188.79" {
		t.Fatal(items, taxes, whole, err)
	}
	if _, _, _, err := Credit(i, []CreditNote{first, noteOf(i, items, taxes)}, "", 2); !errors.Is(err, ErrCredit) {
		t.Error("an invoice was credited twice:", err)
	}
	for _, bad := range []string{"0", "-5", "much", "0.001", "2885.77", "1e9", "NaN"} {
		if _, _, _, err := Credit(i, []CreditNote{first}, bad, 2); !errors.Is(err, ErrCredit) {
			t.Errorf("%s: %v", bad, err)
		}
	}
}

// However an invoice is credited in parts, the parts add up to it, line and taxes.
func TestCreditsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := invoice()
		var notes []CreditNote
		for _, cents := range rapid.SliceOfN(rapid.Int64Range(1, 100_000), 0, 5).Draw(t, "cents") {
			items, taxes, _, err := Credit(i, notes, big.NewRat(cents, 100).FloatString(2), 2)
			if err != nil {
				break // more than is left
			}
			notes = append(notes, noteOf(i, items, taxes))
		}
		if items, taxes, whole, err := Credit(i, notes, "", 2); err == nil {
			if !whole {
				t.Fatal("all that is left is not the whole")
			}
			notes = append(notes, noteOf(i, items, taxes))
		}
		net, tax := new(big.Rat), new(big.Rat)
		for _, n := range notes {
			against := n.Against()
			net.Add(net, netAsked([]Invoice{against}))
			tax.Add(tax, taxAsked([]Invoice{against}, "sales tax"))
		}
		if net.FloatString(2) != "-3631.55" || tax.FloatString(2) != "-254.21" {
			t.Fatal(net.FloatString(2), tax.FloatString(2))
		}
	})
}

// Against OASIS's own XSD of UBL 2.5, which takes 2.1 documents, it was valid
// (xmllint --schema UBL-CreditNote-2.5.xsd).
func TestCreditUBL(t *testing.T) {
	i := invoice()
	items, taxes, _, err := Credit(i, nil, "1000", 2)
	if err != nil {
		t.Fatal(err)
	}
	n := noteOf(i, items, taxes)
	text, err := n.UBL(2)
	if err != nil {
		t.Fatal(err)
	}
	var back struct {
		XMLName xml.Name
		Type    string `xml:"CreditNoteTypeCode"`
		Note    string
		Invoice string `xml:"BillingReference>InvoiceDocumentReference>ID"`
		Payable string `xml:"LegalMonetaryTotal>PayableAmount"`
		Line    string `xml:"CreditNoteLine>LineExtensionAmount"`
	}
	if err := xml.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if back.XMLName.Space != ublCredit || back.Type != "381" || back.Note != n.Why || back.Invoice != i.Number || back.Payable != "1000.00" || back.Line != "934.58" {
		t.Errorf("%+v\n%s", back, text)
	}
	for name, spoil := range map[string]func(*CreditNote){
		"no number": func(c *CreditNote) { c.Number = "" }, "no invoice": func(c *CreditNote) { c.Invoice = "" }, "no lines": func(c *CreditNote) { c.Items = nil },
		"no money": func(c *CreditNote) { c.Items = []Item{{"x", "much"}} },
	} {
		c := n
		spoil(&c)
		if text, err := c.UBL(2); err == nil || strings.Contains(string(text), "CreditNote") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
