package site_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"coilwright/change"
	"coilwright/examples"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/site"
	"coilwright/tally"
)

var update = flag.Bool("update", false, "write testdata/reels.json anew")

// hand makes marks one after another, as one phone does.
type hand struct {
	marks []tally.Mark
	at    time.Time
}

func (h *hand) mark(kind tally.Kind, piece, text string) {
	n := len(h.marks) + 1
	if h.at.IsZero() {
		h.at = time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC) // a Monday
	}
	h.marks = append(h.marks, tally.Mark{ID: fmt.Sprintf("m%d", n), Count: int64(n), Device: "d", By: "AB", At: h.at.Format(time.RFC3339), Kind: kind, Piece: piece, Text: text})
}

func (h *hand) seen() []site.Seen {
	var out []site.Seen
	for _, m := range h.marks {
		at, _ := time.Parse(time.RFC3339, m.At)
		out = append(out, site.Seen{Mark: m, Received: at.Add(time.Minute)})
	}
	return out
}

// form goes through the whole run in the machine's order.
func (h *hand) form(p *site.Pack, most int) {
	for _, u := range p.Setups {
		for _, reel := range u.Reels {
			h.mark(tally.Loaded, reel.Coil, "")
			for _, key := range reel.Pieces {
				if most--; most < 0 {
					return
				}
				h.mark(tally.Formed, key, reel.Coil)
			}
		}
	}
}

// TestReelsAfterTheRun: a run that goes as planned leaves the planned tails, less what
// a coil threaded again for another set-up takes: the plan counts that too.
func TestReelsAfterTheRun(t *testing.T) {
	for _, scheme := range demos {
		p, _, _ := packed(t, examples.Demo, scheme)
		var h hand
		h.form(&p, len(p.Pieces))
		reels, _ := site.Reels(&p, h.marks)
		for i, c := range p.Coils {
			if math.Abs(reels[i].LeftFt-c.TailFt) > 1e-6 || math.Abs(reels[i].UsedFt-c.UsedFt) > 1e-6 {
				t.Errorf("%s: %+v, planned %g used and a tail of %g", scheme, reels[i], c.UsedFt, c.TailFt)
			}
		}
		done := site.ProgressOf(&p, read(t, examples.Demo), h.seen(), nil, h.at)
		if done.Counts.Formed != done.Counts.Pieces || done.Counts.Hung != 0 || math.Abs(done.Feet.Formed+done.Feet.Scrap-done.Feet.Planned) > 1 {
			t.Errorf("%s: %+v %+v", scheme, done.Counts, done.Feet)
		}
	}
}

func TestReelReadings(t *testing.T) {
	p, _, _ := packed(t, examples.Demo, "A")
	coil, key := p.Setups[0].Reels[0].Coil, p.Setups[0].Reels[0].Pieces[0]
	length := 0.0
	for _, q := range p.Pieces {
		if q.Key == key {
			length = (q.LengthIn + 1.0/16) / 12
		}
	}
	var h hand
	h.mark(tally.Loaded, coil, "")
	h.mark(tally.Formed, key, "")
	h.mark(tally.Spoiled, key, "")              // it was counted when it was formed
	h.mark(tally.Spoiled, key, "")              // this one was spoiled on the machine
	h.mark(tally.Formed, "gone234gone2", coil)  // of no length that is known
	h.mark(tally.Reel, "no such coil", "10 ft") // nothing
	h.mark(tally.Reel, coil, "about forty")     // nothing
	h.mark(tally.Reel, coil, "-4 ft")           // nothing
	before, loaded := site.Reels(&p, h.marks)
	i := slices.IndexFunc(p.Coils, func(c site.PackCoil) bool { return c.ID == coil })
	if want := p.Coils[i].LengthFt - 6 - 2*length; math.Abs(before[i].LeftFt-want) > 1e-9 || loaded != coil || before[i].From != "marks" {
		t.Errorf("%+v, want %g left", before[i], want)
	}
	h.mark(tally.Reel, coil, "30.48 m")
	h.mark(tally.Formed, key, coil)
	after, _ := site.Reels(&p, h.marks)
	if math.Abs(after[i].LeftFt-(100-length)) > 1e-9 || after[i].From != "reel" || math.Abs(after[i].OffFt-(100-before[i].LeftFt)) > 1e-9 {
		t.Errorf("after a reading of 100 ft: %+v", after[i])
	}
}

