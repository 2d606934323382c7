package server_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"coilwright/change"
	"coilwright/server"
)

// call is one operation of the description.
type call struct {
	method, path string
	op           map[string]any
}

// wire is the description as the tests of the wire read it.
type wire struct {
	whole map[string]any
	calls []call
}

func read(t testing.TB) *wire {
	t.Helper()
	w := &wire{}
	if err := json.Unmarshal(described(t), &w.whole); err != nil {
		t.Fatal(err)
	}
	for path, methods := range w.whole["paths"].(map[string]any) {
		for method, op := range methods.(map[string]any) {
			w.calls = append(w.calls, call{strings.ToUpper(method), path, op.(map[string]any)})
		}
	}
	slices.SortFunc(w.calls, func(a, b call) int { return strings.Compare(a.path+a.method, b.path+b.method) })
	return w
}

// odd are values that a wire may carry and a program stumble over.
var odd = []any{
	nil, true, false, 0, -1, 1e308, 1.5, "", "A", "0", "../../etc/passwd", "%2e%2e", "\x00", "<b>&\"'", "'; DROP TABLE jobs; --", strings.Repeat("x", 300),
	"\u202e", []any{}, map[string]any{}, []any{[]any{[]any{}}}, map[string]any{"op": "add", "path": "/house/walls/-", "value": map[string]any{}}, "/house/walls/0", int64(1) << 62,
}

// value draws a value by a schema: mostly as it asks, now and then something odd.
func (w *wire) value(t *rapid.T, schema map[string]any, depth int) any {
	if depth > 6 || rapid.IntRange(0, 5).Draw(t, "odd") == 0 {
		return rapid.SampledFrom(odd).Draw(t, "an odd value")
	}
	if ref, ok := schema["$ref"].(string); ok {
		return w.value(t, at(w.whole, "components", "schemas", strings.TrimPrefix(ref, "#/components/schemas/")).(map[string]any), depth)
	}
	if enum, ok := schema["enum"].([]any); ok {
		return rapid.SampledFrom(enum).Draw(t, "one of")
	}
	kind, _ := schema["type"].(string)
	if kinds, ok := schema["type"].([]any); ok {
		kind = kinds[0].(string)
	}
	switch kind {
	case "object":
		return w.object(t, schema, depth)
	case "array":
		list := []any{}
		for range rapid.IntRange(0, 3).Draw(t, "entries") {
			if items, ok := schema["items"].(map[string]any); ok {
				list = append(list, w.value(t, items, depth+1))
			}
		}
		return list
	case "integer", "number":
		return rapid.SampledFrom([]any{1, 0, 2, -5, 100, 1e6, 0.5}).Draw(t, "number")
	case "boolean":
		return rapid.Bool().Draw(t, "bool")
	case "string":
		return rapid.SampledFrom([]any{"A", "field", "7' 5 3/8\"", "/house/walls/0/openings/0/at/0", "/title", "/schemes/0/zones", "crew-set.pdf", "A long enough name"}).Draw(t, "text")
	}
	return rapid.SampledFrom(odd).Draw(t, "any")
}

func (w *wire) object(t *rapid.T, schema map[string]any, depth int) any {
	out := map[string]any{}
	fields, _ := schema["properties"].(map[string]any)
	for _, name := range sortedKeys(fields) {
		if rapid.IntRange(0, 3).Draw(t, "leave out "+name) > 0 {
			out[name] = w.value(t, fields[name].(map[string]any), depth+1)
		}
	}
	if rapid.IntRange(0, 9).Draw(t, "a name too many") == 0 {
		out["surplus"] = 1
	}
	return out
}

func sortedKeys(m map[string]any) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// request is one request that was drawn.
type request struct {
	method, path string
	headers      []string
	body         any
}

