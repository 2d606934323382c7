package server_test

import (
	"strings"
	"testing"
)

// Pieces that are not fit to cut are released by name: the word stands in the run, on
// the run sheet and in the crew's pack, and is taken back without being forgotten.
func TestWords(t *testing.T) {
	s := here(t)
	id := s.demo()
	job := "/api/jobs/" + id + "/schemes/A"
	s.change(id, "/house/walls/0/measured", `{"by":"photo","plus_minus":"1 in"}`)
	v := s.want(200, "GET", job+"/words", nil)
	unfit := v["unfit"].([]any)
	if len(unfit) < 2 || len(v["words"].([]any)) != 0 {
		t.Fatalf("%d unfit, %v", len(unfit), v["words"])
	}
	before := s.do("GET", job+"/site", nil)
	key := at(v, "unfit", 0, "key").(string)
	give := map[string]any{"revision": s.head(id), "pieces": []string{key, "nosuchpiece2"}, "name": "Robin  Invented", "reason": "Measured by hand on site"}
	for what, no := range map[string]map[string]any{"nobody": {"name": " "}, "no reason": {"reason": ""}, "no piece": {"pieces": []string{}}} {
		bad := map[string]any{}
		for k, v := range give {
			bad[k] = v
		}
		for k, v := range no {
			bad[k] = v
		}
		if r := s.do("POST", job+"/words", bad); r.Status != 422 {
			t.Errorf("%s: %d", what, r.Status)
		}
	}
	old := map[string]any{"revision": s.head(id) - 1, "pieces": []string{key}, "name": "Robin", "reason": "x"}
	s.want(412, "POST", job+"/words", old)
	v = s.want(200, "POST", job+"/words", give)
	if at(v, "words", 0, "name") != "Robin Invented" || at(v, "words", 0, "holds") != 1.0 || len(v["unfit"].([]any)) != len(unfit)-1 {
		t.Fatalf("%v", v["words"])
	}
	s.want(409, "POST", job+"/words", give)
	after := s.do("GET", job+"/site", nil, "If-None-Match", before.Header.Get("ETag"))
	if after.Status != 200 || !strings.Contains(string(after.Body), `"on_word":{"name":"Robin Invented","reason":"Measured by hand on site"`) {
		t.Errorf("the pack: %d", after.Status)
	}
	if run := s.want(200, "GET", job+"/run", nil); at(run, "on_word", "name") != "Robin Invented" || at(run, "on_word", "pieces", 0, "reason") != "Measured by hand on site" {
		t.Errorf("the run: %v", run["on_word"])
	}
	paperOf(t, s.do("GET", job+"/papers/run-sheet.pdf", nil), "CUT ON THE WORD OF ROBIN INVENTED")
	v = s.want(200, "DELETE", job+"/words/1", nil)
	if len(v["unfit"].([]any)) != len(unfit) || at(v, "words", 0, "taken_back") == nil || at(v, "words", 0, "taken_by") != "this machine" {
		t.Errorf("taken back: %v", v["words"])
	}
	s.want(404, "DELETE", job+"/words/9", nil)
}

// What is not released stands in the crew's pack, and its release changes the tag.
func TestReleaseInThePack(t *testing.T) {
	s := here(t)
	plain := s.want(200, "GET", "/api/jobs/"+s.demo()+"/schemes/A/site", nil)
	if at(plain, "release", "state") != "unsigned" {
		t.Errorf("%v", plain["release"])
	}
	s2, id := signedDemo(t)
	job := "/api/jobs/" + id + "/schemes/A"
	open := s2.do("GET", job+"/site", nil)
	if p := open.json(t); at(p, "release", "state") != "open" || !strings.Contains(at(p, "release", "why", 0).(string), "bare wall") {
		t.Errorf("%v", p["release"])
	}
	s2.stage(id, "remeasured")
	s2.want(200, "POST", job+"/release", map[string]any{"revision": s2.head(id)})
	if done := s2.do("GET", job+"/site", nil, "If-None-Match", open.Header.Get("ETag")); done.Status != 200 || at(done.json(t), "release", "state") != "released" {
		t.Errorf("after the release: %d", done.Status)
	}
}
