package server_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"strings"
	"testing"
)

// op is one operation of a patch.
func op(path string, value any) map[string]any {
	return map[string]any{"op": "add", "path": path, "value": value}
}

// saveBook saves a change of the shop's book on its newest version.
func (s *site) saveBook(status int, patch ...map[string]any) map[string]any {
	s.t.Helper()
	base := s.want(200, "GET", "/api/shop-book", nil)["version"]
	return s.want(status, "POST", "/api/shop-book/changes", map[string]any{"base": base, "what": "prices of May", "patch": patch})
}

// figureOf finds a figure of a book.
func figureOf(t *testing.T, v map[string]any, name string) map[string]any {
	t.Helper()
	for _, f := range v["figures"].([]any) {
		if at(f, "name") == name {
			return f.(map[string]any)
		}
	}
	t.Fatalf("no figure %s", name)
	return nil
}

// use moves a job on to a version of the shop's book.
func (s *site) use(job string, version any) {
	s.t.Helper()
	s.do200("POST", "/api/jobs/"+job+"/changes", fmt.Sprintf(`{"what":"book","patch":[{"op":"add","path":"/shop/use","value":"book@%v"}]}`, version), s.head(job))
}

func (s *site) do200(method, path, body string, revision float64) {
	s.t.Helper()
	if r := s.do(method, path, body, "If-Match", fmt.Sprintf(`"%.0f"`, revision)); r.Status != 200 {
		s.t.Fatalf("%d %.300s", r.Status, r.Body)
	}
}

func (s *site) total(job, scheme string) string {
	s.t.Helper()
	for _, x := range s.want(200, "GET", "/api/jobs/"+job+"/price", nil)["schemes"].([]any) {
		if at(x, "id") == scheme {
			text, _ := json.Marshal(at(x, "total"))
			return string(text)
		}
	}
	s.t.Fatalf("no scheme %s", scheme)
	return ""
}

// The book is edited: the offer sent before keeps its cent, the next one uses the
// new price, and a job goes on to a version only when it is told to.
func TestShopBook(t *testing.T) {
	s := here(t)
	job := s.demo()
	v := s.want(200, "GET", "/api/shop-book", nil)
	if v["version"] != 0.0 || at(v, "document", "title") == nil || len(v["lacks"].([]any)) != 0 {
		t.Fatalf("%.300v", v)
	}
	before := s.total(job, "A")
	old := s.send(job, map[string]any{"schemes": []string{"A"}})
	sent := at(old.see(), "options", 0, "total")
	v = s.saveBook(200, op("/prices/starter_ft", map[string]any{"value": "4.85", "date": "2031-05-01", "supplier": "Nobody & Sons (invented)"}))
	f := figureOf(t, v, "starter_ft")
	if v["version"] != 1.0 || f["value"] != "4.85" || f["supplier"] != "Nobody & Sons (invented)" || f["date"] != "2031-05-01" {
		t.Fatalf("%v", f)
	}
	if s.total(job, "A") != before {
		t.Error("a job on the demo book changed with the shop's own")
	}
	fig := s.want(200, "GET", "/api/jobs/"+job+"/figures", nil)
	if fig["version"] != 0.0 || fig["newest"] != 1.0 {
		t.Errorf("version %v, newest %v", fig["version"], fig["newest"])
	}
	s.use(job, 1)
	after := s.total(job, "A")
	if rat(t, after).Cmp(rat(t, before)) <= 0 {
		t.Errorf("%s, before %s", after, before)
	}
	if again := at(old.see(), "options", 0, "total"); again != sent {
		t.Errorf("the old offer is %v, was %v", again, sent)
	}
	newer := s.send(job, map[string]any{"schemes": []string{"A"}})
	if total := at(newer.see(), "options", 0, "total"); rat(t, total).Cmp(rat(t, after)) != 0 {
		t.Errorf("the new offer is %v, the price %s", total, after)
	}
	s.saveBook(200, op("/prices/starter_ft", "9.99"))
	if s.total(job, "A") != after {
		t.Error("version 1 works out otherwise once there is a version 2")
	}
	if list := s.want(200, "GET", "/api/shop-book/versions", nil)["versions"].([]any); len(list) != 2 || at(list, 0, "by") != "this machine" {
		t.Errorf("%v", list)
	}
	v = s.want(200, "POST", "/api/shop-book/versions/1/again", map[string]any{"base": 2})
	if v["version"] != 3.0 || figureOf(t, v, "starter_ft")["value"] != "4.85" {
		t.Error("version 1 did not come back")
	}
	if v := s.want(200, "GET", "/api/shop-book?version=2", nil); figureOf(t, v, "starter_ft")["value"] != "9.99" || v["newest"] != 3.0 {
		t.Error("version 2 is not as it was")
	}
	fresh := s.want(201, "POST", "/api/jobs", map[string]any{"title": "New", "template": "gable-end"})["id"].(string)
	if use := at(s.want(200, "GET", "/api/jobs/"+fresh, nil), "document", "shop", "use"); use != "book@3" {
		t.Errorf("a new job uses %v", use)
	}
}

