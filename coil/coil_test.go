package coil

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"coilwright/measure"
	"coilwright/steel"
)

const ft = measure.Foot

var slate = Setup{Panel: "d5", Texture: "grain", Colour: "slate", Thickness: measure.Inch / 50, Width: 14 * measure.Inch}

func stock(id string, feet int) steel.Coil {
	return steel.Coil{ID: id, Colour: "slate", Thickness: slate.Thickness, Width: slate.Width, Length: measure.Length(feet) * ft}
}

func lot(id, lot string, feet int) steel.Coil {
	c := stock(id, feet)
	c.Lot = lot
	return c
}

func mill(feet int, price int64) steel.Mill {
	return steel.Mill{Colour: "any", Length: measure.Length(feet) * ft, Price: big.NewRat(price, 1)}
}

func piece(id string, feet int, wall string) Cut {
	return Cut{id, measure.Length(feet) * ft, slate, wall}
}

func TestRandomPlansHold(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 5))
		b := &steel.Book{Machine: steel.Machine{ThreadingScrap: 6 * ft, CutLoss: measure.Sixteenth}}
		for i := range r.IntN(4) {
			b.Coils = append(b.Coils, stock(fmt.Sprint("c", i), 50+r.IntN(400)))
		}
		b.Mill = []steel.Mill{mill(500, 700), mill(1000, 1300)}
		var cuts []Cut
		for i := range 1 + r.IntN(150) {
			s := slate
			if r.IntN(3) == 0 {
				s.Texture = "smooth"
			}
			cuts = append(cuts, Cut{fmt.Sprint("p", i), measure.Length(1+r.IntN(800)) * ft / 16, s, "front"})
		}
		p := Make(Input{Cuts: cuts, Book: b, Steps: Quick})
		verify(t, cuts, b, p)
		if !p.Bound.Optimal || len(p.LeftOut) > 0 {
			t.Errorf("seed %d: bound %v, left out %v", seed, p.Bound, p.LeftOut)
		}
	}
}

// Hand-worked: 700 ft short, offers 500 ft at 700 and 1000 ft at 1300: one of 1000.
func TestCheapestPurchaseByHand(t *testing.T) {
	b := &steel.Book{Mill: []steel.Mill{mill(500, 700), mill(1000, 1300)}}
	p := Make(Input{Cuts: []Cut{piece("a", 350, "w"), piece("b", 350, "w")}, Book: b})
	if len(p.Buy) != 1 || p.Buy[0].Length != 1000*ft || p.Buy[0].Count != 1 || p.Bound.Price.Cmp(big.NewRat(1300, 1)) != 0 || !p.Bound.Optimal || p.Bound.Coils != 1 {
		t.Errorf("%+v, %+v", p.Buy, p.Bound)
	}
}

// Hand-worked: the 500 ft coil is sold from three up: one of 1000 ft at 1300 is
// dearer than one of 500 at 700 but cheaper than three of them.
func TestMinimumOfAnOffer(t *testing.T) {
	few := mill(500, 700)
	few.Minimum = 3
	b := &steel.Book{Mill: []steel.Mill{few, mill(1000, 1300)}}
	p := Make(Input{Cuts: []Cut{piece("a", 400, "w")}, Book: b})
	if len(p.Buy) != 1 || p.Buy[0].Length != 1000*ft || p.Bound.Price.Cmp(big.NewRat(1300, 1)) != 0 || !p.Bound.Optimal {
		t.Errorf("%+v, %+v", p.Buy, p.Bound)
	}
	// Alone on offer, three are bought though one would do.
	b.Mill = b.Mill[:1]
	p = Make(Input{Cuts: []Cut{piece("a", 400, "w")}, Book: b})
	if len(p.Buy) != 1 || p.Buy[0].Count != 3 || p.Bound.Price.Cmp(big.NewRat(2100, 1)) != 0 || p.Bound.Coils != 3 || !p.Bound.Optimal || len(p.Reels) != 1 {
		t.Errorf("%+v, %+v, %d reels", p.Buy, p.Bound, len(p.Reels))
	}
}

