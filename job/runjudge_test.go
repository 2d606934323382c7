package job

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"coilwright/coil"
	"coilwright/examples"
)

// The judge of a run knows the answers' JSON, the job's corners and the machine's
// three figures, and nothing of how the plan was made.

type judgedRun struct {
	Setups []struct {
		Panel, Texture, Colour string
		Pieces                 []string
	}
	Coils []struct {
		ID, Lot, Colour string
		Bought          bool
		Length          float64  `json:"length_ft"`
		Used            float64  `json:"used_ft"`
		Tail            float64  `json:"tail_ft"`
		PlusMinus       float64  `json:"plus_minus_ft"`
		Width           float64  `json:"width_in"`
		InDoubt         []string `json:"in_doubt"`
		Spare           string
		Pieces          []string
	}
	Buy []struct {
		Colour string
		Length float64 `json:"length_ft"`
		Count  int
		Price  float64
	}
	Bound struct {
		Coils   int
		Price   float64
		Optimal bool
	}
	Aims []struct {
		Colour, Lot     string
		Width           float64 `json:"width_in"`
		Reels, Farthest int
		ReelsBound      int     `json:"reels_bound"`
		Tail            float64 `json:"tail_ft"`
		TailBound       float64 `json:"tail_bound_ft"`
	}
	Lots struct {
		Kept  string
		Mixed []struct {
			Colour      string
			Walls, Lots []string
		}
	}
	LeftOut []struct{ Piece, Why string } `json:"left_out"`
}

type judgedPiece struct {
	ID, Wall, Panel, Texture, Colour string
	Length                           float64 `json:"length_in"`
}

type judgedHouse struct {
	House struct {
		Corners []struct{ Between []string }
	}
}

// machineFt is what the machine loses, and the stock's coils, in feet.
type machineFt struct {
	scrap, loss, reserve float64
	stock                map[string]float64
}

const runTolerance = 1e-6 // ft: answers are decimal feet of whole nanometres

