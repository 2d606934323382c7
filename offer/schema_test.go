package offer

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// schemas finds OASIS's own XSD of a document in the release package of UBL 2.1 or a
// later 2.x, which takes 2.1 documents: UBL_XSD names the folder that has maindoc.
func schemas(t *testing.T, document string) string {
	t.Helper()
	folder := os.Getenv("UBL_XSD")
	if folder == "" {
		t.Skip("UBL_XSD does not name the xsd folder of OASIS's UBL release package; its schema judges nothing here")
	}
	found, _ := filepath.Glob(filepath.Join(folder, "maindoc", "UBL-"+document+"-2.*.xsd"))
	if len(found) == 0 {
		t.Fatalf("no schema of %s in %s", document, folder)
	}
	return found[0]
}

// valid has libxml2 judge a document by a schema; wrong documents are refused by it.
func valid(t *testing.T, schema string, text []byte) error {
	t.Helper()
	lint, err := exec.LookPath("xmllint")
	if err != nil {
		t.Skip("xmllint is not installed (Debian: libxml2-utils)")
	}
	run := exec.Command(lint, "--noout", "--nonet", "--schema", schema, "-")
	run.Stdin = bytes.NewReader(text)
	out, err := run.CombinedOutput()
	if err != nil {
		t.Logf("%s", out)
	}
	return err
}

func TestInvoicesAgainstSchema(t *testing.T) {
	schema := schemas(t, "Invoice")
	for name, change := range map[string]func(*Invoice){
		"plain": func(*Invoice) {}, "no taxes": func(i *Invoice) { i.Taxes = nil }, "paid in part": func(i *Invoice) { i.AlreadyPaid, i.Note = "100.00", "Thank you & so on" },
		"no country": func(i *Invoice) { i.From = Party{Name: "Shop"} }, "one line": func(i *Invoice) { i.Items = i.Items[:1] },
		"two taxes": func(i *Invoice) { i.Taxes = append(i.Taxes, TaxItem{"service tax", "2.5", "100.00", "2.50"}) },
	} {
		i := invoice()
		change(&i)
		text, err := i.UBL(2)
		if err != nil || valid(t, schema, text) != nil {
			t.Errorf("%s: %v\n%s", name, err, text)
		}
	}
	text, _ := invoice().UBL(2)
	if valid(t, schema, bytes.Replace(text, []byte("<cbc:IssueDate>"), []byte("<cbc:IssueDate>x"), 1)) == nil {
		t.Error("the judge takes anything")
	}
}

func TestCreditNotesAgainstSchema(t *testing.T) {
	schema := schemas(t, "CreditNote")
	i := invoice()
	for _, amount := range []string{"", "100.00"} {
		items, taxes, _, err := Credit(i, nil, amount, 2)
		if err != nil {
			t.Fatal(err)
		}
		c := CreditNote{Number: "C2031-0001", Issued: now, Currency: i.Currency, From: i.From, To: i.To, Items: items, Taxes: taxes, Invoice: i.Number, InvoiceIssued: now.Add(-time.Hour), Why: "A gate was left out."}
		text, err := c.UBL(2)
		if err != nil || valid(t, schema, text) != nil {
			t.Errorf("%q: %v\n%s", amount, err, text)
		}
	}
}
