package server_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"maps"
	"math/rand/v2"
	"net/http"
	"reflect"
	"strings"
	"testing"
	"time"

	"coilwright/tally"
)

// phoneMark is one mark as a phone sends it.
func phoneMark(id string, count int, kind, piece string) map[string]any {
	return map[string]any{"id": id, "count": count, "device": "phone", "by": "AB", "at": "2026-05-04T09:00:00Z", "kind": kind, "piece": piece}
}

// marksBody is what a phone sends.
func marksBody(after string, marks ...map[string]any) map[string]any {
	return map[string]any{"after": after, "device": "phone", "scheme": "A", "marks": marks}
}

// TestFirstPiece: the first piece is formed, spoiled, and comes off another coil.
func TestFirstPiece(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	p := s.want(200, "GET", job+"/schemes/A/site", nil)
	first, coil := at(p, "setups", 0, "reels", 0, "pieces", 0).(string), at(p, "setups", 0, "reels", 0, "coil").(string)
	got := s.want(200, "POST", job+"/marks", marksBody("", phoneMark("m-1", 1, "loaded", coil), phoneMark("m-2", 2, "formed", first), phoneMark("m-3", 3, "spoiled", first)))
	if len(got["accepted"].([]any)) != 3 || len(got["refused"].([]any)) != 0 || got["restart"] != false {
		t.Errorf("marks: %v", got)
	}
	now := s.want(200, "GET", job+"/schemes/A/site/progress", nil)
	if at(now, "counts", "spoiled") != 1.0 || at(now, "counts", "formed") != 0.0 || now["cursor"] != got["cursor"] {
		t.Errorf("progress: %v", now["counts"])
	}
	again := s.want(200, "POST", job+"/schemes/A/site/recut", `{}`)
	if at(again, "given", 0, "piece") != first || at(again, "given", 0, "how") == "buy" {
		t.Errorf("recut: %v", again["given"])
	}
	s.want(422, "POST", job+"/schemes/A/site/recut", `{"spoiled":["nosuchpiece2"]}`)
	tag := s.do("GET", job+"/schemes/A/site", nil).Header.Get("ETag")
	if r := s.do("GET", job+"/schemes/A/site", nil, "If-None-Match", tag); r.Status != 304 {
		t.Errorf("the pack again: %d", r.Status)
	}
}

// phone is a device with its own clock of counts, what it has seen, and what it has not
// sent yet.
type phone struct {
	name   string
	marks  map[string]tally.Mark // by id and contents
	unsent []tally.Mark
	cursor string
	made   int
}

func key(m tally.Mark) string { b, _ := json.Marshal(m); return string(b) }

func (p *phone) seen() []tally.Mark {
	var out []tally.Mark
	for _, m := range p.marks {
		out = append(out, m)
	}
	return out
}

// make marks one thing, offline.
func (p *phone) make(r *rand.Rand, pieces []string) {
	m := tally.Mark{
		ID: fmt.Sprintf("%s-%d", p.name, p.made), Count: tally.Next(p.seen()), Device: p.name, By: p.name, At: time.Date(2026, 5, 4+r.IntN(3), 8, r.IntN(600), 0, 0, time.UTC).Format(time.RFC3339),
		Kind: tally.Kinds[r.IntN(len(tally.Kinds))], Piece: pieces[r.IntN(len(pieces))], Text: []string{"", "c1", "12 ft"}[r.IntN(3)],
	}
	if m.Kind == tally.Withdrawn && len(p.marks) > 0 {
		m.Piece = p.seen()[0].ID
	}
	p.made++
	p.marks[key(m)] = m
	p.unsent = append(p.unsent, m)
}

// sync sends what was not sent and takes what is new; where the answer is lost on its
// way, the phone sends all of it again the next time.
func (p *phone) sync(s *site, job string, r *rand.Rand, lost bool) {
	sent := append([]tally.Mark{}, p.unsent...)
	r.Shuffle(len(sent), func(i, j int) { sent[i], sent[j] = sent[j], sent[i] })
	for more := true; more; {
		got := s.do("POST", job+"/marks", map[string]any{"after": p.cursor, "now": "2026-05-04T09:00:00Z", "device": p.name, "marks": sent})
		if got.Status != 200 {
			s.t.Fatalf("%s: %d %s", p.name, got.Status, got.Body)
		}
		if lost {
			return
		}
		var out struct {
			Accepted      []string
			Refused       []any
			Cursor        string
			Marks         []tally.Mark
			More, Restart bool
		}
		if err := json.Unmarshal(got.Body, &out); err != nil {
			s.t.Fatal(err)
		}
		if len(out.Refused) > 0 || len(out.Accepted) != len(sent) {
			s.t.Fatalf("%s: %d sent, %d accepted, refused %v", p.name, len(sent), len(out.Accepted), out.Refused)
		}
		sent, p.unsent, p.cursor, more = nil, nil, out.Cursor, out.More || out.Restart
		for _, m := range out.Marks {
			p.marks[key(m)] = m
		}
	}
}

