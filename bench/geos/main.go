// Command geos cuts the same facades into courses with Coilwright and with GEOS
// (Debian's python3-shapely) in one run, checks course by course that both find the
// same parts, and prints the ratio of their times. A way of GEOS that finds other
// parts, or invalid ones, is no peer, and the table says so. Run it from the
// repository's root.
package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"time"

	"coilwright/bench"
	"coilwright/plane"
)

// courses is what was found, course by course.
type courses struct {
	Parts  []int     `json:"parts"`
	Holes  []int     `json:"holes"`
	AreaM2 []float64 `json:"area_m2"`
}

// answer is what one way of GEOS took for a case.
type answer struct {
	Way     string  `json:"way"`
	Seconds float64 `json:"seconds"`
	Invalid int     `json:"invalid"` // polygons that break the rules of simple features
	courses
}

func main() {
	if err := run(os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "geos:", err)
		os.Exit(1)
	}
}

func run(w io.Writer) error {
	peer, err := bench.StartPeer("bench/geos/bands.py")
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "%-8s %8s  %-16s %8s %8s %12s %12s %8s\n", "facade", "openings", "GEOS way", "parts", "holes", "GEOS ms", "ours ms", "ratio")
	for _, f := range []struct {
		name  string
		rings func(int) []plane.TaggedRing
	}{{"windows", bench.Facade}, {"vents", bench.FacadeWithVents}} {
		for _, n := range []int{10, 100, 1000} {
			if err := compare(w, f.name, f.rings(n), peer.In, peer.Out); err != nil {
				return err
			}
		}
	}
	return peer.Stop()
}

// compare times ours before and after the peer, so that a busy machine slows both.
func compare(w io.Writer, name string, rings []plane.TaggedRing, in io.Writer, answers *bufio.Reader) error {
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
	found, best, peers := byCourse(parts, len(lines)-1), min(before, after), 0
	for _, a := range ways {
		ratio := fmt.Sprintf("1/%.0f", a.Seconds/best)
		if why := a.differs(found); why != "" {
			ratio = "no peer: " + why
		} else {
			peers++
		}
		fmt.Fprintf(w, "%-8s %8d  %-16s %8d %8d %12.3f %12.3f %8s\n", name, len(rings)-1, a.Way, sum(a.Parts), sum(a.Holes), 1e3*a.Seconds, 1e3*best, ratio)
	}
	if peers == 0 {
		return fmt.Errorf("%s, %d openings: no way of GEOS finds the %d parts that we find", name, len(rings)-1, len(parts))
	}
	return nil
}

// differs says in which a way's answer is not the same decomposition.
func (a answer) differs(c courses) string {
	if a.Invalid > 0 {
		return fmt.Sprintf("%d invalid polygons", a.Invalid)
	}
	for b := range c.Parts {
		switch {
		case a.Parts[b] != c.Parts[b]:
			return fmt.Sprintf("%d parts in course %d, we find %d", a.Parts[b], b+1, c.Parts[b])
		case a.Holes[b] != c.Holes[b]:
			return fmt.Sprintf("%d holes in course %d, we find %d", a.Holes[b], b+1, c.Holes[b])
		case math.Abs(a.AreaM2[b]-c.AreaM2[b]) > 1e-9*c.AreaM2[b]:
			return fmt.Sprintf("%.9f m2 in course %d, we find %.9f", a.AreaM2[b], b+1, c.AreaM2[b])
		}
	}
	return ""
}

// ours is the best of all rounds that fit into 0.3 s, in seconds, with the parts
// found: the rule that bands.py follows too.
func ours(rings []plane.TaggedRing, lines []plane.Length) (best float64, parts []plane.Part) {
	best = math.Inf(1)
	for began := time.Now(); time.Since(began) < 300*time.Millisecond; {
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

func byCourse(parts []plane.Part, n int) courses {
	c := courses{make([]int, n), make([]int, n), make([]float64, n)}
	for _, p := range parts {
		c.Parts[p.Band]++
		c.Holes[p.Band] += len(p.Holes)
		c.AreaM2[p.Band] += p.Outer.Points.Area().SquareMetres()
		for _, h := range p.Holes {
			c.AreaM2[p.Band] += h.Points.Area().SquareMetres()
		}
	}
	return c
}

func sum(n []int) int {
	total := 0
	for _, k := range n {
		total += k
	}
	return total
}
