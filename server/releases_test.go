package server_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"
)

// signedDemo is the demo job, scheme A signed.
func signedDemo(t *testing.T) (*site, string) {
	s := here(t)
	job := s.demo()
	o := s.send(job, map[string]any{"schemes": []string{"A"}})
	o.want(200, "POST", o.owner+"/signature", o.signature(0))
	return s, job
}

// change changes the job and answers whatever comes of it.
func (s *site) change(job, path, value string) {
	s.t.Helper()
	s.do200("POST", "/api/jobs/"+job+"/changes", edit(path, value), s.head(job))
}

func (s *site) stage(job, stage string) {
	s.t.Helper()
	s.want(200, "PUT", "/api/jobs/"+job+"/stage", map[string]any{"stage": stage})
}

// Steel stops while the remeasure is open: the run and the papers say so, and the
// release is refused until the sizes are taken and the difference is decided.
func TestRelease(t *testing.T) {
	s, job := signedDemo(t)
	at1 := "/api/jobs/" + job + "/schemes/A"
	v := s.want(200, "GET", at1+"/release", nil)
	if v["state"] != "open" || !strings.Contains(fmt.Sprint(v["why"]), "bare wall") {
		t.Fatalf("%v", v)
	}
	run := s.do("GET", at1+"/run", nil)
	if r := run.json(t); at(r, "release", "says") != "NOT RELEASED: remeasure is open" || r["setups"] == nil {
		t.Errorf("%.300s", run.Body)
	}
	no := s.want(409, "POST", at1+"/release", map[string]any{"revision": s.head(job)})
	if !strings.Contains(no["detail"].(string), "remeasure is open") {
		t.Error(no["detail"])
	}
	paperOf(t, s.do("GET", at1+"/papers/run-sheet.pdf", nil), "NOT RELEASED: remeasure is open")

	// The bare wall shows a wider window: the difference must be decided.
	s.change(job, "/house/walls/0/openings/0/size", `["6'","61 1/2 in"]`)
	s.stage(job, "remeasured")
	v = s.want(200, "GET", at1+"/release", nil)
	if v["state"] != "open" || at(v, "difference", "money") == nil || at(v, "difference", "none") != false {
		t.Fatalf("%v", v)
	}
	s.want(409, "POST", at1+"/release", map[string]any{"revision": s.head(job)})
	c := s.send(job, map[string]any{"kind": "remeasure", "why": "The opening is 6 ft wide."})
	if v := s.want(200, "GET", at1+"/release", nil); v["state"] != "open" {
		t.Error("a change that nobody signed decides")
	}
	s.want(200, "POST", "/api/jobs/"+job+"/offers/"+c.offer+"/bear", map[string]any{"why": "We measured it wrongly."})
	v = s.want(200, "GET", at1+"/release", nil)
	if v["state"] != "ready" || v["difference"] != nil {
		t.Fatalf("%v", v)
	}
	s.want(412, "POST", at1+"/release", map[string]any{"revision": s.head(job) - 1})
	v = s.want(200, "POST", at1+"/release", map[string]any{"revision": s.head(job)})
	if v["state"] != "released" || v["by"] != "this machine" || v["at"] == nil {
		t.Fatalf("%v", v)
	}
	paperOf(t, s.do("GET", at1+"/papers/run-sheet.pdf", nil), "Released to the machine by this machine")
	was := s.do("GET", at1+"/run", nil)
	if got := s.do("GET", at1+"/run", nil, "If-None-Match", was.Header.Get("ETag")); got.Status != 304 {
		t.Errorf("the same run again: %d", got.Status)
	}
	if got := s.do("GET", at1+"/run", nil, "If-None-Match", run.Header.Get("ETag")); got.Status != 200 {
		t.Errorf("a run before its release: %d", got.Status)
	}

	// Another size after the release: it lapses. Back again: it holds.
	s.change(job, "/house/walls/0/openings/0/size", `["5'","61 1/2 in"]`)
	if v = s.want(200, "GET", at1+"/release", nil); v["state"] != "open" {
		t.Error("other pieces are still released")
	}
	s.change(job, "/house/walls/0/openings/0/size", `["6'","61 1/2 in"]`)
	if v = s.want(200, "GET", at1+"/release", nil); v["state"] != "released" {
		t.Error("the very pieces that were released are not")
	}
	if v = s.want(200, "DELETE", at1+"/release", nil); v["state"] != "ready" {
		t.Errorf("taken back: %v", v["state"])
	}
	if v = s.want(200, "GET", "/api/jobs/"+job+"/schemes/B/release", nil); v["state"] != "open" || !strings.Contains(fmt.Sprint(v["why"]), "signed scheme A, not B") {
		t.Errorf("%v", v)
	}
}

