package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"coilwright/opendata"
	"coilwright/pack"
)

// instance is a published bin packing instance with its optimum.
type instance struct {
	class, name string
	optimum     int
	problem     pack.Problem
	took        time.Duration
}

// published reads the instances; none where the folder is absent.
func published() ([]*instance, error) {
	dir, err := opendata.Find("cutting", "bpp1d")
	if errors.Is(err, opendata.ErrAbsent) {
		return nil, nil
	}
	text, err := os.ReadFile(filepath.Join(dir, "optima.csv"))
	if err != nil {
		return nil, err
	}
	var out []*instance
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		f := strings.Split(strings.TrimSpace(line), ",")
		best, err := strconv.Atoi(f[len(f)-1])
		if strings.HasPrefix(line, "#") || len(f) < 3 || err != nil {
			continue // comment or heading
		}
		p, err := readInstance(filepath.Join(dir, f[1]+".txt"))
		if err != nil {
			return nil, err
		}
		out = append(out, &instance{class: classOf(f[0], f[1]), name: f[1], optimum: best, problem: p})
	}
	return out, nil
}

// classOf names Falkenauer's classes one by one, for they have limits of their own.
func classOf(family, name string) string {
	if rest, ok := strings.CutPrefix(name, "Falkenauer_"); ok {
		class, _, _ := strings.Cut(rest, "_")
		return class
	}
	return family
}

func readInstance(path string) (pack.Problem, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return pack.Problem{}, err
	}
	var n []int64
	for _, f := range strings.Fields(string(text)) {
		v, err := strconv.ParseInt(f, 10, 64)
		if err != nil {
			return pack.Problem{}, fmt.Errorf("%s: %w", path, err)
		}
		n = append(n, v)
	}
	p := pack.Problem{Stocks: []pack.Stock{{Length: n[1], Count: -1}}}
	for i := 2; i+1 < len(n); i += 2 {
		p.Items = append(p.Items, pack.Item{Length: n[i], Count: int(n[i+1])})
	}
	return p, nil
}

// prove solves all and prints each class's times; an instance without proof is an error.
func prove(w io.Writer, all []*instance) error {
	if len(all) == 0 {
		return nil
	}
	var classes []string
	var failed []string
	for _, in := range all {
		start := processor()
		plan, err := pack.Solve(context.Background(), in.problem)
		in.took = processor() - start
		if err != nil {
			return fmt.Errorf("%s: %w", in.name, err)
		}
		if plan.Count != in.optimum || !plan.Optimal {
			failed = append(failed, fmt.Sprintf("%s: %d bins, bound %d, published %d", in.name, plan.Count, plan.Bound.Bins, in.optimum))
		}
		if !slices.Contains(classes, in.class) {
			classes = append(classes, in.class)
		}
	}
	fmt.Fprintf(w, "%-14s %6s %12s %12s  %s\n", "class", "proven", "mean ms", "slowest ms", "slowest (processor time)")
	for _, class := range classes {
		printClass(w, class, all)
	}
	if len(failed) > 0 {
		return fmt.Errorf("%d of %d not proven:\n%s", len(failed), len(all), strings.Join(failed, "\n"))
	}
	fmt.Fprintf(w, "all %d published optima proven\n\n", len(all))
	return nil
}

func printClass(w io.Writer, class string, all []*instance) {
	n, sum := 0, time.Duration(0)
	var slow *instance
	for _, in := range all {
		if in.class != class {
			continue
		}
		n++
		sum += in.took
		if slow == nil || in.took > slow.took {
			slow = in
		}
	}
	fmt.Fprintf(w, "%-14s %6d %12.1f %12.1f  %s\n", class, n, ms(sum)/float64(n), ms(slow.took), slow.name)
}

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
