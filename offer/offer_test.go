package offer

import (
	"errors"
	"math/big"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var now = time.Date(2031, 5, 4, 10, 0, 0, 0, time.UTC)

func signed() Offer {
	return Offer{
		Title: "<Row> 7", JobSHA256: Sum([]byte("{}")), Revision: 12, Hours: "40.50", Scheme: "A", Currency: "USD", Total: "11194.65",
		Pieces: []PieceSummary{{ID: "south.field.1a", Panel: "p", LengthNM: 100}, {ID: "south.field.2a", Panel: "p", LengthNM: 200}},
		Until:  now.Add(24 * time.Hour),
	}
}

// The digest of the canonical text, worked out with sha256sum.
func TestDigest(t *testing.T) {
	o := Offer{Kind: First, Shop: "S", JobSHA256: "ab", Revision: 1, Scheme: "A", Currency: "USD", Total: "1.00", Until: now}
	text, err := o.Text()
	if err != nil {
		t.Fatal(err)
	}
	want := `{"kind":"offer","shop":"S","owner":"","title":"","job_sha256":"ab","revision":1,"scheme":"A","scheme_title":"","currency":"USD","price":"","taxes":[],"total":"1.00","hours":"","pieces":[],"payments":[],"scope":[],"not_included":[],"terms":"","until":"2031-05-04T10:00:00Z","pictures":[],"instead":"","why":""}`
	if string(text) != want {
		t.Fatalf("%s", text)
	}
	a, _ := o.Digest()
	if a != digestOfThatText {
		t.Errorf("digest %s", a)
	}
	o.Taxes = []Tax{} // an empty list is none
	if b, _ := o.Digest(); b != a {
		t.Error("an empty list changed the digest")
	}
	o.Total = "1.01"
	if b, _ := o.Digest(); b == a {
		t.Error("another price has the same digest")
	}
}

func TestSign(t *testing.T) {
	o := signed()
	digest, err := o.Digest()
	if err != nil {
		t.Fatal(err)
	}
	s, err := o.Sign("Pat Invented", digest, "", nil, now)
	if err != nil || s.Digest != digest {
		t.Fatal(s, err)
	}
	for name, c := range map[string]struct {
		who, seen string
		earlier   *Signature
		at        time.Time
		want      error
	}{
		"twice": {"Pat", digest, &s, now, ErrSigned}, "nobody": {"", digest, nil, now, ErrName},
		"late": {"Pat", digest, nil, now.Add(25 * time.Hour), ErrExpired}, "another price": {"Pat", "00", nil, now, ErrChanged},
	} {
		if _, err := o.Sign(c.who, c.seen, "", c.earlier, c.at); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestPayments(t *testing.T) {
	plan := []Step{{"on signing", big.NewRat(1, 3)}, {"when hung", big.NewRat(2, 3)}}
	got, err := Payments("100.00", 2, plan)
	if err != nil || got[0].Amount != "33.33" || got[1].Amount != "66.67" {
		t.Errorf("%v %v", got, err)
	}
	for name, bad := range map[string][]Step{
		"none": nil, "too little": plan[:1], "below zero": {{"a", big.NewRat(2, 1)}, {"b", big.NewRat(-1, 1)}}, "no words": {{"", big.NewRat(1, 1)}},
	} {
		if _, err := Payments("100.00", 2, bad); !errors.Is(err, ErrPlan) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, total := range []string{"x", "-1", "1.001", "NaN"} {
		if _, err := Payments(total, 2, plan); !errors.Is(err, ErrPlan) {
			t.Errorf("%s: %v", total, err)
		}
	}
}

// The parts always add up to the whole, whatever the shares.
func TestPaymentsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		weights := rapid.SliceOfN(rapid.Int64Range(1, 1000), 1, 6).Draw(t, "weights")
		sum := int64(0)
		for _, w := range weights {
			sum += w
		}
		var plan []Step
		for _, w := range weights {
			plan = append(plan, Step{"then", big.NewRat(w, sum)})
		}
		total := big.NewRat(rapid.Int64Range(0, 1e10).Draw(t, "cents"), 100)
		parts, err := Payments(total.FloatString(2), 2, plan)
		if err != nil {
			t.Fatal(err)
		}
		added := new(big.Rat)
		for _, p := range parts {
			r, _ := new(big.Rat).SetString(p.Amount)
			added.Add(added, r)
		}
		if added.Cmp(total) != 0 {
			t.Fatalf("%v add up to %s, not %s", parts, added.FloatString(2), total.FloatString(2))
		}
	})
}

func TestDifference(t *testing.T) {
	before, after := signed(), signed()
	if c, err := Difference(before, after); err != nil || !c.Empty() {
		t.Errorf("nothing changed: %+v %v", c, err)
	}
	after.Pieces = []PieceSummary{{ID: "south.field.1a", Panel: "p", LengthNM: 150}, {ID: "south.field.3a", Panel: "p", LengthNM: 70}}
	after.Total, after.Hours = "11000.00", "41.75"
	c, err := Difference(before, after)
	if err != nil || len(c.Altered) != 1 || len(c.Added) != 1 || len(c.Removed) != 1 || c.Longer != -80 || c.Money != "-194.65" || c.Hours != "1.25" {
		t.Errorf("%+v %v", c, err)
	}
	after.Currency = "EUR"
	if _, err := Difference(before, after); err == nil {
		t.Error("a difference between two currencies was told")
	}
}

// sha256sum of the text above.
const digestOfThatText = "4776bc23d467a547d87ed3b30a5cc98292e5e29236480fb35e8043f22c54b0b5"
