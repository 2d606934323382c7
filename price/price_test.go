package price

import (
	"math/big"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"coilwright/coil"
	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
	"coilwright/trim"
)

func figure(text string) Figure { return Figure{Value: decimal.MustParse(text), Written: true} }

// book is round figures, so that the sums below can be done by hand.
func book() Book {
	rates := map[string]Figure{}
	for name, text := range map[string]string{
		"hanger_hour": "60", "operator_hour": "30", "hang_minutes_piece": "2", "hang_minutes_ft": "0.5", "hang_minutes_cut_end": "3",
		"hang_minutes_notch": "5", "hang_high_share": "0.5", "trim_minutes_ft": "1", "wrb_minutes_square": "6", "scaffold_move_hours": "1",
		"scaffold_width_ft": "10", "travel_hours_day": "0.5", "crew": "2", "day_hours": "8", "trailer_day": "100", "nails_per_lb": "200",
		"overhead": "0.1", "margin": "0.25", "tear_off_square": "50", "setup_minutes": "15", "feed_ft_per_min": "40",
	} {
		rates[name] = figure(text)
	}
	return Book{
		Currency: "USD", Rates: rates,
		Prices: map[string]Figure{"starter_ft": figure("0.855"), "wrb_roll": figure("100"), "nails_lb": figure("6"), "shake_piece": figure("9.80")},
	}
}

// work is one wall of 20 ft x 10 ft with two pieces: one on the ground with a
// notch, one 20 ft up with a cut end.
func work() Work {
	ft := measure.Foot
	wall := plane.Ring{{}, {X: 20 * ft}, {X: 20 * ft, Y: 10 * ft}, {Y: 10 * ft}}
	return Work{
		House:  house.House{Walls: []house.Wall{{ID: "south", Outline: wall, Measured: house.Pedigree{By: house.Tape, PlusMinus: measure.Inch / 8}}}},
		Scheme: scheme.Scheme{ID: "A", Zones: []scheme.Zone{{ID: "field", Panel: "lap"}}},
		Shop: &steel.Book{Mill: []steel.Mill{{Colour: "any", Length: 300 * ft, Price: big.NewRat(200, 1)}, {Colour: "bone", Length: 100 * ft, Price: big.NewRat(1, 1)}},
			Trim: steel.Trim{StockLength: 12 * ft}},
		Layout: &course.Layout{
			Zones: []course.ZoneOnWall{{Wall: 0, Area: wall.Area()}},
			Pieces: []course.Piece{
				{ID: "1", Length: 10 * ft, Notches: make([]course.Notch, 1), Ends: []course.End{{Side: course.LeftEnd, Angle: 90}, {Side: course.TopEdge, Angle: 10}}},
				{ID: "2", Length: 20 * ft, At: plane.Point{Y: 20 * ft}, Ends: []course.End{{Side: course.RightEnd, Angle: 45}}},
			},
		},
		Trim: []trim.Line{
			{Kind: trim.Starter, What: "starter strip", Length: 20 * ft, Pieces: 2}, {Kind: trim.WRB, What: "barrier", Pieces: 1},
			{Kind: trim.PanelNails, Count: 100}, {Kind: trim.TrimNails, Count: 51},
		},
		Plan: coil.Plan{
			Runs:  []coil.Run{{Minutes: 45}},
			Reels: []coil.Reel{{Colour: "slate", Used: 36*ft + 1, Pieces: []string{"1", "2"}}},
		},
		Site: Site{TearOff: "wood lap", ScaffoldMoves: 1},
	}
}

