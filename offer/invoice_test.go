package offer

import (
	"encoding/xml"
	"errors"
	"strings"
	"testing"
	"time"
)

func invoice() Invoice {
	return Invoice{
		Number: "2031-007", Issued: now, Due: now.Add(14 * 24 * time.Hour), Currency: "USD",
		From:  Party{Name: "Invented Siding & Sons", Street: "1 Nowhere Lane", City: "Alder Row", Post: "00000", Country: "US"},
		To:    Party{Name: "Pat <Invented>"},
		Items: []Item{{"Slate siding, first payment", "3731.55"}, {"Change of window S2", "-100.00"}},
		Taxes: []TaxItem{{"sales tax", "7", "3631.55", "254.21"}}, OfferDigest: "ab12", AlreadyPaid: "0.00",
	}
}

// Sums by hand, and XML that reads back with every text as it was. Against OASIS's
// own XSD of UBL 2.5, which takes 2.1 documents, it was valid (xmllint --schema
// UBL-Invoice-2.5.xsd).
func TestUBL(t *testing.T) {
	i := invoice()
	totals, err := i.Totals(2)
	if err != nil || totals != (Totals{"3631.55", "254.21", "3885.76", "3885.76"}) {
		t.Fatal(totals, err)
	}
	text, err := i.UBL(2)
	if err != nil {
		t.Fatal(err)
	}
	var back struct {
		XMLName xml.Name
		ID      string
		Issue   string `xml:"IssueDate"`
		To      string `xml:"AccountingCustomerParty>Party>PartyName>Name"`
		Payable struct {
			Currency string `xml:"currencyID,attr"`
			Amount   string `xml:",chardata"`
		} `xml:"LegalMonetaryTotal>PayableAmount"`
		Lines []struct {
			Amount string `xml:"LineExtensionAmount"`
			Name   string `xml:"Item>Name"`
		} `xml:"InvoiceLine"`
	}
	if err := xml.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if back.XMLName.Space != ublInvoice || back.ID != i.Number || back.Issue != "2031-05-04" || back.To != i.To.Name ||
		back.Payable.Amount != "3885.76" || back.Payable.Currency != "USD" || len(back.Lines) != 2 || back.Lines[1].Amount != "-100.00" {
		t.Errorf("%+v\n%s", back, text)
	}
}

func TestBadInvoices(t *testing.T) {
	for name, spoil := range map[string]func(*Invoice){
		"no number": func(i *Invoice) { i.Number = "" }, "no lines": func(i *Invoice) { i.Items = nil }, "nobody": func(i *Invoice) { i.To.Name = "" },
		"third place": func(i *Invoice) { i.Items[0].Amount = "1.001" }, "no money": func(i *Invoice) { i.Taxes[0].Amount = "much" },
		"paid": func(i *Invoice) { i.AlreadyPaid = "" },
	} {
		i := invoice()
		spoil(&i)
		if text, err := i.UBL(2); !errors.Is(err, ErrInvoice) || strings.Contains(string(text), "Invoice") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
