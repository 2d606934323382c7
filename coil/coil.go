// Package coil plans the machine's run: set-ups in an order that changes little,
// every piece assigned to one coil of the stock or one to buy, threading scrap and
// cut loss counted. It sees pieces, not walls.
//
// The plan here is a good first one: stock is used before anything is bought, the
// cheapest purchase that a longest-first packing can live with is taken, and the
// bound beside it says how far from the best the purchase may be.
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

// Cut is one piece to form, in hanging order among its like.
type Cut struct {
	ID     string
	Length measure.Length
	Setup  Setup
}

// Run is one set-up and its pieces in the order in which they are formed.
type Run struct {
	Setup   Setup
	Pieces  []string
	Minutes float64
}

// Reel is one coil and what is cut from it. Length, Used and Tail are exact: Used
// counts pieces, cut loss and threading scrap.
type Reel struct {
	ID, Lot, Colour    string
	Thickness, Width   measure.Length
	Bought             bool
	Length, Used, Tail measure.Length
	Pieces             []string
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

// Bound is what no plan can beat: coils bought and their price. Optimal says that
// the plan's purchase meets it.
type Bound struct {
	Coils   int
	Price   *big.Rat
	Optimal bool
}

// Plan is the machine's run.
type Plan struct {
	Runs    []Run
	Reels   []Reel // in the order in which they are threaded
	Buy     []Purchase
	LeftOut []LeftOut
	Bound   Bound
	Scrap   measure.Length // threading scrap of all set-ups
}

// Make plans cuts, given in hanging order, on the book's stock and offers.
func Make(cuts []Cut, b *steel.Book) Plan {
	p := Plan{Bound: Bound{Price: new(big.Rat), Optimal: true}}
	for _, m := range byMaterial(cuts) {
		p.material(m, b)
	}
	return p
}

// material is all that is cut from one kind of strip.
type material struct {
	colour           string
	thickness, width measure.Length
	runs             []Setup
	cuts             map[Setup][]Cut
}

// byMaterial groups cuts by strip, then by set-up, each in the order of its first
// piece, so that the machine changes little and serves the lowest wall first.
func byMaterial(cuts []Cut) []*material {
	var out []*material
	for _, c := range cuts {
		m := find(out, c.Setup)
		if m == nil {
			m = &material{c.Setup.Colour, c.Setup.Thickness, c.Setup.Width, nil, map[Setup][]Cut{}}
			out = append(out, m)
		}
		if _, ok := m.cuts[c.Setup]; !ok {
			m.runs = append(m.runs, c.Setup)
		}
		m.cuts[c.Setup] = append(m.cuts[c.Setup], c)
	}
	return out
}

func find(ms []*material, s Setup) *material {
	for _, m := range ms {
		if m.colour == s.Colour && m.thickness == s.Thickness && m.width == s.Width {
			return m
		}
	}
	return nil
}

// fits says whether a strip of that thickness and width is what m needs; zero fits
// any.
func (m *material) fits(colour string, thickness, width measure.Length) bool {
	return (colour == m.colour || colour == "any") &&
		(thickness == 0 || thickness == m.thickness) && (width == 0 || width == m.width)
}

// material plans one kind of strip and adds it to the plan.
func (p *Plan) material(m *material, b *steel.Book) {
	stock, offers := m.stock(b), m.offers(b)
	m.dropImpossible(p, stock, offers, b)
	if len(m.cuts) == 0 {
		return
	}
	bought := m.purchase(stock, offers, b)
	reels, without := m.pack(append(stock, bought...), b.Machine)
	for _, c := range without {
		p.LeftOut = append(p.LeftOut, LeftOut{c.ID, "the stock does not suffice for it, and the shop's book offers no more of its strip"})
		p.Bound.Optimal = false
	}
	used := p.add(m, reels, b)
	p.order(m, used)
	p.bound(m, stock, offers, b)
}

// stock gives the reels on hand that suit m, longest first.
func (m *material) stock(b *steel.Book) []*reel {
	var out []*reel
	for _, c := range b.Coils {
		if c.Length > 0 && m.fits(c.Colour, c.Thickness, c.Width) {
			out = append(out, &reel{Reel: Reel{ID: c.ID, Lot: c.Lot, Colour: m.colour, Thickness: m.thickness, Width: m.width, Length: c.Length}})
		}
	}
	sortReels(out)
	return out
}

// offers gives what can be bought for m.
func (m *material) offers(b *steel.Book) []steel.Mill {
	var out []steel.Mill
	for _, o := range b.Mill {
		if o.Length > 0 && o.Price != nil && m.fits(o.Colour, o.Thickness, o.Width) {
			out = append(out, o)
		}
	}
	return out
}
