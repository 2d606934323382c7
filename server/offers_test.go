package server_test

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math/big"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"coilwright/server"
	"coilwright/store"
)

// sent is an offer on its way: the job, the offer, the owner's API path.
type sent struct {
	*site
	job, offer, owner string
	revision          float64
}

func (s *site) head(job string) float64 {
	return s.want(200, "GET", "/api/jobs/"+job, nil)["revision"].(float64)
}

// send offers the job as it stands.
func (s *site) send(job string, body map[string]any) sent {
	s.t.Helper()
	body["revision"] = s.head(job)
	got := s.want(201, "POST", "/api/jobs/"+job+"/offers", body)
	token := strings.TrimPrefix(got["link"].(string), "/#/owner/")
	return sent{s, job, at(got, "offer", "id").(string), "/api/owner/" + token, body["revision"].(float64)}
}

func (o sent) see() map[string]any { o.t.Helper(); return o.want(200, "GET", o.owner, nil) }

// signature is what the owner's page sends for an option.
func (o sent) signature(option int) map[string]any {
	v := at(o.see(), "options", option)
	return map[string]any{"scheme": at(v, "scheme"), "digest": at(v, "digest"), "name": "Pat Alder", "drawn": "M 1 1 L 20 8 L 30 2", "agreed": true}
}

func rat(t *testing.T, v any) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(fmt.Sprint(v))
	if !ok {
		t.Fatalf("%v is no amount", v)
	}
	return r
}

// From the demo house to a signed option, its paper, a change order for a window
// that grew, and invoices that add up to what is agreed.
func TestOfferToInvoice(t *testing.T) {
	s := here(t)
	job := s.demo()
	o := s.send(job, map[string]any{})
	v := o.see()
	if at(v, "state") != "open" || len(at(v, "options").([]any)) != 3 || at(v, "layouts", 2, "scheme") != "C" || at(v, "shop", "name") != "Demo Shop (invented)" {
		t.Fatalf("%.600v", v)
	}
	for _, private := range []string{"margin", "overhead", "hanger_hour", "C-101", "S-2207"} {
		if text := string(o.do("GET", o.owner, nil).Body); strings.Contains(text, private) {
			t.Errorf("the owner's page tells %q", private)
		}
	}
	o.want(200, "POST", o.owner+"/questions", map[string]any{"name": "Pat", "text": "Does the vent stay?"})
	o.want(200, "POST", "/api/jobs/"+job+"/offers/"+o.offer+"/answers", map[string]any{"text": "It does."})
	if talk := at(o.see(), "talk").([]any); len(talk) != 2 || at(talk, 1, "what") != "It does." {
		t.Errorf("%v", talk)
	}
	signed := o.want(200, "POST", o.owner+"/signature", o.signature(0))
	if at(signed, "state") != "signed" || at(signed, "signed", "name") != "Pat Alder" {
		t.Fatalf("%v", at(signed, "signed"))
	}
	if stage := s.want(200, "GET", "/api/jobs/"+job, nil)["stage"]; stage != "signed" {
		t.Errorf("the job's stage is %v", stage)
	}
	s.want(200, "POST", "/api/jobs/"+job+"/offers/"+o.offer+"/countersignature", map[string]any{"name": "Anna of the shop"})
	paperOf(t, o.do("GET", o.owner+"/paper", nil), "Pat Alder", "Anna of the shop", at(signed, "signed", "digest").(string))
	files, err := s.store.Files(context.Background(), "home", job, "offers/"+o.offer+"/")
	if err != nil || len(files) != 2 || !strings.HasSuffix(files[1].Name, "signed-by-both.pdf") {
		t.Errorf("papers kept: %v %v", files, err)
	}
	changeAndBill(t, s, job, signed)
}

