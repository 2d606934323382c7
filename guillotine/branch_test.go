package guillotine_test

import (
	"context"
	"slices"
	"testing"

	"coilwright/guillotine"

	"pgregory.net/rapid"
)

// TestBranchAgainstEverything: branch and bound alone, without the plans and the
// search that commonly end small questions first, proves what trying everything gives.
func TestBranchAgainstEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCoil(t)
		p, err := guillotine.Branched(c)
		if err != nil {
			t.Fatal(err)
		}
		if len(c.Pieces) == 0 {
			return
		}
		judgePlan(t, c, p)
		if length, _ := bruteSlit(c); p.Length != length || !p.Optimal {
			t.Fatalf("length %d, bound %d; trying everything gives %d", p.Length, p.Bound, length)
		}
	})
}

// TestBranchFindsOneStepLess: told of a plan that takes one step more than the best,
// branch and bound finds the best, and proves that there is none better.
func TestBranchFindsOneStepLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCoil(t)
		if c.Step = 1; len(c.Pieces) == 0 {
			return
		}
		best, _ := bruteSlit(c)
		length, bound, err := guillotine.BranchedBelow(c, best+1)
		if err != nil || length != best || bound != best {
			t.Fatalf("length %d, bound %d (%v); trying everything gives %d", length, bound, err, best)
		}
	})
}

// TestPruningKeepsWhatMayBeBetter: where a plan is known, parts are left out whose plans cost
// as much or more, and no others.
func TestPruningKeepsWhatMayBeBetter(t *testing.T) {
	if left := guillotine.Pruned(100, []int64{98, 99, 100, 101}); !slices.Equal(left, []int64{98, 99}) {
		t.Errorf("left are parts %v", left)
	}
}

// TestBarredShapesAreInNoBetterPlan: whatever way the pieces are cut from less than a length,
// no blank is of a shape that is left out for it.
func TestBarredShapesAreInNoBetterPlan(t *testing.T) {
	barred := 0
	rapid.Check(t, func(t *rapid.T) {
		c := drawOnGrid(t)
		best, _ := bruteSlit(c)
		length := best + max(c.Step, 10)*rapid.Int64Range(1, 3).Draw(t, "more")
		live, err := guillotine.Live(c, length)
		if err != nil {
			t.Fatal(err)
		}
		everyPlan(c, func(plan []lanes) {
			takes, all := takenBy(c, plan), true
			for _, b := range plan {
				all = all && live(b.strips(), b.longest())
			}
			if takes < length && !all {
				t.Fatalf("the plan %v takes %d, and one of its shapes is left out", plan, takes)
			}
			if !all {
				barred++
			}
		})
	})
	if barred == 0 {
		t.Error("no shape was left out at all")
	}
}

// TestMoreLanes: lanes that are more than others from some extent up belong to exactly one
// part of what is searched on, and no other lanes belong to any.
func TestMoreLanes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		extents := rapid.IntRange(1, 6).Draw(t, "extents")
		draw := rapid.SliceOfN(rapid.IntRange(0, 3), extents, extents)
		had, lanes := draw.Draw(t, "had"), draw.Draw(t, "lanes")
		want, over := 0, 0
		for e := extents - 1; e >= 0; e-- {
			if over += lanes[e] - had[e]; over > 0 {
				want = 1
			}
		}
		if got := guillotine.PartsWith(had, lanes); got != want {
			t.Fatalf("in %d parts, want %d", got, want)
		}
	})
}

// TestBranchAgainstSearch: with more pieces than can be tried one by one, branch and
// bound gives what a bounded search of another kind gives.
func TestBranchAgainstSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := guillotine.Coil{Width: 24, Longest: 40, Step: rapid.Int64Range(0, 1).Draw(t, "step"), Steps: 400_000_000}
		for range rapid.IntRange(3, 6).Draw(t, "sizes") {
			c.Pieces = append(c.Pieces, guillotine.Piece{Width: rapid.SampledFrom([]int64{3, 4, 8, 10}).Draw(t, "width"),
				Length: rapid.Int64Range(9, 33).Draw(t, "length"), Count: rapid.IntRange(1, 3).Draw(t, "count")})
		}
		p, err := guillotine.Branched(c)
		if err != nil {
			t.Fatal(err)
		}
		judgePlan(t, c, p)
		o, err := guillotine.Searched(c)
		if err != nil {
			t.Fatal(err)
		}
		if p.Bound > o.Length || p.Optimal && o.Optimal && p.Length != o.Length {
			t.Fatalf("branched %d, bound %d; searched %d, bound %d", p.Length, p.Bound, o.Length, o.Bound)
		}
	})
}