// A book that cannot be is refused with the place, and nothing of it is kept.
func TestBadShopBook(t *testing.T) {
	s := here(t)
	for name, bad := range map[string][2]any{
		"negative":      {"/prices/starter_ft", "-1"},
		"absurd":        {"/rates/hanger_hour", "1000000000000"},
		"no number":     {"/rates/crew", "three"},
		"tax of all":    {"/taxes", []any{map[string]any{"title": "x", "share": "1.0", "on": []string{"material"}}}},
		"margin of all": {"/rates/margin", "1"},
		"both":          {"/rates/markup", "0.3"},
		"deposits":      {"/offer/payments", []any{map[string]any{"when": "now", "share": "0.9"}}},
		"currency":      {"/currency", "Taler"},
		"unknown":       {"/wishes", "many"},
		"a coil":        {"/mill/0/price", "-3"},
	} {
		v := s.saveBook(422, op(bad[0].(string), bad[1]))
		where := at(v, "problems", 0, "where")
		first := strings.Split(bad[0].(string), "/")[1]
		if where == nil || !strings.Contains(where.(string), first) || at(v, "problems", 0, "mend") == "" {
			t.Errorf("%s: %v", name, v)
		}
	}
	s.saveBook(422, map[string]any{"op": "replace", "path": "", "value": []any{}})
	s.saveBook(422, map[string]any{"op": "remove", "path": "/nowhere"})
	if v := s.want(200, "GET", "/api/shop-book", nil); v["version"] != 0.0 {
		t.Error("a bad book was kept")
	}
	has(t, "the record", s.log.Bytes(), "book refused", "a tax of 1 times the price")
	s.saveBook(200, op("/prices/starter_ft", "1"))
	s.want(412, "POST", "/api/shop-book/changes", map[string]any{"base": 0, "what": "late", "patch": []any{op("/prices/starter_ft", "2")}})
	s.want(404, "GET", "/api/shop-book?version=7", nil)
	s.want(404, "POST", "/api/shop-book/versions/7/again", map[string]any{"base": 1})
}

// A price that the book lacks is named, and no offer goes out; so is a version that
// was never saved.
func TestMissingPrice(t *testing.T) {
	s := here(t)
	job := s.demo()
	s.saveBook(200, map[string]any{"op": "remove", "path": "/prices/starter_ft"}, map[string]any{"op": "remove", "path": "/offer/cancellation"})
	s.use(job, 1)
	v := s.want(422, "POST", "/api/jobs/"+job+"/offers", map[string]any{"revision": s.head(job)})
	text := fmt.Sprint(v["problems"])
	if !strings.Contains(text, "starter strip") || !strings.Contains(text, "cancellation") {
		t.Error(text)
	}
	s.use(job, 5)
	found := fmt.Sprint(s.want(200, "GET", "/api/jobs/"+job+"/problems", nil)["problems"])
	if !strings.Contains(found, "no version 5") {
		t.Error(found)
	}
}

