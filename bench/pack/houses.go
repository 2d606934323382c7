package main

import (
	"context"
	"fmt"
	"io"
	"math/big"
	"math/rand/v2"
	"time"

	"coilwright/coil"
	"coilwright/measure"
	"coilwright/pack"
	"coilwright/steel"
)

// houses prints what jobs as large as houses take: pieces of 1 to 50 ft on coils of
// 480 to 1000 ft, lengths in nanometres as the program keeps them.
func houses(w io.Writer) error {
	fmt.Fprintf(w, "%-44s %8s %12s  %s\n", "house-sized jobs", "pieces", "slowest ms", "")
	for _, n := range []int{400, 5000} {
		if err := solved(w, n); err != nil {
			return err
		}
	}
	if err := sequenced(w); err != nil {
		return err
	}
	for _, n := range []int{300, 2000} {
		if err := planned(w, n); err != nil {
			return err
		}
	}
	fmt.Fprintln(w)
	return nil
}

const seeds = 10

func lengths(r *rand.Rand, n int) []measure.Length {
	out := make([]measure.Length, n)
	for i := range out {
		out[i] = measure.Length(192+r.Int64N(49*192+1)) * measure.Sixteenth
	}
	return out
}

// solved: the cheapest coils to buy, beside two in stock, proven.
func solved(w io.Writer, n int) error {
	worst := time.Duration(0)
	for seed := range uint64(seeds) {
		p := pack.Problem{Stocks: []pack.Stock{
			{Length: 480 * int64(measure.Foot), Cost: 70_000, Count: -1}, {Length: 1000 * int64(measure.Foot), Cost: 130_000, Count: -1},
			{Length: 385 * int64(measure.Foot), Count: 1}, {Length: 690 * int64(measure.Foot), Count: 1}}}
		for _, l := range lengths(rand.New(rand.NewPCG(seed, uint64(n))), n) {
			p.Items = append(p.Items, pack.Item{Length: int64(l), Count: 1})
		}
		start := processor()
		plan, err := pack.Solve(context.Background(), p)
		worst = max(worst, processor()-start)
		if err != nil || !plan.Optimal {
			return fmt.Errorf("%d pieces, seed %d: not proven: %v", n, seed, err)
		}
	}
	fmt.Fprintf(w, "%-44s %8d %12.1f  proven\n", "cheapest coils, fewest reels", n, ms(worst))
	return nil
}

// sequenced: cutting kept inside a window of 24 pieces of the hanging order.
func sequenced(w io.Writer) error {
	worst, finished, empty := time.Duration(0), 0, 0
	for seed := range uint64(2 * seeds) {
		r := rand.New(rand.NewPCG(seed, 24))
		var line pack.Line
		for _, l := range lengths(r, 400) {
			line.Pieces = append(line.Pieces, pack.LinePiece{Length: int64(l)})
		}
		for range 30 {
			line.Bins = append(line.Bins, (480+r.Int64N(521))*int64(measure.Foot))
		}
		start := processor()
		cut, err := pack.Sequence(line)
		worst = max(worst, processor()-start)
		if err != nil || len(cut.Uncut) > 0 || cut.Farthest > pack.DefaultWindow {
			return fmt.Errorf("sequence, seed %d: %d uncut, farthest %d: %v", seed, len(cut.Uncut), cut.Farthest, err)
		}
		for _, tail := range cut.Tails[:len(cut.Tails)-1] {
			finished++
			if tail <= int64(measure.Sixteenth) {
				empty++
			}
		}
	}
	if empty*100 < finished*99 {
		return fmt.Errorf("only %d of %d finished coils are emptied to 1/16 in", empty, finished)
	}
	fmt.Fprintf(w, "%-44s %8d %12.1f  %d of %d finished coils emptied to 1/16 in\n", "in the order of hanging, window of 24", 400, ms(worst), empty, finished)
	return nil
}

// planned: the whole coil plan within the limit for a page, and a spoiled piece.
func planned(w io.Writer, n int) error {
	worst, recut := time.Duration(0), time.Duration(0)
	proven := 0
	for seed := range uint64(seeds) {
		in := house(rand.New(rand.NewPCG(seed, uint64(n))), n)
		start := processor()
		plan := coil.Make(in)
		worst = max(worst, processor()-start)
		if plan.Bound.Optimal {
			proven++
		}
		if len(plan.LeftOut) > 0 {
			return fmt.Errorf("coil plan of %d pieces, seed %d: left out %v", n, seed, plan.LeftOut[0])
		}
		first := plan.Reels[0].Pieces
		start = processor()
		if _, err := coil.Recut(in, plan, coil.Spoiled{Pieces: first[len(first)-1:]}); err != nil {
			return err
		}
		recut = max(recut, processor()-start)
	}
	fmt.Fprintf(w, "%-44s %8d %12.1f  %d of %d purchases proven\n", "coil plan: lots, set-ups, order", n, ms(worst), proven, seeds)
	fmt.Fprintf(w, "%-44s %8d %12.1f\n", "a piece spoiled: the rest mended", n, ms(recut))
	return nil
}

// house is pieces of four walls in two set-ups, with stock in two lots.
func house(r *rand.Rand, n int) coil.Input {
	set := coil.Setup{Panel: "double-5", Texture: "grain", Colour: "slate", Thickness: measure.Inch / 50, Width: 14 * measure.Inch}
	reel := func(id, lot string, feet measure.Length) steel.Coil {
		return steel.Coil{ID: id, Lot: lot, Colour: set.Colour, Thickness: set.Thickness, Width: set.Width, Length: feet * measure.Foot, PlusMinus: 6 * measure.Foot}
	}
	offer := func(feet measure.Length, price int64) steel.Mill {
		return steel.Mill{Colour: "any", Length: feet * measure.Foot, Price: big.NewRat(price, 1)}
	}
	in := coil.Input{Steps: coil.Quick, Meet: [][2]string{{"s", "e"}, {"e", "n"}, {"n", "w"}, {"w", "s"}}, Book: &steel.Book{
		Coils:   []steel.Coil{reel("c1", "A", 385), reel("c2", "B", 690)},
		Mill:    []steel.Mill{offer(500, 735), offer(1000, 1395), offer(2000, 2670)},
		Machine: steel.Machine{ThreadingScrap: 6 * measure.Foot, CutLoss: measure.Sixteenth},
	}}
	for i, l := range lengths(r, n) {
		s := set
		if i%5 == 4 {
			s.Texture = "smooth"
		}
		in.Cuts = append(in.Cuts, coil.Cut{ID: fmt.Sprint("p", i), Length: l, Setup: s, Wall: []string{"s", "e", "n", "w"}[4*i/n]})
	}
	return in
}