// changeAndBill makes a window larger after signing.
func changeAndBill(t *testing.T, s *site, job string, signed map[string]any) {
	t.Helper()
	total := rat(t, at(signed, "options", 0, "total"))
	first := s.want(200, "POST", "/api/jobs/"+job+"/invoices", map[string]any{"step": 0})
	if rat(t, first["asked"]).Cmp(rat(t, at(signed, "options", 0, "payments", 0, "amount"))) != 0 {
		t.Errorf("asked %v", first["asked"])
	}
	r := s.do("POST", "/api/jobs/"+job+"/changes?scheme=A", edit("/house/walls/0/openings/0/size", `["6'","61 1/2 in"]`), "If-Match", fmt.Sprintf(`"%.0f"`, s.head(job)))
	if r.Status != 200 {
		t.Fatalf("%d %.300s", r.Status, r.Body)
	}
	c := s.send(job, map[string]any{"kind": "change", "why": "Window S1 is larger."})
	v := c.see()
	d := at(v, "difference").(map[string]any)
	if len(at(v, "options").([]any)) != 1 || d["altered"].(float64)+d["added"].(float64) == 0 || rat(t, d["longer_ft"]).Sign() >= 0 {
		t.Fatalf("%v", d)
	}
	after := rat(t, at(v, "options", 0, "total"))
	if money := new(big.Rat).Sub(after, total); money.Cmp(rat(t, d["money"])) != 0 || money.Sign() == 0 {
		t.Errorf("the change is %v, the totals %v and %v", d["money"], total.FloatString(2), after.FloatString(2))
	}
	c.want(200, "POST", c.owner+"/signature", c.signature(0))
	paperOf(t, c.do("GET", c.owner+"/paper", nil), "Window S1 is larger", "hatched")
	var ledger map[string]any
	for step := range 3 {
		if step > 0 {
			ledger = s.want(200, "POST", "/api/jobs/"+job+"/invoices", map[string]any{"step": step})
		}
	}
	if rat(t, ledger["asked"]).Cmp(after) != 0 || rat(t, ledger["left"]).Sign() != 0 {
		t.Errorf("all invoices ask for %v of %v", ledger["asked"], after.FloatString(2))
	}
	ledger = s.want(200, "PUT", "/api/jobs/"+job+"/invoices/2/paid", map[string]any{"at": time.Now(), "note": "by cheque"})
	if rat(t, ledger["open"]).Cmp(new(big.Rat).Sub(after, rat(t, at(ledger, "invoices", 1, "amount")))) != 0 {
		t.Errorf("open %v", ledger["open"])
	}
	s.want(409, "PUT", "/api/jobs/"+job+"/invoices/2/paid", map[string]any{"at": time.Now()})
	s.want(409, "POST", "/api/jobs/"+job+"/invoices", map[string]any{"step": 2})
	paperOf(t, s.do("GET", "/api/jobs/"+job+"/invoices/3/paper", nil), "Invoice", "To pay by")
	has(t, "UBL", s.do("GET", "/api/jobs/"+job+"/invoices/3/paper?kind=xml", nil).Body, "urn:oasis:names:specification:ubl:schema:xsd:Invoice-2", "PayableAmount")
}

