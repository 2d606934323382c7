package server_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"coilwright/store"
)

// TestADay is the main way through: a template house, a window moved, a conflict,
// undo, the layout, the run, the papers.
func TestADay(t *testing.T) {
	s := here(t)
	made := s.want(201, "POST", "/api/jobs", map[string]string{"title": "Mill Lane 3 (invented)", "template": "gable-end"})
	job := "/api/jobs/" + made["id"].(string)
	got := s.want(200, "GET", job, nil)
	if at(got, "title") != "Mill Lane 3 (invented)" || at(got, "document", "title") != "Mill Lane 3 (invented)" || at(got, "view", "plan", "closes") != true {
		t.Errorf("new job: %v, plan %v", got["title"], at(got, "view", "plan"))
	}
	changed := s.want(200, "POST", job+"/changes?scheme=A", edit("/house/walls/0/openings/0/at/0", `"4' 1 1/2\""`), "If-Match", `"1"`)
	if at(changed, "view", "walls", 0, "openings", 0, "at", 0) != `4' 1 1/2"` || at(changed, "layout", "pieces", 0, "length_in") == nil || changed["document"] != nil {
		t.Errorf("changed: %v", at(changed, "view", "walls", 0, "openings", 0))
	}
	undone := s.want(200, "POST", job+"/undo?scheme=A", nil, "If-Match", `"2"`)
	if at(undone, "document", "house", "walls", 0, "openings", 0, "at", 0) != "4'" || at(undone, "revision") != 3.0 {
		t.Errorf("undone: %v", at(undone, "document", "house", "walls", 0, "openings", 0))
	}
	s.want(409, "POST", job+"/undo", nil, "If-Match", `"3"`)
	s.want(200, "POST", job+"/redo", nil, "If-Match", `"3"`)
	if stage := s.want(200, "PUT", job+"/stage", `{"stage":"offer"}`); stage["stage"] != "offer" || stage["revision"] != 5.0 {
		t.Errorf("stage: %v", stage)
	}
	events := s.want(200, "GET", job+"/history", nil)["events"].([]any)
	if len(events) != 5 || at(events, 0, "kind") != "stage" || at(events, 1, "what") != "Done again: edit" || at(events, 3, "paths", 0) != "/house/walls/0/openings/0/at/0" {
		t.Errorf("history: %v", events)
	}
	if d := s.want(200, "GET", job+"/difference?from=1&to=5", nil)["changes"].([]any); len(d) != 1 || at(d, 0, "before") != "4'" {
		t.Errorf("difference: %v", d)
	}
	if was := s.want(200, "GET", job+"/revisions/1", nil); at(was, "house", "walls", 0, "openings", 0, "at", 0) != "4'" {
		t.Error("revision 1 is not as it was")
	}
}

// TestLayoutOfTemplates lays every template house out; until it is measured nothing
// of it may be cut.
func TestLayoutOfTemplates(t *testing.T) {
	s := here(t)
	for _, tpl := range s.want(200, "GET", "/api/templates", nil)["templates"].([]any) {
		id := at(tpl, "id").(string)
		if at(tpl, "view", "walls", 0, "outline_in", 0) == nil {
			t.Errorf("%s: no view", id)
		}
		job := "/api/jobs/" + s.want(201, "POST", "/api/jobs", map[string]string{"template": id})["id"].(string)
		if found := s.want(200, "GET", job+"/problems", nil)["problems"].([]any); strings.Contains(fmt.Sprint(found), "severity:error") {
			t.Errorf("%s: %v", id, found)
		}
		for _, scheme := range []string{"A", "B"} {
			l := s.want(200, "GET", job+"/schemes/"+scheme+"/layout", nil)
			if at(l, "tally", "pieces").(float64) < 10 || len(l["drawn"].([]any)) != len(l["pieces"].([]any)) || len(at(l, "heights", "candidates").([]any)) < 3 {
				t.Errorf("%s %s: tally %v, %d drawn", id, scheme, l["tally"], len(l["drawn"].([]any)))
			}
			run := s.want(200, "GET", job+"/schemes/"+scheme+"/run", nil)
			if n := len(run["setups"].([]any)); n != 0 {
				t.Errorf("%s %s: %d set-ups of a house that nobody measured", id, scheme, n)
			}
		}
	}
}

