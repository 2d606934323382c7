package job

import (
	"math/big"
	"slices"
	"strings"
	"testing"

	"coilwright/examples"
	trims "coilwright/trim"
)

// Corner flats from panel coil are a run of their own in the coil plan: every blank of
// theirs is cut from some reel once, and the reels' feet count it.
func TestFlatsFromPanelCoilAreRun(t *testing.T) {
	text := strings.Replace(string(examples.Demo), `"use": "demo"`, `"use": "demo", "trim": {"post_flat_from": "panel-coil"}`, 1)
	j, found := Parse("alder.json", []byte(text), nil)
	if found.Fatal() {
		t.Fatal(found)
	}
	r, err := j.RunWithin("A", 3_000_000)
	if err != nil {
		t.Fatal(err)
	}
	plans, err := j.SlittingOf(r)
	if err != nil {
		t.Fatal(err)
	}
	a := j.RunAnswer(r, plans)
	if len(a.Trim) != 2 || a.Trim[1].From != "panel-coil" || len(a.Trim[1].Blanks) == 0 {
		t.Fatalf("%d slitting plans", len(a.Trim))
	}
	at := slices.IndexFunc(a.Setups, func(s SetupAnswer) bool { return s.Panel == flatPanel })
	if at < 0 || a.Setups[at].Colour != "bone" || a.Setups[at].Texture != "grain" {
		t.Fatalf("no run of flats: %+v", a.Setups)
	}
	for _, b := range a.Trim[1].Blanks {
		n := 0
		for _, c := range a.Coils {
			for _, id := range c.Pieces {
				if id == b.ID {
					n++
				}
			}
		}
		left := slices.ContainsFunc(a.LeftOut, func(x LeftOutAnswer) bool { return x.Piece == b.ID })
		if n != 1 && !left || !slices.Contains(a.Setups[at].Pieces, b.ID) && !left {
			t.Errorf("%s is cut %d times, left out %v", b.ID, n, left)
		}
	}
	for _, p := range a.Trim[0].Pieces {
		if p.Kind == "post-flat" {
			t.Errorf("%s comes from trim coil too", p.ID)
		}
	}
}

// slitting plans the trim of a run's layout, with little work.
func slitting(t *testing.T, j *Job, r *RunResult) []trims.Slitting {
	t.Helper()
	plans, err := j.SlitWithin(r.Layout, 100_000_000)
	if err != nil {
		t.Fatal(err)
	}
	return plans
}

// Money has the places of its currency's smallest unit (ISO 4217: two for the dollar,
// none for the yen, three for the Kuwaiti dinar).
func TestPriceTextHasTheCurrencysPlaces(t *testing.T) {
	for currency, want := range map[string]string{"USD": "USD 1234.50", "JPY": "JPY 1235", "KWD": "KWD 1234.500", "": " 1234.50"} {
		j := Job{}
		j.Prices.Currency = currency
		if got := j.PriceText(big.NewRat(2469, 2)); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
