package course

import (
	"math/big"
	"testing"

	"coilwright/measure"
	"coilwright/steel"

	"pgregory.net/rapid"
)

// The judge works the rule of the contract out in decimal steps of its own: the
// gap is the least multiple of the step that is no less than the need.
func TestGapIsTheLeastMultipleThatSuffices(t *testing.T) {
	inWords, inRationals := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		length := func(name string, most int64) measure.Length {
			return measure.Length(rapid.Int64Range(0, most).Draw(t, name))
		}
		// A small part with a large prime below brings fractions that no word holds.
		below := rapid.SampledFrom([]int64{1, 1000, 999_983, 1_000_000_000_039}).Draw(t, "below")
		rat := func(name string, least, most, unit int64) *big.Rat {
			r := big.NewRat(rapid.Int64Range(least, most).Draw(t, name), unit)
			return r.Add(r, big.NewRat(1, below*1000))
		}
		g := steel.Gap{
			Min: length("min", 50_000_000), Allowance: length("allowance", 50_000_000),
			AlphaPerF: new(big.Rat).Quo(rat("alpha", 1, 200, 10), big.NewRat(1e6, 1)),
			HottestF:  rat("hottest", 0, 2000, 10),
		}
		install, r := rat("install", -400, 1200, 10), length("R", int64(measure.MaxHouse))
		share := rapid.SampledFrom([]*big.Rat{one, oneHalf}).Draw(t, "share")
		step := rapid.SampledFrom([]measure.Length{measure.Sixteenth, measure.Millimetre, measure.Inch / 64}).Draw(t, "step")
		got := ExpansionGap(g, r, install, share, step)

		need := new(big.Rat).Sub(g.HottestF, install)
		if need.Sign() < 0 {
			need.SetInt64(0)
		}
		need.Mul(need, g.AlphaPerF).Mul(need, share).Mul(need, big.NewRat(int64(r), 1)).Add(need, big.NewRat(int64(g.Allowance), 1))
		enough := func(l measure.Length) bool {
			return l >= g.Min && big.NewRat(int64(l), 1).Cmp(need) >= 0
		}
		if got%step != 0 || !enough(got) || got > 0 && enough(got-step) {
			t.Fatalf("gap %d nm with step %d for a need of %s nm, least %d", got, step, need.FloatString(3), g.Min)
		}
		if _, ok := newGapRule(g, install, share, step).inWords(r); ok {
			inWords++
		} else {
			inRationals++
		}
	})
	if inWords == 0 || inRationals == 0 {
		t.Errorf("%d gaps in words, %d in rationals: the test must see both", inWords, inRationals)
	}
}
