package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"time"

	"coilwright/bench"
	"coilwright/guillotine"
	"coilwright/job"
	"coilwright/trim"
)

// wallSeconds is what the peer gets for the trim of one wall.
const wallSeconds = 6

// wallsWithPeer slits the flat trim of each wall of the demo by itself, ours and by
// HiGHS on an arc-flow model, and wants the same length where HiGHS proves one.
func wallsWithPeer(w io.Writer) error {
	if exec.Command(bench.Python, "-c", "import scipy.optimize").Run() != nil {
		fmt.Fprintln(os.Stderr, "bench/guillotine: python3-scipy is missing, so there is nothing to compare with")
		return nil
	}
	plan, walls, err := demoTrim()
	if err != nil {
		return err
	}
	peer, err := bench.StartPeer("bench/guillotine/coils.py")
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "\n%-26s %6s %9s %9s %12s %10s %8s\n", "trim of one wall", "flats", "feet", "HiGHS", "HiGHS ms", "ours ms", "ratio")
	for i, name := range walls {
		if c := coilOf(plan, i); len(c.Pieces) > 0 {
			if err := compareCoil(w, name, c, plan, peer); err != nil {
				return err
			}
		}
	}
	return peer.Stop()
}

// demoTrim is the flat trim of the demo's first scheme, and its walls' names.
func demoTrim() (*trim.Slitting, []string, error) {
	j, found := job.Read("examples/alder.json")
	if found.Fatal() {
		return nil, nil, found.Err()
	}
	l, err := j.Layout(j.Schemes[0].ID, false)
	if err != nil {
		return nil, nil, err
	}
	plans, err := j.Slit(l)
	if err != nil || len(plans) == 0 {
		return nil, nil, fmt.Errorf("the demo's trim is not slit: %w", err)
	}
	var names []string
	for _, wall := range j.House.Walls {
		names = append(names, wall.ID)
	}
	return &plans[0], names, nil
}

// coilOf asks for the flats of one wall.
func coilOf(p *trim.Slitting, wall int) guillotine.Coil {
	c := guillotine.Coil{Width: int64(p.Width), Longest: int64(p.Brake), Step: int64(p.Step)}
	for _, f := range p.Flats {
		if f.Wall == wall {
			c.Pieces = append(c.Pieces, guillotine.Piece{Width: int64(f.Width), Length: int64(f.Length), Count: 1})
		}
	}
	return c
}

func compareCoil(w io.Writer, name string, c guillotine.Coil, p *trim.Slitting, peer *bench.Peer) error {
	start := time.Now()
	plan, err := guillotine.Slit(context.Background(), c)
	if err != nil {
		return err
	}
	took := time.Since(start)
	unit := int64(1_587_500) // 1/16 in, on which the demo's sizes lie
	if err := json.NewEncoder(peer.In).Encode(coilGiven(c, unit)); err != nil {
		return err
	}
	line, err := peer.Out.ReadBytes('\n')
	if err != nil {
		return fmt.Errorf("no answer from coils.py: %w", err)
	}
	var a answer
	if err := json.Unmarshal(line, &a); err != nil {
		return err
	}
	if theirs := a.Value * unit; a.Proven && theirs != plan.Length || a.Value > 0 && theirs < plan.Bound {
		return fmt.Errorf("wall %s: HiGHS finds %d, ours %d, bound %d", name, theirs, plan.Length, plan.Bound)
	}
	feet, more := func(n int64) string { return fmt.Sprintf("%.2f", float64(n)/304_800_000) }, ""
	theirs := "none"
	if a.Value > 0 {
		theirs = feet(a.Value * unit)
	}
	if !a.Proven {
		more = " HiGHS has no proof"
	}
	fmt.Fprintf(w, "%-26s %6d %9s %9s %12.1f %10.2f    1/%.0f%s\n", name, len(c.Pieces), feet(plan.Length), theirs,
		1e3*a.Seconds, ms(took), 1e3*a.Seconds/ms(took), more)
	return nil
}

// coilGiven is a coil as coils.py reads it.
func coilGiven(c guillotine.Coil, unit int64) map[string]any {
	pieces := [][3]int64{}
	for _, p := range c.Pieces {
		pieces = append(pieces, [3]int64{p.Width / unit, p.Length / unit, int64(p.Count)})
	}
	return map[string]any{"width": c.Width / unit, "longest": c.Longest / unit, "step": c.Step / unit, "pieces": pieces, "seconds": wallSeconds}
}
