package pack_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"coilwright/opendata"
	"coilwright/pack"
)

// TestClassicalExample: rolls of 5600 mm, 13 widths, 219 pieces; 73 rolls are the
// published optimum ("Cutting stock problem", Wikipedia; worked in many textbooks).
func TestClassicalExample(t *testing.T) {
	p := pack.Problem{Stocks: []pack.Stock{{Length: 5600, Count: -1}}}
	for _, row := range table(t, opendata.Need(t, "classical example", "cutting", "cutting_stock_5600.csv")) {
		length, err1 := strconv.ParseInt(row[0], 10, 64)
		count, err2 := strconv.Atoi(row[1])
		if err1 != nil || err2 != nil {
			t.Fatal(row)
		}
		p.Items = append(p.Items, pack.Item{Length: length, Count: count})
	}
	plan, err := pack.Solve(context.Background(), p)
	if err != nil || plan.Count != 73 || !plan.Optimal {
		t.Fatalf("%d rolls, bound %d, %v; published 73", plan.Count, plan.Bound.Bins, err)
	}
	if err := judge(p, plan); err != nil {
		t.Error(err)
	}
}

// TestMillionPieces: a million alike are one kind; the arithmetic is 500 to a
// bin of 1000 with pieces of 2, whatever money a bin costs.
func TestMillionPieces(t *testing.T) {
	p := pack.Problem{
		Items:  []pack.Item{{Length: 2, Count: 1_000_000}},
		Stocks: []pack.Stock{{Length: 1000, Cost: 139_500, Count: -1}, {Length: 500, Cost: 73_500, Count: -1}},
	}
	plan, err := pack.Solve(context.Background(), p)
	if err != nil || plan.Count != 2000 || plan.Cost != 2000*139_500 || !plan.Optimal || len(plan.Bins) > 10 {
		t.Fatalf("%d bins for %d in %d lines, optimal %v, %v", plan.Count, plan.Cost, len(plan.Bins), plan.Optimal, err)
	}
	// Two kinds and a set-up: still few lines and little work.
	p.Items = append(p.Items, pack.Item{Length: 3, Count: 999_999, Class: 1})
	p.Setup = 7
	if plan, err = pack.Solve(context.Background(), p); err != nil || judge(p, plan) != nil || len(plan.Bins) > 1000 {
		t.Fatalf("%d lines, %v, %v", len(plan.Bins), err, judge(p, plan))
	}
}

// TestRefusals: every rule of Validate, by its sentinel.
func TestRefusals(t *testing.T) {
	ten := []pack.Stock{{Length: 10, Count: -1}}
	for name, c := range map[string]struct {
		p    pack.Problem
		want error
	}{
		"longer than any stock":  {pack.Problem{Items: []pack.Item{{Length: 11, Count: 1}}, Stocks: ten}, pack.ErrTooLong},
		"too long with a set-up": {pack.Problem{Items: []pack.Item{{Length: 10, Count: 1}}, Stocks: ten, Setup: 1}, pack.ErrTooLong},
		"no length":              {pack.Problem{Items: []pack.Item{{Length: 0, Count: 1}}, Stocks: ten}, pack.ErrLength},
		"less than no length":    {pack.Problem{Items: []pack.Item{{Length: -4, Count: 1}}, Stocks: ten}, pack.ErrLength},
		"less than no pieces":    {pack.Problem{Items: []pack.Item{{Length: 4, Count: -1}}, Stocks: ten}, pack.ErrCount},
		"stock of no length":     {pack.Problem{Items: []pack.Item{{Length: 4, Count: 1}}, Stocks: []pack.Stock{{Count: 1}}}, pack.ErrLength},
		"no stock":               {pack.Problem{Items: []pack.Item{{Length: 4, Count: 1}}}, pack.ErrNoStock},
		"stock of count 0":       {pack.Problem{Items: []pack.Item{{Length: 4, Count: 1}}, Stocks: []pack.Stock{{Length: 10}}}, pack.ErrNoStock},
		"too little stock":       {pack.Problem{Items: []pack.Item{{Length: 6, Count: 2}}, Stocks: []pack.Stock{{Length: 10, Count: 1}}}, pack.ErrInfeasible},
		"negative cost":          {pack.Problem{Items: []pack.Item{{Length: 6, Count: 2}}, Stocks: []pack.Stock{{Length: 10, Cost: -1, Count: -1}}}, pack.ErrCost},
		"negative set-up":        {pack.Problem{Items: []pack.Item{{Length: 6, Count: 2}}, Stocks: ten, Setup: -1}, pack.ErrSetup},
		"more than can be added": {pack.Problem{Items: []pack.Item{{Length: 1 << 61, Count: 8}}, Stocks: []pack.Stock{{Length: 1 << 61, Count: -1}}}, pack.ErrOverflow},
		"money without end": {pack.Problem{Items: []pack.Item{{Length: 6, Count: 2}}, Stocks: []pack.Stock{
			{Length: 10, Cost: math.MaxInt64 / 2, Count: -1}, {Length: 9, Cost: 1, Count: 1}}}, pack.ErrOverflow},
	} {
		if _, err := pack.Solve(context.Background(), c.p); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	if plan, err := pack.Solve(context.Background(), pack.Problem{}); err != nil || !plan.Optimal || plan.Count != 0 {
		t.Errorf("nothing at all: %+v, %v", plan, err)
	}
}

// TestHouseIsProven: 40 to 400 pieces of 1 to 50 ft on coils of 480 and 1000 ft, in
// nanometres, with and without set-ups, coils in stock and prices: always proven.
func TestHouseIsProven(t *testing.T) {
	const sixteenth, foot = 1_587_500, 304_800_000
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 400))
		p := pack.Problem{Setup: int64(r.IntN(2)) * 6 * foot}
		for range 40 + r.IntN(360) {
			p.Items = append(p.Items, pack.Item{Length: (192 + r.Int64N(49*192+1)) * sixteenth, Count: 1, Class: r.IntN(3)})
		}
		p.Stocks = []pack.Stock{{Length: 480 * foot, Cost: 70_000, Count: -1}, {Length: 1000 * foot, Cost: 130_000, Count: -1}}
		for range r.IntN(4) {
			p.Stocks = append(p.Stocks, pack.Stock{Length: (100 + r.Int64N(900)) * foot, Count: 1})
		}
		plan, err := pack.Solve(context.Background(), p)
		if err != nil || !plan.Optimal {
			t.Errorf("seed %d: bound %+v for %d, %d: %v", seed, plan.Bound, plan.Cost, plan.Count, err)
		}
		if err := judge(p, plan); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
	}
}
