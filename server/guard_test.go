package server_test

import (
	"context"
	"database/sql"
	"strings"
	"testing"

	"coilwright/store"
)

// TestCrossSite: another site can neither change nor read anything.
func TestCrossSite(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	for name, headers := range map[string][]string{
		"no header of ours":       {"X-Coilwright", ""},
		"another origin":          {"Origin", "https://evil.example"},
		"a null origin":           {"Origin", "null"},
		"a browser says so":       {"Sec-Fetch-Site", "cross-site"},
		"a neighbouring site":     {"Sec-Fetch-Site", "same-site"},
		"a form":                  {"Content-Type", "text/plain", "X-Coilwright", ""},
		"a simple request's type": {"Content-Type", "text/plain", "Sec-Fetch-Site", "cross-site"},
	} {
		if got := s.do("POST", "/api/jobs", `{"title":"x"}`, headers...); got.Status != 403 {
			t.Errorf("%s: %d %s", name, got.Status, got.Body)
		}
		if got := s.do("DELETE", job, nil, headers...); got.Status != 403 {
			t.Errorf("%s, delete: %d %s", name, got.Status, got.Body)
		}
	}
	for _, host := range []string{"evil.example", "evil.example:80", "127.0.0.1.evil.example", "10.0.0.9"} {
		if got := s.do("GET", job, nil, "Host", host); got.Status != 421 {
			t.Errorf("named %s: %d; want that it is not this machine", host, got.Status)
		}
	}
	s.want(200, "GET", job, nil)
	if got := s.do("GET", job, nil, "Origin", "https://evil.example"); got.Header.Get("Access-Control-Allow-Origin") != "" {
		t.Error("another site may read")
	}
}

func TestHeaders(t *testing.T) {
	s := here(t)
	for _, path := range []string{"/", "/api/jobs", "/api/nothing", "/openapi.json", "/nothing.js"} {
		h := s.do("GET", path, nil).Header
		csp := h.Get("Content-Security-Policy")
		if !strings.Contains(csp, "script-src 'self';") || strings.Contains(csp, "unsafe") || strings.Contains(csp, "*") || h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Referrer-Policy") == "" {
			t.Errorf("%s: %v", path, h)
		}
	}
	if got := s.do("PATCH", "/api/jobs", nil); got.Status != 405 || !strings.Contains(got.Header.Get("Allow"), "POST") {
		t.Errorf("a method that is not done: %d %v", got.Status, got.Header)
	}
	if got := s.do("GET", "/api/nothing", nil); got.Status != 404 || got.Header.Get("Content-Type") != "application/problem+json" {
		t.Errorf("an unknown path of the API: %d %s", got.Status, got.Header.Get("Content-Type"))
	}
}

// TestNames: HTML in names is only ever data, and odd letters do no harm.
func TestNames(t *testing.T) {
	s := here(t)
	const evil = `<script>alert(1)</script>'"><img src=x onerror=alert(1)>`
	made := s.want(201, "POST", "/api/jobs", map[string]string{"title": evil, "template": "ranch"})
	for _, path := range []string{"/api/jobs", "/api/jobs/" + made["id"].(string), "/api/jobs/" + made["id"].(string) + "/schemes/A/papers"} {
		got := s.do("GET", path, nil)
		if got.Header.Get("Content-Type") != "application/json" || got.Header.Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s: %s %.200s", path, got.Header.Get("Content-Type"), got.Body)
		}
	}
	for _, f := range s.want(200, "GET", "/api/jobs/"+made["id"].(string)+"/schemes/A/papers", nil)["files"].([]any) {
		if at(f, "kind") == "svg" {
			got := s.do("GET", "/api/jobs/"+made["id"].(string)+"/schemes/A/papers/"+at(f, "name").(string), nil)
			if strings.Contains(string(got.Body), "<script") || strings.Contains(string(got.Body), "<img") {
				t.Errorf("%v carries the name as markup", at(f, "name"))
			}
		}
	}
	for _, title := range []string{"\x00", "a\u2028b", "\ufeff", strings.Repeat("x", 200), "كوخ", "🏠"} {
		s.want(201, "POST", "/api/jobs", map[string]string{"title": title})
	}
}