// restore puts a phone back to an older copy of itself: what it made since it makes
// again, under the same ids, otherwise.
func (p *phone) restore(old phone) {
	p.marks, p.cursor, p.made = map[string]tally.Mark{}, old.cursor, old.made
	for k, m := range old.marks {
		p.marks[k] = m
	}
	p.unsent = append([]tally.Mark{}, old.unsent...)
}

// TestTenPhonesThreeDays: each marks on its own, offline; now and then one is in reach
// of the server, some answers are lost, one phone is restored from a backup. In the end
// all hold the same marks as the server, none that was ever sent is lost, and every
// order gives one state.
func TestTenPhonesThreeDays(t *testing.T) {
	s := here(t)
	pieces := []string{"p1", "p2", "p3", "gone", "south:barrier"}
	for seed := range uint64(6) {
		r := rand.New(rand.NewPCG(seed, 8))
		job := "/api/jobs/" + s.want(201, "POST", "/api/jobs", map[string]string{"title": "x"})["id"].(string)
		phones := make([]*phone, 10)
		sent := map[string]bool{}
		for i := range phones {
			phones[i] = &phone{name: fmt.Sprintf("d%d", i), marks: map[string]tally.Mark{}}
		}
		var backup phone
		for step := range 10 * 3 * 6 {
			if step == 60 {
				backup.restore(*phones[0])
			}
			p := phones[r.IntN(len(phones))]
			if r.IntN(8) > 0 {
				p.make(r, pieces)
				continue
			}
			for _, m := range p.unsent {
				sent[key(m)] = true
			}
			p.sync(s, job, r, r.IntN(4) == 0)
		}
		phones[0].restore(backup)
		phones[0].make(r, pieces)
		for range 2 { // twice, so that the first hear what the last had to say
			for _, p := range phones {
				for _, m := range p.unsent {
					sent[key(m)] = true
				}
				p.sync(s, job, r, false)
			}
		}
		judgePhones(t, s, job, phones, sent, r, pieces)
	}
}

func judgePhones(t *testing.T, s *site, job string, phones []*phone, sent map[string]bool, r *rand.Rand, pieces []string) {
	var out struct{ Marks []tally.Mark }
	if err := json.Unmarshal(s.do("GET", job+"/marks", nil).Body, &out); err != nil {
		t.Fatal(err)
	}
	there := map[string]bool{}
	for _, m := range out.Marks {
		there[key(m)] = true
	}
	for k := range sent {
		if !there[k] {
			t.Fatalf("lost: %s", k)
		}
	}
	want := tally.Of(pieces, out.Marks)
	for _, p := range phones {
		all := p.seen()
		r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		if got := tally.Of(pieces, append(all, all...)); !reflect.DeepEqual(got, want) {
			t.Fatalf("%s with %d marks comes to another state than the server with %d", p.name, len(p.marks), len(out.Marks))
		}
	}
}

// TestOddMarks: each that cannot be kept is refused by itself, with why and the mend;
// what a person should know is told; nothing stops the others.
func TestOddMarks(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	good := phoneMark("good", 1, "formed", "nosuchpiece2")
	twin := phoneMark("good", 1, "hung", "nosuchpiece2")
	early := phoneMark("early", 2, "checked", "setup")
	early["at"] = time.Now().Add(25 * time.Hour).Format(time.RFC3339)
	odd := []any{good, `text`, map[string]any{"id": "x"}, phoneMark("k", 1, "painted", "p"), phoneMark("a b", 1, "hung", "p"), phoneMark("u", 1, "hung", "p"), twin, early, nil, 7}
	odd[5].(map[string]any)["colour"] = "red"
	got := s.want(200, "POST", job+"/marks", map[string]any{"scheme": "A", "now": time.Now().Add(-26 * time.Hour).Format(time.RFC3339), "marks": odd})
	var refused []float64
	for _, x := range got["refused"].([]any) {
		refused = append(refused, at(x, "index").(float64))
		if at(x, "why") == "" || at(x, "mend") == "" {
			t.Errorf("%v", x)
		}
	}
	if !reflect.DeepEqual(refused, []float64{1, 2, 3, 4, 5, 8, 9}) {
		t.Errorf("refused %v", got["refused"])
	}
	told := map[string]bool{}
	for _, x := range got["told"].([]any) {
		told[fmt.Sprint(at(x, "id"), " ", at(x, "what"))] = true
	}
	for _, want := range []string{"good homeless", "good twin", "early clock"} {
		if !told[want] {
			t.Errorf("not told: %s of %v", want, told)
		}
	}
	if text := at(got, "clock", "text").(string); !strings.Contains(text, "26 hours behind") {
		t.Errorf("clock: %q", text)
	}
	p := s.want(200, "GET", job+"/schemes/A/site/progress", nil)
	if len(p["homeless"].([]any)) != 1 || len(p["clocks"].([]any)) != 1 {
		t.Errorf("homeless %v, clocks %v", p["homeless"], p["clocks"])
	}
	var many []any
	for i := range 501 {
		many = append(many, phoneMark(fmt.Sprint("n", i), 1, "hung", "p"))
	}
	s.want(422, "POST", job+"/marks", map[string]any{"marks": many})
	s.want(404, "POST", "/api/jobs/nosuchjob/marks", map[string]any{"marks": []any{good}})
	s.want(404, "GET", "/api/jobs/nosuchjob/marks", nil)
	s.want(404, "GET", job+"/schemes/Z/site", nil)
	s.want(404, "GET", job+"/schemes/A/site/difference?from=99", nil)
}

