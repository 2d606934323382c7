package bench

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"coilwright/coil"
	"coilwright/job"
	"coilwright/site"
	"coilwright/tally"
)

// sitePack is a pack of about so many pieces, its run planned quickly.
func sitePack(tb testing.TB, pieces int) (*job.Job, *job.RunResult, site.Pack) {
	tb.Helper()
	j, found := job.Parse("job", SiteJob(pieces), nil)
	if err := found.Err(); err != nil {
		tb.Fatal(err)
	}
	r, err := j.RunWithin("A", coil.Quick)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := site.Of("k3jq7zt5bpxw2m4a", 1, &j, r)
	if err != nil {
		tb.Fatal(err)
	}
	return &j, r, p
}

// TestSitePackSize: a job of 2,000 pieces stays below 2 MB on a phone.
func TestSitePackSize(t *testing.T) {
	_, _, p := sitePack(t, 2000)
	text, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	z.Write(text) //nolint:errcheck // into memory
	z.Close()
	each := float64(len(text)) / float64(len(p.Pieces))
	t.Logf("%d pieces: %d bytes, %.0f a piece; %d over the wire", len(p.Pieces), len(text), each, packed.Len())
	if len(p.Pieces) < 2000 || each*2000 > 2e6 {
		t.Errorf("%d pieces take %d bytes", len(p.Pieces), len(text))
	}
}

// BenchmarkSite is what a phone's answer costs: the pack of more and more pieces and its
// text, and the progress and a recut when half of the pieces are formed.
func BenchmarkSite(b *testing.B) {
	for _, n := range []int{500, 2000} {
		j, r, p := sitePack(b, n)
		seen, marks := halfFormed(&p)
		for name, do := range map[string]func() error{
			"pack":     func() error { _, err := site.Of("k3jq7zt5bpxw2m4a", 1, j, r); return err },
			"text":     func() error { _, err := json.Marshal(p); return err },
			"progress": func() error { site.ProgressOf(&p, j, seen, nil, time.Unix(1, 0)); return nil },
			"recut":    func() error { _, err := site.RecutOf(j, r, &p, marks, lastOf(marks)); return err },
		} {
			b.Run(fmt.Sprintf("pieces=%d/%s", len(p.Pieces), name), func(b *testing.B) {
				for b.Loop() {
					if err := do(); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(p.Pieces)), "ns/piece")
			})
		}
	}
}

// lastOf names the piece formed last, which is spoiled.
func lastOf(marks []tally.Mark) []string { return []string{marks[len(marks)-1].Piece} }

func halfFormed(p *site.Pack) ([]site.Seen, []tally.Mark) {
	var (
		seen  []site.Seen
		marks []tally.Mark
	)
	for _, u := range p.Setups {
		for _, reel := range u.Reels {
			for _, key := range reel.Pieces {
				if len(marks) < len(p.Pieces)/2 {
					n := len(marks) + 1
					marks = append(marks, tally.Mark{ID: fmt.Sprint("m", n), Count: int64(n), Device: "d", At: "2026-05-04T08:00:00Z", Kind: tally.Formed, Piece: key, Text: reel.Coil})
					seen = append(seen, site.Seen{Mark: marks[n-1]})
				}
			}
		}
	}
	return seen, marks
}
