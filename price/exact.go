package price

import (
	"fmt"

	"github.com/govalues/decimal"

	"coilwright/measure"
)

// exact does decimal arithmetic and keeps the first thing that goes wrong, which
// can only be a number too large for nineteen digits.
type exact struct{ err error }

func (e *exact) keep(d decimal.Decimal, err error) decimal.Decimal {
	if err != nil && e.err == nil {
		e.err = fmt.Errorf("the figures are too large to add up: %w", err)
	}
	return d
}

func (e *exact) add(a, b decimal.Decimal) decimal.Decimal { return e.keep(a.Add(b)) }
func (e *exact) sub(a, b decimal.Decimal) decimal.Decimal { return e.keep(a.Sub(b)) }
func (e *exact) mul(a, b decimal.Decimal) decimal.Decimal { return e.keep(a.Mul(b)) }
func (e *exact) quo(a, b decimal.Decimal) decimal.Decimal { return e.keep(a.Quo(b)) }

func (e *exact) round(d decimal.Decimal, places int) decimal.Decimal {
	return e.keep(round(d, places))
}

// whole is a count.
func (e *exact) whole(n int) decimal.Decimal { return e.keep(decimal.New(int64(n), 0)) }

// feet is a length in feet, to a hundredth, halves up.
func (e *exact) feet(l measure.Length) decimal.Decimal {
	whole, rest := int64(l/measure.Foot), int64(l%measure.Foot)
	foot := int64(measure.Foot)
	return e.keep(decimal.New(whole*100+(rest*100+foot/2)/foot, 2))
}

// squareFeet is an area in square feet, to a hundredth. The area itself is exact;
// its text as a float is good to fifteen figures.
func (e *exact) squareFeet(a measure.Area) decimal.Decimal {
	return e.round(e.keep(decimal.NewFromFloat64(a.SquareFeet())), 2)
}
