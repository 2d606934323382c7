package server_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"

	"coilwright/examples"
	"coilwright/server"
	"coilwright/store"
)

// site is a server under test with somebody at a page.
type site struct {
	t      testing.TB
	store  *store.Store
	server *server.Server
	url    string
	client *http.Client
	log    *bytes.Buffer
	file   string // the database's
}

// here is a server that only this machine reaches; nobody has to sign in.
func here(t testing.TB) *site {
	dir := t.TempDir()
	s := start(t, openIn(t, dir), true)
	s.file = filepath.Join(dir, "jobs.sqlite")
	return s
}

func openStore(t testing.TB) *store.Store { return openIn(t, t.TempDir()) }

func openIn(t testing.TB, dir string) *store.Store {
	t.Helper()
	st, err := store.Open(context.Background(), store.Config{
		Database: filepath.Join(dir, "jobs.sqlite"), Files: filepath.Join(dir, "files"), Read: server.Read, Settled: server.Settled,
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := st.Begin(context.Background(), "The shop", examples.Demo, "demo"); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	return st
}

func start(t testing.TB, st *store.Store, open bool) *site {
	t.Helper()
	log := &bytes.Buffer{}
	s := server.New(server.Config{Store: st, Open: open, Version: "test", Log: slog.New(slog.NewTextHandler(log, nil))})
	h := httptest.NewServer(s)
	t.Cleanup(func() { s.Close(); h.Close() })
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &site{t: t, store: st, server: s, url: h.URL, client: &http.Client{Jar: jar}, log: log}
}

// another is another person's browser on the same server.
func (s *site) another() *site {
	jar, err := cookiejar.New(nil)
	if err != nil {
		s.t.Fatal(err)
	}
	other := *s
	other.client = &http.Client{Jar: jar}
	return &other
}

// reply is an answer, read whole.
type reply struct {
	Status int
	Header http.Header
	Body   []byte
}

// do sends a request as the page does; headers are name, value, name, value.
func (s *site) do(method, path string, body any, headers ...string) reply {
	s.t.Helper()
	var text []byte
	switch b := body.(type) {
	case nil:
	case string:
		text = []byte(b)
	case []byte:
		text = b
	default:
		var err error
		if text, err = json.Marshal(b); err != nil {
			s.t.Fatal(err)
		}
	}
	r, err := http.NewRequest(method, s.url+path, bytes.NewReader(text))
	if err != nil {
		s.t.Fatal(err)
	}
	r.Header.Set("X-Coilwright", "page")
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i+1 < len(headers); i += 2 {
		if strings.ContainsAny(headers[i+1], "\x00\r\n") {
			continue
		}
		if r.Header.Set(headers[i], headers[i+1]); headers[i+1] == "" {
			r.Header.Del(headers[i])
		}
		if headers[i] == "Host" {
			r.Host = headers[i+1]
		}
	}
	got, err := s.client.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer got.Body.Close()
	all, err := io.ReadAll(got.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return reply{got.StatusCode, got.Header, all}
}

// want sends a request and decodes the answer, which must have the status.
func (s *site) want(status int, method, path string, body any, headers ...string) map[string]any {
	s.t.Helper()
	got := s.do(method, path, body, headers...)
	if got.Status != status {
		s.t.Fatalf("%s %s: %d %.500s; want %d\n%s", method, path, got.Status, got.Body, status, s.log)
	}
	return got.json(s.t)
}

func (r reply) json(t testing.TB) map[string]any {
	t.Helper()
	var out map[string]any
	if len(r.Body) > 0 {
		if err := json.Unmarshal(r.Body, &out); err != nil {
			t.Fatalf("%v: %.300s", err, r.Body)
		}
	}
	return out
}

// demo gives the demo job's id.
func (s *site) demo() string {
	s.t.Helper()
	return s.want(200, "GET", "/api/jobs", nil)["jobs"].([]any)[0].(map[string]any)["id"].(string)
}

// edit is a change of one place.
func edit(path, value string) string {
	return fmt.Sprintf(`{"what":"edit","patch":[{"op":"replace","path":%q,"value":%s}]}`, path, value)
}

// at walks into decoded JSON: names and indexes.
func at(v any, path ...any) any {
	for _, p := range path {
		switch p := p.(type) {
		case string:
			m, _ := v.(map[string]any)
			v = m[p]
		case int:
			l, _ := v.([]any)
			if p >= len(l) {
				return nil
			}
			v = l[p]
		}
	}
	return v
}

func has(t testing.TB, where string, text []byte, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(string(text), w) {
			t.Errorf("%s does not hold %q: %.400s", where, w, text)
		}
	}
}

// example is one of the example jobs.
func example(t testing.TB, name string) json.RawMessage {
	t.Helper()
	text, err := examples.Files.ReadFile(name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	return text
}