// Every amount here was worked out by hand with the rounding rule of the package.
func TestMakeByHand(t *testing.T) {
	e, err := Make(work(), book())
	if err != nil || len(e.Gaps) > 0 {
		t.Fatal(err, e.Gaps)
	}
	want := []struct{ what, quantity, each, amount string }{
		{"slate coil, 0.0000 in x 0 in", "36.00", "0.6667", "24.00"}, // 200/300 a foot; 24.0012
		{"starter strip", "24.00", "0.855", "20.52"},                 // two lengths of 12 ft
		{"barrier", "1.00", "100.00", "100.00"},
		{"nails", "0.76", "6.00", "4.56"},             // 151/200 = 0.755, halves up
		{"forming", "0.75", "30.00", "22.50"},         // 45 min
		{"hanging panels", "0.58", "60.00", "34.80"},  // 2+5+5 = 12; (2+10+3) x 1.5 = 22.5; 34.5 min = 0.575 h
		{"hanging trim", "0.33", "60.00", "19.80"},    // 20 min
		{"weather barrier", "0.20", "60.00", "12.00"}, // 2 squares
		{"moving the scaffold", "1.00", "60.00", "60.00"},
		{"travel", "1.00", "60.00", "60.00"},                // 2.85 h: one day, two people
		{"tearing off wood lap", "2.00", "50.00", "100.00"}, // by the square, as this book has it
		{"machine and trailer", "1.00", "100.00", "100.00"},
	}
	if len(e.Lines) != len(want) {
		t.Fatalf("%d lines, want %d: %v", len(e.Lines), len(want), e.Lines)
	}
	for i, w := range want {
		if l := e.Lines[i]; l.What != w.what || l.Quantity.String() != w.quantity || l.UnitPrice.String() != w.each || l.Amount.String() != w.amount {
			t.Errorf("%s: %s x %s = %s, want %+v", l.What, l.Quantity, l.UnitPrice, l.Amount, w)
		}
		ofPieces := w.what == Forming || w.what == Hanging || strings.Contains(w.what, "coil")
		if got := e.Lines[i].Pieces; ofPieces != slices.Equal(got, []string{"1", "2"}) || !ofPieces && got != nil {
			t.Errorf("%s comes from the pieces %v", w.what, got)
		}
	}
	for _, c := range []struct {
		what string
		got  decimal.Decimal
		want string
	}{
		{"direct", e.Direct, "558.18"}, {"overhead", e.Overhead, "55.82"}, {"cost", e.Cost, "614.00"},
		{"price", e.Price, "818.67"}, {"margin", e.Margin, "204.67"}, {"total", e.Total, "818.67"},
	} {
		if c.got.String() != c.want {
			t.Errorf("%s %s, want %s", c.what, c.got, c.want)
		}
	}
}

// A tax falls on the share of the price that its kinds of lines have.
func TestTaxes(t *testing.T) {
	b := book()
	b.Taxes = []Tax{{Title: "sales tax", Share: decimal.MustParse("0.07"), On: []Kind{Material}}}
	e, err := Make(work(), b)
	if err != nil {
		t.Fatal(err)
	}
	// materials 149.08 of 558.18; 818.67 x 149.08/558.18 x 0.07 = 15.3057
	if e.Taxes[0].Amount.String() != "15.31" || e.Total.String() != "833.98" {
		t.Errorf("tax %s, total %s", e.Taxes[0].Amount, e.Total)
	}
}

// A tax that leaves the starter's line out falls on 128.56 of 558.18 of the price:
// 818.67 x 128.56/558.18 x 0.07 = 13.1989, by hand.
func TestTaxExcept(t *testing.T) {
	b := book()
	b.Taxes = []Tax{{Title: "sales tax", Share: decimal.MustParse("0.07"), On: []Kind{Material}, Except: []string{"starter_ft"}}}
	e, err := Make(work(), b)
	if err != nil || e.Taxes[0].Amount.String() != "13.20" {
		t.Error(e.Taxes, err)
	}
}

// A mark-up of a quarter on 614.00 is 767.50: a margin of a fifth.
func TestMarkup(t *testing.T) {
	b := book()
	delete(b.Rates, "margin")
	b.Rates["markup"] = figure("0.25")
	e, err := Make(work(), b)
	if err != nil || len(e.Gaps) > 0 || e.Price.String() != "767.50" || e.Margin.String() != "153.50" {
		t.Error(e.Price, e.Margin, e.Gaps, err)
	}
	delete(b.Rates, "markup")
	if e, _ = Make(work(), b); len(e.Gaps) != 1 || e.Gaps[0].Key != "margin" {
		t.Error("neither margin nor mark-up, and nothing is missed:", e.Gaps)
	}
}

// What a shop may price, or leave out: 20 ft of channel at 15 ft a tube are 2 tubes,
// one day's rent, 2 squares' fee; without its yield a tube is a gap.
func TestOptionalLines(t *testing.T) {
	b, w := book(), work()
	w.Trim = append(w.Trim, trim.Line{Kind: trim.Channel, What: "J-channel", Length: 20 * measure.Foot})
	b.Prices["j_channel_ft"] = figure("1")
	b.Prices["sealant_tube"], b.Prices["rental_day"], b.Prices["disposal_square"] = figure("9.50"), figure("210"), figure("18")
	if e, _ := Make(w, b); len(e.Gaps) != 1 || e.Gaps[0].Key != "sealant_ft_tube" {
		t.Error(e.Gaps)
	}
	b.Rates["sealant_ft_tube"] = figure("15")
	e, err := Make(w, b)
	if err != nil || len(e.Gaps) > 0 {
		t.Fatal(e.Gaps, err)
	}
	got := map[string]string{}
	for _, l := range e.Lines {
		got[l.Key] = l.Amount.String()
	}
	if got["sealant_tube"] != "19.00" || got["rental_day"] != "210.00" || got["disposal_square"] != "36.00" {
		t.Error(got)
	}
}

