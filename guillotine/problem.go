package guillotine

import (
	"errors"
	"fmt"
	"math"
)

// Errors a caller can match with errors.Is.
var (
	ErrSize     = errors.New("size must be positive")
	ErrCount    = errors.New("count must not be negative")
	ErrValue    = errors.New("value must not be negative")
	ErrTooWide  = errors.New("piece is wider than the stock")
	ErrTooLong  = errors.New("piece is longer than a blank may be")
	ErrGrid     = errors.New("sizes share no step that is coarse enough; round them to the shop's step")
	ErrMany     = errors.New("more pieces, or more sizes of them, than one plan takes; plan them in parts")
	ErrOverflow = errors.New("numbers too large to add up exactly")
)

// StockSize is the place of errors that concern the stock rather than a piece.
const StockSize = -1

// SizeError names the piece (its index in the problem, or StockSize) that breaks a
// rule, what it has, and the room there is.
type SizeError struct {
	Piece      int
	Have, Room int64
	Err        error
}

func (e *SizeError) Error() string {
	place := "stock"
	if e.Piece != StockSize {
		place = fmt.Sprintf("piece %d", e.Piece)
	}
	if e.Room > 0 {
		return fmt.Sprintf("%s: %v: %d, room %d", place, e.Err, e.Have, e.Room)
	}
	return fmt.Sprintf("%s: %v: %d", place, e.Err, e.Have)
}

// Unwrap gives the rule that was broken.
func (e *SizeError) Unwrap() error { return e.Err }

// Piece is a demand for, or an offer of, Count rectangles. Width lies across the
// stock, Length along it; the unit is the caller's. Value counts in Fill alone.
type Piece struct {
	Width, Length int64
	Value         int64
	Count         int
}

// Cut says how many of one piece (by its index in the problem) a strip gives.
type Cut struct{ Piece, Count int }

// Strip is what one slit frees: pieces end to end. Used is their length.
type Strip struct {
	Width int64
	Cuts  []Cut
	Used  int64
}

const (
	// cells is the most steps that a width or a length may have: it bounds the
	// knapsack tables to some megabytes.
	cells = 1 << 14
	// sumLimit keeps sums of products in int64.
	sumLimit = math.MaxInt64 / 4
	// countLimit is the most pieces in all.
	countLimit = math.MaxInt32
)

// check reports the first rule that a piece breaks.
func (p Piece) check(i int) error {
	switch {
	case p.Width <= 0:
		return &SizeError{i, p.Width, 0, ErrSize}
	case p.Length <= 0:
		return &SizeError{i, p.Length, 0, ErrSize}
	case p.Count < 0:
		return &SizeError{i, int64(p.Count), 0, ErrCount}
	case p.Value < 0:
		return &SizeError{i, p.Value, 0, ErrValue}
	}
	return nil
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// mulFits multiplies two non-negative numbers and says whether the product stays
// below the limit of sums.
func mulFits(a, b int64) (int64, bool) {
	if a != 0 && b > sumLimit/a {
		return 0, false
	}
	return a * b, true
}
