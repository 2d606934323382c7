package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strconv"
)

// answer is what the measurements look at of an answer. A page takes the rest apart
// on another machine, so here it is not.
type answer struct {
	ID       string
	Revision int64
	Pieces   int // of the layout, 0 where there is none
	Bytes    int
}

var (
	idIn       = regexp.MustCompile(`"id":"([a-z0-9]+)"`)
	revisionIn = regexp.MustCompile(`"revision":(\d+)`)
)

func read(text []byte) (a answer, err error) {
	id, revision := idIn.FindSubmatch(text), revisionIn.FindSubmatch(text)
	if id == nil || revision == nil {
		return a, fmt.Errorf("an answer without id or revision: %.200s", text)
	}
	a.ID, a.Bytes = string(id[1]), len(text)
	if bytes.Contains(text, []byte(`"layout":{`)) {
		a.Pieces = bytes.Count(text, []byte(`"cover_in":`))
	}
	a.Revision, err = strconv.ParseInt(string(revision[1]), 10, 64)
	return a, err
}

// send sends one request as the page does and reads the whole answer.
func (b *bench) send(method, path string, revision int64, body any) (answer, error) {
	text, err := json.Marshal(body)
	if err != nil {
		return answer{}, err
	}
	r, err := http.NewRequest(method, b.url+path, bytes.NewReader(text))
	if err != nil {
		return answer{}, err
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("X-Coilwright", "page")
	if revision > 0 {
		r.Header.Set("If-Match", fmt.Sprintf("%q", fmt.Sprint(revision)))
	}
	got, err := b.client.Do(r)
	if err != nil {
		return answer{}, err
	}
	defer got.Body.Close()
	all, err := io.ReadAll(got.Body)
	if err != nil {
		return answer{}, err
	}
	if got.StatusCode >= 300 {
		return answer{}, fmt.Errorf("%s %s: %d %s", method, path, got.StatusCode, all)
	}
	return read(all)
}

// job makes a job of so many walls, four openings in each.
func (b *bench) job(walls int) (answer, error) {
	return b.send("POST", "/api/jobs", 0, map[string]any{"document": house(walls)})
}

// move moves the first window of a wall to a place.
func move(wall int, inches float64) map[string]any {
	return map[string]any{"what": "Window moved", "patch": []any{map[string]any{
		"op": "replace", "path": fmt.Sprintf("/house/walls/%d/openings/0/at/0", wall), "value": fmt.Sprintf("%g in", inches),
	}}}
}

// house is an invented row of walls, every other one a gable, with four openings each.
func house(walls int) map[string]any {
	var all []any
	for i := range walls {
		outline, edges := []any{pair("0", "0"), pair("30'", "0"), pair("30'", "9'"), pair("0", "9'")}, []string{"base", "outside-corner", "eave", "outside-corner"}
		if i%2 == 1 {
			outline = []any{pair("0", "0"), pair("30'", "0"), pair("30'", "9'"), pair("15'", "17'"), pair("0", "9'")}
			edges = []string{"base", "outside-corner", "rake", "rake", "outside-corner"}
		}
		all = append(all, map[string]any{
			"id": fmt.Sprintf("w%d", i+1), "outline": outline, "edges": edges, "measured": map[string]any{"by": "tape", "plus_minus": "1/8 in"},
			"openings": []any{opening("a", "3'", "32 1/8 in"), opening("b", "9'", "32 1/8 in"), opening("c", "15' 6\"", "30 in"), opening("d", "23'", "44 in")},
		})
	}
	return map[string]any{
		"format": "coilwright/job@1", "title": "Bench row (invented)", "house": map[string]any{"walls": all}, "shop": map[string]any{"use": "demo"},
		"schemes": []any{map[string]any{"id": "A", "title": "A", "frieze": "6 in", "trim_colour": "bone", "datum": map[string]any{"between": pair("-1 in", "1 in")}, "zones": []any{
			map[string]any{"id": "gable", "walls": "all", "where": "gable", "panel": "lap-double-4", "texture": "grain", "colour": "bone"},
			map[string]any{"id": "field", "walls": "all", "where": "rest", "panel": "dutch-double-5", "texture": "grain", "colour": "slate"},
		}}},
	}
}

func pair(a, b string) []string { return []string{a, b} }

func opening(id, x, y string) map[string]any {
	return map[string]any{"id": id, "kind": "window", "at": pair(x, y), "size": pair("3' 7 1/4\"", "4' 6\"")}
}

// fetch asks once and reads the whole answer.
func fetch(c *http.Client, url string) error {
	got, err := c.Get(url)
	if err != nil {
		return err
	}
	defer got.Body.Close()
	if _, err := io.Copy(io.Discard, got.Body); err != nil {
		return err
	}
	if got.StatusCode != http.StatusOK {
		return fmt.Errorf("%s: %d", url, got.StatusCode)
	}
	return nil
}
