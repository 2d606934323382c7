// Command guillotine proves the published two-stage instances and slits the flat trim
// of the example houses, with times, and solves a few instances and the trim of single
// walls with HiGHS (Debian's python3-scipy) in the same run. It fails where a published
// optimum or an example house's trim is not proven, or where HiGHS finds better.
// Run it from the repository's root.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	"coilwright/guillotine"
)

func main() {
	if err := run(os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "guillotine:", err)
		os.Exit(1)
	}
}

func run(w io.Writer) error {
	if err := houses(w); err != nil {
		return err
	}
	if err := wallsWithPeer(w); err != nil {
		return err
	}
	all, err := published()
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench/guillotine: the published instances are absent:", err)
		return nil
	}
	if err := prove(w, all); err != nil {
		return err
	}
	return peers(w, all)
}

// prove fills every published sheet and wants the published optimum, proven.
func prove(w io.Writer, all []instance) error {
	fmt.Fprintf(w, "\n%-26s %-10s %8s %8s %10s\n", "published sheet", "first cut", "value", "optimum", "ms")
	open, total := 0, time.Duration(0)
	for _, x := range all {
		f, took, err := fill(x.sheet)
		if err != nil {
			return err
		}
		total += took
		note := ""
		if f.Value != x.optimum || !f.Optimal {
			open++
			note = fmt.Sprintf("  NOT PROVEN, bound %d", f.Bound)
		}
		fmt.Fprintf(w, "%-26s %-10s %8d %8d %10.2f%s\n", x.name, x.first, f.Value, x.optimum, ms(took), note)
	}
	fmt.Fprintf(w, "%d of %d optima proven, %.0f ms together\n", len(all)-open, len(all), ms(total))
	if open > 0 {
		return fmt.Errorf("%d published optima are not proven", open)
	}
	return nil
}

func fill(s guillotine.Sheet) (guillotine.Filling, time.Duration, error) {
	start := time.Now()
	f, err := guillotine.Fill(context.Background(), s)
	return f, time.Since(start), err
}

func ms(d time.Duration) float64 { return float64(d) / 1e6 }