func judgeRun(house judgedHouse, pieces []judgedPiece, run judgedRun, m machineFt) error {
	by, turn := map[string]judgedPiece{}, map[string]int{}
	for i, p := range pieces {
		by[p.ID], turn[p.ID] = p, i
	}
	for _, check := range []func() error{
		func() error { return everyPieceOnce(pieces, run) },
		func() error { return coilsHold(by, run, m) },
		func() error { return setupsHold(by, run) },
		func() error { return orderHolds(by, turn, run) },
		func() error { return lotsHold(house, by, run) },
		func() error { return purchaseHolds(run) },
	} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

func everyPieceOnce(pieces []judgedPiece, run judgedRun) error {
	cut, formed := map[string]int{}, map[string]int{}
	for _, c := range run.Coils {
		for _, id := range c.Pieces {
			cut[id]++
		}
	}
	for _, s := range run.Setups {
		for _, id := range s.Pieces {
			formed[id]++
		}
	}
	for _, l := range run.LeftOut {
		cut[l.Piece]++
		formed[l.Piece]++
	}
	for _, p := range pieces {
		if cut[p.ID] != 1 || formed[p.ID] != 1 {
			return fmt.Errorf("%s is cut %d times and formed %d times", p.ID, cut[p.ID], formed[p.ID])
		}
	}
	if len(cut) != len(pieces) {
		return fmt.Errorf("%d pieces in the run, %d in the layout", len(cut), len(pieces))
	}
	return nil
}

func coilsHold(by map[string]judgedPiece, run judgedRun, m machineFt) error {
	tail := map[string]float64{}
	for id, length := range m.stock { // unused, it is threaded first
		tail[id] = length - m.scrap
	}
	for _, c := range run.Coils {
		tail[c.ID] = c.Tail
	}
	for _, c := range run.Coils {
		used, seen := 0.0, map[string]bool{}
		var doubt []string
		for _, id := range c.Pieces {
			p := by[id]
			used += p.Length/12 + m.loss
			if set := p.Panel + "/" + p.Texture; !seen[set] {
				seen[set] = true
				used += m.scrap
			}
			if p.Colour != c.Colour {
				return fmt.Errorf("%s, %s, is cut from %s coil %s", id, p.Colour, c.Colour, c.ID)
			}
			if c.PlusMinus > 0 && used > c.Length-c.PlusMinus-m.reserve+runTolerance {
				doubt = append(doubt, id)
			}
		}
		switch last := by[c.Pieces[len(c.Pieces)-1]]; {
		case math.Abs(used-c.Used) > runTolerance || math.Abs(c.Used+c.Tail-c.Length) > runTolerance || c.Tail < m.reserve-runTolerance:
			return fmt.Errorf("coil %s: %v ft used, says %v, tail %v of %v", c.ID, used, c.Used, c.Tail, c.Length)
		case !slices.Equal(doubt, c.InDoubt):
			return fmt.Errorf("coil %s: %v hang on its length, says %v", c.ID, doubt, c.InDoubt)
		case c.Spare != "" && (c.Spare == c.ID || tail[c.Spare]-m.reserve < last.Length/12+m.loss-runTolerance):
			return fmt.Errorf("coil %s: %s cannot give its last piece", c.ID, c.Spare)
		}
	}
	return nil
}

// setupsHold: a set-up's pieces are of one panel and texture, and stand in the order of the coils.
func setupsHold(by map[string]judgedPiece, run judgedRun) error {
	for _, s := range run.Setups {
		var want []string
		for _, c := range run.Coils {
			for _, id := range c.Pieces {
				if slices.Contains(s.Pieces, id) {
					want = append(want, id)
				}
			}
		}
		if !slices.Equal(want, s.Pieces) {
			return fmt.Errorf("set-up %s %s: not in the order of the coils", s.Panel, s.Colour)
		}
		for _, id := range s.Pieces {
			if p := by[id]; p.Panel != s.Panel || p.Texture != s.Texture || p.Colour != s.Colour {
				return fmt.Errorf("%s is formed as %s %s", id, s.Panel, s.Texture)
			}
		}
	}
	return nil
}

// orderHolds: within a set-up and lot no piece is farther from its turn than the
// answer says, and reels and tails are what it says.
func orderHolds(by map[string]judgedPiece, turn map[string]int, run judgedRun) error {
	for _, a := range run.Aims {
		cut := map[string][]string{}
		reels, tail := 0, 0.0
		for _, c := range run.Coils {
			if c.Colour != a.Colour || c.Width != a.Width || c.Lot != a.Lot && a.Lot+run.Lots.Kept != coil.LotsMixed {
				continue
			}
			reels++
			tail = max(tail, c.Tail)
			for _, id := range c.Pieces {
				set := by[id].Panel + by[id].Texture
				cut[set] = append(cut[set], id)
			}
		}
		far := 0
		for _, ids := range cut {
			hung := slices.Clone(ids)
			slices.SortFunc(hung, func(a, b string) int { return turn[a] - turn[b] })
			for i, id := range ids {
				j := slices.Index(hung, id)
				far = max(far, i-j, j-i)
			}
		}
		if far != a.Farthest || reels != a.Reels || math.Abs(tail-a.Tail) > runTolerance || a.ReelsBound > reels || a.TailBound < tail-runTolerance {
			return fmt.Errorf("%s of lot %q: %d reels, tail %v, farthest %d; says %+v", a.Colour, a.Lot, reels, tail, far, a)
		}
	}
	return nil
}

// lotsHold: where two lots of a colour stand on one wall, or on two that meet, the answer says so.
func lotsHold(house judgedHouse, by map[string]judgedPiece, run judgedRun) error {
	type place struct{ colour, wall string }
	lots := map[place]map[string]bool{}
	for _, c := range run.Coils {
		lot := c.Lot
		if c.Bought {
			lot = "to buy"
		}
		for _, id := range c.Pieces {
			at := place{c.Colour, by[id].Wall}
			if lots[at] == nil {
				lots[at] = map[string]bool{}
			}
			lots[at][lot] = true
		}
	}
	said := func(colour string, walls ...string) bool {
		for _, m := range run.Lots.Mixed {
			all := m.Colour == colour
			for _, w := range walls {
				all = all && slices.Contains(m.Walls, w)
			}
			if all {
				return true
			}
		}
		return false
	}
	for at, on := range lots {
		if len(on) > 1 && !said(at.colour, at.wall) {
			return fmt.Errorf("%s on %s: lots %v, and the plan does not say so", at.colour, at.wall, on)
		}
		for _, c := range house.House.Corners {
			a, _, _ := strings.Cut(c.Between[0], ".right")
			b, _, _ := strings.Cut(c.Between[1], ".left")
			other := lots[place{at.colour, b}]
			if at.wall != a || len(other) == 0 {
				continue
			}
			both := map[string]bool{}
			for l := range on {
				both[l] = true
			}
			for l := range other {
				both[l] = true
			}
			if len(both) > 1 && !said(at.colour, a, b) {
				return fmt.Errorf("%s on %s and %s, which meet: lots %v, and the plan does not say so", at.colour, a, b, both)
			}
		}
	}
	return nil
}

func purchaseHolds(run judgedRun) error {
	coils, price, threaded := 0, 0.0, 0
	for _, b := range run.Buy {
		coils += b.Count
		price += b.Price
	}
	for _, c := range run.Coils {
		if c.Bought {
			threaded++
		}
	}
	if threaded > coils || price < run.Bound.Price-1e-6 || run.Bound.Optimal && (math.Abs(price-run.Bound.Price) > 1e-6 || coils != run.Bound.Coils) {
		return fmt.Errorf("%d bought for %v, %d threaded, bound %+v", coils, price, threaded, run.Bound)
	}
	return nil
}

// runOf works out a job's text and gives what the judge reads.
func runOf(t *testing.T, name string, text []byte, scheme string) (judgedHouse, []judgedPiece, judgedRun, machineFt) {
	t.Helper()
	j, found := Parse(name, text, nil)
	if found.Fatal() {
		t.Fatal(found)
	}
	r, err := j.RunWithin(scheme, coil.Quick)
	if err != nil {
		t.Fatal(err)
	}
	var house judgedHouse
	var run judgedRun
	var layout struct{ Pieces []judgedPiece }
	for _, x := range []struct {
		from any
		to   any
	}{{json.RawMessage(text), &house}, {j.RunAnswer(r, slitting(t, &j, r)), &run}, {j.LayoutAnswer(r.Layout), &layout}} {
		data, err := json.Marshal(x.from)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(data, x.to); err != nil {
			t.Fatal(err)
		}
	}
	m := j.Book.Machine
	stock := map[string]float64{}
	for _, c := range j.Book.Coils {
		stock[c.ID] = c.Length.Feet()
	}
	return house, layout.Pieces, run, machineFt{m.ThreadingScrap.Feet(), m.CutLoss.Feet(), m.Reserve.Feet(), stock}
}

func TestRunsOfExamplesHold(t *testing.T) {
	all, err := fs.Glob(examples.Files, "*.json")
	if err != nil || len(all) == 0 {
		t.Fatal(err)
	}
	for _, name := range all {
		text, err := examples.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range []string{"A", "B"} {
			if err := judgeRun(runOf(t, name, text, s)); err != nil {
				t.Errorf("%s, scheme %s: %v", name, s, err)
			}
		}
	}
}

// The demo house on stocks drawn at random: any lengths, some lots the same, some not stated.
func TestRunsOnRandomStockHold(t *testing.T) {
	kept, optimal := map[string]int{}, 0
	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 41))
		var job map[string]any
		if err := json.Unmarshal(examples.Demo, &job); err != nil {
			t.Fatal(err)
		}
		coils := []any{}
		for i := range r.IntN(9) {
			c := map[string]any{"id": fmt.Sprint("K", i), "lot": []string{"L1", "L2", "L3", ""}[r.IntN(4)], "colour": []string{"slate", "bone"}[r.IntN(2)],
				"thickness": "0.019 in", "width": []string{"14 in", "12 in", "14 in"}[r.IntN(3)], "length": fmt.Sprintf("%d ft", 60+r.IntN(700))}
			if r.IntN(2) == 0 {
				c["plus_minus"] = fmt.Sprintf("%d ft", r.IntN(20))
			}
			coils = append(coils, c)
		}
		shop := map[string]any{"use": "demo", "coils": coils, "machine": map[string]any{"reserve": []string{"0", "3 ft"}[r.IntN(2)], "threading_scrap": []string{"0", "6 ft"}[r.IntN(2)]}}
		if r.IntN(4) == 0 {
			shop["mill"] = []any{}
		}
		job["shop"] = shop
		text, err := json.Marshal(job)
		if err != nil {
			t.Fatal(err)
		}
		house, pieces, run, m := runOf(t, "random.json", text, []string{"A", "B"}[r.IntN(2)])
		if err := judgeRun(house, pieces, run, m); err != nil {
			t.Errorf("seed %d: %v\n%s", seed, err, text)
		}
		kept[run.Lots.Kept]++
		if run.Bound.Optimal {
			optimal++
		}
	}
	t.Log(kept, optimal, "proven")
}

