package document

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
	"unicode"

	"coilwright/measure"
)

// turns are the characters that turn the direction of writing against that of the letters
// (Unicode Standard Annex 9, 2.1 to 2.4): on paper they would put a number's digits in another
// order.
func turns(r rune) bool { return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 }

// Text reads a text of up to 1,000 characters without control characters and such as turn the
// direction of writing.
func (v Value) Text() string {
	if !v.is(text) {
		return ""
	}
	t := v.node.text
	switch {
	case len(t) > 4000:
		v.Errorf("write it shorter", "the text is too long")
	case strings.ContainsFunc(t, unicode.IsControl):
		v.Errorf("write it in one plain line", "the text holds a control character")
	case strings.ContainsFunc(t, turns):
		v.Errorf("type it anew", "the text holds a hidden character that turns the direction of writing")
	default:
		return t
	}
	return ""
}

// ID reads a text that names something: not empty.
func (v Value) ID() string {
	t := v.Text()
	if v.IsText() && strings.TrimSpace(v.node.text) == "" {
		v.Errorf("give it a short name", "the id is empty")
	}
	return t
}

// Bool reads true or false.
func (v Value) Bool() bool { return v.is(boolean) && v.node.text == "true" }

// OneOf reads a text that is one of the names; what says what they name, as in
// "edge kind". It gives "" where it is none.
func (v Value) OneOf(what string, names []string) string {
	if !v.is(text) {
		return ""
	}
	for _, n := range names {
		if v.node.text == n {
			return n
		}
	}
	v.Errorf(knownNames(v.node.text, names), "%q is no %s", clip(v.node.text), what)
	return ""
}

// Range is a rule for numbers and lengths: what is outside is found as an error.
type Range struct{ Low, High measure.Length }

// The ranges of the contract.
var (
	Anywhere = Range{-measure.MaxHouse, measure.MaxHouse} // a coordinate or height of a house
	Depth    = Range{0, measure.MaxHouse}                 // a size that may be nothing
	Size     = Range{1, measure.MaxHouse}                 // a size
	CoilSize = Range{1, measure.MaxCoil}                  // length of a coil or of a longest piece
)

// Length reads a length: a bare number of inches or a text with unit marks.
func (v Value) Length(r Range) measure.Length {
	if !v.Present() {
		return 0
	}
	l, err := v.length()
	var bad *measure.LengthError
	switch {
	case errors.As(err, &bad):
		v.Errorf("write a length like "+measure.Accepted+", or inches as a bare number", "%q is not a length: %s", clip(bad.Text), bad.Why)
	case err != nil:
		v.Errorf("write a length like "+measure.Accepted+", or inches as a bare number", "%s", err)
	case l < r.Low && r.Low == 1:
		v.Errorf("write a length above 0", "%s is not a size", v.shown())
	case l < r.Low && r.Low == 0:
		v.Errorf("write a length of 0 or more", "%s is below 0", v.shown())
	case l < r.Low || l > r.High:
		v.Errorf(fmt.Sprintf("write a length of at most %d m", r.High/measure.Metre), "%s is beyond %d m", v.shown(), r.High/measure.Metre)
	default:
		return l
	}
	return 0
}

func (v Value) length() (measure.Length, error) {
	switch v.node.kind {
	case text:
		return measure.ParseLength(v.node.text)
	case number:
		return measure.LengthFromNumber(v.node.text)
	}
	return 0, fmt.Errorf("%s stands where a length should", v.node.kind)
}

// shown is the value as the person wrote it.
func (v Value) shown() string { return clip(v.node.text) }

// Exact reads a number between low and high, inclusive, to its last digit. It
// gives nil where it is absent or wrong.
func (v Value) Exact(low, high float64) *big.Rat {
	if !v.is(number) {
		return nil
	}
	return v.inside(low, high)
}

// Decimal is Exact for a number that may be written as a text too, as in "12.50".
func (v Value) Decimal(low, high float64) *big.Rat {
	if v.IsText() {
		if !isNumber(v.node.text) {
			v.Errorf(`write it like 12.50 or "12.50"`, "%q is not a decimal number", clip(v.node.text))
			return nil
		}
		return v.inside(low, high)
	}
	return v.Exact(low, high)
}

func (v Value) inside(low, high float64) *big.Rat {
	r, ok := measure.DecimalText(v.node.text)
	if !ok || r.Cmp(new(big.Rat).SetFloat64(low)) < 0 || r.Cmp(new(big.Rat).SetFloat64(high)) > 0 {
		v.Errorf(fmt.Sprintf("write a number from %g to %g", low, high), "%s is out of range", v.shown())
		return nil
	}
	return r
}

// Number is Exact, to float64 precision; 0 where absent or wrong.
func (v Value) Number(low, high float64) float64 {
	r := v.Exact(low, high)
	if r == nil {
		return 0
	}
	f, _ := r.Float64()
	return f
}

// Int reads a whole number between low and high, inclusive; 0 where absent or wrong.
func (v Value) Int(low, high int) int {
	r := v.Exact(float64(low), float64(high))
	if r == nil {
		return 0
	}
	if !r.IsInt() {
		v.Errorf("write a whole number", "%s is not a whole number", v.shown())
		return 0
	}
	return int(r.Num().Int64())
}
