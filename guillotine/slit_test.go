package guillotine_test

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"coilwright/guillotine"

	"pgregory.net/rapid"
)

// lanes are the strips of a blank in the making, for the judge that tries everything.
type lanes []bin

// everyPlan walks through all ways to put every piece onto a strip of a blank, and
// gives each to see. It shares nothing with the solver.
func everyPlan(c guillotine.Coil, see func([]lanes)) {
	var units []guillotine.Piece
	for _, p := range c.Pieces {
		for range p.Count {
			units = append(units, p)
		}
	}
	var put func(i int, plan []lanes)
	put = func(i int, plan []lanes) {
		if i == len(units) {
			see(plan)
			return
		}
		p := units[i]
		for b := range plan {
			across := int64(0)
			for k := range plan[b] {
				across += plan[b][k].width
				if plan[b][k].width == p.Width && plan[b][k].length+p.Length <= c.Longest {
					plan[b][k].length += p.Length
					put(i+1, plan)
					plan[b][k].length -= p.Length
				}
			}
			if across+p.Width <= c.Width {
				was := plan[b]
				plan[b] = append(append(lanes{}, was...), bin{p.Width, p.Length})
				put(i+1, plan)
				plan[b] = was
			}
		}
		put(i+1, append(append([]lanes{}, plan...), lanes{{p.Width, p.Length}}))
	}
	put(0, nil)
}

func (b lanes) longest() int64 {
	most := int64(0)
	for _, l := range b {
		most = max(most, l.length)
	}
	return most
}

// takenBy is how much of the coil the blanks of a plan take.
func takenBy(c guillotine.Coil, plan []lanes) (sum int64) {
	for _, b := range plan {
		sum += rounded(c, b.longest())
	}
	return sum
}

// bruteSlit is the least length, and the fewest blanks of that length.
func bruteSlit(c guillotine.Coil) (length int64, blanks int) {
	length = -1
	everyPlan(c, func(plan []lanes) {
		sum := takenBy(c, plan)
		if length < 0 || sum < length || sum == length && len(plan) < blanks {
			length, blanks = sum, len(plan)
		}
	})
	return length, blanks
}

func drawCoil(t *rapid.T) guillotine.Coil {
	c := guillotine.Coil{
		Width: rapid.Int64Range(4, 24).Draw(t, "width"), Longest: rapid.Int64Range(6, 30).Draw(t, "longest"),
		Step: rapid.SampledFrom([]int64{0, 1, 2, 3, 5}).Draw(t, "step"),
	}
	for left := rapid.IntRange(0, 6).Draw(t, "pieces"); left > 0; {
		n := rapid.IntRange(1, left).Draw(t, "count")
		left -= n
		c.Pieces = append(c.Pieces, guillotine.Piece{
			Width: rapid.Int64Range(1, min(8, c.Width)).Draw(t, "w"), Length: rapid.Int64Range(1, min(12, c.Longest)).Draw(t, "l"), Count: n,
		})
	}
	return c
}

// TestSlitAgainstEverything compares with trying everything, and judges the proof:
// no blank of the pieces weighs more than it allows.
func TestSlitAgainstEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCoil(t)
		p, err := guillotine.Slit(context.Background(), c)
		if err != nil {
			t.Fatal(err)
		}
		judgePlan(t, c, p)
		length, blanks := bruteSlit(c)
		if p.Length != length || !p.Optimal {
			t.Fatalf("length %d, bound %d; trying everything gives %d", p.Length, p.Bound, length)
		}
		if p.BlanksProven && p.Count != blanks || p.BlanksBound > blanks {
			t.Fatalf("blanks %d, bound %d; trying everything gives %d", p.Count, p.BlanksBound, blanks)
		}
	})
}

// TestProofAgainstEveryBlank asks of every blank that the pieces can make that it
// weighs no more than the certificate allows for its length.
func TestProofAgainstEveryBlank(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCoil(t)
		p, err := guillotine.Slit(context.Background(), c)
		if err != nil {
			t.Fatal(err)
		}
		for mask := range 1 << len(c.Pieces) {
			some, weight := c, int64(0)
			some.Pieces = nil
			for i, q := range c.Pieces {
				if mask>>i&1 == 1 {
					some.Pieces = append(some.Pieces, q)
					weight += p.Proof.Weight[i] * int64(q.Count)
				}
			}
			everyPlan(some, func(plan []lanes) {
				if len(plan) == 1 && weight*p.Proof.Least > p.Proof.Most*rounded(c, plan[0].longest()) {
					t.Fatalf("a blank of %d weighs %d; the proof allows %d for every %d", plan[0].longest(), weight, p.Proof.Most, p.Proof.Least)
				}
			})
		}
	})
}