// paperOf checks a PDF and what it says.
func paperOf(t *testing.T, r reply, words ...string) {
	t.Helper()
	if r.Status != 200 || !strings.HasPrefix(string(r.Body), "%PDF-") {
		t.Fatalf("%d %.200s", r.Status, r.Body)
	}
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Log("pdftotext is not installed; the paper's words are not read")
		return
	}
	file := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(file, r.Body, 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command(reader, "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	has(t, "the paper", []byte(strings.Join(strings.Fields(string(text)), " ")), words...)
}

// Links that were guessed, taken back, run out or used again lead nowhere, and what
// was tried is noted.
func TestOwnerRefusals(t *testing.T) {
	s := here(t)
	job := s.demo()
	o := s.send(job, map[string]any{"schemes": []string{"A", "B"}})
	s.want(404, "GET", "/api/owner/aaaaaaaaaaaaaaaaaaaaaaaaaa", nil)
	s.want(404, "GET", o.owner[:len(o.owner)-1]+"a", nil)
	good := o.signature(0)
	spoilt := func(name string, v any) map[string]any {
		c := map[string]any{}
		for k, x := range good {
			c[k] = x
		}
		c[name] = v
		return c
	}
	for _, c := range []struct {
		status int
		body   map[string]any
	}{
		{404, spoilt("scheme", "C")}, {409, spoilt("digest", strings.Repeat("0", 64))}, {409, spoilt("digest", "")}, {422, spoilt("name", "  ")},
		{422, spoilt("agreed", false)}, {422, spoilt("drawn", "<script>")}, {409, spoilt("scheme", "B")},
	} {
		s.want(c.status, "POST", o.owner+"/signature", c.body)
	}
	newer := s.send(job, map[string]any{"schemes": []string{"A"}}) // the price may have changed: the older one ends
	s.want(410, "POST", o.owner+"/signature", good)
	newer.want(200, "POST", newer.owner+"/signature", newer.signature(0))
	s.want(409, "POST", newer.owner+"/signature", newer.signature(0)) // replayed
	s.want(409, "POST", "/api/jobs/"+job+"/offers", map[string]any{"revision": s.head(job)})
	s.want(409, "DELETE", "/api/jobs/"+job+"/offers/"+newer.offer, nil)
	link := s.want(200, "POST", "/api/jobs/"+job+"/offers/"+newer.offer+"/link", map[string]any{"days": 1})["link"].(string)
	s.want(404, "GET", newer.owner, nil)
	s.want(200, "GET", "/api/owner/"+strings.TrimPrefix(link, "/#/owner/"), nil)
	notes := map[string]int{}
	for _, l := range s.want(200, "GET", "/api/jobs/"+job+"/offers", nil)["offers"].([]any) {
		for _, e := range at(l, "events").([]any) {
			notes[at(e, "kind").(string)]++
		}
	}
	if notes["refused"] < 9 || notes["signed"] != 1 || notes["revoked"] != 1 || notes["link"] != 1 {
		t.Errorf("noted: %v", notes)
	}
	if !strings.Contains(s.log.String(), "leads nowhere") {
		t.Error("a guessed link was not logged")
	}
}

// A link and an offer run out, by the server's clock.
func TestOfferRunsOut(t *testing.T) {
	st := openStore(t)
	now := time.Now()
	s := startAt(t, st, func() time.Time { return now })
	job := s.demo()
	o := s.send(job, map[string]any{"days": 3, "link_days": 10})
	body := o.signature(0)
	now = now.AddDate(0, 0, 4)
	if at(o.see(), "late") != true {
		t.Error("the page does not say that it is late")
	}
	s.want(410, "POST", o.owner+"/signature", body)
	now = now.AddDate(0, 0, 7)
	s.want(410, "GET", o.owner, nil)
}

// Many sign the same link at once: one signature stands.
func TestTwoSignAtOnce(t *testing.T) {
	s := here(t)
	o := s.send(s.demo(), map[string]any{"schemes": []string{"A", "B"}})
	bodies := []map[string]any{o.signature(0), o.signature(1)}
	var all sync.WaitGroup
	status := make([]int, 8)
	for i := range status {
		all.Go(func() { status[i] = o.do("POST", o.owner+"/signature", bodies[i%2]).Status })
	}
	all.Wait()
	signed := 0
	for _, st := range status {
		if st == 200 {
			signed++
		} else if st != 409 {
			t.Errorf("status %d", st)
		}
	}
	if signed != 1 {
		t.Errorf("%d signatures were taken: %v", signed, status)
	}
	refused := 0
	for _, e := range at(s.want(200, "GET", "/api/jobs/"+o.job+"/offers", nil), "offers", 0, "events").([]any) {
		if at(e, "kind") == "refused" {
			refused++
		}
	}
	if refused != len(status)-1 {
		t.Errorf("%d refusals are on record, %d were made", refused, len(status)-1)
	}
}

// What the book lacks is named; so are figures that cannot be.
func TestNoOfferYet(t *testing.T) {
	s := here(t)
	job := s.demo()
	change := func(path, value string) {
		t.Helper()
		body := fmt.Sprintf(`{"what":"edit","patch":[{"op":"add","path":%q,"value":%s}]}`, path, value)
		if r := s.do("POST", "/api/jobs/"+job+"/changes", body, "If-Match", fmt.Sprintf(`"%.0f"`, s.head(job))); r.Status != 200 {
			t.Fatalf("%d %.200s", r.Status, r.Body)
		}
	}
	change("/shop/prices", `{"starter_ft": null}`)
	change("/shop/offer", `{"cancellation": null}`)
	got := s.want(422, "POST", "/api/jobs/"+job+"/offers", map[string]any{"revision": s.head(job)})
	has(t, "the refusal", []byte(fmt.Sprint(got)), "$.shop.starter_ft", "write starter_ft in the book", "$.shop.offer.cancellation")
	for _, absurd := range []string{`{"margin": "1"}`, `{"overhead": "-0.1"}`, `{"margin": "1e40"}`} {
		change("/shop/rates", absurd)
		s.want(422, "POST", "/api/jobs/"+job+"/offers", map[string]any{"revision": s.head(job)})
	}
	change("/shop/rates", `{}`)
	change("/shop/taxes", `[{"title":"all of it","share":"1","on":["material"]}]`)
	s.want(422, "POST", "/api/jobs/"+job+"/offers", map[string]any{"revision": s.head(job)})
	change("/shop/taxes", `[]`)
	s.want(412, "POST", "/api/jobs/"+job+"/offers", map[string]any{"revision": 1})
	if n := len(s.want(200, "GET", "/api/jobs/"+job+"/offers", nil)["offers"].([]any)); n != 0 {
		t.Errorf("%d offers were made", n)
	}
	log := s.log.String()
	if n := strings.Count(log, "offer refused"); n != 6 {
		t.Errorf("%d refusals are on record, 6 were made:\n%s", n, log)
	}
	has(t, "the record", []byte(log), "starter_ft", "a margin of 1 leaves no room", "overhead", "a tax of 1 times the price")
}

// The frozen offer works out to the same cent whatever becomes of the job, and the
// digest is plain SHA-256 of the text that is kept.
func TestFrozen(t *testing.T) {
	s := here(t)
	job := s.demo()
	o := s.send(job, map[string]any{})
	before := o.see()
	list, err := s.store.Offers(context.Background(), "home", job)
	if err != nil {
		t.Fatal(err)
	}
	var kept []struct {
		Digest string
		Text   json.RawMessage
	}
	if err := json.Unmarshal([]byte(list[0].Options), &kept); err != nil || len(kept) != 3 {
		t.Fatal(err)
	}
	for i, k := range kept {
		if sum := sha256.Sum256(k.Text); hex.EncodeToString(sum[:]) != k.Digest || at(before, "options", i, "digest") != k.Digest {
			t.Errorf("option %d: digest %s", i, k.Digest)
		}
	}
	r := s.do("POST", "/api/jobs/"+job+"/changes", `{"what":"dearer","patch":[{"op":"add","path":"/shop/prices","value":{"starter_ft":"9.99"}}]}`, "If-Match", fmt.Sprintf(`"%.0f"`, s.head(job)))
	if r.Status != 200 {
		t.Fatalf("%.200s", r.Body)
	}
	after := o.see()
	if fmt.Sprint(at(before, "options")) != fmt.Sprint(at(after, "options")) {
		t.Error("the offer changed with the job")
	}
}

// Prices go out as a file and come back as a change that can be undone.
func TestFiguresThereAndBack(t *testing.T) {
	s := here(t)
	job := s.demo()
	v := s.want(200, "GET", "/api/jobs/"+job+"/figures", nil)
	if at(v, "figures", 0, "name") != "starter_ft" || at(v, "figures", 0, "value") != "0.85" || at(v, "figures", 0, "own") != false {
		t.Fatalf("%v", at(v, "figures", 0))
	}
	for _, kind := range []string{"csv", "xlsx"} {
		file := s.do("GET", "/api/jobs/"+job+"/figures/file?kind="+kind, nil)
		got := s.want(200, "POST", "/api/jobs/"+job+"/figures/file", file.Body, "Content-Type", "application/octet-stream")
		if got["count"].(float64) < 40 || len(got["patch"].([]any)) != 3 || at(got, "patch", 2, "path") != "/shop/mill" {
			t.Errorf("%s: %v figures", kind, got["count"])
		}
		s.want(200, "POST", "/api/jobs/"+job+"/changes", map[string]any{"what": got["what"], "patch": got["patch"]}, "If-Match", fmt.Sprintf(`"%.0f"`, s.head(job)))
	}
	if v := s.want(200, "GET", "/api/jobs/"+job+"/figures", nil); at(v, "figures", 0, "own") != true || at(v, "figures", 0, "value") != "0.85" {
		t.Errorf("%v", at(v, "figures", 0))
	}
	s.want(422, "POST", "/api/jobs/"+job+"/figures/file", "part,name,value\nprice,x,-1\n", "Content-Type", "application/octet-stream")
	if r := s.do("GET", "/api/jobs/"+job+"/estimate", nil); r.Status != 200 || !strings.HasPrefix(string(r.Body), "PK") {
		t.Errorf("%d %.100s", r.Status, r.Body)
	}
}

// startAt is a server with a clock of the test's own.
func startAt(t *testing.T, st *store.Store, now func() time.Time) *site {
	t.Helper()
	s := start(t, st, true)
	s.server = server.New(server.Config{Store: st, Open: true, Version: "test", Now: now})
	h := httptest.NewServer(s.server)
	t.Cleanup(func() { s.server.Close(); h.Close() })
	s.url = h.URL
	return s
}
