package measure

import (
	"math"
	"math/big"
	"math/bits"
	"strconv"
	"strings"
)

// sixtyFourth is the finest fraction that is printed as a fraction.
const sixtyFourth = Inch / 64

// Text prints l in units u so that ParseLength gives back exactly l: feet,
// inches and a fraction where l lies on the 1/64 in grid, else decimal inches;
// millimetres in metric.
func (l Length) Text(u Units) string {
	if u == Metric {
		return decimal(l, Millimetre, 6) + " mm"
	}
	if l%sixtyFourth != 0 {
		return decimal(l, Inch, 9) + " in"
	}
	return fractional(l)
}

// Near prints l rounded to the nearest multiple of step: for drawings, where
// nobody reads nanometres. What is cut is printed with Text.
func (l Length) Near(u Units, step Length) string {
	return l.RoundTo(step).Text(u)
}

// fractional prints a multiple of 1/64 in as feet, inches and a reduced fraction.
func fractional(l Length) string {
	var b strings.Builder
	a := uint64(l)
	if l < 0 {
		b.WriteByte('-')
		a = -a
	}
	feet, rest := a/uint64(Foot), a%uint64(Foot)
	inches, part := rest/uint64(Inch), rest%uint64(Inch)/uint64(sixtyFourth)
	if feet > 0 {
		b.WriteString(strconv.FormatUint(feet, 10) + "'")
		if rest == 0 {
			return b.String()
		}
		b.WriteByte(' ')
	}
	if inches > 0 || part == 0 {
		b.WriteString(strconv.FormatUint(inches, 10))
		if part > 0 {
			b.WriteByte(' ')
		}
	}
	if part > 0 {
		den := uint64(64)
		for part%2 == 0 {
			part, den = part/2, den/2
		}
		b.WriteString(strconv.FormatUint(part, 10) + "/" + strconv.FormatUint(den, 10))
	}
	b.WriteByte('"')
	return b.String()
}

// decimal prints l/unit with as many places as tell neighbouring nanometres
// apart, without trailing zeros.
func decimal(l, unit Length, places int) string {
	s := big.NewRat(int64(l), int64(unit)).FloatString(places)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// Area is an exact area on the nanometre grid: a 128-bit count of HALF square
// nanometres, since every polygon on the grid has a whole number of them. It
// holds 1 km x 1 km with room to spare. The zero value is no area.
type Area struct {
	Hi int64
	Lo uint64
}

// SquareMetres gives a in square metres, to float64 precision.
func (a Area) SquareMetres() float64 {
	if a.Hi < 0 { // two floats of opposite sign would cancel
		lo, borrow := bits.Sub64(0, a.Lo, 0)
		return -Area{-a.Hi - int64(borrow), lo}.SquareMetres()
	}
	return (float64(a.Hi)*math.Exp2(64) + float64(a.Lo)) / 2 / (float64(Metre) * float64(Metre))
}

// SquareFeet gives a in square feet, to float64 precision.
func (a Area) SquareFeet() float64 { return a.SquareMetres() / squareFoot }

// Squares gives a in the trade's squares of 100 sq ft.
func (a Area) Squares() float64 { return a.SquareFeet() / 100 }

const squareFoot = 0.3048 * 0.3048 // m2, exact from the inch's definition