// draw fills an operation's path, query, headers and body.
func (w *wire) draw(t *rapid.T, c call, job string) request {
	r := request{method: c.method, path: c.path}
	query := url.Values{}
	params, _ := c.op["parameters"].([]any)
	for _, p := range params {
		name, in := at(p, "name").(string), at(p, "in").(string)
		v := w.value(t, at(p, "schema").(map[string]any), 3)
		text, ok := v.(string)
		if !ok {
			b, _ := json.Marshal(v)
			text = string(b)
		}
		switch {
		case in == "path" && name == "job" && rapid.IntRange(0, 5).Draw(t, "our job") > 0:
			r.path = strings.Replace(r.path, "{job}", job, 1)
		case in == "path":
			r.path = strings.Replace(r.path, "{"+name+"}", url.PathEscape(text), 1)
		case in == "query" && rapid.Bool().Draw(t, "with "+name):
			query.Set(name, text)
		case name == "If-Match":
			r.headers = append(r.headers, name, rapid.SampledFrom([]string{`"1"`, `"2"`, "*", "x", `"99999999999999999999"`, `W/"1"`, ""}).Draw(t, name))
		case name == "X-Coilwright-Person":
			r.headers = append(r.headers, name, rapid.SampledFrom([]string{"", "", "", "", "this%20machine", "Bert", "%"}).Draw(t, name))
		}
	}
	if len(query) > 0 {
		r.path += "?" + query.Encode()
	}
	if at(c.op, "requestBody") != nil {
		r.body = w.value(t, w.body(c), 0)
		if text := rapid.SampledFrom([]string{"", "", "", "", "", "{", "[1,", "\xff", "nul", `{"a":1}{"b":2}`}).Draw(t, "broken"); text != "" {
			r.body = text
		}
	}
	return r
}

func (w *wire) body(c call) map[string]any {
	for _, media := range at(c.op, "requestBody", "content").(map[string]any) {
		if schema, ok := at(media, "schema").(map[string]any); ok {
			return schema
		}
	}
	return map[string]any{}
}

// slowest is what any answer here may take; it is far from a measurement, and only
// there to notice an endless one.
const slowest = 60 * time.Second

// TestWire draws requests from the description, right ones and wrong ones: no answer
// is a mistake of the program, every refusal is a problem, and every answer is what
// the description says.
func TestWire(t *testing.T) {
	s, w := here(t), read(t)
	job := s.demo()
	s.client.Timeout = slowest
	seen := map[string]any{} // one answer of each operation and status, for the judge
	statuses := map[int]int{}
	ask := func(t *rapid.T) {
		c := rapid.SampledFrom(w.calls).Draw(t, "operation")
		if strings.HasSuffix(c.path, "/live") {
			return // it never ends: TestLive
		}
		r := w.draw(t, c, job)
		if c.method == "DELETE" && strings.HasPrefix(r.path, "/api/jobs/"+job) {
			r.path = strings.Replace(r.path, job, "0123456789abcdef", 1)
		}
		if !validPath(r.path) || strings.HasPrefix(r.path, "/api/setup") || strings.HasPrefix(r.path, "/api/session") {
			return // with an account, nobody would be let in any more: TestSigningIn
		}
		got := s.do(r.method, r.path, r.body, r.headers...)
		statuses[got.Status]++
		if got.Status >= 500 {
			t.Fatalf("%s %s: %d %s\nbody %v\n%s", r.method, r.path, got.Status, got.Body, r.body, s.log)
		}
		if got.Status >= 400 && got.Header.Get("Content-Type") != "application/problem+json" {
			t.Fatalf("%s %s: %d %s %s", r.method, r.path, got.Status, got.Header.Get("Content-Type"), got.Body)
		}
		w.keep(seen, c, got)
	}
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			ask(t)
		}
	})
	t.Logf("answers by status: %v", statuses)
	if statuses[200] == 0 || statuses[422] == 0 || statuses[404] == 0 {
		t.Error("the requests are all of one kind: the test shows little")
	}
	w.whatIsRight(s, job, seen)
	w.judge(t, seen)
}

