package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"

	"coilwright/bench"
)

// forPeer are the instances small enough for the peer's model; seconds is what it
// gets for each.
var forPeer = []string{"cung2000/CHL5", "cung2000/Hchl8s", "cung2000/CHL2s", "hifi1997a/2", "oliveira1990/OF2"}

const seconds = 3

// answer is what HiGHS found for a case.
type answer struct {
	Value   int64   `json:"value"`
	Proven  bool    `json:"proven"`
	Seconds float64 `json:"seconds"`
}

// peers solves a few sheets with HiGHS too, and wants the same value where it proves
// one.
func peers(w io.Writer, all []instance) error {
	if exec.Command(bench.Python, "-c", "import scipy.optimize").Run() != nil {
		fmt.Fprintln(os.Stderr, "bench/guillotine: python3-scipy is missing, so there is nothing to compare with")
		return nil
	}
	peer, err := bench.StartPeer("bench/guillotine/shelves.py")
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "\n%-26s %-10s %12s %10s %8s\n", "with HiGHS", "first cut", "HiGHS ms", "ours ms", "ratio")
	for _, x := range all {
		if slices.Contains(forPeer, x.name) {
			if err := compare(w, x, peer.In, peer.Out); err != nil {
				return err
			}
		}
	}
	return peer.Stop()
}

// compare times ours before and after the peer, so that a busy machine slows both.
func compare(w io.Writer, x instance, in io.Writer, answers *bufio.Reader) error {
	f, before, err := fill(x.sheet)
	if err != nil {
		return err
	}
	if err := json.NewEncoder(in).Encode(given(x)); err != nil {
		return err
	}
	line, err := answers.ReadBytes('\n')
	if err != nil {
		return fmt.Errorf("no answer from shelves.py: %w", err)
	}
	var a answer
	if err := json.Unmarshal(line, &a); err != nil {
		return err
	}
	_, after, err := fill(x.sheet)
	if err != nil {
		return err
	}
	if a.Proven && a.Value != f.Value || a.Value > f.Value {
		return fmt.Errorf("%s: HiGHS finds %d, ours %d", x.name, a.Value, f.Value)
	}
	best, more := min(before, after), ""
	if !a.Proven {
		more = fmt.Sprintf(" or more: it reached %d and no proof", a.Value)
	}
	fmt.Fprintf(w, "%-26s %-10s %12.1f %10.2f    1/%.0f%s\n", x.name, x.first, 1e3*a.Seconds, ms(best), 1e3*a.Seconds/ms(best), more)
	return nil
}

// given is a case as shelves.py reads it.
func given(x instance) map[string]any {
	pieces := [][4]int64{}
	for _, p := range x.sheet.Pieces {
		pieces = append(pieces, [4]int64{p.Width, p.Length, p.Value, int64(p.Count)})
	}
	return map[string]any{"width": x.sheet.Width, "length": x.sheet.Length, "pieces": pieces, "seconds": seconds}
}