// TestSlitTurned scales and reverses the question; the answer follows. A wider coil
// never needs more length.
func TestSlitTurned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCoil(t)
		length := func(c guillotine.Coil) int64 {
			p, err := guillotine.Slit(context.Background(), c)
			if err != nil {
				t.Fatal(err)
			}
			judgePlan(t, c, p)
			return p.Length
		}
		want := length(c)
		scale := rapid.SampledFrom([]int64{2, 16, 396_875, 25_400_000}).Draw(t, "scale")
		big := guillotine.Coil{Width: c.Width * scale, Longest: c.Longest * scale, Step: c.Step * scale}
		for i := range c.Pieces {
			p := c.Pieces[len(c.Pieces)-1-i]
			p.Width, p.Length = p.Width*scale, p.Length*scale
			big.Pieces = append(big.Pieces, p)
		}
		if got := length(big); got != want*scale {
			t.Errorf("%d times as large, in reverse: %d, was %d", scale, got, want)
		}
		c.Width++
		if got := length(c); got > want {
			t.Errorf("a wider coil needs %d, was %d", got, want)
		}
	})
}

// TestSlitAtTheLimit: a work limit that ends early leaves a plan that is one, and a
// bound that is one.
func TestSlitAtTheLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCoil(t)
		c.Steps = rapid.Int64Range(1, 20_000).Draw(t, "steps")
		p, err := guillotine.Slit(context.Background(), c)
		if err != nil {
			t.Fatal(err)
		}
		judgePlan(t, c, p)
		if best, _ := bruteSlit(c); len(c.Pieces) > 0 && (p.Bound > best || p.Length < best) {
			t.Fatalf("length %d, bound %d; the best is %d", p.Length, p.Bound, best)
		}
	})
}

// TestSlitByHand: 24 in coil, brake of 10 ft 6 in. Three boards 8 in wide and 126 in
// long stand side by side; a fourth takes a blank of its own, and two lengths of 60
// in, 8 in wide, go end to end beside it.
func TestSlitByHand(t *testing.T) {
	c := guillotine.Coil{Width: 24, Longest: 126, Step: 1, Pieces: []guillotine.Piece{{Width: 8, Length: 126, Count: 4}, {Width: 8, Length: 60, Count: 2}}}
	p, err := guillotine.Slit(context.Background(), c)
	if err != nil {
		t.Fatal(err)
	}
	judgePlan(t, c, p)
	if p.Length != 252 || p.Count != 2 || !p.Optimal || !p.BlanksProven || p.Slits != 2+2 {
		t.Errorf("%+v, want 252 in of two blanks, proven", p)
	}
}

