// Command pack proves the published bin packing instances with Coilwright, cuts
// jobs as large as houses, and solves a few instances of each class with HiGHS on the
// arc-flow model (Debian's python3-scipy) in the same run, printing the ratios. It
// fails where an instance is not proven. Run it from the repository's root.
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
	} else if err := prove(w, all); err != nil {
		return err
	}
	if err := houses(w); err != nil {
		return err
	}
	return compare(w, all)
}