// A change that the owner signs decides as well; a job that nobody signed is a plan.
func TestReleaseBySignedChange(t *testing.T) {
	s, job := signedDemo(t)
	at1 := "/api/jobs/" + job + "/schemes/A"
	s.change(job, "/house/walls/0/openings/0/size", `["6'","61 1/2 in"]`)
	s.stage(job, "remeasured")
	c := s.send(job, map[string]any{"kind": "remeasure", "why": "The opening is 6 ft wide."})
	c.want(200, "POST", c.owner+"/signature", c.signature(0))
	if v := s.want(200, "POST", at1+"/release", map[string]any{"revision": s.head(job)}); v["state"] != "released" {
		t.Errorf("%v", v)
	}
	fresh := here(t)
	plan := fresh.demo()
	if v := fresh.want(200, "GET", "/api/jobs/"+plan+"/schemes/A/release", nil); v["state"] != "unsigned" || v["says"] != "" {
		t.Errorf("%v", v)
	}
	fresh.want(409, "POST", "/api/jobs/"+plan+"/schemes/A/release", map[string]any{"revision": 1})
}

// True hours are taken of a job that is done; the book offers what they teach.
func TestLearnedHours(t *testing.T) {
	s, job := signedDemo(t)
	path := "/api/jobs/" + job + "/finished"
	works := func(trim string) map[string]any {
		return map[string]any{"works": []any{map[string]any{"work": "hanging trim", "took": trim}, map[string]any{"work": "travel", "took": ""}}}
	}
	s.want(409, "PUT", path, works("10"))
	s.stage(job, "done")
	for _, bad := range []string{"-1", "many", "1e9", "NaN", "Inf"} {
		s.want(422, "PUT", path, works(bad))
	}
	s.want(422, "PUT", path, map[string]any{"works": []any{map[string]any{"work": "dancing", "took": "1"}}})
	planned := 0.0
	for _, w := range s.want(200, "GET", path, nil)["works"].([]any) {
		if at(w, "work") == "hanging trim" {
			fmt.Sscan(at(w, "planned").(string), &planned)
		}
	}
	if planned <= 0 || len(s.want(200, "GET", "/api/shop-book/learned", nil)["rates"].([]any)) != 0 {
		t.Fatal(planned)
	}
	v := s.want(200, "PUT", path, works(fmt.Sprintf("%.2f", planned*1.25)))
	if v["by"] != "this machine" || v["at"] == nil {
		t.Errorf("%v", v)
	}
	rates := s.want(200, "GET", "/api/shop-book/learned", nil)["rates"].([]any)
	if len(rates) != 1 || at(rates, 0, "name") != "trim_minutes_ft" || at(rates, 0, "jobs") != 1.0 || at(rates, 0, "plus_minus") != "" || at(rates, 0, "now") != "1.6" {
		t.Fatalf("%v", rates)
	}
	if off := rat(t, at(rates, 0, "offered")); off.FloatString(2) != "2.00" { // 1.6 x 1.25
		t.Errorf("offered %v", off.FloatString(3))
	}
	saved := s.saveBook(200, op("/rates/trim_minutes_ft", map[string]any{"value": at(rates, 0, "offered"), "jobs": 1, "date": "2031-05-01"}))
	if f := figureOf(t, saved, "trim_minutes_ft"); f["jobs"] != 1.0 {
		t.Errorf("%v", f)
	}
}