func TestPieceLongerThanAnyCoil(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{stock("c", 40)}}
	cuts := []Cut{piece("long", 50, "w"), piece("short", 30, "w"), piece("nothing", 0, "w"), piece("less", -3, "w")}
	p := Make(Input{Cuts: cuts, Book: b})
	verify(t, cuts, b, p)
	if len(p.LeftOut) != 3 || p.LeftOut[0].ID != "long" {
		t.Errorf("left out %v", p.LeftOut)
	}
	b.Machine.Reserve = 15 * ft
	p = Make(Input{Cuts: cuts[:2], Book: b})
	if len(p.LeftOut) != 2 || strings.Contains(p.LeftOut[0].Why, "reserve") || !strings.Contains(p.LeftOut[1].Why, "reserve") {
		t.Errorf("left out %v", p.LeftOut)
	}
}

// With no offer and too little stock the plan says what it could not place, and
// serves the walls in the order of hanging.
func TestStockRunsOut(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{stock("c", 40)}}
	cuts := []Cut{piece("a", 30, "w"), piece("b", 30, "w"), piece("c", 8, "w")}
	p := Make(Input{Cuts: cuts, Book: b})
	verify(t, cuts, b, p)
	if len(p.LeftOut) != 1 || p.LeftOut[0].ID != "b" || p.Bound.Optimal {
		t.Errorf("left out %v, %v", p.LeftOut, p.Bound)
	}
}

// Hand-worked: of 3, 4, 6, 7 and 10 ft two coils of 10 ft give four (3 with 7, 4 with
// 6); one after another, in either order, find room for three.
func TestMostPiecesOfShortStock(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{stock("c", 10), stock("d", 10)}}
	cuts := []Cut{piece("a", 3, "w"), piece("b", 4, "w"), piece("c", 6, "w"), piece("d", 7, "w"), piece("e", 10, "w")}
	p := Make(Input{Cuts: cuts, Book: b})
	verify(t, cuts, b, p)
	if len(p.LeftOut) != 1 || p.LeftOut[0].ID != "e" {
		t.Errorf("left out %v", p.LeftOut)
	}
}

// A strip that runs out mixes no lots of another: here the narrow one, of which either lot suffices.
func TestShortStockKeepsLots(t *testing.T) {
	narrow := slate
	narrow.Width = 12 * measure.Inch
	one, two := lot("n1", "L1", 36), lot("n2", "L2", 34)
	one.Width, two.Width = narrow.Width, narrow.Width
	b := &steel.Book{Coils: []steel.Coil{lot("c", "L1", 40), one, two}}
	cuts := []Cut{piece("a", 30, "w"), piece("b", 30, "w"), {"c", 15 * ft, narrow, "v"}, {"d", 20 * ft, narrow, "v"}}
	p := Make(Input{Cuts: cuts, Book: b, Meet: [][2]string{{"w", "v"}}})
	verify(t, cuts, b, p)
	if p.Lots.Kept != LotsMeet || len(p.Lots.Mixed) > 0 || len(p.LeftOut) != 1 {
		t.Errorf("%+v, left out %v", p.Lots, p.LeftOut)
	}
}

func TestStockWithoutLength(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{stock("c", 0)}, Mill: []steel.Mill{{Colour: "any", Price: big.NewRat(1, 1)}}}
	p := Make(Input{Cuts: []Cut{piece("a", 30, "w")}, Book: b})
	if len(p.LeftOut) != 1 || len(p.Reels) != 0 {
		t.Errorf("%+v", p)
	}
}

// lotsOf lists the lots on each wall, from the plan's figures alone.
func lotsOf(cuts []Cut, p Plan) map[string][]string {
	wall := map[string]string{}
	for _, c := range cuts {
		wall[c.ID] = c.Wall
	}
	on := map[string][]string{}
	for _, r := range p.Reels {
		lot := r.Lot
		if r.Bought {
			lot = "bought"
		}
		for _, id := range r.Pieces {
			if !slices.Contains(on[wall[id]], lot) {
				on[wall[id]] = append(on[wall[id]], lot)
			}
		}
	}
	return on
}