// reelCase is a vector for other programs that count feet: lengths stand for the pack.
type reelCase struct {
	Name    string             `json:"name"`
	ScrapFt float64            `json:"threading_scrap_ft"`
	LossIn  float64            `json:"cut_loss_in"`
	Coils   map[string]float64 `json:"coils"`   // feet on each at first
	Lengths map[string]float64 `json:"lengths"` // inches by key
	Marks   []tally.Mark       `json:"marks"`
	Loaded  string             `json:"loaded"`
	Left    map[string]float64 `json:"left_ft"`
	From    map[string]string  `json:"from"`
}

func (c *reelCase) count() {
	p := &site.Pack{Machine: site.PackMachine{ThreadingScrapFt: c.ScrapFt, CutLossIn: c.LossIn}}
	for _, id := range []string{"c1", "c2"} {
		p.Coils = append(p.Coils, site.PackCoil{ID: id, LengthFt: c.Coils[id]})
	}
	for key, in := range c.Lengths {
		p.Pieces = append(p.Pieces, site.PackPiece{Key: key, LengthIn: in})
	}
	reels, loaded := site.Reels(p, c.Marks)
	c.Loaded, c.Left, c.From = loaded, map[string]float64{}, map[string]string{}
	for _, r := range reels {
		c.Left[r.ID], c.From[r.ID] = math.Round(r.LeftFt*1e6)/1e6, r.From
	}
}

