// Package coil plans the machine's run: which coil gives each piece, what must be
// bought, in which order reels are threaded and pieces cut. It sees pieces with
// the names of their walls, not the walls themselves.
//
// # What is best
//
// Strip of one colour, thickness and width is planned together. A coil of length L
// gives pieces p, from set-ups s, as long as
//
//	sum over p of (length(p) + cut_loss) + threading_scrap * (number of s on the coil) <= L - reserve
//
// and every piece is cut from exactly one coil. Under that, these aims are kept
// in this order and never traded against each other:
//
//  1. Every piece is cut, as far as the stock and the mill's offers go.
//  2. Lots: where coils name their lot, walls that meet in sight and wear one
//     colour are cut from one lot; where that cannot be, each wall is; where that
//     cannot be either, lots are mixed. What is bought counts as a lot of its
//     own. Coils that name no lot go with what is bought, and the plan says so.
//  3. The cheapest purchase: its price, and of one price the fewest coils. An
//     offer with a minimum is bought in that number or more, or not at all.
//  4. The fewest reels threaded.
//  5. The remnant gathered on one reel of each strip: the longest single tail.
//  6. The order of cutting, within each set-up, as near as can be to the order of
//     hanging: the fewest places that any piece is cut from its turn.
//
// On paper: the lexicographic minimum, over all plans that hold, of (pieces left
// out, lots rule broken, price, coils bought, reels, -tail, farthest place).
// Package pack proves 3 and 4 together and bounds 5; [Bound] speaks of 3, [Strip]
// of the rest, strip by strip. 6 is a good order, not a proven one.
//
// # A reel is not exactly as long as it says
//
// A coil's length is known to 1 to 3 per cent (common practice, no source). The plan
// uses the length stated, less the machine's reserve, and then says what hangs on
// it: which pieces lie in the last plus-minus of a coil, and which other coil
// could give its last piece if it runs out early. The last piece of a coil is
// chosen so that another coil could give it, where one can.
package coil

import (
	"math/big"

	"coilwright/measure"
	"coilwright/steel"
)

// Setup is what the machine must be changed for.
type Setup struct {
	Panel, Texture, Colour string
	Thickness, Width       measure.Length // of the strip
}

// Cut is one piece to form, for the wall it hangs on.
type Cut struct {
	ID     string
	Length measure.Length
	Setup  Setup
	Wall   string
}

// Input is what is to be planned. Cuts stand in the order of hanging. Meet holds
// pairs of walls that meet in sight. Steps limits the work, in steps of some
// nanoseconds; at the limit the best plan comes back with its honest bound.
type Input struct {
	Cuts  []Cut
	Book  *steel.Book
	Meet  [][2]string
	Steps int64 // 0 means Thorough
}

// Limits of work: Quick for a plan redrawn at every change of a house, Thorough
// for the plan that is cut from.
const (
	Quick    = 30_000_000
	Thorough = 1_000_000_000
)

// Run is one set-up and its pieces in the order in which they are formed.
type Run struct {
	Setup   Setup
	Pieces  []string
	Minutes float64
}

// Reel is one coil and what is cut from it, in the order of cutting. Length, Used
// and Tail are exact: Used counts pieces, cut loss and threading scrap.
type Reel struct {
	ID, Lot, Colour    string
	Thickness, Width   measure.Length
	Bought             bool
	Nth                int // of those bought alike, from 1; 0 in stock
	Length, Used, Tail measure.Length
	Pieces             []string
	PlusMinus          measure.Length // doubt of the length, 0 if not stated
	InDoubt            []string       // pieces that the coil cannot give where it is PlusMinus shorter
	Spare              string         // another reel, or an unused coil of the stock, that could give the last piece; empty if none could
	offer              int            // of the book's mill, when bought
}

// Purchase is coils to be ordered. Price is for all of them.
type Purchase struct {
	Colour                   string
	Thickness, Width, Length measure.Length
	Count                    int
	Price                    *big.Rat
}

// LeftOut is a piece that no coil can give, and why.
type LeftOut struct{ ID, Why string }

// Bound is what no plan can beat under the lots kept: the price, and the coils
// bought at that price. Optimal says that the plan's purchase meets both.
type Bound struct {
	Coils   int
	Price   *big.Rat
	Optimal bool
}

// Strip says, of the strip of one colour, thickness and width from one lot (Lot is
// empty for coils bought or of no lot stated), how the later aims were met. ReelsBound and
// TailBound are proven; Farthest is measured.
type Strip struct {
	Colour, Lot       string
	Thickness, Width  measure.Length
	Reels, ReelsBound int
	Tail, TailBound   measure.Length
	Farthest          int
}

// How far lots were kept.
const (
	LotsMeet  = "walls that meet" // one lot on walls that meet
	LotsWall  = "each wall"       // one lot on every wall
	LotsMixed = "mixed"           // neither could be had
)

// Lots says how far the rule of lots was kept, and where it was not. PriceIfMixed is
// the least that any plan could pay without the rule; nil where it costs nothing.
type Lots struct {
	Kept         string
	Mixed        []LotMix
	PriceIfMixed *big.Rat
}

// LotMix is walls, one or several that meet, on which one colour comes from several
// lots, and why. A lot bought is "to buy", one not stated "not stated".
type LotMix struct {
	Colour string
	Walls  []string
	Lots   []string
	Why    string
}

// Plan is the machine's run.
type Plan struct {
	Runs    []Run
	Reels   []Reel // in the order in which they are threaded
	Buy     []Purchase
	LeftOut []LeftOut
	Bound   Bound
	Strips  []Strip
	Lots    Lots
	Scrap   measure.Length // threading scrap of all set-ups
}

// Time gives every set-up its minutes: the change of the machine and the feed of
// its pieces.
func (p *Plan) Time(b *steel.Book, length map[string]measure.Length) {
	for i := range p.Runs {
		r := &p.Runs[i]
		r.Minutes = b.Machine.SetupMinutes
		if b.Machine.FeedFtPerMinute <= 0 {
			continue
		}
		for _, id := range r.Pieces {
			r.Minutes += length[id].Feet() / b.Machine.FeedFtPerMinute
		}
	}
}
