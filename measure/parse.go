package measure

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"
)

// ErrLength is matched by every error of ParseLength and LengthFromNumber.
var ErrLength = errors.New("not a length")

// Accepted tells a person what a length may look like.
const Accepted = `7' 5 3/8", 7'5-3/8", 89.375 in, 5 3/8 in, 7.5 ft, 2270 mm or 2.27 m`

// LengthError says why a text is not a length, and what would be.
type LengthError struct {
	Text string // what was read
	Why  string // the rule it breaks
	Mend string // what to write instead
}

func (e *LengthError) Error() string {
	return fmt.Sprintf("%q is not a length: %s; %s", clip(e.Text), e.Why, e.Mend)
}

// Unwrap makes errors.Is(err, ErrLength) true.
func (e *LengthError) Unwrap() error { return ErrLength }

func clip(s string) string {
	if len(s) > 60 {
		return strings.ToValidUTF8(s[:57], "") + "..."
	}
	return s
}

// longest text that can be a length; anything longer is refused unread.
const longestText = 64

// ParseLength reads a length written with its unit marks, as the contract says:
// feet and inches, decimal inches or feet, millimetres or metres, a leading "-"
// for the whole. "0" needs no mark. A text that could be read two ways is an
// error. The result is rounded to the nearest nanometre.
func ParseLength(s string) (Length, error) {
	fail := func(why string) (Length, error) {
		return 0, &LengthError{s, why, "write it like " + Accepted}
	}
	if len(s) > longestText {
		return fail("the text is too long")
	}
	t := strings.TrimSpace(s)
	body, negative := strings.CutPrefix(t, "-")
	if body == "0" {
		return 0, nil
	}
	if body == "" {
		return fail("it is empty")
	}
	r, why := readMarked(marks.Replace(body))
	if why != "" {
		return fail(why)
	}
	if negative {
		r.Neg(r)
	}
	l, ok := toNanometres(r)
	if !ok {
		return fail("it is beyond any length of a house or a coil")
	}
	return l, nil
}

// marks folds the typographic primes and quotes that phones write into ' and ".
var marks = strings.NewReplacer("′", "'", "’", "'", "″", `"`, "”", `"`)

// LengthFromNumber reads a bare decimal number of inches from its own text (the
// grammar of a JSON number), rounded to the nearest nanometre.
func LengthFromNumber(text string) (Length, error) {
	fail := func(why string) (Length, error) {
		return 0, &LengthError{text, why, "give inches as a plain number, such as 89.375"}
	}
	r, ok := DecimalText(text)
	if !ok {
		return fail("it is not a finite number of a sane size")
	}
	l, ok := toNanometres(r.Mul(r, inchNM))
	if !ok {
		return fail("it is beyond any length of a house or a coil")
	}
	return l, nil
}

// DecimalText reads the text of a JSON number exactly. It refuses texts that are
// longer than any reading or whose exponent would make the number unreasonably
// large, so that no input costs more than its own size.
func DecimalText(text string) (*big.Rat, bool) {
	if len(text) == 0 || len(text) > 400 {
		return nil, false
	}
	mantissa, exponent, has := strings.Cut(strings.ToLower(text), "e")
	if has && len(strings.TrimLeft(exponent, "+-0")) > 3 {
		return nil, false
	}
	if strings.Trim(mantissa, "-.0123456789") != "" || strings.ContainsAny(exponent, "._/") {
		return nil, false
	}
	return new(big.Rat).SetString(text)
}

var inchNM, footNM = big.NewRat(int64(Inch), 1), big.NewRat(int64(Foot), 1)

// readMarked reads an unsigned length with marks, in nanometres; why is empty
// when it could.
func readMarked(t string) (r *big.Rat, why string) {
	if feet, rest, ok := strings.Cut(t, "'"); ok {
		return readFeet(feet, strings.TrimSpace(rest))
	}
	if in, ok := strings.CutSuffix(t, `"`); ok {
		return readInches(strings.TrimRight(in, " "), inchNM)
	}
	for _, u := range []struct {
		mark  string
		scale *big.Rat
		mixed bool
	}{
		{"in", inchNM, true},
		{"ft", footNM, false},
		{"mm", big.NewRat(int64(Millimetre), 1), false},
		{"m", big.NewRat(int64(Metre), 1), false},
	} {
		number, ok := strings.CutSuffix(t, u.mark)
		if !ok || endsInLetter(number) { // of a longer word, such as cm
			continue
		}
		number = strings.TrimRight(number, " ")
		if u.mixed {
			return readInches(number, u.scale)
		}
		return readDecimal(number, u.scale)
	}
	if strings.Trim(t, " -./0123456789") == "" {
		return nil, "it has no unit mark"
	}
	return nil, "its unit is none of ' \" in ft mm m"
}

