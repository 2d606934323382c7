package job

import (
	"math/big"
	"regexp"

	"coilwright/document"
	"coilwright/offer"
)

// The fields of a book and a site that speak to the owner.
var (
	offerFields = []string{"letterhead", "payments", "days_valid", "terms", "warranty", "cancellation", "scope", "not_included",
		"coating", "practice"}
	letterheadFields = []string{"name", "address", "phone", "mail", "licence", "country", "logo"}
	paymentFields    = []string{"when", "share"}
	scopeFields      = []string{"what", "by", "note"}
)

// longestOffer is how many days an offer may stand (assumed: a slip beyond).
const longestOffer = 366

// offers reads what a shop's book says for its offers.
func offers(v document.Value) offer.Book {
	if !v.Present() {
		return offer.Book{}
	}
	o := v.Object(offerFields)
	b := offer.Book{
		Letterhead: letterhead(o.Get("letterhead")), Plan: payments(o.Get("payments")),
		Terms: sentences(o.Get("terms")), Warranty: o.Get("warranty").Text(), Cancellation: o.Get("cancellation").Text(),
		Scope: scopeOf(o.Get("scope")), NotIncluded: sentences(o.Get("not_included")),
		Coating: o.Get("coating").Text(), Practice: sentences(o.Get("practice")),
	}
	if d := o.Get("days_valid"); d.Present() {
		b.DaysValid = d.Int(1, longestOffer)
	}
	return b
}

var country = regexp.MustCompile(`^[A-Z]{2}$`)

func letterhead(v document.Value) offer.Letterhead {
	if !v.Present() {
		return offer.Letterhead{}
	}
	o := v.Object(letterheadFields)
	l := offer.Letterhead{
		Name: o.Need("name").Text(), Address: sentences(o.Get("address")), Phone: o.Get("phone").Text(),
		Mail: o.Get("mail").Text(), Licence: o.Get("licence").Text(), Country: o.Get("country").Text(), Logo: o.Get("logo").Text(),
	}
	if c := o.Get("country"); l.Country != "" && !country.MatchString(l.Country) {
		c.Errorf("write its two capital letters, such as US", "%q is no country code of ISO 3166-1", l.Country)
	}
	return l
}

// payments reads a plan, whose shares must add up to the whole price.
func payments(v document.Value) []offer.Step {
	before := v.Errors()
	var out []offer.Step
	for _, w := range v.List() {
		o := w.Object(paymentFields)
		s := offer.Step{When: o.Need("when").ID(), Share: o.Need("share").Decimal(0, 1)}
		if s.Share != nil && s.Share.Sign() == 0 {
			o.Get("share").Errorf("write a share above 0, or leave the payment out", "a payment of nothing is none")
		}
		out = append(out, s)
	}
	if len(out) > 0 && v.Errors() == before && !offer.Whole(out) {
		v.Errorf("write shares that add up to 1, such as 0.3 and 0.7", "the payments add up to %s of the price", sumOf(out))
	}
	return out
}

func sumOf(plan []offer.Step) string {
	sum := new(big.Rat)
	for _, s := range plan {
		sum.Add(sum, s.Share)
	}
	return sum.FloatString(4)
}

func scopeOf(v document.Value) []offer.Scope {
	var out []offer.Scope
	for _, w := range v.List() {
		o := w.Object(scopeFields)
		s := offer.Scope{What: o.Need("what").ID(), By: offer.ByShop, Note: o.Get("note").Text()}
		if by := o.Get("by"); by.Present() {
			s.By = offer.Doer(by.OneOf("doer of the work", names(offer.Doers[:])))
		}
		out = append(out, s)
	}
	return out
}

func sentences(v document.Value) []string {
	var out []string
	for _, w := range v.List() {
		out = append(out, w.Text())
	}
	return out
}

// visit reads what of a site is for the owner's papers.
func visit(o document.Object) offer.Visit {
	return offer.Visit{
		Owner: o.Get("owner").Text(), Address: sentences(o.Get("address")),
		Start: o.Get("start").Text(), Finish: o.Get("finish").Text(),
		Scope: scopeOf(o.Get("scope")), NotIncluded: sentences(o.Get("not_included")),
	}
}
