// Command pack proves the published bin packing instances with Coilwright, cuts
// jobs as large as houses, and solves a few instances of each class with HiGHS on the
// arc-flow model (Debian's python3-scipy) in the same run, printing the ratios. It
// fails where an instance is not proven. Run it from the repository's root; an
// argument (proofs, houses, peers) does one part alone.
package main

import (
	"fmt"
	"io"
	"os"
)

func main() {
	if err := run(os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "pack:", err)
		os.Exit(1)
	}
}

func run(w io.Writer) error {
	all, err := published()
	if err != nil {
		return err
	}
	if len(all) == 0 {
		fmt.Fprintln(w, "bench/pack: no published instances here (../shared/data/cutting), so none is proven and there is nothing to compare with")
	}
	for _, part := range []struct {
		name string
		do   func() error
	}{
		{"proofs", func() error { return prove(w, all) }},
		{"houses", func() error { return houses(w) }},
		{"peers", func() error { return compare(w, all) }},
	} {
		if len(os.Args) > 1 && os.Args[1] != part.name {
			continue
		}
		if err := part.do(); err != nil {
			return err
		}
	}
	return nil
}