// TestSteelOfHeights: a candidate's steel is that of the pieces in the layout at its
// height, by their own lengths and their panel's blank width.
func TestSteelOfHeights(t *testing.T) {
	s := here(t)
	l := s.want(200, "GET", "/api/jobs/"+s.demo()+"/schemes/B/layout", nil)
	width := map[string]float64{}
	for _, p := range s.want(200, "GET", "/api/book", nil)["panels"].([]any) {
		width[at(p, "id").(string)] = at(p, "blank_width_in").(float64)
	}
	var pieces, best float64
	for _, p := range l["pieces"].([]any) {
		if at(p, "zone") == "field" && at(p, "wall") != "south" { // there it stands on the skirt, not on the datum
			pieces += at(p, "length_in").(float64) * width[at(p, "panel").(string)] / 144
		}
	}
	for _, c := range at(l, "heights", "candidates").([]any) {
		if at(c, "at_in") == at(l, "heights", "best_in") {
			best = at(c, "steel_ft2").(float64)
		}
	}
	if best < pieces*0.95 || best > pieces*1.2 { // raw lengths, which set-backs shorten; some zones start on their own
		t.Errorf("the best height's steel is %.0f sq ft, its pieces' %.0f", best, pieces)
	}
}

// TestMergeAndConflict: the second of two people sees a merge or a conflict with both
// values, never an overwrite.
func TestMergeAndConflict(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	s.want(428, "POST", job+"/changes", edit("/title", `"A"`))
	s.want(412, "POST", job+"/changes", edit("/title", `"A"`), "If-Match", `"7"`)
	s.want(412, "POST", job+"/changes", edit("/title", `"A"`), "If-Match", "soon")
	s.want(200, "POST", job+"/changes", edit("/title", `"A"`), "If-Match", `"1"`)
	merged := s.want(200, "POST", job+"/changes", edit("/install_temp_f", `70`), "If-Match", `"1"`)
	if merged["merged"] != true || at(merged, "document", "title") != "A" || at(merged, "document", "install_temp_f") != 70.0 {
		t.Errorf("merged: %v %v", merged["merged"], at(merged, "document", "title"))
	}
	conflict := s.want(409, "POST", job+"/changes", edit("/title", `"B"`), "If-Match", `"1"`)
	if at(conflict, "conflicts", 0, "yours") != "B" || at(conflict, "conflicts", 0, "theirs") != "A" || at(conflict, "conflicts", 0, "by") != "this machine" || conflict["revision"] != 3.0 {
		t.Errorf("conflict: %v", conflict)
	}
	tag := merged["tag"].(string)
	s.want(412, "POST", job+"/changes", edit("/title", `"B"`), "If-Match", `"3-`+store.Hash([]byte("another"))+`"`)
	s.want(412, "POST", job+"/undo", nil, "If-Match", `"2-`+store.Hash([]byte("another"))+`"`)
	if got := s.do("GET", job, nil, "If-None-Match", `"`+tag+`"`); got.Status != 304 || len(got.Body) != 0 {
		t.Errorf("not modified: %d", got.Status)
	}
	if got := s.do("GET", job, nil, "If-None-Match", `"2"`); got.Status != 200 || got.Header.Get("ETag") != `"`+tag+`"` {
		t.Errorf("modified: %d %s", got.Status, got.Header.Get("ETag"))
	}
}

// TestWorkInProgress: a change that makes the job wrong is saved and says what is
// wrong, where; one that cannot be made is refused.
func TestWorkInProgress(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	got := s.want(200, "POST", job+"/changes?scheme=A", edit("/house/walls/0/openings/0/size/0", `"about 3 feet"`), "If-Match", `"1"`)
	if got["layout"] != nil || at(got, "problems", 0, "severity") != "error" || at(got, "problems", 0, "pointer") != "/house/walls/0/openings/0/size/0" ||
		at(got, "problems", 0, "wall") != "south" || at(got, "problems", 0, "opening") != "S1" {
		t.Errorf("problems: %v", got["problems"])
	}
	if len(at(got, "view", "walls").([]any)) != 4 {
		t.Error("the walls that could be read are not drawn")
	}
	if p := s.want(422, "GET", job+"/schemes/A/layout", nil); at(p, "problems", 0, "mend") == nil {
		t.Errorf("layout of a wrong job: %v", p)
	}
	for _, patch := range []string{
		`[{"op":"remove","path":"/house/walls/9"}]`, `[{"op":"add","path":"/house/walls/x","value":1}]`,
		`[{"op":"replace","path":"","value":7}]`, `[{"op":"replace","path":"/format","value":"other"}]`,
	} {
		s.want(422, "POST", job+"/changes", `{"what":"x","patch":`+patch+`}`, "If-Match", `"2"`)
	}
	if p := s.want(409, "POST", job+"/changes", `{"what":"x","patch":[{"op":"test","path":"/title","value":"no"}]}`, "If-Match", `"2"`); p["conflicts"] != nil {
		t.Errorf("a failed test: %v", p)
	}
}