// TestSlitRefuses names the piece and the rule.
func TestSlitRefuses(t *testing.T) {
	good := func() guillotine.Coil {
		return guillotine.Coil{Width: 24, Longest: 126, Step: 1, Pieces: []guillotine.Piece{{Width: 8, Length: 10, Count: 1}}}
	}
	many := good()
	many.Pieces = nil
	for i := range int64(3000) {
		many.Pieces = append(many.Pieces, guillotine.Piece{Width: 1 + i%24, Length: 10_000 + i, Count: 1})
	}
	many.Longest = 16_000
	for name, c := range map[string]struct {
		change func(*guillotine.Coil)
		want   error
		piece  int
	}{
		"no width":         {func(c *guillotine.Coil) { c.Width = 0 }, guillotine.ErrSize, guillotine.StockSize},
		"no brake":         {func(c *guillotine.Coil) { c.Longest = -1 }, guillotine.ErrSize, guillotine.StockSize},
		"step":             {func(c *guillotine.Coil) { c.Step = -1 }, guillotine.ErrSize, guillotine.StockSize},
		"negative length":  {func(c *guillotine.Coil) { c.Pieces[0].Length = -3 }, guillotine.ErrSize, 0},
		"zero width":       {func(c *guillotine.Coil) { c.Pieces[0].Width = 0 }, guillotine.ErrSize, 0},
		"negative count":   {func(c *guillotine.Coil) { c.Pieces[0].Count = -1 }, guillotine.ErrCount, 0},
		"negative value":   {func(c *guillotine.Coil) { c.Pieces[0].Value = -1 }, guillotine.ErrValue, 0},
		"too wide":         {func(c *guillotine.Coil) { c.Pieces[0].Width = 25 }, guillotine.ErrTooWide, 0},
		"too long":         {func(c *guillotine.Coil) { c.Pieces[0].Length = 127 }, guillotine.ErrTooLong, 0},
		"a million alike":  {func(c *guillotine.Coil) { c.Pieces[0].Count = 1_000_000 }, guillotine.ErrMany, 0},
		"no common step":   {func(c *guillotine.Coil) { c.Longest, c.Pieces[0].Length = 1<<40, 3; c.Step = 0 }, guillotine.ErrGrid, guillotine.StockSize},
		"too fine a step":  {func(c *guillotine.Coil) { c.Longest, c.Pieces[0].Length, c.Step = 1<<40, 1<<39, 1 }, guillotine.ErrGrid, guillotine.StockSize},
		"too many sizes":   {func(c *guillotine.Coil) { *c = many }, guillotine.ErrMany, guillotine.StockSize},
		"lengths overflow": {func(c *guillotine.Coil) { c.Longest, c.Pieces[0].Length, c.Pieces[0].Count = 1<<62, 1<<60, 10 }, guillotine.ErrOverflow, guillotine.StockSize},
	} {
		q := good()
		c.change(&q)
		_, err := guillotine.Slit(context.Background(), q)
		var at *guillotine.SizeError
		if !errors.Is(err, c.want) || errors.As(err, &at) && at.Piece != c.piece {
			t.Errorf("%s: %v, want %v of %d", name, err, c.want, c.piece)
		}
	}
	if p, err := guillotine.Slit(context.Background(), guillotine.Coil{Width: 1, Longest: 1}); err != nil || !p.Optimal || len(p.Blanks) != 0 {
		t.Errorf("nothing to cut: %+v, %v", p, err)
	}
}

// TestSlitManyAlike: 100,000 equal pieces are few sizes; eight abreast need 12,500
// blanks of the coil's width.
func TestSlitManyAlike(t *testing.T) {
	c := guillotine.Coil{Width: 24, Longest: 126, Step: 1, Pieces: []guillotine.Piece{{Width: 3, Length: 100, Count: 100_000}}}
	p, err := guillotine.Slit(context.Background(), c)
	if err != nil {
		t.Fatal(err)
	}
	judgePlan(t, c, p)
	if p.Length != 12_500*100 || !p.Optimal {
		t.Errorf("length %d, bound %d", p.Length, p.Bound)
	}
}

// TestSameQuestionSameAnswer asks twice.
func TestSameQuestionSameAnswer(t *testing.T) {
	c := house()
	c.Steps = 200_000_000
	a, err := guillotine.Slit(context.Background(), c)
	if err != nil {
		t.Fatal(err)
	}
	judgePlan(t, c, a)
	b, _ := guillotine.Slit(context.Background(), c)
	if fmt.Sprint(a) != fmt.Sprint(b) {
		t.Error("two answers to one question")
	}
	t.Logf("an invented house: %d blanks, %.2f ft, bound %.2f ft", a.Count, float64(a.Length)/192, float64(a.Bound)/192)
}

// house is the flat trim of an invented house in 1/16 in: boards, corner flats, channel and
// caps of a dozen openings, runs over the brake already split.
func house() guillotine.Coil {
	c := guillotine.Coil{Width: 24 * 16, Longest: 126 * 16, Step: 16}
	add := func(width, length int64, count int) {
		c.Pieces = append(c.Pieces, guillotine.Piece{Width: width, Length: length, Count: count})
	}
	add(120, 2016, 9)
	add(120, 790, 4)
	add(128, 2016, 9)
	add(128, 624, 2)
	add(160, 1744, 4)
	for i := range int64(6) {
		add(44, 500+116*i, 2)
		add(44, 984+40*i, 4)
		add(48, 480+116*i, 2)
	}
	return c
}

// TestSlitStopsWhenTold: a done context ends the work; the plan stands.
func TestSlitStopsWhenTold(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	c := house()
	p, err := guillotine.Slit(ctx, c)
	if err != nil {
		t.Fatal(err)
	}
	judgePlan(t, c, p)
}
