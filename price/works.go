package price

import (
	"strings"
	"unicode"

	"github.com/govalues/decimal"
)

// The works that an estimate counts hours of.
const (
	TearOff     = "tearing off"
	Forming     = "forming"
	Hanging     = "hanging panels"
	HangingTrim = "hanging trim"
	Barrier     = "weather barrier"
	Scaffold    = "moving the scaffold"
	Travel      = "travel"
)

// Works lists them in the order of an estimate.
var Works = [...]string{TearOff, Forming, Hanging, HangingTrim, Barrier, Scaffold, Travel}

// Rates with a meaning of their own beside minutes by the amount of work.
const (
	SetUpMinutes    = "setup_minutes"
	FeedFtPerMinute = "feed_ft_per_min" // the greater, the fewer hours
	HighShare       = "hang_high_share" // a share of the other rates' minutes
	TearOffAny      = "tear_off_minutes_square"
)

// Part is how many hours of a work one rate of the book plans.
type Part struct {
	Work, Rate string
	Hours      float64
}

// OldCladdings are what commonly hangs on a house before; a shop's book may have a
// rate for any other, under the name that [TearOffRate] gives.
var OldCladdings = [...]string{"wood lap", "wood shingles", "hardboard", "vinyl", "aluminum", "steel", "fiber cement", "stucco"}

// TearOffRate is the name of the rate that tears off an old cladding: "tear_off_" and
// its letters and digits, small, with _ between the words.
func TearOffRate(old string) string {
	words := strings.FieldsFunc(strings.ToLower(old), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return tearOff + strings.Join(words, "_")
}

const tearOff = "tear_off_"

// RateKey gives what a rate is. A rate of a cladding that is not listed is told by
// its name.
func RateKey(name string) Key {
	if k, ok := Named(RateKeys, name); ok {
		return k
	}
	if old, ok := strings.CutPrefix(name, tearOff); ok {
		return tearOffKey(name, strings.ReplaceAll(old, "_", " "))
	}
	return Key{Name: name, What: name}
}

func tearOffKey(name, old string) Key {
	return Key{name, TearOff + " " + old + ": each square", "minutes"}
}

// RateOf is the rate that plans by that name: an old cladding without one of its own goes
// by the rate for any.
func (b Book) RateOf(name string) Figure {
	own := b.Rates[name]
	if !own.Written && strings.HasPrefix(name, tearOff) {
		return b.Rates[TearOffAny]
	}
	return own
}

// tearOff adds the hours that the old cladding takes off and away, by its own rate or
// by the one for any; a book that prices it by the square instead is followed too.
func (s *sheet) tearOff(hanger decimal.Decimal) decimal.Decimal {
	old := s.work.Site.TearOff
	if old == "" {
		return decimal.Zero
	}
	s.disposal(old)
	own, bySquare := TearOffRate(old), s.book.Rates["tear_off_square"]
	rate := s.book.RateOf(own)
	switch {
	case rate.Written:
	case bySquare.Written:
		s.line(Line{Kind: Other, What: TearOff + " " + old, Key: "tear_off_square", Quantity: s.squares(), Unit: "square",
			UnitPrice: bySquare.Value, From: "walls' net area", grows: byArea})
		return decimal.Zero
	default:
		s.rate(TearOffAny) // named as missing
	}
	hours := s.quo(s.mul(s.squares(), rate.Value), sixty)
	s.part(TearOff, own, hours)
	return s.labour(Line{Work: TearOff, What: TearOff + " " + old, Quantity: hours, UnitPrice: hanger, Key: "hanger_hour", From: "walls' net area", grows: byArea})
}

func (s *sheet) disposal(old string) {
	if fee := s.book.Prices["disposal_square"]; fee.Written {
		s.line(Line{Kind: Other, What: "disposal fee for " + old, Key: "disposal_square", Quantity: s.squares(), Unit: "square",
			UnitPrice: fee.Value, From: "walls' net area", grows: byArea})
	}
}

// HoursOf gives the hours that an estimate plans for a work.
func (e Estimate) HoursOf(work string) float64 {
	sum := 0.0
	for _, l := range e.Lines {
		if l.Work == work {
			sum += number(l.Quantity)
		}
	}
	return sum
}
