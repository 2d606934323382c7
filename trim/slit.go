package trim

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"coilwright/guillotine"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/pack"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
)

// Where flat strip is slit from.
const (
	TrimCoil  = "trim-coil"
	PanelCoil = "panel-coil"
)

// Slitting is the plan of one coil colour and thickness: blanks are cut off the coil,
// no longer than the brake; each is slit into strips side by side; each strip is cut
// to lengths, end to end (see package guillotine for the aims and their order).
type Slitting struct {
	From, Colour, Texture string // TrimCoil or PanelCoil; texture of panel coil alone
	Thickness, Width      measure.Length
	Brake, Step           measure.Length // longest blank; blanks are multiples of the step
	Flats                 []Flat
	Not                   []NotFlat
	Blanks                []Blank // by set-up, longest first
	Setups, Slits         int     // different settings of the slitter; slitting cuts
	Length, Bound         measure.Length
	Optimal               bool
	Used                  measure.Area // in the flats
	Taken                 measure.Area // of coil
	Coils                 []FlatCoil   // empty for panel coil: the coil plan gives it
	Buy, BuyBound         int          // coils; no plan buys fewer than BuyBound
	Each                  measure.Length
	Proof                 guillotine.Proof
	Note                  string // why there is no plan, or what a person must know
}

// Gap is how far the length may be from the least.
func (s Slitting) Gap() measure.Length { return s.Length - s.Bound }

// Blank is one length of coil. Setup counts the settings of the slitter from 1; Coil
// is an index into Coils, -1 where there are none.
type Blank struct {
	Number, Setup, Coil int
	Length              measure.Length
	Strips              []FlatStrip
	Slits               int
}

// PieceID names a blank of panel coil among the pieces that the machine cuts, and
// PieceNumber is its number on papers.
func (b Blank) PieceID() string     { return fmt.Sprintf("flat-blank-%d", b.Number) }
func (b Blank) PieceNumber() string { return fmt.Sprintf("FB-%d", b.Number) }

// FlatStrip is one strip of a blank and the flats cut from it, by index.
type FlatStrip struct {
	Width, Used measure.Length
	Flats       []int
}

// FlatCoil is a trim coil on hand or to buy, and the blanks cut from it.
type FlatCoil struct {
	ID, Lot            string
	Bought             bool
	Length, Used, Tail measure.Length
}

// Slitter answers one question of slitting. guillotine.Slit is one; another may remember
// what it was asked before. It fails where a size is wrong, or where its context ended.
type Slitter func(context.Context, guillotine.Coil) (guillotine.Plan, error)

// Slit plans the flat coil of a bill of trim: first what comes off trim coil, then
// corner flats that the book takes from panel coil. Lines that the shop buys formed
// are not in it. Steps bounds the work (see guillotine.Coil). Nothing where the book
// bends nothing.
func Slit(ctx context.Context, h house.House, s scheme.Scheme, b *steel.Book, u measure.Units, lines []Line, steps int64, solve Slitter) ([]Slitting, error) {
	if b == nil || b.Trim.BrakeLength <= 0 {
		return nil, nil
	}
	step := b.StepIn(u)
	all, not := flats(h, s, b, step, lines)
	var flat, post []Flat
	for _, f := range all {
		if f.Kind == PostFlat && b.Trim.PostFlatFrom == PanelCoil {
			post = append(post, f)
		} else {
			flat = append(flat, f)
		}
	}
	var out []Slitting
	if len(flat) > 0 || len(not) > 0 {
		p := Slitting{From: TrimCoil, Colour: s.TrimColour, Thickness: b.Steel.Thickness, Width: b.Trim.CoilWidth, Flats: flat, Not: not}
		p.plan(ctx, b, step, steps, solve)
		p.deal(ctx, b)
		out = append(out, p)
	}
	if len(post) > 0 {
		p := fromPanel(s, b)
		p.Flats = post
		p.plan(ctx, b, step, steps, solve)
		out = append(out, p)
	}
	return out, ctx.Err()
}

// fromPanel is the coil of the scheme's first zone that is formed from coil, in the
// trim's colour where the scheme names one.
func fromPanel(s scheme.Scheme, b *steel.Book) Slitting {
	p := Slitting{From: PanelCoil, Colour: s.TrimColour}
	for _, z := range s.Zones {
		panel, ok := b.Panel(z.Panel)
		if !ok || panel.Kind == steel.Counted {
			continue
		}
		p.Texture, p.Width = z.Texture, panel.BlankWidth
		p.Thickness = cmp.Or(z.Thickness, panel.Thickness, b.Steel.Thickness)
		p.Colour = cmp.Or(p.Colour, z.Colour)
		break
	}
	if p.Texture == "" && len(b.Textures) > 0 {
		p.Texture = b.Textures[0]
	}
	if p.Colour == "" && len(b.Colours) > 0 {
		p.Colour = b.Colours[0].ID
	}
	return p
}

// plan solves the slitting; where the coil cannot give a flat, the flat is left out
// and said to be.
func (p *Slitting) plan(ctx context.Context, b *steel.Book, step measure.Length, steps int64, solve Slitter) {
	p.Brake, p.Step = b.Trim.BrakeLength.FloorTo(step), max(b.Trim.BlankStep, step)
	if p.Width <= 0 {
		p.Note = "no plan: the shop's book gives no width of this coil"
		return
	}
	p.dropWide()
	c := guillotine.Coil{Width: int64(p.Width), Longest: int64(p.Brake), Step: int64(p.Step), Steps: steps}
	for _, f := range p.Flats {
		c.Pieces = append(c.Pieces, guillotine.Piece{Width: int64(f.Width), Length: int64(f.Length), Count: 1})
		p.Used = plane.AddAreas(p.Used, rectangle(f.Length, f.Width))
	}
	g, err := solve(ctx, c)
	if err != nil {
		p.Note = "no plan: " + err.Error()
		return
	}
	p.Length, p.Bound, p.Optimal = measure.Length(g.Length), measure.Length(g.Bound), g.Optimal
	p.Slits, p.Proof = g.Slits, g.Proof
	p.Taken = rectangle(p.Length, p.Width)
	for _, x := range g.Blanks {
		p.Blanks = append(p.Blanks, blankOf(x, p.Width))
	}
	p.bySetup()
}

