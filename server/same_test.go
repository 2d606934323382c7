package server_test

import (
	"fmt"
	"reflect"
	"slices"
	"testing"
)

// page holds what an open page has of a job, and joins answers with it in its own
// way: the judge of answers that leave walls out.
type page struct{ view, layout map[string]any }

// take joins an answer: walls that it names as staying are taken from what is held.
func (p *page) take(answer map[string]any) (left int) {
	view, layout := answer["view"].(map[string]any), answer["layout"].(map[string]any)
	same, _ := answer["same"].([]any)
	stays := func(wall any) bool { return slices.Contains(same, wall) }
	if len(same) > 0 {
		view["walls"] = joined(p.view["walls"], view["walls"], "id", stays)
		for _, list := range []string{"pieces", "drawn", "friezes", "courses", "trim"} {
			layout[list] = joined(p.layout[list], layout[list], "wall", stays)
		}
	}
	p.view, p.layout = view, layout
	return len(same)
}

func joined(old, fresh any, by string, stays func(any) bool) any {
	out := slices.Clone(fresh.([]any))
	for _, one := range old.([]any) {
		if stays(one.(map[string]any)[by]) {
			out = append(out, one)
		}
	}
	return out
}

// byWall puts a list in the order of its walls' names, each wall's in its own order.
func byWall(list any, by string) []any {
	out := slices.Clone(list.([]any))
	slices.SortStableFunc(out, func(a, b any) int {
		x, y := a.(map[string]any)[by].(string), b.(map[string]any)[by].(string)
		if x < y {
			return -1
		} else if x > y {
			return 1
		}
		return 0
	})
	return out
}

func (p *page) compare(t *testing.T, when string, view, layout map[string]any) {
	t.Helper()
	if !reflect.DeepEqual(byWall(p.view["walls"], "id"), byWall(view["walls"], "id")) {
		t.Errorf("%s: the walls drawn are not the job's", when)
	}
	for key, whole := range layout {
		mine := p.layout[key]
		if slices.Contains([]string{"pieces", "drawn", "friezes", "courses", "trim"}, key) {
			mine, whole = byWall(mine, "wall"), byWall(whole, "wall")
		}
		if !reflect.DeepEqual(mine, whole) {
			t.Errorf("%s: %s of the layout is not the job's", when, key)
		}
	}
}

// TestWhatStayed: an answer that leaves out the walls which stayed says with what the
// page holds exactly what the whole answer says; a page that holds another revision
// is sent the whole.
func TestWhatStayed(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	p := &page{}
	p.view = s.want(200, "GET", job, nil)["view"].(map[string]any)
	p.layout = s.want(200, "GET", job+"/schemes/A/layout", nil)
	left, at := 0, 1.0
	edits := []string{
		edit("/house/walls/0/openings/0/at/0", `"6' 1\""`),
		edit("/house/walls/0/openings/0/at/0", `"6' 1\""`), // nothing changes
		edit("/title", `"Another (invented)"`),
		edit("/house/walls/2/measured/plus_minus", `"1 in"`),
		edit("/schemes/0/datum", `"1/2 in"`),
		edit("/schemes/0/zones/0/colour", `"barn"`),
		edit("/house/walls/3/openings", `[]`),
	}
	for _, e := range edits {
		answer := s.want(200, "POST", fmt.Sprintf("%s/changes?scheme=A&holds=%.0f", job, at), e, "If-Match", fmt.Sprintf(`"%.0f"`, at))
		at = answer["revision"].(float64)
		left += p.take(answer)
		p.compare(t, e, s.want(200, "GET", job, nil)["view"].(map[string]any), s.want(200, "GET", job+"/schemes/A/layout", nil))
	}
	if left < 8 {
		t.Errorf("%d walls were left out in all: an edit of one wall sends them all", left)
	}
	whole := s.want(200, "POST", fmt.Sprintf("%s/changes?scheme=A&holds=%.0f", job, at-1), edit("/house/walls/0/openings/0/at/0", `"6' 2\""`), "If-Match", fmt.Sprintf(`"%.0f"`, at))
	if whole["same"] != nil {
		t.Errorf("a page that holds revision %.0f of %.0f was sent a part", at-1, at)
	}
}

// TestLaidAfterEdits: what a server has made edit by edit is what another one makes
// of the whole document at once.
func TestLaidAfterEdits(t *testing.T) {
	s, fresh := here(t), here(t)
	job, at := "/api/jobs/"+s.demo(), 1.0
	for _, e := range []string{
		edit("/house/walls/0/openings/0/at/0", `"6' 1\""`),
		edit("/house/walls/1/measured/plus_minus", `"1 in"`),
		edit("/schemes/0/datum", `"1/2 in"`),
		edit("/house/walls/0/openings/0/at/1", `"2' 1\""`),
		edit("/schemes/0/datum", `{"between": ["-1 in", "1 in"]}`),
		edit("/schemes/0/frieze", `"7 in"`),
		edit("/house/walls/2/openings", `[]`),
		edit("/schemes/0/trim_colour", `"slate"`),
	} {
		answer := s.want(200, "POST", job+"/changes?scheme=A", e, "If-Match", fmt.Sprintf(`"%.0f"`, at))
		at = answer["revision"].(float64)
		whole := s.want(200, "GET", job, nil)
		made := fresh.want(201, "POST", "/api/jobs", map[string]any{"document": whole["document"]})
		want := fresh.want(200, "GET", "/api/jobs/"+made["id"].(string)+"/schemes/A/layout", nil)
		for key := range want {
			if !reflect.DeepEqual(answer["layout"].(map[string]any)[key], want[key]) {
				t.Errorf("%s: %s of the layout is not what the document gives", e, key)
			}
		}
	}
}

// TestAnswerThatWasLost: a change and an undo whose answers were lost come again for the
// same revision; they are done once, and the second answer, too, says with what the page
// holds what the whole answer says.
func TestAnswerThatWasLost(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	p := &page{}
	p.view = s.want(200, "GET", job, nil)["view"].(map[string]any)
	p.layout = s.want(200, "GET", job+"/schemes/A/layout", nil)
	window := `{"what": "x", "patch": [{"op": "add", "path": "/house/walls/0/openings/-", "value": {"id": "S9", "kind": "window", "at": ["1'", "1'"], "size": ["1'", "1'"]}}]}`
	at := 1.0
	for _, ask := range []struct {
		to   string
		body any
	}{{"changes", window}, {"undo", nil}, {"redo", nil}} {
		path := fmt.Sprintf("%s/%s?scheme=A&holds=%.0f", job, ask.to, at)
		tag := fmt.Sprintf(`"%.0f"`, at)
		s.want(200, "POST", path, ask.body, "If-Match", tag) // nobody hears it
		again := s.want(200, "POST", path, ask.body, "If-Match", tag)
		if again["revision"] != at+1 {
			t.Errorf("%s: revision %v after %v", ask.to, again["revision"], at)
		}
		at++
		p.take(again)
		p.compare(t, ask.to, s.want(200, "GET", job, nil)["view"].(map[string]any), s.want(200, "GET", job+"/schemes/A/layout", nil))
	}
}
