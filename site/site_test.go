package site_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/big"
	"slices"
	"strings"
	"testing"

	"coilwright/change"
	"coilwright/course"
	"coilwright/examples"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/site"
)

const jobID = "k3jq7zt5bpxw2m4a"

// read is a job from its text.
func read(t testing.TB, text []byte) *job.Job {
	t.Helper()
	j, found := job.Parse("job", text, nil)
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	return &j
}

// packed is a pack of a job's scheme, and the run that it was made of.
func packed(t testing.TB, text []byte, scheme string) (site.Pack, *job.Job, *job.RunResult) {
	t.Helper()
	j := read(t, text)
	r, err := j.RunWithin(scheme, 1)
	if err != nil {
		t.Fatal(err)
	}
	p, err := site.Of(jobID, 3, j, r)
	if err != nil {
		t.Fatal(err)
	}
	return p, j, r
}

// with is the demo job after RFC 6902 operations, written path, value, path, value.
func with(t testing.TB, pairs ...string) []byte {
	t.Helper()
	var p change.Patch
	for i := 0; i < len(pairs); i += 2 {
		op := change.Add
		if change.Get(examples.Demo, pairs[i]) != nil {
			op = change.Replace
		}
		p = append(p, change.Op{Op: op, Path: pairs[i], Value: json.RawMessage(pairs[i+1])})
	}
	out, err := change.Apply(examples.Demo, p)
	if err != nil {
		t.Fatal(err)
	}
	return out.Document
}

var demos = []string{"A", "B"}

// TestNothingIsMissing: every piece of the layout is in the pack once, hangs once in
// its wall's order, and is formed once or left out with a reason.
func TestNothingIsMissing(t *testing.T) {
	for _, scheme := range demos {
		p, _, r := packed(t, examples.Demo, scheme)
		if len(p.Pieces) != len(r.Layout.Pieces) || len(p.Pieces) < 100 {
			t.Fatalf("%s: %d pieces of %d", scheme, len(p.Pieces), len(r.Layout.Pieces))
		}
		hung, formed := map[string]int{}, map[string]int{}
		for _, w := range p.Walls {
			for _, c := range w.Order {
				for _, key := range c.Pieces {
					hung[key]++
				}
			}
		}
		for _, u := range p.Setups {
			for _, reel := range u.Reels {
				for _, key := range reel.Pieces {
					formed[key]++
				}
			}
		}
		for _, l := range p.LeftOut {
			formed[l.Piece]++
		}
		for i := range p.Pieces {
			if q := &p.Pieces[i]; hung[q.Key] != 1 || formed[q.Key] != 1 {
				t.Errorf("%s %s hangs %d times, is formed or left out %d times", scheme, q.ID, hung[q.Key], formed[q.Key])
			}
		}
		for _, b := range p.Bundles {
			if len(b.Pieces) == 0 || len(b.Pieces) > 10 || b.People < 1 {
				t.Errorf("%s: bundle %+v", scheme, b)
			}
		}
	}
}

// TestBottomUp: within a zone the courses of a wall come from below, and a zone never
// before one that it stands on.
func TestBottomUp(t *testing.T) {
	for _, scheme := range demos {
		p, _, _ := packed(t, examples.Demo, scheme)
		for _, w := range p.Walls {
			last := map[string]float64{}
			for _, c := range w.Order {
				if low, seen := last[c.Zone]; seen && c.LineIn < low {
					t.Errorf("%s %s: course %d of %s at %g after %g", scheme, w.ID, c.Course, c.Zone, c.LineIn, low)
				}
				last[c.Zone] = c.LineIn
			}
			for i := 1; i < len(w.Pole); i++ {
				if w.Pole[i].YIn >= w.Pole[i-1].YIn {
					t.Errorf("%s %s: the pole is not read from its top", scheme, w.ID)
				}
			}
		}
		if p.Walls[0].Order[0].Zone == "upper" {
			t.Errorf("%s begins in the gable", scheme)
		}
	}
}