// TestNobodyElses: a change says whose it is, and under another's session it is refused
// in the same request; nothing of it is done.
func TestNobodyElses(t *testing.T) {
	s := start(t, openStore(t), true)
	s.want(200, "POST", "/api/setup", map[string]string{"shop": "Shop", "name": "Änne / 1", "password": "a long password"})
	s.want(201, "POST", "/api/accounts", map[string]string{"name": "Bert", "password": "another long one"})
	job := "/api/jobs/" + s.demo()
	const person, anne = "X-Coilwright-Person", "%C3%84nne%20%2F%201"
	s.want(200, "POST", job+"/changes", edit("/title", `"A"`), "If-Match", `"1"`, person, anne)
	s.want(200, "POST", "/api/session", map[string]string{"name": "Bert", "password": "another long one"}) // the same browser
	for _, r := range []struct {
		method, path string
		body         any
	}{{"POST", "/changes", edit("/title", `"B"`)}, {"POST", "/undo", nil}, {"POST", "/redo", nil}, {"PUT", "/stage", map[string]string{"stage": "offer"}}} {
		got := s.want(401, r.method, job+r.path, r.body, "If-Match", `"2"`, person, anne)
		if at(got, "title") != "Somebody else is signed in" || at(got, "detail") != "Bert is signed in now, and what waits here is Änne / 1’s." {
			t.Errorf("%s: %v", r.path, got)
		}
	}
	s.want(400, "POST", job+"/changes", edit("/title", `"B"`), "If-Match", `"2"`, person, "%")
	if got := s.want(200, "GET", job, nil); at(got, "revision") != 2.0 || at(got, "title") != "A" || at(got, "stage") != "visit" {
		t.Errorf("something was done under another's name: %v %v %v", at(got, "revision"), at(got, "title"), at(got, "stage"))
	}
	s.want(200, "POST", job+"/changes", edit("/title", `"B"`), "If-Match", `"2"`, person, "Bert")
	s.want(204, "DELETE", "/api/session", nil)
	if got := s.want(401, "POST", job+"/undo", nil, "If-Match", `"3"`, person, anne); at(got, "title") != "Unauthorized" {
		t.Errorf("nobody is signed in: %v", got)
	}
}

// TestFirstAccount: beyond this machine nothing is served before there is an
// account, and only who reads the terminal makes it.
func TestFirstAccount(t *testing.T) {
	s := start(t, openStore(t), false)
	for _, path := range []string{"/api/jobs", "/api/book", "/api/templates"} {
		s.want(401, "GET", path, nil)
	}
	if got := s.want(200, "GET", "/api/session", nil); got["setup_needed"] != true || got["signed_in"] != false {
		t.Errorf("session: %v", got)
	}
	code, err := s.server.SetupCode(context.Background())
	if err != nil || len(code) < 10 {
		t.Fatalf("code %q, %v", code, err)
	}
	account := map[string]string{"shop": "Alder Siding (invented)", "name": "Anna", "password": "a long password", "code": "wrong"}
	s.want(403, "POST", "/api/setup", account)
	account["code"] = code
	account["password"] = "short"
	s.want(422, "POST", "/api/setup", account)
	account["password"] = "a long password"
	// The code was made by one server; another on the same database takes it.
	two := start(t, s.store, false)
	if got := two.want(200, "POST", "/api/setup", account); got["signed_in"] != true || got["name"] != "Anna" || got["shop"] != "Alder Siding (invented)" {
		t.Errorf("set up: %v", got)
	}
	two.another().want(409, "POST", "/api/setup", account)
	if jobs := two.want(200, "GET", "/api/jobs", nil)["jobs"].([]any); len(jobs) != 1 {
		t.Errorf("the demo job is not the first account's: %v", jobs)
	}
}

// TestSigningIn: sessions hold on every server of one database, end with signing
// out, and tell nothing of who exists.
func TestSigningIn(t *testing.T) {
	s := start(t, openStore(t), true)
	s.want(200, "POST", "/api/setup", map[string]string{"shop": "Shop", "name": "Anna", "password": "a long password"})
	s.want(201, "POST", "/api/accounts", map[string]string{"name": "Bert", "password": "another long one"})
	s.want(409, "POST", "/api/accounts", map[string]string{"name": "anna", "password": "another long one"})
	b := s.another()
	b.want(401, "GET", "/api/jobs", nil)
	wrong := b.do("POST", "/api/session", map[string]string{"name": "Bert", "password": "nonsense"})
	nobody := b.do("POST", "/api/session", map[string]string{"name": "Nobody", "password": "nonsense"})
	if wrong.Status != 401 || string(wrong.Body) != string(nobody.Body) {
		t.Errorf("wrong password %d %s, nobody %d %s", wrong.Status, wrong.Body, nobody.Status, nobody.Body)
	}
	got := b.do("POST", "/api/session", map[string]string{"name": " bert ", "password": "another long one"})
	cookie := got.Header.Get("Set-Cookie")
	if got.Status != 200 || !strings.Contains(cookie, "HttpOnly") || !strings.Contains(cookie, "SameSite=Strict") {
		t.Fatalf("signed in: %d, cookie %s", got.Status, cookie)
	}
	other := start(t, s.store, true)
	other.client = b.client // the same browser; cookies do not tell ports apart
	other.want(200, "GET", "/api/jobs", nil)
	job := "/api/jobs/" + b.demo()
	b.want(200, "POST", job+"/changes", edit("/title", `"B"`), "If-Match", `"1"`)
	if ev := s.want(200, "GET", job+"/history", nil)["events"].([]any); at(ev, 0, "by") != "Bert" {
		t.Errorf("history: %v", ev)
	}
	s.want(409, "POST", job+"/undo", nil, "If-Match", `"2"`) // Anna changed nothing
	b.want(204, "DELETE", "/api/session", nil)
	other.want(401, "GET", "/api/jobs", nil)
}