// Another shop's versions are not to be had, nor files by a job's word.
func TestBookIsTheShopsOwn(t *testing.T) {
	s := here(t)
	for _, use := range []string{"book@1", "/etc/passwd", "../jobs.sqlite"} {
		id := s.want(201, "POST", "/api/jobs", map[string]any{"document": json.RawMessage(fmt.Sprintf(`{"format":"coilwright/job@1","house":{"walls":[]},"schemes":[],"shop":{"use":%q}}`, use))})["id"].(string)
		if found := fmt.Sprint(s.want(200, "GET", "/api/jobs/"+id+"/problems", nil)["problems"]); !strings.Contains(found, "cannot be used") {
			t.Errorf("%s: %s", use, found)
		}
	}
}

// Figures go out and come back; the letterhead's picture is kept, and what is none
// is refused.
func TestBookFiles(t *testing.T) {
	s := here(t)
	for _, kind := range []string{"csv", "xlsx"} {
		file := s.do("GET", "/api/shop-book/file?kind="+kind, nil)
		got := s.want(200, "POST", "/api/shop-book/file", file.Body, "Content-Type", "application/octet-stream")
		if got["count"].(float64) < 30 || at(got, "patch", 0, "path") != "/prices" {
			t.Errorf("%s: %v figures, %v", kind, got["count"], at(got, "patch", 0, "path"))
		}
		var patch []map[string]any
		for _, p := range got["patch"].([]any) {
			patch = append(patch, p.(map[string]any))
		}
		was := at(s.want(200, "GET", "/api/shop-book", nil), "document", "mill").([]any)
		v := s.saveBook(200, patch...)
		mill := at(v, "document", "mill").([]any)
		if figureOf(t, v, "starter_ft")["value"] != "0.85" || len(mill) != len(was) || rat(t, at(mill, 0, "price")).Cmp(rat(t, at(was, 0, "price"))) != 0 || at(mill, 0, "title") != at(was, 0, "title") {
			t.Error(figureOf(t, v, "starter_ft"), mill)
		}
	}
	bad := s.want(422, "POST", "/api/shop-book/file", "part,name,value,colour,length\ncoil,,900,salmon,500 ft\n", "Content-Type", "application/octet-stream")
	has(t, "the refusal", []byte(bad["detail"].(string)), "row 2: the colour of the coil is \"salmon\"", "write any or ")
	s.want(422, "POST", "/api/shop-book/file", "part,name,value\nprice,x,-1\n", "Content-Type", "application/octet-stream")
	s.want(422, "POST", "/api/shop-book/logo", "<svg/>", "Content-Type", "application/octet-stream")
	var mark bytes.Buffer
	if err := png.Encode(&mark, image.NewRGBA(image.Rect(0, 0, 40, 20))); err != nil {
		t.Fatal(err)
	}
	hash := s.want(200, "POST", "/api/shop-book/logo", mark.Bytes(), "Content-Type", "application/octet-stream")["hash"].(string)
	if r := s.do("GET", "/api/shop-book/logo/"+hash, nil); r.Status != 200 || !bytes.Equal(r.Body, mark.Bytes()) || r.Header.Get("Content-Type") != "image/png" {
		t.Errorf("%d %v", r.Status, r.Header)
	}
	s.want(404, "GET", "/api/shop-book/logo/0000", nil)
}

// What was not saved is named as the page names it, not by its place in a file.
func TestBookFaultNamesTheFigure(t *testing.T) {
	s := here(t)
	for path, want := range map[string]string{
		"/prices/starter_ft": `The book was not saved: starter strip: "abc" is not a decimal number; write it like 12.50 or "12.50".`,
		"/offer/days_valid":  `offer, days valid: `,
	} {
		v := s.saveBook(422, map[string]any{"op": "add", "path": path, "value": "abc"})
		if said, _ := v["detail"].(string); !strings.Contains(said, want) || strings.Contains(said, "book:") {
			t.Errorf("%s: %s", path, said)
		}
	}
}
