package proposal

import (
	"strings"
	"time"

	"coilwright/job"
	"coilwright/offer"
)

// Invoice draws an invoice beside its UBL text; both tell the same figures.
func Invoice(j *job.Job, i offer.Invoice, logo *Picture, places int) ([]byte, error) {
	t, err := i.Totals(places)
	if err != nil {
		return nil, err
	}
	p := bill(j, "Invoice "+i.Number, i.Issued, logo, i.To, [][2]string{{"Due", dateText(i.Due)}, {"Agreed in", i.OfferDigest}})
	p.amounts(i.Currency, i.Items, i.Taxes)
	sums := [][]string{{"Sum", money(i.Currency, t.Gross)}}
	if strings.Trim(i.AlreadyPaid, "0.") != "" {
		sums = append(sums, []string{"Paid already", money(i.Currency, i.AlreadyPaid)})
	}
	p.table([]column{{share: 72, bold: true}, {share: 28, right: true, bold: true}}, append(sums, []string{"To pay by " + dateText(i.Due), money(i.Currency, t.Payable)}))
	if i.Note != "" {
		p.para(i.Note, body, false, black)
	}
	return p.finish()
}

// bill begins the paper of an invoice or of a credit note: its head, and rows of what
// it says of itself.
func bill(j *job.Job, title string, issued time.Time, logo *Picture, to offer.Party, rows [][2]string) *paper {
	p := newPaper(j, title, issued, 0)
	p.logo = logo
	p.turn(title)
	p.letterhead()
	p.y += 12
	p.words(left, p.y+4, title, head, true, black)
	p.y += 12
	p.labelled(append([][2]string{
		{"For", strings.Trim(strings.Join([]string{to.Name, to.Street, to.City, to.Post}, ", "), ", ")}, {"House", j.Title}, {"Issued", dateText(issued)},
	}, rows...))
	return p
}

// Party is one side as an invoice names it: a name and address lines, of which the
// first is the street.
func Party(name string, address []string, country string) offer.Party {
	out := offer.Party{Name: name, Country: country}
	if len(address) > 0 {
		out.Street = address[0]
	}
	if len(address) > 1 {
		out.City = strings.Join(address[1:], ", ")
	}
	return out
}

// Due is when an invoice issued on a day is to be paid.
func Due(issued time.Time, days int) time.Time { return issued.AddDate(0, 0, days) }
