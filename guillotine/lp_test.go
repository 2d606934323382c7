package guillotine_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"coilwright/guillotine"
)

// TestSpoiltInverse: where rounding makes a column of the basis look as if it gained, it
// does not come into the basis a second time.
func TestSpoiltInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.IntRange(2, 6).Draw(t, "rows")
		need := rapid.SliceOfN(rapid.IntRange(1, 9), rows, rows).Draw(t, "need")
		cost := rapid.SliceOfN(rapid.Float64Range(1, 20), 1, 12).Draw(t, "cost")
		var columns [][]int
		for range cost {
			columns = append(columns, rapid.SliceOfN(rapid.IntRange(0, 3), rows, rows).Draw(t, "holds"))
		}
		noise := rapid.SliceOfN(rapid.Float64Range(-1e-3, 1e-3), 1, 40).Draw(t, "noise")
		basis := guillotine.SpoiltBasis(need, cost, columns, noise)
		slices.Sort(basis)
		if len(slices.Compact(slices.Clone(basis))) != rows {
			t.Fatalf("the basis holds a column twice: %v", basis)
		}
	})
}