// The judge itself: a plan that is bent in any of these ways is refused.
func TestJudgeOfRunsIsStrict(t *testing.T) {
	house, pieces, good, m := runOf(t, "alder.json", examples.Demo, "A")
	bend := map[string]func(r *judgedRun){
		"a piece left away":     func(r *judgedRun) { r.Coils[0].Pieces = r.Coils[0].Pieces[1:] },
		"a coil too short":      func(r *judgedRun) { r.Coils[0].Length -= 20; r.Coils[0].Tail -= 20 },
		"an order of its own":   func(r *judgedRun) { slices.Reverse(r.Setups[0].Pieces) },
		"a lot mixed in":        func(r *judgedRun) { r.Coils[0].Bought = false; r.Coils[0].Lot = "X" },
		"a purchase forgotten":  func(r *judgedRun) { r.Buy = nil },
		"a nearer order stated": func(r *judgedRun) { r.Aims[0].Farthest = 0 },
	}
	for name, f := range bend {
		bad := copyRun(good)
		f(&bad)
		if judgeRun(house, pieces, bad, m) == nil {
			t.Errorf("%s: passes", name)
		}
	}
}

func copyRun(r judgedRun) judgedRun {
	out := r
	out.Coils, out.Setups, out.Aims = slices.Clone(r.Coils), slices.Clone(r.Setups), slices.Clone(r.Aims)
	for i := range out.Coils {
		out.Coils[i].Pieces = slices.Clone(r.Coils[i].Pieces)
	}
	for i := range out.Setups {
		out.Setups[i].Pieces = slices.Clone(r.Setups[i].Pieces)
	}
	return out
}
