// Command geos cuts the same facades into courses with Coilwright and with GEOS
// (Debian's python3-shapely) in one run, checks that both find the same parts, and
// prints the ratio of their times. Run it from the repository's root.
package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"time"

	"coilwright/bench"
	"coilwright/plane"
)

// answer is what one way of GEOS took for a case.
type answer struct {
	Way     string  `json:"way"`
	Seconds float64 `json:"seconds"`
	Parts   int     `json:"parts"`
	AreaM2  float64 `json:"area_m2"`
}

func main() {
	if err := run(os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "geos:", err)
		os.Exit(1)
	}
}

func run(w io.Writer) error {
	peer := exec.Command("/usr/bin/python3", "bench/geos/bands.py")
	peer.Stderr = os.Stderr
	in, err := peer.StdinPipe()
	if err != nil {
		return err
	}
	out, err := peer.StdoutPipe()
	if err != nil {
		return err
	}
	if err := peer.Start(); err != nil {
		return err
	}
	fmt.Fprintf(w, "%8s  %-16s %8s %12s %12s %8s\n", "openings", "GEOS way", "parts", "GEOS ms", "ours ms", "ratio")
	answers := bufio.NewReader(out)
	for _, n := range []int{10, 100, 1000} {
		if err := compare(w, n, in, answers); err != nil {
			return err
		}
	}
	in.Close()
	return peer.Wait()
}

// compare times ours before and after the peer, so that a busy machine slows both.
func compare(w io.Writer, n int, in io.Writer, answers *bufio.Reader) error {
	rings := bench.Facade(n)
	lines := bench.Lines(rings)
	before, parts := ours(rings, lines)
	if err := json.NewEncoder(in).Encode(given(rings, lines)); err != nil {
		return err
	}
	line, err := answers.ReadBytes('\n')
	if err != nil {
		return fmt.Errorf("no answer from bands.py: %w", err)
	}
	var ways []answer
	if err := json.Unmarshal(line, &ways); err != nil {
		return err
	}
	after, _ := ours(rings, lines)
	best := min(before, after)
	for _, a := range ways {
		if area := areaOf(parts); a.Parts != len(parts) || math.Abs(a.AreaM2/area-1) > 1e-9 {
			return fmt.Errorf("%d openings: %s finds %d parts of %.9f m2, ours are %d of %.9f m2",
				n, a.Way, a.Parts, a.AreaM2, len(parts), area)
		}
		fmt.Fprintf(w, "%8d  %-16s %8d %12.3f %12.3f    1/%.0f\n", n, a.Way, a.Parts, 1e3*a.Seconds, 1e3*best, a.Seconds/best)
	}
	return nil
}

// ours is the best of several runs, in seconds, with the parts found.
func ours(rings []plane.TaggedRing, lines []plane.Length) (best float64, parts []plane.Part) {
	best = math.Inf(1)
	for range 20 {
		start := time.Now()
		parts = plane.Bands(rings, lines)
		best = min(best, time.Since(start).Seconds())
	}
	return best, parts
}

// given is a case as bands.py reads it.
func given(rings []plane.TaggedRing, lines []plane.Length) map[string]any {
	shapes := make([][][2]plane.Length, len(rings))
	for i, r := range rings {
		for _, p := range r.Points {
			shapes[i] = append(shapes[i], [2]plane.Length{p.X, p.Y})
		}
	}
	return map[string]any{"rings": shapes, "lines": lines}
}

func areaOf(parts []plane.Part) float64 {
	sum := 0.0
	for _, p := range parts {
		sum += p.Outer.Points.Area().SquareMetres()
		for _, h := range p.Holes {
			sum += h.Points.Area().SquareMetres()
		}
	}
	return sum
}
