package job

import (
	"strings"
	"testing"

	"coilwright/offer"
	"coilwright/problem"
)

// The demo's book says all that an offer needs.
func TestDemoOffer(t *testing.T) {
	j := example(t, "alder")
	if lacks := j.Offer.Lacks(); len(lacks) > 0 {
		t.Errorf("%+v", lacks)
	}
	if len(j.Offer.Plan) != 3 || !offer.Whole(j.Offer.Plan) || j.Visit.Owner == "" {
		t.Errorf("%+v %+v", j.Offer.Plan, j.Visit)
	}
	if bare := (offer.Book{}).Lacks(); len(bare) != 6 {
		t.Errorf("a bare book lacks %+v", bare)
	}
}

// What is wrong in the owner's part is found with its place.
func TestBadOffers(t *testing.T) {
	for shop, want := range map[string]string{
		`"payments": [{"when": "now", "share": "0.3"}, {"when": "then", "share": "0.6"}]`: `offer.payments: the payments add up to 0.9000`,
		`"payments": [{"when": "now", "share": "0"}, {"when": "then", "share": "1"}]`:     `payments[0].share: a payment of nothing`,
		`"payments": [{"when": "now", "share": "1.5"}]`:                                   `payments[0].share`,
		`"payments": [{"share": "1"}]`:                                                    `payments[0]`,
		`"days_valid": 4000`:                                                              `days_valid`,
		`"scope": [{"what": "x", "by": "nobody"}]`:                                        `scope[0].by`,
		`"letterhead": {"country": "usa"}`:                                                `letterhead.country: "usa" is no country code`,
		`"letterhad": {}`:                                                                 `letterhad`,
	} {
		text := `{"format":"coilwright/job@1","house":{"walls":[{"id":"a","outline":[["0","0"],["9'","0"],["9'","8'"],["0","8'"]],"edges":["base","open","eave","open"]}]},
			"schemes":[{"id":"A","zones":[]}],"shop":{"use":"demo","offer":{` + shop + `}}}`
		_, found := Parse("job", []byte(text), nil)
		said := ""
		for _, p := range found {
			if p.Severity == problem.Error {
				said += p.String() + "\n"
			}
		}
		if !strings.Contains(said, want) {
			t.Errorf("%s: %v", shop, found)
		}
	}
}

// A figure that a job sets to null is taken away, not nothing: a gap, not a price of 0.
func TestNullTakesAFigureAway(t *testing.T) {
	j, _ := Parse("job", []byte(`{"format":"coilwright/job@1","house":{"walls":[]},"schemes":[],"shop":{"use":"demo","prices":{"starter_ft":null}}}`), nil)
	if f, ok := j.Prices.Prices["starter_ft"]; ok {
		t.Errorf("%+v", f)
	}
}