// TestGapsOfEveryDegree: for every whole degree the step that a page picks is the gap
// that the layout's own rule gives, exact, and for half degrees never less.
func TestGapsOfEveryDegree(t *testing.T) {
	for _, text := range [][]byte{examples.Demo, with(t, "/units", `"metric"`), with(t, "/schemes/1/zones/0/start", `"zone"`, "/install_temp_f", "35")} {
		p, j, r := packed(t, text, "B")
		step := j.Units.Step()
		for i, q := range r.Layout.Pieces {
			panel, _ := j.Book.Panel(q.Panel)
			share := big.NewRat(1, 2)
			if panel.Fixed == "top" {
				share = big.NewRat(1, 1)
			}
			for half := int64(2 * p.Gap.LowestF); half <= int64(2*p.Gap.HighestF); half++ {
				want := course.ExpansionGap(j.Book.Gap, q.Raw, big.NewRat(half, 2), share, step).Inches()
				got := picked(t, &p, &p.Pieces[i], float64(half)/2)
				if half%2 == 0 && got != want || got < want {
					t.Fatalf("%s at %g: %g, the rule says %g", q.ID, float64(half)/2, got, want)
				}
			}
			if got := p.Gap.Steps[p.Pieces[i].GapStep].In; got != q.Gaps[0].Inches() && q.Gaps[0] != 0 {
				t.Fatalf("%s was cut for %g, the pack says %g", q.ID, q.Gaps[0].Inches(), got)
			}
		}
	}
}

// picked is what a page does: the first step whose temperature is not above.
func picked(t *testing.T, p *site.Pack, q *site.PackPiece, temp float64) float64 {
	for k, from := range q.GapFromF {
		if temp >= from {
			return p.Gap.Steps[k].In
		}
	}
	t.Fatalf("%s has no gap at %g: %v", q.ID, temp, q.GapFromF)
	return 0
}

// TestGapTable: the wall's printed table never asks for less than a piece does.
func TestGapTable(t *testing.T) {
	p, j, r := packed(t, examples.Demo, "A")
	for w, wall := range p.Walls {
		if n := len(wall.Gaps.Rows); n != 39 || wall.Gaps.Rows[0].TempF != -20 || wall.Gaps.Rows[38].TempF != 170 {
			t.Fatalf("%s: %d rows", wall.ID, n)
		}
		for _, row := range wall.Gaps.Rows {
			for i, q := range r.Layout.Pieces {
				if q.Wall != w {
					continue
				}
				column := int(math.Ceil(q.Raw.Feet()/10)) - 1
				printed, err := measure.ParseLength(row.Gaps[column])
				if err != nil || printed.Inches() < picked(t, &p, &p.Pieces[i], row.TempF) {
					t.Errorf("%s, %s at %g: %s", wall.ID, q.ID, row.TempF, row.Gaps[column])
				}
			}
		}
	}
	if p.Gap.Shorten[1] != (2 * j.Units.Step()).Text(j.Units) {
		t.Errorf("one step more at both ends takes %s", p.Gap.Shorten[1])
	}
}

// TestHangBelow: hung at that temperature a piece stays in its receivers on the
// coldest day, a degree above it does not: the contract's rule in fractions.
func TestHangBelow(t *testing.T) {
	text := with(t, "/shop/receivers", `{"outside-corner": {"pocket": "1/2 in", "cover": "13/16 in"}}`)
	p, j, r := packed(t, text, "A")
	limited := 0
	for i, q := range r.Layout.Pieces {
		b := p.Pieces[i].HangBelowF
		if b == nil {
			continue
		}
		limited++
		stays := func(at float64) bool {
			for _, e := range q.Ends {
				if e.Side != course.LeftEnd && e.Side != course.RightEnd {
					continue
				}
				draw := float64(q.Raw) * 6.5e-6 * (at + 20) / 2 * math.Sin(e.Angle*math.Pi/180)
				if float64(e.Pocket+e.Gap)+draw > float64(e.Cover) {
					return false
				}
			}
			return true
		}
		if !stays(*b) || stays(*b+1) {
			t.Errorf("%s: below %g", q.ID, *b)
		}
	}
	if limited == 0 || j.Book.Receivers["outside-corner"].Cover != 13*measure.Sixteenth {
		t.Errorf("%d pieces have a limit", limited)
	}
}