// TestServerPutBack: a cursor that this database never gave begins anew and says so.
func TestServerPutBack(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	first := s.want(200, "POST", job+"/marks", marksBody("", phoneMark("a", 1, "hung", "p")))
	second := s.want(200, "POST", job+"/marks", marksBody(first["cursor"].(string), phoneMark("b", 2, "hung", "p")))
	if len(second["marks"].([]any)) != 0 || second["restart"] != false {
		t.Errorf("its own marks come back: %v", second)
	}
	cursor := second["cursor"].(string)
	for _, odd := range []string{"2-0123456789abcdef", "7-0123456789abcdef", "soon", "-1-x", cursor + "0", "99999999999999999999-a"} {
		got := s.want(200, "GET", job+"/marks?after="+odd, nil)
		if got["restart"] != true || len(got["marks"].([]any)) != 2 || got["cursor"] != cursor {
			t.Errorf("%s: %v", odd, got)
		}
	}
	if got := s.want(200, "GET", job+"/marks?after="+cursor, nil); got["restart"] != false || len(got["marks"].([]any)) != 0 {
		t.Errorf("nothing new: %v", got)
	}
}

// TestRelayOnSite: a size found wrong is put right by the change that is offered; one
// wall changes, and what was formed for it is not forgotten.
func TestRelayOnSite(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	p := s.want(200, "GET", job+"/schemes/A/site", nil)
	var formed, elsewhere map[string]any
	for _, q := range p["pieces"].([]any) {
		if m, _ := at(q, "notches").([]any); at(q, "wall") == "south" && len(m) > 0 && at(m, 0, "opening") == "S1" && formed == nil {
			formed = q.(map[string]any)
		}
		if at(q, "wall") == "north" {
			elsewhere = q.(map[string]any)
		}
	}
	found := phoneMark("size", 9, "measured", "south")
	found["note"], found["text"] = "S1.width", `46 in +/- 1/8 in`
	mark := phoneMark("f", 1, "formed", formed["key"].(string))
	mark["note"] = formed["label"]
	s.want(200, "POST", job+"/marks", marksBody("", mark, phoneMark("g", 2, "formed", elsewhere["key"].(string)), found))
	before := s.want(200, "GET", job+"/schemes/A/site/progress", nil)
	if at(before, "sizes", 0, "open") != true || at(before, "counts", "formed") != 2.0 {
		t.Fatalf("sizes %v, counts %v", before["sizes"], before["counts"])
	}
	s.want(200, "POST", job+"/changes?scheme=A", map[string]any{"what": "Found on site", "patch": at(before, "sizes", 0, "patch")}, "If-Match", `"1"`)
	d := s.want(200, "GET", job+"/schemes/A/site/difference?from=1", nil)
	if !reflect.DeepEqual(d["walls"], []any{"south"}) || d["from"] != 1.0 || d["to"] != 2.0 {
		t.Errorf("walls %v", d["walls"])
	}
	told := false
	for _, c := range d["changed"].([]any) {
		if at(c, "was", "key") == formed["key"] {
			told = at(c, "formed") == true && at(c, "was", "state") == "ready"
		}
	}
	after := s.want(200, "GET", job+"/schemes/A/site/progress", nil)
	if !told || at(after, "sizes", 0, "open") != false || at(after, "counts", "formed") != 1.0 || at(after, "homeless", 0, "label") != formed["label"] {
		t.Errorf("told %t, sizes %v, counts %v, homeless %v", told, at(after, "sizes", 0, "open"), after["counts"], after["homeless"])
	}
}

