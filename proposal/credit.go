package proposal

import (
	"coilwright/job"
	"coilwright/offer"
)

// Credit draws a credit note beside its UBL text; both tell the same figures.
func Credit(j *job.Job, c offer.CreditNote, logo *Picture, places int) ([]byte, error) {
	p := bill(j, "Credit note "+c.Number, c.Issued, logo, c.To, [][2]string{{"Invoice", c.Invoice + " of " + dateText(c.InvoiceIssued)}, {"Why", c.Why}})
	p.amounts(c.Currency, c.Items, c.Taxes)
	p.table([]column{{share: 72, bold: true}, {share: 28, right: true, bold: true}}, [][]string{{"Credited", money(c.Currency, c.Gross(places))}})
	p.para("What was not paid yet of this is no longer asked for; what was paid already is paid back.", body, false, black)
	return p.finish()
}

// labelled sets rows of a word and what it stands for.
func (p *paper) labelled(rows [][2]string) {
	for _, r := range rows {
		if r[1] == "" {
			continue
		}
		p.y += 5
		p.words(left, p.y, r[0], body, false, soft)
		p.words(left+27, p.y, r[1], body, r[0] != "Agreed in", black)
	}
	p.y += 8
}

// amounts is the table of lines and taxes.
func (p *paper) amounts(currency string, items []offer.Item, taxes []offer.TaxItem) {
	var rows [][]string
	for _, l := range items {
		rows = append(rows, []string{l.What, money(currency, l.Amount)})
	}
	for _, x := range taxes {
		rows = append(rows, []string{x.Title + ", " + x.Percent + " % of " + money(currency, x.Base), money(currency, x.Amount)})
	}
	p.table([]column{{title: "What", share: 72}, {title: "Amount", share: 28, right: true}}, rows)
}