// TestWeights: the strip's own weight by hand: 0.2836 lb a cubic inch, 0.019 in thick,
// 14 in wide: 0.9052 lb a foot (checked like 1.03457 lb a foot of a 16 in strip).
func TestWeights(t *testing.T) {
	p, _, _ := packed(t, examples.Demo, "A")
	for _, q := range p.Pieces {
		if q.Panel != "dutch-double-5" {
			continue
		}
		want := 0.2836 * 0.019 * 14 * q.LengthIn
		if math.Abs(q.WeightLb-want) > 0.0501 {
			t.Errorf("%s weighs %g, want %g", q.ID, q.WeightLb, want)
		}
		if n := int(math.Ceil(q.WeightLb / 34)); q.People < n || q.LengthIn > 120 && q.People < 2 || q.LengthIn <= 120 && n == 1 && q.People != 1 {
			t.Errorf("%s of %s and %g lb: %d people", q.ID, q.Length, q.WeightLb, q.People)
		}
	}
}

// TestKeysStay: a change on one wall leaves every other wall's keys, and a piece's key
// goes with its cut and its place, whatever its name becomes.
func TestKeysStay(t *testing.T) {
	was, _, _ := packed(t, examples.Demo, "A")
	keys := func(p site.Pack, wall string) []string {
		var out []string
		for _, q := range p.Pieces {
			if q.Wall == wall {
				out = append(out, q.Key)
			}
		}
		slices.Sort(out)
		return out
	}
	for _, c := range []struct {
		name, path, value string
		touches           []string
	}{
		{"nothing", "/title", `"Other"`, nil},
		{"a scheme's name", "/schemes/0/title", `"Other"`, nil},
		{"a wider window", "/house/walls/0/openings/0/size/0", `"45 in"`, []string{"south"}},
		{"another day", "/install_temp_f", "20", []string{"south", "east", "north", "west"}},
	} {
		now, _, _ := packed(t, with(t, c.path, c.value), "A")
		for _, w := range was.Walls {
			if same := slices.Equal(keys(was, w.ID), keys(now, w.ID)); same == slices.Contains(c.touches, w.ID) {
				t.Errorf("%s: the keys of %s stay: %t", c.name, w.ID, same)
			}
		}
	}
	all := map[string]bool{}
	for _, q := range was.Pieces {
		all[q.Key] = true
		if len(q.Key) != 12 || strings.Trim(q.Key, "abcdefghijklmnopqrstuvwxyz234567") != "" {
			t.Errorf("%s has the key %q", q.ID, q.Key)
		}
	}
	if len(all) != len(was.Pieces) {
		t.Errorf("%d keys for %d pieces", len(all), len(was.Pieces))
	}
}