func validPath(path string) bool {
	_, err := url.Parse(path)
	return err == nil
}

// whatIsRight adds an answer of each large operation, which drawing seldom reaches.
func (w *wire) whatIsRight(s *site, job string, seen map[string]any) {
	for _, c := range w.calls {
		path := strings.NewReplacer("{job}", job, "{scheme}", "A", "{revision}", "1").Replace(c.path)
		if c.method == "GET" && !strings.Contains(path, "{") && !strings.HasSuffix(path, "/live") {
			if strings.HasSuffix(path, "/difference") {
				path += "?from=1&to=1"
			}
			w.keep(seen, c, s.do("GET", path, nil))
		}
	}
	for _, c := range w.calls {
		if strings.HasSuffix(c.path, "{job}/changes") {
			head := s.want(200, "GET", "/api/jobs/"+job, nil)
			w.keep(seen, c, s.do("POST", "/api/jobs/"+job+"/changes?scheme=A", edit("/install_temp_f", "61"), "If-Match", fmt.Sprintf("%q", fmt.Sprint(head["revision"]))))
		}
	}
}

// keep remembers an answer beside the schema that describes it.
func (w *wire) keep(seen map[string]any, c call, got reply) {
	key := fmt.Sprintf("%s %s %d", c.method, c.path, got.Status)
	if got.Status == http.StatusMethodNotAllowed { // an odd id made it another path
		return
	}
	if got.Status == http.StatusNotModified || got.Status == http.StatusNoContent || len(got.Body) == 0 {
		return
	}
	response := at(c.op, "responses", fmt.Sprint(got.Status))
	if response == nil {
		seen[key] = map[string]any{"undescribed": true}
		return
	}
	for media, content := range at(response, "content").(map[string]any) {
		var body any
		if strings.HasSuffix(media, "json") && json.Unmarshal(got.Body, &body) == nil {
			seen[key] = map[string]any{"schema": at(content, "schema"), "value": body}
		}
	}
}

// judge hands the answers to python3-jsonschema, which shares no code with the server.
func (w *wire) judge(t *testing.T, seen map[string]any) {
	const python = "/usr/bin/python3"
	if exec.Command(python, "-c", "from jsonschema import Draft202012Validator").Run() != nil {
		t.Skip("python3-jsonschema is not installed (make tools installs it)")
	}
	input, err := json.Marshal(map[string]any{"components": w.whole["components"], "seen": seen})
	if err != nil {
		t.Fatal(err)
	}
	x := exec.Command(python, "-c", `
import json, sys
from jsonschema import Draft202012Validator
d = json.load(sys.stdin)
for name, a in sorted(d["seen"].items()):
    if "undescribed" in a:
        print(name, "is not described"); continue
    schema = dict(a["schema"], components=d["components"])
    for e in list(Draft202012Validator(schema).iter_errors(a["value"]))[:3]:
        print(name, "/".join(map(str, e.absolute_path)), e.message[:200])
print("judged", len(d["seen"]))
`)
	x.Stdin, x.Stderr = strings.NewReader(string(input)), os.Stderr
	out, err := x.Output()
	if err != nil || strings.Count(string(out), "\n") != 1 {
		t.Errorf("%v\n%s", err, out)
	}
}

