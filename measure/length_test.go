package measure

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// anyLength draws lengths of the whole range that a job may hold.
func anyLength(t *rapid.T, name string) Length {
	return Length(rapid.Int64Range(int64(-MaxCoil), int64(MaxCoil)).Draw(t, name))
}

// TestUnitsAreExact ties the constants to the inch's definition, 25.4 mm
// (international yard and pound agreement, 1959).
func TestUnitsAreExact(t *testing.T) {
	for _, c := range []struct {
		what      string
		got, want Length
	}{
		{"inch in mm", 10 * Inch, 254 * Millimetre},
		{"foot in mm", 10 * Foot, 3048 * Millimetre},
		{"64ths in an inch", 64 * 396_875 * Nanometre, Inch},
		{"16ths in an inch", 16 * Sixteenth, Inch},
		{"mm in a metre", 1000 * Millimetre, Metre},
		{"imperial step", 16 * Imperial.Step(), Inch},
		{"metric step", Metric.Step(), Millimetre},
	} {
		if c.got != c.want {
			t.Errorf("%s: %d, want %d", c.what, c.got, c.want)
		}
	}
}

// TestRoundingAgainstIntegers judges the three roundings with big integers:
// floor is Euclid's quotient, ceil and nearest follow from it.
func TestRoundingAgainstIntegers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLength(t, "l")
		step := Length(rapid.Int64Range(1, int64(10*Foot)).Draw(t, "step"))
		if got, want := l.FloorTo(step), bigFloor(l, step); got != want {
			t.Fatalf("floor of %d to %d: %d, want %d", l, step, got, want)
		}
		if got, want := l.CeilTo(step), -bigFloor(-l, step); got != want {
			t.Fatalf("ceiling of %d to %d: %d, want %d", l, step, got, want)
		}
		if got := l.RoundTo(step); 2*(got-l).Abs() > step || got != bigFloor(got, step) {
			t.Fatalf("%d rounded to %d: %d", l, step, got)
		}
	})
}

func bigFloor(l, step Length) Length {
	q, _ := new(big.Int).DivMod(big.NewInt(int64(l)), big.NewInt(int64(step)), new(big.Int))
	return Length(q.Int64()) * step
}

func TestRoundTo(t *testing.T) {
	for _, c := range []struct{ l, step, want Length }{
		{0, Sixteenth, 0},
		{Sixteenth / 2, Sixteenth, Sixteenth}, // halves go up
		{-Sixteenth / 2, Sixteenth, 0},
		{-1, 2, 0},
		{1, 2, 2},
		{3, 2, 4},
		{1, 3, 0},
		{2, 3, 3},
		{-2, 3, -3},
	} {
		if got := c.l.RoundTo(c.step); got != c.want {
			t.Errorf("%d to %d: %d, want %d", c.l, c.step, got, c.want)
		}
	}
}

// TestInches judges the conversion to decimal inches with exact fractions: it
// must be the float64 nearest to the true quotient.
func TestInches(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLength(t, "l")
		want, _ := big.NewRat(int64(l), int64(Inch)).Float64()
		if got := l.Inches(); got != want {
			t.Fatalf("%d nm: %v in, want %v", l, got, want)
		}
		if back := FromInches(l.Inches()); l.Abs() <= MaxHouse && back != l {
			t.Fatalf("%d nm came back from inches as %d", l, back)
		}
	})
}

func TestFromFloats(t *testing.T) {
	for _, c := range []struct{ got, want Length }{
		{FromInches(0.0625), Sixteenth},
		{FromInches(-16), -16 * Inch},
		{FromMillimetres(2270), 2270 * Millimetre},
		{FromMillimetres(-0.0000006), -1},
	} {
		if c.got != c.want {
			t.Errorf("%d, want %d", c.got, c.want)
		}
	}
}

// TestAreas: 1 m2 is 10.763 910 416 709 722 sq ft (from the foot's definition,
// 0.3048 m); a square of siding is 100 sq ft (common practice).
func TestAreas(t *testing.T) {
	metre := halfSquares(new(big.Int).Mul(big.NewInt(2*int64(Metre)), big.NewInt(int64(Metre))))
	if got := metre.SquareMetres(); got != 1 {
		t.Errorf("one square metre is %v m2", got)
	}
	if got, want := metre.SquareFeet(), 10.763910416709722; math.Abs(got/want-1) > 1e-15 {
		t.Errorf("one square metre is %v sq ft, want %v", got, want)
	}
	km := halfSquares(new(big.Int).Mul(big.NewInt(2*int64(1000*Metre)), big.NewInt(int64(1000*Metre))))
	if got := km.SquareMetres(); got != 1e6 {
		t.Errorf("1 km x 1 km is %v m2", got)
	}
	if got, want := km.Squares(), km.SquareFeet()/100; got != want {
		t.Errorf("squares: %v, want %v", got, want)
	}
	if got := halfSquares(big.NewInt(-2)).SquareMetres(); math.Abs(got/-1e-18-1) > 1e-12 {
		t.Errorf("minus one square nanometre is %v m2", got)
	}
}

// halfSquares makes an Area of a count of half square nanometres.
func halfSquares(n *big.Int) Area {
	hi, lo := new(big.Int).DivMod(n, new(big.Int).Lsh(big.NewInt(1), 64), new(big.Int))
	return Area{hi.Int64(), lo.Uint64()}
}