// TestWindInputs: what is missing is asked for; then every number follows the worked
// case of ASCE 7-16 at 115 mph, exposure B, 30 ft, 10 sq ft: zone 4 -25.78, zone 5
// -31.83 lb/sq ft strength, -15.47 and -19.10 allowable.
func TestWindInputs(t *testing.T) {
	p, _, _ := packed(t, examples.Demo, "A")
	if p.Wind.Known || len(p.Wind.Asks) != 4 || len(p.Wind.Pulls) != 0 || !strings.Contains(p.Wind.Text, "code official") {
		t.Errorf("nothing is stated: %+v", p.Wind)
	}
	p, _, _ = packed(t, with(t, "/house/site", `{"edition": "7-16", "wind_mph": 115, "exposure": "B", "mean_roof_height": "30'"}`), "A")
	w := p.Wind
	if !w.Known || len(w.Asks) != 0 || len(w.Inputs) < 10 {
		t.Fatalf("all is stated: %+v", w)
	}
	for i, want := range [][3]float64{{-25.8, -15.5, 23.8}, {-31.8, -19.1, 23.8}} {
		for k, got := range [3]float64{w.Pulls[i].StrengthPSF, w.Pulls[i].AllowablePSF, w.Pulls[i].PushPSF} {
			if math.Abs(got-want[k]) > 0.1 { // the case takes Kh as printed, 0.70; its formula gives 0.7006
				t.Errorf("%s: %g, want %g", w.Pulls[i].Zone, got, want[k])
			}
		}
	}
	for _, n := range w.Nailing {
		// NDS 12.2-3: 1380 x 0.42^2.5 x 0.12 x 1.25 = 23.66 lb, times 1.6 for wind = 37.9
		if n.HoldsLb != 37.9 || n.Apart != `1' 4"` {
			t.Errorf("%+v", n)
		}
		if cover := map[string]float64{"dutch-double-5": 10, "lap-double-4": 8}[n.Panel]; cover > 0 && n.Zone == "field" && math.Abs(n.PulledLb-15.47*cover/12*16/12) > 0.1 {
			t.Errorf("%+v: want %g", n, 15.47*cover/12*16/12)
		}
		if !n.OK || !strings.Contains(n.Text, "decide") {
			t.Errorf("%+v", n)
		}
	}
	unrated, _, _ := packed(t, with(t, "/house/site", `{"edition": "7-16", "wind_mph": 150, "exposure": "D", "mean_roof_height": "30'"}`), "A")
	if slices.ContainsFunc(unrated.Wind.Nailing, func(n site.PackNailing) bool { return n.OK && n.Zone == "edge" }) {
		t.Error("150 mph at a shore holds by one nail to a stud")
	}
}

// TestRelay: a wider window changes its own wall, some pieces of it, and says what.
func TestRelay(t *testing.T) {
	was, _, _ := packed(t, examples.Demo, "A")
	now, _, _ := packed(t, with(t, "/house/walls/0/openings/0/size/0", `"45 in"`), "A")
	d := site.Differ(&was, &now, nil)
	if !slices.Equal(d.Walls, []string{"south"}) || len(d.Changed) < 5 || d.Same+len(d.Changed)+len(d.Gone) != len(was.Pieces) || d.Same+len(d.Changed)+len(d.Added) != len(now.Pieces) {
		t.Errorf("walls %v, %d same, %d changed, %d gone, %d added", d.Walls, d.Same, len(d.Changed), len(d.Gone), len(d.Added))
	}
	for _, c := range d.Changed {
		if c.Formed || c.Was.ID != c.Now.ID || len(c.What) == 0 {
			t.Errorf("%s -> %s: %v", c.Was.ID, c.Now.ID, c.What)
		}
	}
	if same := site.Differ(&was, &was, nil); same.Same != len(was.Pieces) || len(same.Changed)+len(same.Gone)+len(same.Added)+len(same.Renamed)+len(same.Walls) != 0 {
		t.Errorf("nothing changed: %+v", same)
	}
}

// TestMirrored: the house mirrored has the same pieces: lengths, weights, people and
// gaps, as often.
func TestMirrored(t *testing.T) {
	p, _, _ := packed(t, examples.Demo, "A")
	var d map[string]any
	if err := json.Unmarshal(examples.Demo, &d); err != nil {
		t.Fatal(err)
	}
	m, _, _ := packed(t, mirrored(t, d), "A")
	count := func(p site.Pack) map[string]int {
		out := map[string]int{}
		for _, q := range p.Pieces {
			out[fmt.Sprint(q.Length, q.WeightLb, q.People, q.GapFromF, len(q.Notches), q.Ends[0].Cut == q.Ends[1].Cut)]++
		}
		return out
	}
	if !maps.Equal(count(p), count(m)) {
		t.Error("the mirrored house has other pieces")
	}
}