// Each figure that the book lacks is named once, and what hangs on it has no amount.
func TestGaps(t *testing.T) {
	b := book()
	delete(b.Prices, "starter_ft")
	delete(b.Rates, "hanger_hour")
	w := work()
	w.Shop.Mill = nil
	e, err := Make(w, b)
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	for _, g := range e.Gaps {
		keys = append(keys, g.Key)
	}
	if len(keys) != 3 || keys[0] != "mill" || keys[1] != "starter_ft" || keys[2] != "hanger_hour" {
		t.Errorf("gaps %v", keys)
	}
}

func TestCurrency(t *testing.T) {
	for code, want := range map[string]bool{"USD": true, "JPY": true, "usd": false, "XXX": false, "ABC": false, "": false, "840": false} {
		if IsCurrency(code) != want {
			t.Errorf("%q: %v", code, !want)
		}
	}
	b := book()
	b.Currency = "JPY" // no smaller unit, ISO 4217
	if e, err := Make(work(), b); err != nil || e.Total.Scale() != 0 {
		t.Errorf("%v %v", e.Total, err)
	}
	b.Currency = "ABC"
	if _, err := Make(work(), b); err == nil {
		t.Error("an unknown currency was taken")
	}
}

// ISO 80000-1, annex B, rule B (halves go to the greater magnitude) with its examples in
// steps of 0.1 and of 10 (from memory).
func TestRoundISO(t *testing.T) {
	for _, c := range [][2]string{{"12.223", "12.2"}, {"12.251", "12.3"}, {"12.275", "12.3"}, {"12.25", "12.3"}, {"12.35", "12.4"}} {
		if got, err := round(decimal.MustParse(c[0]), 1); err != nil || got.String() != c[1] {
			t.Errorf("%s: %s, want %s", c[0], got, c[1])
		}
	}
	for _, c := range [][2]string{{"1222.3", "1220"}, {"1225.1", "1230"}, {"1227.5", "1230"}, {"1225.0", "1230"}, {"1235.0", "1240"}} {
		tens, _ := decimal.MustParse(c[0]).Quo(decimal.Ten)
		got, err := round(tens, 0)
		if back, _ := got.Mul(decimal.Ten); err != nil || back.String() != c[1] {
			t.Errorf("%s: %s, want %s", c[0], back, c[1])
		}
	}
}

// The rounding rule against exact fractions: floor(x + 1/2) at the last place.
func TestRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := decimal.MustNew(rapid.Int64Range(0, 1e12).Draw(t, "n"), rapid.IntRange(0, 9).Draw(t, "scale"))
		places := rapid.IntRange(0, 5).Draw(t, "places")
		got, err := round(d, places)
		if err != nil {
			t.Fatal(err)
		}
		x, _ := new(big.Rat).SetString(d.String())
		unit := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil))
		x.Add(x.Mul(x, unit), big.NewRat(1, 2))
		want := new(big.Int).Div(x.Num(), x.Denom())
		back, _ := new(big.Rat).SetString(got.String())
		if back.Mul(back, unit).Cmp(new(big.Rat).SetInt(want)) != 0 || got.Scale() != places {
			t.Fatalf("%s to %d places: %s", d, places, got)
		}
	})
}

// Differences add up to the difference of direct cost, whatever the lines.
func TestDifferencesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) Estimate {
			e := Estimate{Direct: decimal.Zero}
			for range rapid.IntRange(0, 6).Draw(t, name) {
				l := Line{Kind: rapid.SampledFrom(Kinds[:]).Draw(t, "kind"), Key: rapid.SampledFrom([]string{"mill", "x", "hanger_hour"}).Draw(t, "key"),
					Amount: decimal.MustNew(rapid.Int64Range(0, 1e8).Draw(t, "amount"), 2)}
				e.Lines = append(e.Lines, l)
				e.Direct, _ = e.Direct.Add(l.Amount)
			}
			return e
		}
		a, b := draw("a"), draw("b")
		all, err := Differences(a, b)
		if err != nil {
			t.Fatal(err)
		}
		sum := decimal.Zero
		for _, d := range all {
			sum, _ = sum.Add(d.Amount)
		}
		if want, _ := b.Direct.Sub(a.Direct); sum.Cmp(want) != 0 {
			t.Fatalf("differences add up to %s, want %s", sum, want)
		}
	})
}
