package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os/exec"
	"time"

	"coilwright/bench"
	"coilwright/pack"
)

// peers are the instances that HiGHS solves too, and how many times quicker we want to be.
var peers = []struct {
	name   string
	wanted float64
}{
	{"Falkenauer_u120_01", 100}, {"Falkenauer_u250_05", 100}, {"Falkenauer_u500_03", 100}, {"Falkenauer_u1000_00", 100},
	{"Falkenauer_t60_03", 25}, {"Falkenauer_t120_03", 25}, {"Falkenauer_t249_07", 25},
	{"N1W1B1R0", 0}, {"Schwerin1_BPP6", 0},
}

const peerLimit = 12 // seconds on the wall; a peer that needs longer is stopped, and the ratio is at most what is shown

type peerAnswer struct {
	Bins    int     `json:"bins"`
	Bound   float64 `json:"bound"`
	Seconds float64 `json:"seconds"`
	Proven  bool    `json:"proven"`
}

// compare solves the peers' instances with HiGHS and again with ours, right after, so that a busy
// machine slows both.
func compare(w io.Writer, all []*instance) error {
	if len(all) == 0 {
		return nil
	}
	if err := exec.Command(bench.Python, "-c", "from scipy.optimize import milp").Run(); err != nil {
		fmt.Fprintln(w, "bench/pack: python3-scipy is missing, so there is no HiGHS to compare with")
		return nil
	}
	peer, err := bench.StartPeer("bench/pack/arcflow.py")
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "%-22s %5s %12s %12s %16s  %s\n", "against HiGHS", "bins", "HiGHS ms", "ours ms", "ratio", "wanted")
	for _, p := range peers {
		for _, i := range all {
			if i.name == p.name {
				if err := comparePeer(w, i, p.wanted, peer.In, peer.Out); err != nil {
					return err
				}
			}
		}
	}
	return peer.Stop()
}

func comparePeer(w io.Writer, i *instance, wanted float64, in io.Writer, answers *bufio.Reader) error {
	var lengths, demands []int64
	for _, it := range i.problem.Items {
		lengths, demands = append(lengths, it.Length), append(demands, int64(it.Count))
	}
	ask := map[string]any{"capacity": i.problem.Stocks[0].Length, "length": lengths, "demand": demands, "limit": peerLimit}
	if err := json.NewEncoder(in).Encode(ask); err != nil {
		return err
	}
	line, err := answers.ReadBytes('\n')
	if err != nil {
		return fmt.Errorf("no answer from arcflow.py: %w", err)
	}
	var a peerAnswer
	if err := json.Unmarshal(line, &a); err != nil {
		return err
	}
	if a.Proven && a.Bins != i.optimum {
		return fmt.Errorf("%s: HiGHS proves %d bins, published %d", i.name, a.Bins, i.optimum)
	}
	best := time.Duration(math.MaxInt64)
	for range 3 {
		start := processor()
		if _, err := pack.Solve(context.Background(), i.problem); err != nil {
			return err
		}
		best = min(best, processor()-start)
	}
	text, goal := fmt.Sprintf("1/%.0f", a.Seconds/best.Seconds()), ""
	if !a.Proven {
		text = "at most " + text
	}
	if wanted > 0 {
		goal = fmt.Sprintf("1/%.0f", wanted)
	}
	fmt.Fprintf(w, "%-22s %5d %12.0f %12.2f %16s  %s\n", i.name, i.optimum, 1000*a.Seconds, ms(best), text, goal)
	return nil
}
