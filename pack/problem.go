package pack

import (
	"errors"
	"fmt"
	"math"
)

// Item is a demand for Count pieces of one Length. Class groups the items that
// share a machine set-up; any int will do.
type Item struct {
	Length int64
	Count  int
	Class  int
}

// Stock is a length to cut from. Cost is in the smallest unit of money, 0 for
// stock on hand. Count is how many there are; negative means no limit.
type Stock struct {
	Length int64
	Cost   int64
	Count  int
}

// Problem is one cutting-stock question. Lengths share one unit of the
// caller's choice (nanometres do: lengths to 4e18 in total are accepted).
// Setup is lost once for each class cut from a bin, the first included.
// Steps limits the work, in elementary steps of about a nanosecond; 0 means
// DefaultSteps. At the limit the best plan and the honest bound come back.
type Problem struct {
	Items  []Item
	Stocks []Stock
	Setup  int64
	Steps  int64
}

// DefaultSteps is some ten seconds of work on one core of a common machine.
const DefaultSteps = 10_000_000_000

// Piece says how many of one item (by its index in Problem.Items) a bin gives.
type Piece struct {
	Item  int
	Count int
}

// Bin is one stock length cut, or Times of them cut alike. Used counts pieces
// and set-ups; Tail is what is left: Used + Tail is the stock's length.
type Bin struct {
	Stock  int
	Times  int
	Pieces []Piece
	Used   int64
	Tail   int64
}

// Bound is a proven lower bound: no plan costs less than Cost, and no plan of
// that very cost opens fewer than Bins.
type Bound struct {
	Cost int64
	Bins int
}

// Plan is the answer to a Problem.
type Plan struct {
	Bins       []Bin
	Cost       int64 // total cost of the stock opened
	Count      int   // number of bins opened
	Bound      Bound // proven lower bound on (Cost, Count)
	Optimal    bool  // Bound equals (Cost, Count)
	Tail       int64 // longest single tail
	TailBound  int64 // no plan of equal cost and count has a longer one
	TailProven bool  // Tail equals TailBound and Optimal holds
}

// Errors a caller can match with errors.Is.
var (
	ErrLength     = errors.New("length must be positive")
	ErrCount      = errors.New("count must not be negative")
	ErrCost       = errors.New("cost must not be negative")
	ErrSetup      = errors.New("set-up length must not be negative")
	ErrNoStock    = errors.New("no stock to cut from")
	ErrTooLong    = errors.New("piece is longer than every stock length")
	ErrOverflow   = errors.New("numbers too large to add up exactly")
	ErrInfeasible = errors.New("the stock does not suffice for the pieces")
	ErrUndecided  = errors.New("no plan found within the work limit, and none proven impossible")
)

// ItemError names the item that breaks a rule.
type ItemError struct {
	Item int   // index in Problem.Items
	Have int64 // its length or count
	Room int64 // the longest piece possible, for ErrTooLong
	Err  error
}

func (e *ItemError) Error() string {
	if errors.Is(e.Err, ErrTooLong) {
		return fmt.Sprintf("item %d: %v: %d, room %d; split the piece or add longer stock", e.Item, e.Err, e.Have, e.Room)
	}
	return fmt.Sprintf("item %d: %v: %d", e.Item, e.Err, e.Have)
}

// Unwrap gives the rule that was broken.
func (e *ItemError) Unwrap() error { return e.Err }

// StockError names the stock that breaks a rule.
type StockError struct {
	Stock int // index in Problem.Stocks
	Have  int64
	Err   error
}

func (e *StockError) Error() string { return fmt.Sprintf("stock %d: %v: %d", e.Stock, e.Err, e.Have) }

// Unwrap gives the rule that was broken.
func (e *StockError) Unwrap() error { return e.Err }

// Validate reports the first rule the problem breaks, as *ItemError,
// *StockError or one of the sentinels. Items of count 0 are allowed.
func (p Problem) Validate() error {
	if p.Setup < 0 {
		return ErrSetup
	}
	room, err := p.longestPiece()
	if err != nil {
		return err
	}
	total, count := int64(0), int64(0)
	for i, it := range p.Items {
		if err := it.check(i, room); err != nil {
			return err
		}
		lengths, ok1 := mulFits(it.Length, int64(it.Count))
		setups, ok2 := mulFits(p.Setup, int64(it.Count))
		if !ok1 || !ok2 || total > sumLimit-lengths-setups || count > countLimit-int64(it.Count) {
			return &ItemError{Item: i, Have: it.Length, Err: ErrOverflow}
		}
		total += lengths + setups
		count += int64(it.Count)
	}
	return nil
}

const (
	sumLimit   = math.MaxInt64 / 2
	countLimit = math.MaxInt32
)

func (it Item) check(i int, room int64) error {
	switch {
	case it.Length <= 0:
		return &ItemError{Item: i, Have: it.Length, Err: ErrLength}
	case it.Count < 0:
		return &ItemError{Item: i, Have: int64(it.Count), Err: ErrCount}
	case it.Count > 0 && it.Length > room:
		return &ItemError{Item: i, Have: it.Length, Room: room, Err: ErrTooLong}
	}
	return nil
}

// longestPiece checks the stocks and returns the room the longest one offers.
func (p Problem) longestPiece() (int64, error) {
	room := int64(-1)
	for k, s := range p.Stocks {
		switch {
		case s.Length <= 0:
			return 0, &StockError{Stock: k, Have: s.Length, Err: ErrLength}
		case s.Cost < 0:
			return 0, &StockError{Stock: k, Have: s.Cost, Err: ErrCost}
		case s.Length > sumLimit || s.Cost > sumLimit:
			return 0, &StockError{Stock: k, Have: s.Length, Err: ErrOverflow}
		}
		if s.Count != 0 {
			room = max(room, s.Length-p.Setup)
		}
	}
	if room < 0 && p.pieces() > 0 {
		return 0, ErrNoStock
	}
	return room, nil
}

func (p Problem) pieces() int {
	n := 0
	for _, it := range p.Items {
		n += max(0, it.Count)
	}
	return n
}

// mulFits multiplies two non-negative numbers and says whether the product
// stays below the limit of sums.
func mulFits(a, b int64) (int64, bool) {
	if a != 0 && b > sumLimit/a {
		return 0, false
	}
	return a * b, true
}
