package coil

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"testing"

	"coilwright/measure"
	"coilwright/steel"
)

const ft = measure.Foot

var slate = Setup{Panel: "d5", Texture: "grain", Colour: "slate", Thickness: measure.Inch / 50, Width: 14 * measure.Inch}

func stock(id string, feet int) steel.Coil {
	return steel.Coil{ID: id, Colour: "slate", Thickness: slate.Thickness, Width: slate.Width, Length: measure.Length(feet) * ft}
}

func mill(feet int, price int64) steel.Mill {
	return steel.Mill{Colour: "any", Length: measure.Length(feet) * ft, Price: big.NewRat(price, 1)}
}

// verify re-checks a plan against its own figures alone: every piece once, on one
// reel of its strip, no reel over its length, used and tail adding up.
func verify(t *testing.T, cuts []Cut, b *steel.Book, p Plan) {
	t.Helper()
	by := map[string]Cut{}
	for _, c := range cuts {
		by[c.ID] = c
	}
	seen := map[string]int{}
	for _, r := range p.Reels {
		var used measure.Length
		setups := map[Setup]bool{}
		for _, id := range r.Pieces {
			seen[id]++
			used += by[id].Length + b.Machine.CutLoss
			setups[by[id].Setup] = true
			if by[id].Setup.Colour != r.Colour || by[id].Setup.Width != r.Width {
				t.Errorf("%s is cut from a strip that is not its own", id)
			}
		}
		used += measure.Length(len(setups)) * b.Machine.ThreadingScrap
		if used != r.Used || r.Used+r.Tail != r.Length || r.Used > r.Length-b.Machine.Reserve {
			t.Errorf("reel %s: used %v, says %v, tail %v of %v", r.ID, used, r.Used, r.Tail, r.Length)
		}
	}
	for _, l := range p.LeftOut {
		seen[l.ID]++
	}
	formed := 0
	for _, r := range p.Runs {
		formed += len(r.Pieces)
	}
	if formed+len(p.LeftOut) != len(cuts) {
		t.Errorf("%d pieces in set-ups, %d left out, of %d", formed, len(p.LeftOut), len(cuts))
	}
	for _, c := range cuts {
		if seen[c.ID] != 1 {
			t.Errorf("%s stands %d times", c.ID, seen[c.ID])
		}
	}
}

func TestRandomPlansHold(t *testing.T) {
	for seed := range uint64(200) {
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
			cuts = append(cuts, Cut{fmt.Sprint("p", i), measure.Length(1+r.IntN(800)) * ft / 16, s})
		}
		p := Make(cuts, b)
		verify(t, cuts, b, p)
		paid := new(big.Rat)
		for _, q := range p.Buy {
			paid.Add(paid, q.Price)
		}
		if paid.Cmp(p.Bound.Price) < 0 || p.Bound.Optimal != (paid.Cmp(p.Bound.Price) == 0) {
			t.Errorf("seed %d: paid %v, bound %v, optimal %v", seed, paid, p.Bound.Price, p.Bound.Optimal)
		}
		if len(p.LeftOut) > 0 {
			t.Errorf("seed %d: left out %v", seed, p.LeftOut)
		}
	}
}

// Hand-worked: 700 ft short, offers 500 ft at 700 and 1000 ft at 1300: one of 1000.
func TestCheapestPurchaseByHand(t *testing.T) {
	counts, price := cheapest([]steel.Mill{mill(500, 700), mill(1000, 1300)}, 700*ft, 0)
	if counts[0] != 0 || counts[1] != 1 || price.Cmp(big.NewRat(1300, 1)) != 0 {
		t.Errorf("%v for %v", counts, price)
	}
}

func TestPieceLongerThanAnyCoil(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{stock("c", 40)}}
	cuts := []Cut{{"long", 50 * ft, slate}, {"short", 30 * ft, slate}}
	p := Make(cuts, b)
	verify(t, cuts, b, p)
	if len(p.LeftOut) != 1 || p.LeftOut[0].ID != "long" {
		t.Errorf("left out %v", p.LeftOut)
	}
}

// With no offer and too little stock the plan says what it could not place.
func TestStockRunsOut(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{stock("c", 40)}}
	cuts := []Cut{{"a", 30 * ft, slate}, {"b", 30 * ft, slate}}
	verify(t, cuts, b, Make(cuts, b))
}