func TestPapers(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	files := s.want(200, "GET", job+"/schemes/A/papers", nil)["files"].([]any)
	if len(files) < 12 || at(files, 0, "name") != "crew-set.pdf" || at(files, 0, "kind") != "pdf" || at(files, 0, "bytes").(float64) < 10_000 {
		t.Fatalf("papers: %v", files)
	}
	for _, f := range files {
		got := s.do("GET", job+"/schemes/A/papers/"+at(f, "name").(string), nil)
		if got.Status != 200 || float64(len(got.Body)) != at(f, "bytes") {
			t.Errorf("%v: %d, %d bytes", at(f, "name"), got.Status, len(got.Body))
		}
		switch at(f, "kind") {
		case "pdf":
			has(t, "a PDF", got.Body[:8], "%PDF-")
		case "svg":
			has(t, "an SVG", got.Body, "<svg")
			has(t, "its policy", []byte(got.Header.Get("Content-Security-Policy")), "default-src 'none'")
		}
	}
	down := s.do("GET", job+"/schemes/A/papers/crew-set.pdf?download=true", nil)
	has(t, "disposition", []byte(down.Header.Get("Content-Disposition")), "attachment", "crew-set.pdf")
	for _, name := range []string{"nothing.pdf", "..%2F..%2Fjobs.sqlite", "%2e%2e", "crew-set.pdf%00"} {
		if got := s.do("GET", job+"/schemes/A/papers/"+name, nil); got.Status != 404 {
			t.Errorf("%s: %d", name, got.Status)
		}
	}
	s.want(404, "GET", job+"/schemes/Z/papers", nil)
}

// TestFixedDatum: where the scheme fixes its datum, the heights near it are shown.
func TestFixedDatum(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	free := s.want(200, "GET", job+"/schemes/A/layout", nil)
	got := s.want(200, "POST", job+"/changes?scheme=A", edit("/schemes/0/datum", `"1/2 in"`), "If-Match", `"1"`)
	if at(got, "layout", "heights", "at_in") != 0.5 || at(got, "layout", "heights", "chosen") != false || len(at(got, "layout", "heights", "candidates").([]any)) < 3 {
		t.Errorf("heights: %v", at(got, "layout", "heights"))
	}
	if at(free, "heights", "chosen") != true || at(free, "heights", "at_in") != at(free, "heights", "best_in") {
		t.Errorf("free: %v", at(free, "heights"))
	}
}

// TestLive: a page hears of changes made through another server on the same database.
func TestLive(t *testing.T) {
	st := openStore(t)
	one, two := start(t, st, true), start(t, st, true)
	job := "/api/jobs/" + one.demo()
	r, err := http.NewRequest("GET", one.url+job+"/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	got, err := one.client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Body.Close()
	heard := make(chan string, 20)
	go func() {
		for lines := bufio.NewScanner(got.Body); lines.Scan(); {
			if data, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				heard <- data
			}
		}
		close(heard)
	}()
	next := func() (n struct {
		Revision int64
		By, What string
	},
	) {
		t.Helper()
		select {
		case data := <-heard:
			if err := json.Unmarshal([]byte(data), &n); err != nil {
				t.Fatal(err)
			}
		case <-time.After(20 * time.Second):
			t.Fatal("nothing was heard")
		}
		return n
	}
	if hello := next(); hello.Revision != 1 {
		t.Errorf("hello: %+v", hello)
	}
	two.want(200, "POST", job+"/changes", edit("/title", `"A"`), "If-Match", `"1"`)
	one.want(200, "POST", job+"/changes", edit("/title", `"B"`), "If-Match", `"2"`)
	if n := next(); n.Revision != 2 || n.By != "this machine" || n.What != "edit" {
		t.Errorf("first: %+v", n)
	}
	if n := next(); n.Revision != 3 {
		t.Errorf("second: %+v", n)
	}
	one.server.Close()
	select {
	case _, more := <-heard:
		if more {
			t.Error("heard more than there was")
		}
	case <-time.After(20 * time.Second):
		t.Error("the line stays open after the server stops")
	}
}
