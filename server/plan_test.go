package server_test

import (
	"math"
	"testing"
)

// TestPlans: the example houses that go all the way round close in plan; the gap of a
// misread tape is found, as large as it was misread.
func TestPlans(t *testing.T) {
	s := here(t)
	for _, c := range []struct {
		template  string
		closes    bool
		ring      int
		apart     int
		east, top float64 // extents of the plan in feet, by hand from the template
	}{
		{"ranch", true, 4, 0, 52, 28},
		{"gable-end", true, 4, 0, 36, 24},
		{"cape", true, 4, 6, 34, 26},
		{"two-storey", true, 4, 0, 36, 28},
		{"townhouse", false, 1, 1, 20, 0},
	} {
		job := "/api/jobs/" + s.want(201, "POST", "/api/jobs", map[string]string{"template": c.template})["id"].(string)
		plan := at(s.want(200, "GET", job, nil), "view", "plan")
		ring := at(plan, "ring").([]any)
		if at(plan, "closes") != c.closes || len(ring) != c.ring || len(at(plan, "apart").([]any)) != c.apart {
			t.Errorf("%s: closes %v, ring of %d, %v apart", c.template, at(plan, "closes"), len(ring), at(plan, "apart"))
		}
		east, north := extent(ring, 0), extent(ring, 1)
		if math.Abs(east-c.east*12) > 1e-6 || math.Abs(north-c.top*12) > 1e-6 {
			t.Errorf("%s: %g by %g in; want %g by %g ft", c.template, east, north, c.east, c.top)
		}
	}
	job := "/api/jobs/" + s.want(201, "POST", "/api/jobs", map[string]string{"template": "ranch"})["id"].(string)
	patch := `{"what":"misread","patch":[{"op":"replace","path":"/house/walls/2/outline/1/0","value":"51'"},{"op":"replace","path":"/house/walls/2/outline/2/0","value":"51'"}]}`
	plan := at(s.want(200, "POST", job+"/changes", patch, "If-Match", `"1"`), "view", "plan")
	if at(plan, "closes") != false || at(plan, "gap_in") != 12.0 || at(plan, "gap") != "1'" {
		t.Errorf("a foot misread: %v %v", at(plan, "closes"), at(plan, "gap_in"))
	}
}

func extent(ring []any, axis int) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, w := range ring {
		for _, end := range []string{"from_in", "to_in"} {
			x := at(w, end, axis).(float64)
			low, high = math.Min(low, x), math.Max(high, x)
		}
	}
	return high - low
}

// TestCrossGable: a house with inside corners closes too, with its own readings.
func TestCrossGable(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.want(201, "POST", "/api/jobs", map[string]any{"document": example(t, "cross-gable")})["id"].(string)
	plan := at(s.want(200, "GET", job, nil), "view", "plan")
	if at(plan, "closes") != true || at(plan, "gap_in").(float64) > 1e-6 {
		t.Errorf("closes %v, gap %v, ring %v", at(plan, "closes"), at(plan, "gap_in"), at(plan, "ring"))
	}
}

// TestLengths: typed lengths are added exactly, as by hand.
func TestLengths(t *testing.T) {
	s := here(t)
	term := func(text, times string) map[string]string { return map[string]string{"text": text, "times": times} }
	got := s.want(200, "POST", "/api/lengths", map[string]any{"units": "imperial", "sums": []any{
		[]any{term(`34' 6"`, "1"), term(`3' 7 1/4"`, "-1"), term(`1/16 in`, "-1")},
		[]any{term(`34' 6"`, "1/2")},
		[]any{term(`1/16 in`, "1/2"), term(`1/16 in`, "1/2")},
		[]any{term(`about 3`, "1")},
		[]any{},
	}})["sums"].([]any)
	for i, want := range []string{`30' 10 11/16"`, `17' 3"`, `1/16"`, "", `0"`} {
		if at(got, i, "text") != want {
			t.Errorf("sum %d: %v, want %q", i, at(got, i), want)
		}
	}
	if at(got, 3, "error", "mend") == nil {
		t.Errorf("a text that is no length: %v", at(got, 3))
	}
}
