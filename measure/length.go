// Package measure holds the quantities of the trade as types: lengths, areas,
// weights, temperatures, and the reading and printing of them.
//
// A length is an integer number of nanometres, so that 1/64 in (396 875 nm) and
// 1 mm (1 000 000 nm) are both exact and no float ever holds a length that gets
// cut. Nothing here knows a house, a panel or a file.
package measure

import "math"

// Length is a distance in whole nanometres. The zero value is no length.
type Length int64

// Exact units. The inch is 25.4 mm by definition (international yard and pound
// agreement, 1959).
const (
	Nanometre  Length = 1
	Millimetre        = 1_000_000 * Nanometre
	Metre             = 1000 * Millimetre
	Inch              = 25_400_000 * Nanometre
	Sixteenth         = Inch / 16
	Foot              = 12 * Inch
)

// Limits of what a job may hold; beyond them a reading is refused.
const (
	MaxHouse = 1000 * Metre    // any length of a house
	MaxCoil  = 100_000 * Metre // longest piece, coil and mill lengths
)

// Inches gives l in decimal inches, correctly rounded to the nearest float64.
func (l Length) Inches() float64 { return float64(l) / float64(Inch) }

// Feet gives l in decimal feet.
func (l Length) Feet() float64 { return float64(l) / float64(Foot) }

// FromInches rounds decimal inches, given in a float, to the nearest nanometre.
func FromInches(in float64) Length { return Length(math.Round(in * float64(Inch))) }

// FromMillimetres rounds millimetres, given in a float, to the nearest nanometre.
func FromMillimetres(mm float64) Length { return Length(math.Round(mm * float64(Millimetre))) }

// FloorTo rounds l down (towards minus infinity) to a multiple of step > 0.
func (l Length) FloorTo(step Length) Length {
	q := l / step
	if l%step < 0 {
		q--
	}
	return q * step
}

// CeilTo rounds l up (towards plus infinity) to a multiple of step > 0.
func (l Length) CeilTo(step Length) Length { return -((-l).FloorTo(step)) }

// RoundTo rounds l to the nearest multiple of step > 0, halves up.
func (l Length) RoundTo(step Length) Length { return (l + step/2).FloorTo(step) }

// Abs gives the magnitude of l.
func (l Length) Abs() Length {
	if l < 0 {
		return -l
	}
	return l
}

// Units is the system a job is written and read in.
type Units int

// The two systems; imperial is what a job has when it names none.
const (
	Imperial Units = iota
	Metric
)

// String gives the word that job files use.
func (u Units) String() string {
	if u == Metric {
		return "metric"
	}
	return "imperial"
}

// Step is the finest length that is cut in u: 1/16 in, or 1 mm (common practice,
// no source; a shop's book may set another).
func (u Units) Step() Length {
	if u == Metric {
		return Millimetre
	}
	return Sixteenth
}