func endsInLetter(s string) bool {
	last, _ := utf8.DecodeLastRuneInString(s)
	return unicode.IsLetter(last)
}

// readFeet reads what stands before and after a foot mark.
func readFeet(feet, rest string) (*big.Rat, string) {
	whole, why := readDecimal(feet, footNM)
	if why != "" {
		return nil, why
	}
	if rest == "" {
		return whole, ""
	}
	if strings.Contains(feet, ".") {
		return nil, "decimal feet and inches together could be read two ways"
	}
	if strings.HasSuffix(rest, "in") {
		return nil, `after a foot mark the inches end in " or in nothing, not in the word`
	}
	rest = strings.TrimRight(strings.TrimSuffix(rest, `"`), " ")
	inches, why := readInches(rest, inchNM)
	if why != "" {
		return nil, why
	}
	if inches.Cmp(footNM) >= 0 {
		return nil, "after a foot mark there are fewer than 12 inches"
	}
	return inches.Add(inches, whole), ""
}

// readInches reads "5", "5.375", "3/8", "5 3/8" or "5-3/8".
func readInches(t string, scale *big.Rat) (*big.Rat, string) {
	slash := strings.IndexByte(t, '/')
	if slash < 0 {
		return readDecimal(t, scale)
	}
	whole, top := "0", t[:slash]
	if at := strings.LastIndexAny(top, " -"); at >= 0 {
		whole, top = strings.TrimRight(top[:at], " "), top[at+1:]
	}
	n, d := digits(top), digits(t[slash+1:])
	if n <= 0 || d <= 0 || n >= d || d > 64 || d&(d-1) != 0 {
		return nil, "its fraction is not halves, quarters, 8ths, 16ths, 32nds or 64ths below one"
	}
	if digits(whole) < 0 {
		return nil, "before a fraction stands one whole number"
	}
	r, why := readDecimal(whole, scale)
	if why != "" {
		return nil, why
	}
	part := big.NewRat(n, d)
	return r.Add(r, part.Mul(part, scale)), ""
}

// digits reads a short unsigned integer, -1 if t is none.
func digits(t string) int64 {
	if t == "" || len(t) > 15 {
		return -1
	}
	var n int64
	for _, c := range []byte(t) {
		if c < '0' || c > '9' {
			return -1
		}
		n = 10*n + int64(c-'0')
	}
	return n
}

// readDecimal reads an unsigned decimal number such as 7, 7.5 or .5.
func readDecimal(t string, scale *big.Rat) (*big.Rat, string) {
	whole, part, dotted := strings.Cut(t, ".")
	if dotted && (part == "" || digits("0"+whole) < 0) || !dotted && digits(whole) < 0 {
		return nil, "there is no plain number before its unit mark"
	}
	if strings.Trim(part, "0123456789") != "" {
		return nil, "there is no plain number before its unit mark"
	}
	r, ok := new(big.Rat).SetString("0" + t)
	if !ok {
		return nil, "there is no plain number before its unit mark"
	}
	return r.Mul(r, scale), ""
}

// toNanometres rounds to the nearest integer, halves away from zero; false
// beyond MaxCoil.
func toNanometres(r *big.Rat) (Length, bool) {
	num, den := new(big.Int).Set(r.Num()), r.Denom()
	negative := num.Sign() < 0
	num.Abs(num).Lsh(num, 1).Add(num, den)
	num.Quo(num, new(big.Int).Lsh(den, 1))
	if !num.IsInt64() || num.Int64() > int64(MaxCoil) {
		return 0, false
	}
	l := Length(num.Int64())
	if negative {
		l = -l
	}
	return l, true
}