// Every rate of the hours can be learned: forming by set-up and feed, tearing off by
// the old cladding, hanging by all its counts; twice the hours double every one of
// them, halve the feed, and leave the share for height as it is.
func TestEveryRateIsLearned(t *testing.T) {
	s := here(t)
	job := s.demo()
	s.change(job, "/site", `{"tear_off":"Cedar shakes"}`)
	o := s.send(job, map[string]any{"schemes": []string{"A"}})
	o.want(200, "POST", o.owner+"/signature", o.signature(0))
	s.stage(job, "done")
	path := "/api/jobs/" + job + "/finished"
	took := []any{}
	for _, w := range s.want(200, "GET", path, nil)["works"].([]any) {
		hours := rat(t, at(w, "planned"))
		if hours.Sign() <= 0 {
			t.Errorf("nothing is planned of %v", at(w, "work"))
		}
		took = append(took, map[string]any{"work": at(w, "work"), "took": hours.Add(hours, hours).FloatString(2)})
	}
	s.want(200, "PUT", path, map[string]any{"works": took})
	factors := map[string]string{
		"tear_off_cedar_shakes": "2.0", "setup_minutes": "2.0", "feed_ft_per_min": "0.5", "hang_minutes_piece": "2.0", "hang_minutes_ft": "2.0",
		"hang_minutes_cut_end": "2.0", "hang_minutes_notch": "2.0", "hang_high_share": "1.0", "trim_minutes_ft": "2.0", "wrb_minutes_square": "2.0",
		"scaffold_move_hours": "2.0", "travel_hours_day": "2.0",
	}
	now := map[string]any{"tear_off_cedar_shakes": "85"} // as any other
	for _, f := range s.want(200, "GET", "/api/shop-book", nil)["figures"].([]any) {
		if v := at(f, "value"); v != "" {
			now[at(f, "name").(string)] = v
		}
	}
	for _, r := range s.want(200, "GET", "/api/shop-book/learned", nil)["rates"].([]any) {
		name := at(r, "name").(string)
		factor := new(big.Rat).Quo(rat(t, at(r, "offered")), rat(t, now[name]))
		if factor.FloatString(1) != factors[name] || at(r, "jobs") != 1.0 || at(r, "unit") == "" {
			t.Errorf("%v, was %v", r, now[name])
		}
		delete(factors, name)
	}
	if len(factors) > 0 {
		t.Errorf("not learned: %v", factors)
	}
	// A book whose rates are what was learned is offered the same again.
	v := s.saveBook(200, op("/rates/tear_off_cedar_shakes", map[string]any{"value": "170", "jobs": 1}), op("/rates/setup_minutes", "30"), op("/rates/feed_ft_per_min", "20"), op("/rates/trim_minutes_ft", "3.2"))
	for _, r := range s.want(200, "GET", "/api/shop-book/learned", nil)["rates"].([]any) {
		if now := figureOf(t, v, at(r, "name").(string))["value"]; strings.Contains("tear_off_cedar_shakes setup_minutes feed_ft_per_min trim_minutes_ft", at(r, "name").(string)) &&
			new(big.Rat).Quo(rat(t, at(r, "offered")), rat(t, now)).FloatString(1) != "1.0" {
			t.Errorf("%v, the book has %v", r, now)
		}
	}
	if f := figureOf(t, v, "tear_off_cedar_shakes"); f["jobs"] != 1.0 || f["what"] != "tearing off cedar shakes: each square" || f["unit"] != "minutes" {
		t.Errorf("%v", f)
	}
}

// An invoice is credited in part, then whole, and asked for again; the ledger's sums
// follow and the last one comes to what is agreed.
func TestCreditNotes(t *testing.T) {
	s, job := signedDemo(t)
	at1 := "/api/jobs/" + job + "/invoices"
	first := s.want(200, "POST", at1, map[string]any{"step": 0})
	asked := rat(t, first["asked"])
	s.want(404, "POST", at1+"/9/credits", map[string]any{"why": "x"})
	for _, bad := range []string{"0", "-5", "999999999", "much", "1.001"} {
		s.want(409, "POST", at1+"/1/credits", map[string]any{"why": "x", "amount": bad})
	}
	l := s.want(200, "POST", at1+"/1/credits", map[string]any{"why": "A gate was left out.", "amount": "100.00"})
	if rat(t, l["credited"]).FloatString(2) != "100.00" || rat(t, at(l, "invoices", 0, "left")).Cmp(asked.Sub(asked, rat(t, "100"))) != 0 || rat(t, l["asked"]).Cmp(asked) != 0 {
		t.Errorf("%v", l)
	}
	s.want(409, "POST", at1, map[string]any{"step": 0})
	l = s.want(200, "POST", at1+"/1/credits", map[string]any{"why": "Asked for too early."})
	if rat(t, l["asked"]).Sign() != 0 || at(l, "plan", 0, "asked") != false || at(l, "credits", 1, "whole") != true {
		t.Errorf("%v", l)
	}
	s.want(409, "POST", at1+"/1/credits", map[string]any{"why": "again"})
	for step := range 3 {
		l = s.want(200, "POST", at1, map[string]any{"step": step})
	}
	if rat(t, l["asked"]).Cmp(rat(t, l["total"])) != 0 || rat(t, l["left"]).Sign() != 0 {
		t.Errorf("asked %v of %v", l["asked"], l["total"])
	}
	paperOf(t, s.do("GET", "/api/jobs/"+job+"/credits/1/paper", nil), "Credit note", "A gate was left out.")
	has(t, "UBL", s.do("GET", "/api/jobs/"+job+"/credits/1/paper?kind=xml", nil).Body, "xsd:CreditNote-2", "CreditNoteTypeCode")
}
