package pack_test

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"coilwright/pack"
)

// judge is the independent checker: it knows the problem and the plan's public
// fields and shares no code with the solver.
func judge(p pack.Problem, plan pack.Plan) error {
	given := make([]int, len(p.Items))
	opened := make([]int, len(p.Stocks))
	var cost, tail int64
	count := 0
	for i, b := range plan.Bins {
		if b.Times < 1 {
			return fmt.Errorf("bin %d is cut %d times", i, b.Times)
		}
		used, classes := int64(0), map[int]bool{}
		for _, q := range b.Pieces {
			if q.Count < 1 {
				return fmt.Errorf("bin %d has %d of item %d", i, q.Count, q.Item)
			}
			given[q.Item] += q.Count * b.Times
			used += p.Items[q.Item].Length * int64(q.Count)
			classes[p.Items[q.Item].Class] = true
		}
		used += p.Setup * int64(len(classes))
		if used != b.Used || b.Used+b.Tail != p.Stocks[b.Stock].Length || b.Tail < 0 || len(b.Pieces) == 0 {
			return fmt.Errorf("bin %d uses %d (says %d, tail %d) of %d", i, used, b.Used, b.Tail, p.Stocks[b.Stock].Length)
		}
		opened[b.Stock] += b.Times
		cost += p.Stocks[b.Stock].Cost * int64(b.Times)
		count += b.Times
		tail = max(tail, b.Tail)
	}
	for i, it := range p.Items {
		if given[i] != it.Count {
			return fmt.Errorf("item %d given %d times, asked %d", i, given[i], it.Count)
		}
	}
	for k, s := range p.Stocks {
		if s.Count >= 0 && opened[k] > s.Count {
			return fmt.Errorf("stock %d opened %d times, there are %d", k, opened[k], s.Count)
		}
	}
	if cost != plan.Cost || count != plan.Count || tail != plan.Tail {
		return fmt.Errorf("plan says %d, %d, %d; is %d, %d, %d", plan.Cost, plan.Count, plan.Tail, cost, count, tail)
	}
	if b := plan.Bound; b.Cost > cost || b.Cost == cost && b.Bins > count || plan.Tail > plan.TailBound {
		return fmt.Errorf("bound %v or tail bound %d lies beyond the plan", b, plan.TailBound)
	}
	return nil
}

// table reads a CSV of plain fields without its comment and heading lines.
func table(t testing.TB, path string) [][]string {
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		if !strings.HasPrefix(line, "#") {
			rows = append(rows, strings.Split(strings.TrimSpace(line), ","))
		}
	}
	return rows[1:]
}

// readBPP reads the library's format: kinds, capacity, then length and demand.
func readBPP(t testing.TB, path string) pack.Problem {
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var n []int64
	for _, f := range strings.Fields(string(text)) {
		v, err := strconv.ParseInt(f, 10, 64)
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		n = append(n, v)
	}
	p := pack.Problem{Stocks: []pack.Stock{{Length: n[1], Count: -1}}}
	for i := 2; i+1 < len(n); i += 2 {
		p.Items = append(p.Items, pack.Item{Length: n[i], Count: int(n[i+1])})
	}
	return p
}
