package measure

import (
	"errors"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// accepted is every form of the contract's "Lengths", and what it means.
var accepted = []struct {
	text string
	want Length
}{
	{`7' 5 3/8"`, 7*Foot + 5*Inch + 6*Sixteenth},
	{`7'5-3/8`, 7*Foot + 5*Inch + 6*Sixteenth},
	{`7'5 3/8`, 7*Foot + 5*Inch + 6*Sixteenth},
	{`7' 5-3/8"`, 7*Foot + 5*Inch + 6*Sixteenth},
	{`89.375 in`, 7*Foot + 5*Inch + 6*Sixteenth},
	{`89.375in`, 7*Foot + 5*Inch + 6*Sixteenth},
	{`89 3/8 in`, 7*Foot + 5*Inch + 6*Sixteenth},
	{`89-3/8"`, 7*Foot + 5*Inch + 6*Sixteenth},
	{`89.375"`, 7*Foot + 5*Inch + 6*Sixteenth},
	{`2270 mm`, 2270 * Millimetre},
	{`2270mm`, 2270 * Millimetre},
	{`2.27 m`, 2270 * Millimetre},
	{`2270.000001 mm`, 2270*Millimetre + 1},
	{`7.5 ft`, 90 * Inch},
	{`7.5'`, 90 * Inch},
	{`32'`, 32 * Foot},
	{`0'`, 0},
	{`0' 0"`, 0},
	{`0`, 0},
	{`-0`, 0},
	{`0 in`, 0},
	{`3/8"`, 6 * Sixteenth},
	{`63/64 in`, 63 * Inch / 64},
	{`6' 3/8"`, 6*Foot + 6*Sixteenth},
	{`6' 10.5"`, 6*Foot + 10*Inch + 8*Sixteenth},
	{`.5 in`, Inch / 2},
	{`010 in`, 10 * Inch}, // never octal
	{`-1' 4"`, -16 * Inch},
	{`-1 in`, -Inch},
	{`-2.5 mm`, -2500 * 1000 * Nanometre},
	{`  7' 5"  `, 89 * Inch},
	{`7′ 5″`, 89 * Inch}, // typographic primes
	{`7’ 5”`, 89 * Inch}, // quotes that a phone writes
	{`100000 m`, MaxCoil},
	{`-100000 m`, -MaxCoil},
	{`0.0000005 mm`, 1}, // half a nanometre goes away from zero
	{`-0.0000005 mm`, -1},
	{`0.00000049 mm`, 0},
}

func TestParseLength(t *testing.T) {
	for _, c := range accepted {
		got, err := ParseLength(c.text)
		if err != nil || got != c.want {
			t.Errorf("%s: %d (%v), want %d", c.text, got, err, c.want)
		}
	}
}

// refused is text that is no length or could be read two ways, with a word of
// the reason that a person is told.
var refused = []struct{ text, why string }{
	{``, "empty"},
	{`   `, "empty"},
	{`-`, "empty"},
	{`7`, "no unit mark"},
	{`89.375`, "no unit mark"},
	{`7 5/8`, "no unit mark"}, // feet and inches, or a mixed number
	{`7-5`, "no unit mark"},
	{`00`, "no unit mark"},
	{`7.5' 3"`, "two ways"},
	{`7' 12"`, "fewer than 12 inches"},
	{`7' 11.9999999999999999999"x`, "no plain number"},
	{`7' -5"`, "no plain number"}, // the sign stands before the whole
	{`--5"`, "no plain number"},
	{`- 5"`, "no plain number"},
	{`+5"`, "no plain number"},
	{`7' 5' 3"`, "no plain number"},
	{`7''`, "no plain number"},
	{`"`, "no plain number"},
	{`'`, "no plain number"},
	{`' 5"`, "no plain number"},
	{`7' "`, "no plain number"},
	{`5" 3/8`, "unit is none"},
	{`5/8' 3"`, "no plain number"},
	{`1/2 ft`, "no plain number"},
	{`1/2 m`, "no plain number"},
	{`5/3"`, "fraction"},
	{`1/3"`, "fraction"},
	{`1/128"`, "fraction"},
	{`0/8"`, "fraction"},
	{`1/0"`, "fraction"},
	{`8/8"`, "fraction"},
	{`1 2 3/8"`, "one whole number"},
	{`1.5 3/8"`, "one whole number"},
	{`/8"`, "fraction"},
	{`1,5 m`, "no plain number"},
	{`1 000 mm`, "no plain number"},
	{`5. in`, "no plain number"},
	{`1e3 mm`, "no plain number"},
	{`0x10 in`, "no plain number"},
	{`1_0 in`, "no plain number"},
	{`NaN in`, "no plain number"},
	{`Inf ft`, "no plain number"},
	{`٣ in`, "no plain number"}, // digits of another script
	{`7 inches`, "unit is none"},
	{`7 feet`, "unit is none"},
	{`7 cm`, "unit is none"},
	{`7cm`, "unit is none"},
	{`7 sqm`, "unit is none"},
	{`7' 5 3/8 in`, "after a foot mark"},
	{`7'5in`, "after a foot mark"},
	{`7 yd`, "unit is none"},
	{`7 IN`, "unit is none"},
	{`seven`, "unit is none"},
	{`100000.1 m`, "beyond"},
	{`-100001 m`, "beyond"},
	{`999999999999999 m`, "beyond"},
	{`9999999999999999 m`, "no plain number"},
	{strings.Repeat("1", 65) + ` m`, "too long"},
}

func TestParseLengthRefuses(t *testing.T) {
	for _, c := range refused {
		got, err := ParseLength(c.text)
		if err == nil {
			t.Errorf("%q was read as %d nm", c.text, got)
			continue
		}
		if !errors.Is(err, ErrLength) || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%q: %v; want ErrLength saying %q", c.text, err, c.why)
		}
		if !strings.Contains(err.Error(), Accepted) {
			t.Errorf("%q: %v does not say what would be accepted", c.text, err)
		}
	}
}