// dropWide leaves out flats wider than the coil.
func (p *Slitting) dropWide() {
	var keep []Flat
	for _, f := range p.Flats {
		if f.Width > p.Width {
			p.Not = append(p.Not, NotFlat{f.What, f.From, "it is wider than the coil"})
			continue
		}
		keep = append(keep, f)
	}
	p.Flats = keep
}

func blankOf(x guillotine.Blank, width measure.Length) Blank {
	out := Blank{Coil: -1, Length: measure.Length(x.Length), Slits: x.Slits(int64(width))}
	for _, s := range x.Strips {
		strip := FlatStrip{Width: measure.Length(s.Width), Used: measure.Length(s.Used)}
		for _, c := range s.Cuts {
			strip.Flats = append(strip.Flats, c.Piece) // each is wanted once
		}
		out.Strips = append(out.Strips, strip)
	}
	return out
}

// setting is the slitter's: the widths of the strips, widest first.
func (b Blank) setting() []measure.Length {
	var out []measure.Length
	for _, s := range b.Strips {
		out = append(out, s.Width)
	}
	return out
}

// bySetup puts blanks of one setting together, so that the slitter is set once for
// all of them, and numbers them.
func (p *Slitting) bySetup() {
	slices.SortStableFunc(p.Blanks, func(a, b Blank) int {
		return cmp.Or(slices.Compare(b.setting(), a.setting()), cmp.Compare(b.Length, a.Length))
	})
	p.Setups = 0
	for i := range p.Blanks {
		if i == 0 || !slices.Equal(p.Blanks[i].setting(), p.Blanks[i-1].setting()) {
			p.Setups++
		}
		p.Blanks[i].Number, p.Blanks[i].Setup = i+1, p.Setups
	}
}

// deal gives every blank a trim coil: the fewest bought beside those on hand, then the
// fewest threaded.
func (p *Slitting) deal(ctx context.Context, b *steel.Book) {
	p.Each = b.Trim.CoilLength
	if len(p.Blanks) == 0 {
		return
	}
	var coils []FlatCoil
	q := pack.Problem{Steps: 200_000_000}
	onHand := measure.Length(0)
	for _, c := range b.Coils {
		if c.Width == p.Width && c.Colour == p.Colour && (c.Thickness == 0 || c.Thickness == p.Thickness) && c.Length > 0 {
			coils = append(coils, FlatCoil{ID: c.ID, Lot: c.Lot, Length: c.Length})
			q.Stocks = append(q.Stocks, pack.Stock{Length: int64(c.Length), Count: 1})
			onHand += c.Length
		}
	}
	if p.Each >= p.longest() {
		q.Stocks = append(q.Stocks, pack.Stock{Length: int64(p.Each), Cost: 1, Count: -1})
	}
	for _, x := range p.Blanks {
		q.Items = append(q.Items, pack.Item{Length: int64(x.Length), Count: 1})
	}
	plan, err := pack.Solve(ctx, q)
	if err != nil {
		p.Note = "the blanks have no coil: the coils on hand do not give them, and the shop's book names no trim coil to buy that does"
		return
	}
	p.onto(plan, coils)
	if short := p.Bound - onHand; short > 0 && p.Each > 0 {
		p.BuyBound = int(short.CeilTo(p.Each) / p.Each)
	}
}

func (p *Slitting) longest() measure.Length {
	n := measure.Length(0)
	for _, x := range p.Blanks {
		n = max(n, x.Length)
	}
	return n
}

// onto writes the coils of a plan, those on hand in the book's order, then new ones.
func (p *Slitting) onto(plan pack.Plan, onHand []FlatCoil) {
	type taken struct {
		coil  FlatCoil
		items []int
		stock int
	}
	var all []taken
	for _, bin := range plan.Bins {
		for range bin.Times {
			t := taken{stock: bin.Stock}
			if bin.Stock < len(onHand) {
				t.coil = onHand[bin.Stock]
			} else {
				p.Buy++
				t.coil = FlatCoil{ID: fmt.Sprintf("new-trim-%d", p.Buy), Bought: true, Length: p.Each}
			}
			for _, piece := range bin.Pieces {
				t.items = append(t.items, slices.Repeat([]int{piece.Item}, piece.Count)...)
			}
			all = append(all, t)
		}
	}
	slices.SortStableFunc(all, func(a, b taken) int { return cmp.Compare(a.stock, b.stock) })
	for i, t := range all {
		for _, k := range t.items {
			p.Blanks[k].Coil = i
			t.coil.Used += p.Blanks[k].Length
		}
		t.coil.Tail = t.coil.Length - t.coil.Used
		p.Coils = append(p.Coils, t.coil)
	}
}

// Waste is the coil taken that is no flat, in square feet.
func (s Slitting) Waste() float64 { return s.Taken.SquareFeet() - s.Used.SquareFeet() }

// WastePct is the waste as a share of the coil taken, in per cent.
func (s Slitting) WastePct() float64 {
	if s.Length <= 0 {
		return 0
	}
	return 100 * s.Waste() / s.Taken.SquareFeet()
}