func TestMarkPhotos(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8))); err != nil {
		t.Fatal(err)
	}
	m := phoneMark("c", 1, "covered", "south:barrier")
	m["photo"] = "c.png"
	if got := s.want(200, "POST", job+"/marks", marksBody("", m)); !reflect.DeepEqual(got["photos_wanted"], []any{"c.png"}) {
		t.Errorf("wanted: %v", got["photos_wanted"])
	}
	put := func(name string, body []byte) reply {
		return s.do("PUT", job+"/marks/photos/"+name, body, "Content-Type", "image/png")
	}
	for _, want := range []int{200, 200} {
		if r := put("c.png", b.Bytes()); r.Status != want {
			t.Errorf("%d %s", r.Status, r.Body)
		}
	}
	if r := put("c.png", append(b.Bytes(), 0)); r.Status != 409 {
		t.Errorf("another photo in its place: %d", r.Status)
	}
	if r := put("d.png", []byte("<svg xmlns='http://www.w3.org/2000/svg'/>")); r.Status != 415 {
		t.Errorf("no photo: %d", r.Status)
	}
	if r := put("..%2fc.png", b.Bytes()); r.Status < 400 {
		t.Errorf("an odd name: %d", r.Status)
	}
	if r := s.do("GET", job+"/marks/photos/c.png", nil); r.Status != 200 || !bytes.Equal(r.Body, b.Bytes()) || r.Header.Get("Content-Type") != "image/png" {
		t.Errorf("back: %d %v", r.Status, r.Header)
	}
	if got := s.want(200, "POST", job+"/marks", marksBody("", m)); len(got["photos_wanted"].([]any)) != 0 {
		t.Errorf("wanted: %v", got["photos_wanted"])
	}
	p := s.want(200, "GET", job+"/schemes/A/site/progress", nil)
	if at(p, "photos", 0, "here") != true || at(p, "quality", 0, "item") != "barrier" || at(p, "photos", 0, "about") != "south: "+at(p, "quality", 0, "what").(string) || at(p, "walls", 0, "quality_done") != 1.0 {
		t.Errorf("%v %v", p["photos"], p["quality"])
	}
	pack := s.want(200, "GET", job+"/schemes/A/site", nil)
	of := phoneMark("d", 2, "covered", at(pack, "pieces", 0, "key").(string)+":photo")
	of["photo"] = "d.png"
	say := maps.Clone(of)
	say["id"], say["count"], say["text"] = "e", 3, "cracked sheathing behind it"
	s.want(200, "POST", job+"/marks", marksBody("", of, say))
	p = s.want(200, "GET", job+"/schemes/A/site/progress", nil)
	if len(p["photos"].([]any)) != 2 || at(p, "photos", 1, "words") != say["text"] || at(p, "photos", 1, "mark") != "d" || at(p, "photos", 1, "about") != at(pack, "pieces", 0, "label") {
		t.Errorf("a word to a photo: %v", p["photos"])
	}
}

// TestMarksLive: who listens to a job hears of marks, with the cursor after them.
func TestMarksLive(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	r, err := http.NewRequest("GET", s.url+job+"/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Body.Close()
	lines := bufio.NewScanner(got.Body)
	next := func(event string) map[string]any {
		for lines.Scan() {
			if lines.Text() == "event: "+event {
				lines.Scan()
				var v map[string]any
				json.Unmarshal([]byte(strings.TrimPrefix(lines.Text(), "data: ")), &v) //nolint:errcheck // nil then
				return v
			}
		}
		t.Fatalf("no %s: %v", event, lines.Err())
		return nil
	}
	if hello := next("hello"); hello["marks"] != nil {
		t.Errorf("hello: %v", hello)
	}
	sent := s.want(200, "POST", job+"/marks", marksBody("", phoneMark("a", 1, "hung", "p")))
	if heard := next("marks"); heard["cursor"] != sent["cursor"] {
		t.Errorf("heard %v, sent %v", heard, sent["cursor"])
	}
}

func TestLabelsAndCodes(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	for _, query := range []string{"", "?per=bundle", "?wall=south", "?per=bundle&wall=south", "?per=coil"} {
		if r := s.do("GET", job+"/schemes/A/site/labels"+query, nil); r.Status != 200 || !bytes.HasPrefix(r.Body, []byte("%PDF")) {
			t.Errorf("%s: %d", query, r.Status)
		}
	}
	s.want(404, "GET", job+"/schemes/A/site/labels?wall=nowhere", nil)
}