// TestErrorIsShort: a hostile text must not flood a terminal, nor be cut inside
// a letter.
func TestErrorIsShort(t *testing.T) {
	_, err := ParseLength(strings.Repeat("é", 1000))
	var e *LengthError
	if !errors.As(err, &e) || len(err.Error()) > 400 || strings.Contains(err.Error(), "�") {
		t.Errorf("%v", err)
	}
}

func TestLengthFromNumber(t *testing.T) {
	for _, c := range []struct {
		text string
		want Length
	}{
		{"0", 0},
		{"-0", 0},
		{"89.375", 7*Foot + 5*Inch + 6*Sixteenth},
		{"-16", -16 * Inch},
		{"1e2", 100 * Inch},
		{"1E-2", Inch / 100},
		{"12.5e+1", 125 * Inch},
		{"0.1", Inch / 10},                                   // not the nearest float's 0.1000000000000000055
		{"0." + strings.Repeat("3", 300), 8_466_667},         // a third of an inch
		{"1e-999", 0},                                        // far below a nanometre
		{"3937007.874015748", MaxCoil},                       // 100 km
		{"1" + strings.Repeat("0", 20) + "e-20", Inch},       // large and small at once
		{"0." + strings.Repeat("0", 20) + "1e21", Inch},      //
		{"1e00000000000000000000000000000001", 10 * Inch},    // leading zeros cost nothing
		{"0.0000000196850393700787401574803149606299213", 1}, // just over half a nanometre
	} {
		got, err := LengthFromNumber(c.text)
		if err != nil || got != c.want {
			t.Errorf("%s: %d (%v), want %d", c.text, got, err, c.want)
		}
	}
}

// TestLengthFromNumberRefuses holds numbers that would take the memory of the
// machine if their exponent were worked out.
func TestLengthFromNumberRefuses(t *testing.T) {
	for _, text := range []string{
		"", "-", ".", "e5", "1e", "1e+", "1e+-5", "NaN", "Infinity", "-Inf",
		"1e308", "-1e308", "1e309", "1e999", "1e1000", "1e999999999", "1e-1000", "1e-999999999",
		"1e99999999999999999999", "0e9999", "3937008", "0x10", "0b1", "1_000", "1/2", "1e1/2", "1e1.5",
		"1 ", " 1", "1\x00", "5 in", strings.Repeat("9", 401),
	} {
		if got, err := LengthFromNumber(text); !errors.Is(err, ErrLength) {
			t.Errorf("%q: %d, %v; want ErrLength", text, got, err)
		}
	}
}

// TestDecimalInchesAgainstFractions judges reading: for random decimals and
// random 64ths the answer is the integer nearest to the exact fraction.
func TestDecimalInchesAgainstFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`-?(0|[1-9][0-9]{0,5})\.[0-9]{1,25}`).Draw(t, "text")
		exact, _ := new(big.Rat).SetString(text)
		exact.Mul(exact, big.NewRat(25_400_000, 1))
		bare, err1 := LengthFromNumber(text)
		marked, err2 := ParseLength(text + " in")
		if err1 != nil || err2 != nil || bare != marked {
			t.Fatalf("%s: bare %d (%v), with its mark %d (%v)", text, bare, err1, marked, err2)
		}
		off := new(big.Rat).Sub(exact, big.NewRat(int64(bare), 1))
		if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
			t.Fatalf("%s in is %s nm, read as %d", text, exact.FloatString(3), bare)
		}
	})
}

func TestFractionsAgainstFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		feet := rapid.Int64Range(0, 3000).Draw(t, "feet")
		inches := rapid.Int64Range(0, 11).Draw(t, "inches")
		den := int64(1) << rapid.IntRange(1, 6).Draw(t, "power")
		num := rapid.Int64Range(1, den-1).Draw(t, "numerator")
		text := feetText(feet, inches, num, den)
		exact := new(big.Rat).Add(big.NewRat(12*feet+inches, 1), big.NewRat(num, den))
		exact.Mul(exact, big.NewRat(25_400_000, 1))
		got, err := ParseLength(text)
		if err != nil || !exact.IsInt() || exact.Num().Int64() != int64(got) {
			t.Fatalf("%s: %d (%v), want %s", text, got, err, exact.RatString())
		}
		if minus, err := ParseLength("-" + text); err != nil || minus != -got {
			t.Fatalf("-%s: %d (%v), want %d", text, minus, err, -got)
		}
	})
}