// Two walls that meet, and a garage apart: the house is cut from one lot, the garage
// from the other, though mixing would fill the coils as well.
func TestLotsAreKeptWhereWallsMeet(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{lot("c1", "A", 100), lot("c2", "B", 60)}, Mill: []steel.Mill{mill(500, 700)}}
	cuts := []Cut{piece("f1", 40, "front"), piece("g1", 50, "garage"), piece("s1", 55, "side")}
	p := Make(Input{Cuts: cuts, Book: b, Meet: [][2]string{{"front", "side"}}})
	verify(t, cuts, b, p)
	on := lotsOf(cuts, p)
	if fmt.Sprint(on) != "map[front:[A] garage:[B] side:[A]]" || p.Lots.Kept != LotsMeet || len(p.Buy) > 0 || len(p.Lots.Mixed) > 0 {
		t.Errorf("%v, %+v, buys %v", on, p.Lots, p.Buy)
	}
	// The side grows: no lot gives both walls, so both are bought, and the plan says what mixing would cost.
	cuts[2].Length = 95 * ft
	p = Make(Input{Cuts: cuts, Book: b, Meet: [][2]string{{"front", "side"}}})
	verify(t, cuts, b, p)
	// One reel threaded is fewer than two: the garage comes from it too.
	if on = lotsOf(cuts, p); fmt.Sprint(on) != "map[front:[bought] garage:[bought] side:[bought]]" {
		t.Errorf("%v", on)
	}
	if p.Lots.PriceIfMixed != nil {
		t.Errorf("mixed it would cost %v", p.Lots.PriceIfMixed) // 40+50+95 ft do not fit 100+60 either
	}
	// With nothing on offer each wall is still kept to one lot, and the plan says which meet.
	b.Mill = nil
	cuts[1].Length = 15 * ft
	p = Make(Input{Cuts: cuts, Book: b, Meet: [][2]string{{"front", "side"}}})
	verify(t, cuts, b, p)
	if on = lotsOf(cuts, p); fmt.Sprint(on["front"], on["side"]) != "[B] [A]" || p.Lots.Kept != LotsWall || len(p.Lots.Mixed) != 1 || len(p.LeftOut) > 0 {
		t.Errorf("%v, %+v, %v", on, p.Lots, p.LeftOut)
	}
}

// The rule of lots may cost a coil; the plan says what mixing would have cost.
func TestWhatKeepingLotsCosts(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{lot("c1", "A", 100), lot("c2", "B", 100)}, Mill: []steel.Mill{mill(300, 700), mill(200, 500)}}
	cuts := []Cut{piece("a", 50, "front"), piece("b", 90, "front"), piece("c", 50, "front")}
	p := Make(Input{Cuts: cuts, Book: b})
	if p.Bound.Price.Cmp(big.NewRat(500, 1)) != 0 || p.Lots.PriceIfMixed == nil || p.Lots.PriceIfMixed.Sign() != 0 {
		t.Errorf("%v, %+v", p.Bound, p.Lots)
	}
}

// A coil of no stated lot may be used beside a new one, but the plan says so.
func TestUnstatedLotIsNamed(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{stock("c1", 100)}, Mill: []steel.Mill{mill(100, 200), mill(300, 700)}}
	cuts := []Cut{piece("a", 90, "front"), piece("b", 90, "front")}
	p := Make(Input{Cuts: cuts, Book: b})
	if p.Bound.Price.Cmp(big.NewRat(200, 1)) != 0 || len(p.Lots.Mixed) != 1 || fmt.Sprint(p.Lots.Mixed[0].Lots) != "[not stated to buy]" {
		t.Errorf("%v, %+v", p.Bound, p.Lots)
	}
}

