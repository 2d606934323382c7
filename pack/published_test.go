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
// Martello) and asks, of each, for the published optimum and a proven bound that
// meets it: an honest gap is not enough here.
func TestPublishedBins(t *testing.T) {
	dir := shared(t, "bpp1d")
	for _, row := range table(t, filepath.Join(dir, "optima.csv")) {
		family, name := row[0], row[1]
		want, _ := strconv.Atoi(row[2])
		t.Run(family+"/"+name, func(t *testing.T) {
			if testing.Short() && (strings.HasPrefix(family, "Hard") || strings.HasPrefix(name, "HARD") || strings.Contains(name, "t501")) {
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
			if plan.Count != want || !plan.Optimal {
				t.Errorf("%d bins, bound %d, optimal %v; published optimum %d", plan.Count, plan.Bound.Bins, plan.Optimal, want)
			}
		})
	}
}