// TestCutsHoldForEveryPlan: whatever way the pieces are cut, the blanks make what each
// cut asks for.
func TestCutsHoldForEveryPlan(t *testing.T) {
	seen := 0
	rapid.Check(t, func(t *rapid.T) {
		c := drawOnGrid(t)
		cuts, err := guillotine.RootCuts(c)
		if err != nil {
			t.Fatal(err)
		}
		seen += len(cuts)
		if len(cuts) == 0 {
			return
		}
		everyPlan(c, func(plan []lanes) {
			for _, cut := range cuts {
				if have := worth(cut, plan); have < cut.Need-1e-9 {
					t.Fatalf("the plan %v makes %v of %v", plan, have, cut.Need)
				}
			}
		})
	})
	if seen == 0 {
		t.Error("no cut was found at all")
	}
}

// TestSumCutsHoldForEveryBetterPlan: whatever way the pieces are cut from less than a length,
// the blanks make what each cut asks for that was found in a sum of others.
func TestSumCutsHoldForEveryBetterPlan(t *testing.T) {
	seen, plans := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		c := drawOnGrid(t)
		best, _ := bruteSlit(c)
		length := best + max(c.Step, 10)*rapid.Int64Range(1, 6).Draw(t, "more")
		cuts, err := guillotine.SumCuts(c, length)
		if err != nil {
			t.Fatal(err)
		}
		if seen += len(cuts); len(cuts) == 0 {
			return
		}
		everyPlan(c, func(plan []lanes) {
			takes := takenBy(c, plan)
			if takes >= length {
				return
			}
			plans++
			for _, cut := range cuts {
				if have := worth(cut, plan); have < cut.Need-1e-9 {
					t.Fatalf("the plan %v of %d makes %v of %v", plan, takes, have, cut.Need)
				}
			}
		})
	})
	if seen == 0 || plans == 0 {
		t.Errorf("%d cuts, %d better plans: nothing was tried", seen, plans)
	}
}

// drawOnGrid draws a coil whose sizes are whole numbers of the pieces' grid.
func drawOnGrid(t *rapid.T) guillotine.Coil {
	c := drawCoil(t)
	c.Width, c.Longest, c.Step = c.Width*10, c.Longest*10, c.Step*10
	for i := range c.Pieces {
		c.Pieces[i].Width, c.Pieces[i].Length = c.Pieces[i].Width*10, c.Pieces[i].Length*10
	}
	c.Pieces = append(c.Pieces, guillotine.Piece{Width: 10, Length: 10, Count: 1})
	return c
}

// strips counts them by width.
func (b lanes) strips() map[int64]int {
	out := map[int64]int{}
	for _, l := range b {
		out[l.width]++
	}
	return out
}

// worth is what the blanks of a plan count for in a cut.
func worth(cut guillotine.RootCut, plan []lanes) float64 {
	have := 0.0
	for _, b := range plan {
		have += cut.Amount(b.strips(), b.longest())
	}
	return have
}

// TestHouseIsProven: the flat trim of an invented house is planned with proof.
func TestHouseIsProven(t *testing.T) {
	c := house()
	c.Steps = 1_000_000_000
	p, err := guillotine.Slit(context.Background(), c)
	if err != nil {
		t.Fatal(err)
	}
	judgePlan(t, c, p)
	if !p.Optimal {
		t.Errorf("%d, bound %d", p.Length, p.Bound)
	}
	t.Logf("%d blanks, %.2f ft, bound %.2f ft", p.Count, float64(p.Length)/192, float64(p.Bound)/192)
}