// A coil that may be 6 ft short names what hangs on it, and the coil that could give it.
func TestDoubtOfACoil(t *testing.T) {
	c := lot("c1", "A", 100)
	c.PlusMinus = 6 * ft
	b := &steel.Book{Coils: []steel.Coil{c, lot("c2", "A", 45)}}
	cuts := []Cut{piece("a", 30, "w"), piece("b", 65, "w"), piece("c", 5, "w"), piece("d", 40, "w")}
	p := Make(Input{Cuts: cuts, Book: b})
	verify(t, cuts, b, p)
	r := p.Reels[slices.IndexFunc(p.Reels, func(r Reel) bool { return r.ID == "c1" })]
	if len(p.Reels) != 2 || r.Tail != 0 || fmt.Sprint(r.InDoubt) != "[b c]" || r.Spare != "c2" {
		t.Errorf("%+v", p.Reels)
	}
	// The last foot of a coil stays in the machine: the other coil then has 4 ft for 5.
	c.Length += ft
	b = &steel.Book{Coils: []steel.Coil{c, lot("c2", "A", 45)}, Machine: steel.Machine{Reserve: ft}}
	p = Make(Input{Cuts: cuts, Book: b})
	verify(t, cuts, b, p)
	r = p.Reels[slices.IndexFunc(p.Reels, func(r Reel) bool { return r.ID == "c1" })]
	if len(p.Reels) != 2 || r.Tail != ft || fmt.Sprint(r.InDoubt) != "[b c]" || r.Spare != "" {
		t.Errorf("%+v", p.Reels)
	}
}

// Where no tail could give it, a coil that stays unused in stock could.
func TestDoubtOfTheOnlyReel(t *testing.T) {
	c := lot("c1", "A", 100)
	c.PlusMinus = 6 * ft
	for feet, want := range map[int]string{95: "c2", 39: ""} {
		b := &steel.Book{Coils: []steel.Coil{c, lot("c2", "A", feet)}}
		cuts := []Cut{piece("a", 60, "w"), piece("b", 40, "w")}
		p := Make(Input{Cuts: cuts, Book: b})
		verify(t, cuts, b, p)
		if len(p.Reels) != 1 || fmt.Sprint(p.Reels[0].InDoubt) != "[b]" || p.Reels[0].Spare != want {
			t.Errorf("%+v", p.Reels)
		}
	}
}

// A great many pieces alike come to an answer, and the arithmetic is plain: 20 of 50
// ft to a coil of 1000.
func TestManyPiecesAlike(t *testing.T) {
	b := &steel.Book{Mill: []steel.Mill{mill(1000, 1300), mill(500, 700)}}
	cuts := make([]Cut, 100_000)
	for i := range cuts {
		cuts[i] = piece(fmt.Sprint("p", i), 50, "w")
	}
	p := Make(Input{Cuts: cuts, Book: b, Steps: Quick})
	if len(p.Buy) != 1 || p.Buy[0].Count != 5000 || !p.Bound.Optimal || len(p.Reels) != 5000 || p.Strips[0].Farthest != 0 {
		t.Errorf("%+v, %+v, %d reels, %+v", p.Buy, p.Bound, len(p.Reels), p.Strips)
	}
}

// Many lots and many walls that stand apart: the search over lots ends, with an honest bound.
func TestManyLotsEnd(t *testing.T) {
	b := &steel.Book{Mill: []steel.Mill{mill(300, 450), mill(500, 700)}}
	for i := range 14 {
		b.Coils = append(b.Coils, lot(fmt.Sprint("c", i), fmt.Sprint("L", i), 70+13*i))
	}
	var cuts []Cut
	for i := range 260 {
		cuts = append(cuts, piece(fmt.Sprint("p", i), 5+i*7%31, fmt.Sprint("w", i%26)))
	}
	p := Make(Input{Cuts: cuts, Book: b, Steps: Quick})
	verify(t, cuts, b, p)
	if len(p.LeftOut) > 0 || p.Lots.Kept != LotsMeet {
		t.Errorf("%+v, left out %v", p.Lots, p.LeftOut)
	}
}