// TestReelVectors holds the counting to testdata/reels.json, which the page's own is
// held to as well.
func TestReelVectors(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 2026))
	var made []reelCase
	kinds := []tally.Kind{tally.Formed, tally.Formed, tally.Formed, tally.Spoiled, tally.Loaded, tally.Reel, tally.Hung, tally.Withdrawn, tally.Moved}
	for i := range 30 {
		c := reelCase{
			Name: fmt.Sprintf("random %d", i+1), ScrapFt: 6, LossIn: 0.0625, Coils: map[string]float64{"c1": 500, "c2": 310.5},
			Lengths: map[string]float64{"p1": 147.0625, "p2": 310.625, "p3": 39.75}, Marks: []tally.Mark{},
		}
		for n := range r.IntN(25) {
			m := tally.Mark{ID: fmt.Sprintf("m%d", n), Count: 1 + r.Int64N(20), Device: "d", Kind: kinds[r.IntN(len(kinds))], Piece: []string{"p1", "p2", "p3", "gone"}[r.IntN(4)]}
			switch m.Kind {
			case tally.Loaded, tally.Reel:
				m.Piece = []string{"c1", "c2", "c3"}[r.IntN(3)]
				m.Text = []string{"120.5 ft", "30 m", "nothing", ""}[r.IntN(4)]
			case tally.Moved:
				m.Text = []string{"p1", "p2", "gone"}[r.IntN(3)]
			case tally.Withdrawn:
				m.Piece = fmt.Sprintf("m%d", r.IntN(25))
			default:
				m.Text = []string{"c1", "c2", "", "c3"}[r.IntN(4)]
			}
			c.Marks = append(c.Marks, m)
		}
		c.count()
		made = append(made, c)
	}
	const file = "testdata/reels.json"
	text := []string{}
	for _, c := range made {
		line, _ := json.Marshal(c)
		text = append(text, string(line))
	}
	whole := "{\"cases\":[\n" + strings.Join(text, ",\n") + "\n]}\n"
	if *update {
		if err := os.WriteFile(file, []byte(whole), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if kept, err := os.ReadFile(file); err != nil || string(kept) != whole {
		t.Errorf("testdata/reels.json is not what is counted now (%v): run with -update and read the difference", err)
	}
}

// TestRecutCounts: whatever was formed, spoiled and read off the reels, every piece of
// the run is then formed, given by one coil that holds it, or left out; coils give no
// more than is on them.
func TestRecutCounts(t *testing.T) {
	p, j, r := packed(t, examples.Demo, "A")
	lengths, setup := map[string]float64{}, map[string]string{}
	for _, q := range p.Pieces {
		lengths[q.Key], setup[q.Key] = q.LengthIn, q.Setup
	}
	rapid.Check(t, func(t *rapid.T) {
		var h hand
		h.form(&p, rapid.IntRange(0, 60).Draw(t, "formed"))
		for i := len(h.marks) - 1; i > 0; i-- { // some of them spoiled since, some formed out of turn
			if m := h.marks[i]; m.Kind == tally.Formed && rapid.IntRange(0, 9).Draw(t, "spoils") == 0 {
				h.mark(tally.Spoiled, m.Piece, m.Text)
			}
		}
		if rapid.Bool().Draw(t, "reads") {
			h.mark(tally.Reel, p.Coils[0].ID, fmt.Sprintf("%d ft", rapid.IntRange(0, 520).Draw(t, "left")))
		}
		got, err := site.RecutOf(j, r, &p, h.marks, nil)
		if err != nil {
			t.Fatal(err)
		}
		judgeRecut(t, &p, h.marks, got, lengths, setup)
	})
}

func judgeRecut(t *rapid.T, p *site.Pack, marks []tally.Mark, got site.Recut, lengths map[string]float64, setup map[string]string) {
	var keys []string
	for key, s := range setup {
		if s != "" {
			keys = append(keys, key)
		}
	}
	state := tally.Of(keys, marks)
	seen := map[string]int{}
	for key, s := range state.Pieces {
		if s.Place != tally.Waiting {
			seen[key]++
		}
	}
	for _, l := range got.LeftOut {
		seen[l.Piece]++
	}
	for _, n := range got.Next {
		takes := 0.0
		for _, key := range n.Pieces {
			seen[key]++
			takes += (lengths[key] + p.Machine.CutLossIn) / 12
		}
		if takes > n.LeftFt+1e-6 {
			t.Fatalf("coil %s holds %g ft and is to give %g", n.Coil, n.LeftFt, takes)
		}
	}
	for _, key := range keys {
		if seen[key] != 1 {
			t.Fatalf("piece %s is formed, given or left out %d times", key, seen[key])
		}
	}
}

func TestRecutOfNothingKnown(t *testing.T) {
	p, j, r := packed(t, examples.Demo, "A")
	if _, err := site.RecutOf(j, r, &p, nil, []string{"gone234gone2"}); err == nil || !strings.Contains(err.Error(), "pack") {
		t.Errorf("a piece that is not there: %v", err)
	}
	if got, err := site.RecutOf(j, r, &p, nil, nil); err != nil || len(got.Given) != 0 || got.Text != "Nothing has to be formed again." {
		t.Errorf("nothing spoiled: %+v, %v", got, err)
	}
}

// TestFoundSizes: the change offered for each size of each wall makes the job say what
// was found, and the finding is closed then.
func TestFoundSizes(t *testing.T) {
	p, j, _ := packed(t, examples.Demo, "A")
	offered := 0
	for _, w := range p.Walls {
		for _, s := range w.Sizes {
			var h hand
			want := measure.FromInches(s.ValueIn) + measure.Inch/2
			h.mark(tally.Measured, w.ID, want.Text(j.Units)+" +/- 1/16 in")
			h.marks[0].Note = s.ID
			f := site.ProgressOf(&p, j, h.seen(), nil, h.at).Sizes[0]
			if !f.Open || f.What != s.What || (f.Patch == nil) == (f.Why == "") {
				t.Fatalf("%s %s: %+v", w.ID, s.ID, f)
			}
			if f.Patch == nil {
				continue
			}
			offered++
			var patch change.Patch
			text, _ := json.Marshal(f.Patch)
			if err := json.Unmarshal(text, &patch); err != nil {
				t.Fatal(err)
			}
			after, err := change.Apply(examples.Demo, patch)
			if err != nil {
				t.Fatalf("%s %s: %v", w.ID, s.ID, err)
			}
			now, _ := job.Parse("job", after.Document, nil)
			if f := site.ProgressOf(&p, &now, h.seen(), nil, h.at).Sizes[0]; f.Open || f.Was != want.Text(j.Units) {
				t.Errorf("%s %s: the job says %s after the change, found was %s", w.ID, s.ID, f.Was, want.Text(j.Units))
			}
		}
	}
	if offered < 40 {
		t.Errorf("a change is offered for %d sizes", offered)
	}
	var h hand
	h.mark(tally.Measured, "south", "about a yard")
	h.mark(tally.Measured, "nowhere", "3 ft")
	for _, f := range site.ProgressOf(&p, j, h.seen(), nil, h.at).Sizes {
		if !f.Open || f.Why == "" || f.Patch != nil {
			t.Errorf("%+v", f)
		}
	}
}
