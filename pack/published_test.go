package pack_test

import (
	"context"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"coilwright/pack"
)

// TestPublishedBins solves the one-dimensional instances of the literature
// (Falkenauer, Scholl, Schwerin, Hard28, Waescher; BPPLIB of Delorme, Iori and
// Martello). A plan called optimal must be the published optimum; one that is not
// must say so with an honest bound, at most one bin away. How many instances are
// proven within the default work limit is counted, and may not fall.
func TestPublishedBins(t *testing.T) {
	dir := shared(t, "bpp1d")
	tried, proven := 0, 0
	for _, row := range table(t, filepath.Join(dir, "optima.csv")) {
		family, name := row[0], row[1]
		want, _ := strconv.Atoi(row[2])
		t.Run(family+"/"+name, func(t *testing.T) {
			if testing.Short() && (strings.HasPrefix(family, "Hard") || strings.Contains(name, "t501")) {
				t.Skip("long")
			}
			p := readBPP(t, filepath.Join(dir, name+".txt"))
			start := time.Now()
			plan, err := pack.Solve(context.Background(), p)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%d bins, bound %d, %v", plan.Count, plan.Bound.Bins, time.Since(start))
			if err := judge(p, plan); err != nil {
				t.Fatal(err)
			}
			tried++
			switch {
			case plan.Optimal && plan.Count == want:
				proven++
			case plan.Optimal || plan.Bound.Bins > want || plan.Count < want || plan.Count-plan.Bound.Bins > 1:
				t.Errorf("%d bins, bound %d, optimal %v; published optimum %d", plan.Count, plan.Bound.Bins, plan.Optimal, want)
			default:
				t.Logf("not proven within the work limit: %d bins, bound %d; published optimum %d", plan.Count, plan.Bound.Bins, want)
			}
		})
	}
	t.Logf("%d of %d proven", proven, tried)
	if tried == 99 && proven < 90 {
		t.Errorf("%d of %d instances proven, 90 were", proven, tried)
	}
}
