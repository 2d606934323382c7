package price

import (
	"math"
	"testing"

	"github.com/govalues/decimal"
)

// Old cladding by hand: 2 squares of vinyl at 45 minutes are 1.5 hours; a cladding
// without a rate of its own takes the one for any; a book with neither is asked for
// it; one that prices it by the square is followed to the cent as before.
func TestTearOff(t *testing.T) {
	for _, c := range []struct {
		name, old string
		rates     map[string]string
		line, sum string
		gap       string
	}{
		{"its own rate", "vinyl", map[string]string{"tear_off_vinyl": "45", TearOffAny: "90", "tear_off_square": "50"}, "tearing off vinyl", "1.50 x 60.00 = 90.00", ""},
		{"any", "Cedar, stained", map[string]string{"tear_off_vinyl": "45", TearOffAny: "90"}, "tearing off Cedar, stained", "3.00 x 60.00 = 180.00", ""},
		{"by the square", "vinyl", map[string]string{"tear_off_square": "50"}, "tearing off vinyl", "2.00 x 50.00 = 100.00", ""},
		{"none", "vinyl", nil, "", "", TearOffAny},
	} {
		w, b := work(), book()
		w.Site.TearOff = c.old
		delete(b.Rates, "tear_off_square")
		for name, value := range c.rates {
			b.Rates[name] = figure(value)
		}
		e, err := Make(w, b)
		if err != nil {
			t.Fatal(err)
		}
		gap, sum := "", ""
		for _, g := range e.Gaps {
			gap += g.Key
		}
		for _, l := range e.Lines {
			if l.What == c.line {
				sum = l.Quantity.String() + " x " + l.UnitPrice.String() + " = " + l.Amount.String()
			}
		}
		if gap != c.gap || sum != c.sum {
			t.Errorf("%s: %q, gap %q", c.name, sum, gap)
		}
	}
}

func TestTearOffRateNames(t *testing.T) {
	for old, want := range map[string]string{"wood lap": "tear_off_wood_lap", " Fiber-Cement ": "tear_off_fiber_cement", "Zedernschindel, 2 Lagen": "tear_off_zedernschindel_2_lagen"} {
		if got := TearOffRate(old); got != want {
			t.Errorf("%q: %s", old, got)
		}
	}
	if k := RateKey("tear_off_cedar_shakes"); k.What != "tearing off cedar shakes: each square" || k.Unit != "minutes" {
		t.Error(k)
	}
	for _, old := range OldCladdings {
		if k := RateKey(TearOffRate(old)); k.Unit != "minutes" || !Optional(k.Name) {
			t.Error(k)
		}
	}
}

// Every hour of every work is planned by some rate: the parts add up to the lines.
func TestPartsAddUp(t *testing.T) {
	w, b := work(), book()
	w.Site.TearOff = "vinyl"
	b.Rates["tear_off_vinyl"] = figure("45")
	w.Shop.Machine.SetupMinutes = 15
	e, err := Make(w, b)
	if err != nil || len(e.Gaps) > 0 {
		t.Fatal(err, e.Gaps)
	}
	rates := map[string]float64{}
	for _, work := range Works {
		sum := 0.0
		for _, p := range e.Parts {
			if p.Work == work {
				sum += p.Hours
				rates[p.Rate] += p.Hours
			}
		}
		if hours := e.HoursOf(work); hours <= 0 || math.Abs(sum-hours) > 0.0051 {
			t.Errorf("%s: parts %g, hours %g", work, sum, hours)
		}
	}
	for rate, want := range map[string]float64{SetUpMinutes: 0.25, FeedFtPerMinute: 0.5, "hang_minutes_ft": 15. / 60, HighShare: 7.5 / 60, "tear_off_vinyl": 1.5} {
		if math.Abs(rates[rate]-want) > 1e-9 {
			t.Errorf("%s plans %g hours, want %g", rate, rates[rate], want)
		}
	}
	sum := decimal.Zero
	for _, l := range e.Lines {
		if l.Work != "" {
			sum, _ = sum.Add(l.Quantity)
		}
	}
	if sum.Cmp(e.Hours()) != 0 {
		t.Errorf("works have %s hours, the estimate %s", sum, e.Hours())
	}
}