// TestOtherShops: a job of another shop is not there, whatever is asked of it.
func TestOtherShops(t *testing.T) {
	s := start(t, openStore(t), true)
	s.want(200, "POST", "/api/setup", map[string]string{"shop": "Shop", "name": "Anna", "password": "a long password"})
	if err := s.store.AddShop(context.Background(), "other", "Other"); err != nil {
		t.Fatal(err)
	}
	theirs, err := s.store.Create(context.Background(), store.Who{Shop: "other", Name: "Zoe"}, []byte(`{"format":"coilwright/job@1","title":"secret"}`), "")
	if err != nil {
		t.Fatal(err)
	}
	job := "/api/jobs/" + theirs.ID
	for _, r := range [][3]string{
		{"GET", job, ""},
		{"GET", job + "/problems", ""},
		{"GET", job + "/history", ""},
		{"GET", job + "/revisions/1", ""},
		{"GET", job + "/difference?from=1&to=1", ""},
		{"GET", job + "/schemes/A/layout", ""},
		{"GET", job + "/schemes/A/run", ""},
		{"GET", job + "/schemes/A/trim", ""},
		{"GET", job + "/schemes/A/papers", ""},
		{"GET", job + "/schemes/A/papers/crew-set.pdf", ""},
		{"GET", job + "/live", ""},
		{"GET", job + "/book", ""},
		{"GET", job + "/files", ""},
		{"GET", job + "/files/a.jpg", ""},
		{"DELETE", job + "/files/a.jpg", ""},
		{"DELETE", job, ""},
		{"POST", job + "/restore", ""},
		{"POST", job + "/undo", ""},
		{"POST", job + "/redo", ""},
		{"POST", job + "/changes", edit("/title", `"x"`)},
		{"PUT", job + "/stage", `{"stage":"done"}`},
	} {
		var body any
		if r[2] != "" {
			body = r[2]
		}
		got := s.do(r[0], r[1], body, "If-Match", `"1"`)
		if got.Status != 404 || strings.Contains(string(got.Body), "secret") {
			t.Errorf("%s %s: %d %s", r[0], r[1], got.Status, got.Body)
		}
	}
	if got := s.do("PUT", job+"/files/a.jpg", []byte("x"), "Content-Type", "image/jpeg"); got.Status != 404 {
		t.Errorf("put file: %d", got.Status)
	}
	if list := s.do("GET", "/api/jobs?search=secret", nil); strings.Contains(string(list.Body), "secret") {
		t.Error("the list tells of another shop's job")
	}
}

func TestFiles(t *testing.T) {
	s := here(t)
	files := "/api/jobs/" + s.demo() + "/files"
	photo := []byte{0xff, 0xd8, 0xff, 0xe0, 0, 1, 2, 3}
	got := s.do("PUT", files+"/front%20wall.jpg", photo, "Content-Type", "image/jpeg")
	if got.Status != 200 {
		t.Fatalf("put: %d %s", got.Status, got.Body)
	}
	if back := s.do("GET", files+"/front%20wall.jpg", nil); string(back.Body) != string(photo) || back.Header.Get("Content-Type") != "image/jpeg" {
		t.Errorf("get: %d %v", back.Status, back.Header)
	}
	for _, c := range []struct {
		name, media string
		status      int
	}{
		{"x.html", "text/html", 415},
		{"x.svg", "image/svg+xml", 415},
		{"x.js", "", 415},
		{"..", "image/jpeg", 404},
		{"%2e%2e%2fx", "image/jpeg", 422},
		{"a%00b", "image/jpeg", 422},
		{strings.Repeat("x", 101), "image/jpeg", 422},
		{".hidden", "image/jpeg", 422},
	} {
		if got := s.do("PUT", files+"/"+c.name, photo, "Content-Type", c.media); got.Status != c.status && (got.Status < 400 || got.Status >= 500) {
			t.Errorf("%s as %s: %d %s; want %d", c.name, c.media, got.Status, got.Body, c.status)
		}
	}
	if list := s.want(200, "GET", files, nil)["files"].([]any); len(list) != 1 || at(list, 0, "name") != "front wall.jpg" {
		t.Errorf("list: %v", list)
	}
	s.want(204, "DELETE", files+"/front%20wall.jpg", nil)
	s.want(404, "GET", files+"/front%20wall.jpg", nil)
}

// TestLocked: while another program holds the database, a save is refused in words
// that help, and reading goes on.
func TestLocked(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	other, err := sql.Open("sqlite", s.file)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	other.SetMaxOpenConns(1)
	if _, err := other.Exec("BEGIN EXCLUSIVE"); err != nil {
		t.Fatal(err)
	}
	p := s.want(503, "POST", job+"/changes", edit("/title", `"A"`), "If-Match", `"1"`)
	if detail := at(p, "detail").(string); !strings.Contains(detail, "held by another program") || !strings.Contains(detail, "try again") || strings.Contains(detail, "SQLITE") {
		t.Errorf("detail: %s", detail)
	}
	s.want(200, "GET", job, nil)
	if _, err := other.Exec("ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	s.want(200, "POST", job+"/changes", edit("/title", `"A"`), "If-Match", `"1"`)
}