// mirrored turns every wall of a job around its own middle line.
func mirrored(t *testing.T, d map[string]any) []byte {
	t.Helper()
	j := read(t, examples.Demo)
	for i, w := range d["house"].(map[string]any)["walls"].([]any) {
		wall, box := w.(map[string]any), j.House.Walls[i].Outline.Box()
		turned := func(x measure.Length) float64 { return (box.Min.X + box.Max.X - x).Inches() }
		outline, n := j.House.Walls[i].Outline, len(j.House.Walls[i].Outline)
		var ring, edges []any
		for k := range outline {
			q := outline[n-1-k]
			ring = append(ring, []any{turned(q.X), q.Y.Inches()})
			edges = append(edges, string(j.House.Walls[i].Edges[(2*n-2-k)%n]))
		}
		wall["outline"], wall["edges"] = ring, edges
		for k, o := range j.House.Walls[i].Openings {
			b := o.Outline.Box()
			opening := wall["openings"].([]any)[k].(map[string]any)
			opening["at"] = []any{turned(b.Max.X), b.Min.Y.Inches()}
			opening["size"] = []any{b.Width().Inches(), b.Height().Inches()}
			delete(opening, "outline")
		}
	}
	house := d["house"].(map[string]any)
	delete(house, "corners")
	delete(house, "photos")
	delete(house, "readings")
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// TestBundleLabels: bundles and what stands alone hold every piece that is cut once.
func TestBundleLabels(t *testing.T) {
	p, _, _ := packed(t, examples.Demo, "B")
	cut, bundled := 0, 0
	for _, q := range p.Pieces {
		if q.Setup != "" {
			cut++
		}
	}
	for _, b := range p.Bundles {
		if b.Count < 2 || b.Count != len(b.Pieces) || b.People < 1 {
			t.Errorf("%+v", b)
		}
		bundled += b.Count
	}
	if n := len(p.Labels(true, "", "")); n != len(p.Bundles)+cut-bundled || len(p.Bundles) < 5 {
		t.Errorf("%d labels for %d bundles and %d pieces alone", n, len(p.Bundles), cut-bundled)
	}
	if n := len(p.Labels(false, "", "")); n != cut {
		t.Errorf("%d labels for %d pieces", n, cut)
	}
}

// TestCoilsAreCalled: a coil of the stock by what is written on it, one to buy by its
// colour and length, as the book and the job's units have them; so are labels and plans.
func TestCoilsAreCalled(t *testing.T) {
	p, j, r := packed(t, examples.Demo, "A")
	named := map[string]bool{}
	for _, c := range p.Coils {
		named[c.Name] = true
		if c.Bought == (c.Name == c.ID) {
			t.Errorf("%s is called %q", c.ID, c.Name)
		}
	}
	if !named["C-104"] || !named["new Slate coil, 1000 ft"] || len(named) != len(p.Coils) {
		t.Errorf("%v", named)
	}
	lines := ""
	for _, l := range append(p.CoilLabels(), p.Labels(false, "", "")...) {
		lines += strings.Join(l.Lines, "|") + "\n"
	}
	if strings.Contains(lines, "new-") || strings.Contains(lines, "dutch-double") || !strings.Contains(lines, "new Slate coil|1000 ft|lot not known yet") {
		t.Errorf("labels:\n%.900s", lines)
	}
	got, err := site.RecutOf(j, r, &p, nil, []string{p.Setups[0].Reels[0].Pieces[0]})
	if err != nil || len(got.Given) == 0 || strings.Contains(got.Given[0].Text, "new-") {
		t.Errorf("%v %+v", err, got.Given)
	}
}