// TestPathTricks: paths that try to leave their place find nothing, and no file but
// the page's is served.
func TestPathTricks(t *testing.T) {
	s := here(t)
	for _, path := range []string{
		"/../jobs.sqlite", "/..%2fjobs.sqlite", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/assets/../../jobs.sqlite", "/.keep", "/assets/.keep",
		"/api/../../etc/passwd", "/api/jobs/..%2f..%2fetc", "/api/jobs/%00", "/api/jobs/%ff", "/jobs.sqlite", "/C:%5Cboot.ini", "/api//jobs", "/api/jobs/",
	} {
		r, err := http.NewRequest("GET", s.url, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.URL.Opaque = path // as it stands: nothing tidied on the way
		got, err := http.DefaultTransport.RoundTrip(r)
		if err != nil {
			t.Fatal(err)
		}
		got.Body.Close()
		if got.StatusCode == 200 || got.StatusCode >= 500 && got.StatusCode != 503 {
			t.Errorf("%s: %d", path, got.StatusCode)
		}
	}
}

// TestHuge: bodies beyond the limits are refused without being read to their end.
func TestHuge(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	huge := `{"what":"x","patch":[{"op":"add","path":"/title","value":"` + strings.Repeat("x", 5<<20) + `"}]}`
	if got := s.do("POST", job+"/changes", huge, "If-Match", `"1"`); got.Status != 413 {
		t.Errorf("5 MB: %d %.200s", got.Status, got.Body)
	}
	deep := `{"what":"x","patch":[{"op":"add","path":"/title","value":` + strings.Repeat("[", 9000) + strings.Repeat("]", 9000) + `}]}`
	if got := s.do("POST", job+"/changes", deep, "If-Match", `"1"`); got.Status != 422 {
		t.Errorf("9000 lists in one another: %d %.200s", got.Status, got.Body)
	}
	many := `{"what":"x","patch":[` + strings.Repeat(`{"op":"test","path":"/title","value":1},`, 2100) + `{"op":"remove","path":"/title"}]}`
	if got := s.do("POST", job+"/changes", many, "If-Match", `"1"`); got.Status != 422 {
		t.Errorf("2100 operations: %d %.200s", got.Status, got.Body)
	}
	grow := `{"what":"x","patch":[` + strings.Repeat(`{"op":"copy","from":"","path":"/house/walls/-"},`, 60) + `{"op":"remove","path":"/title"}]}`
	if got := s.do("POST", job+"/changes", grow, "If-Match", `"1"`); got.Status != 422 {
		t.Errorf("a document that doubles sixty times: %d %.200s", got.Status, got.Body)
	}
	if got := s.want(200, "GET", job, nil); got["revision"] != 1.0 {
		t.Errorf("something was saved: revision %v", got["revision"])
	}
}

// TestSettled: where a patch is said to leave the job's description alone, it does.
func TestSettled(t *testing.T) {
	document := []byte(example(t, "alder"))
	was, err := server.Read(document)
	if err != nil {
		t.Fatal(err)
	}
	settled := 0
	rapid.Check(t, func(t *rapid.T) {
		var p change.Patch
		for range rapid.IntRange(1, 3).Draw(t, "operations") {
			p = append(p, change.Op{
				Op: rapid.SampledFrom([]string{change.Add, change.Remove, change.Replace}).Draw(t, "op"),
				Path: rapid.SampledFrom([]string{
					"", "/title", "/format", "/house", "/house/walls", "/house/walls/0", "/house/walls/-", "/house/walls/1/id", "/house/walls/0/openings/0/at/0",
					"/house/walls/2/openings/-", "/schemes/0", "/schemes/0/datum", "/schemes/1/zones/0/colour", "/house/corners/0", "/house/walls/0/a~1b", "/shop/use",
				}).Draw(t, "path"),
				Value: json.RawMessage(rapid.SampledFrom([]string{`"x"`, `7`, `{}`, `[]`, `null`, `"coilwright/job@1"`, strings.Repeat("[", 100) + strings.Repeat("]", 100)}).Draw(t, "value")),
			})
		}
		done, err := change.Apply(document, p)
		if err != nil || !server.Settled(done.Done) {
			return
		}
		settled++
		if is, err := server.Read(done.Document); err != nil || is != was {
			t.Fatalf("%v: %+v, %v; was %+v", p, is, err, was)
		}
	})
	if settled == 0 {
		t.Error("no patch was said to be settled: the test shows nothing")
	}
}
