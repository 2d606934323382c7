package coil

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"coilwright/measure"
	"coilwright/steel"
)

// A piece that comes to a reel is cut with those of its set-up, after the last of them; one
// of another set-up comes last.
func TestInsertAmongItsSetup(t *testing.T) {
	a, b, c := Setup{Panel: "a"}, Setup{Panel: "b"}, Setup{Panel: "c"}
	list := []Cut{{ID: "1", Setup: a}, {ID: "2", Setup: a}, {ID: "3", Setup: b}}
	for setup, want := range map[Setup]string{a: "12x3", b: "123x", c: "123x"} {
		got := ""
		for _, k := range (&yard{}).insert(list, Cut{ID: "x", Setup: setup}) {
			got += k.ID
		}
		if got != want {
			t.Errorf("a piece of %s: %s, want %s", setup.Panel, got, want)
		}
	}
}

// verifyRemedy re-checks a remedy on the plan's and its own figures: what is not
// formed, and what is spoiled, is cut once; no reel gives more than it has; every
// piece that changed its reel is named; coils bought are named.
func verifyRemedy(t *testing.T, in Input, p Plan, s Spoiled, r Remedy) {
	t.Helper()
	by, m := map[string]Cut{}, in.Book.Machine
	for _, c := range in.Cuts {
		by[c.ID] = c
	}
	formed := formedBefore(p, s)
	was := map[string]string{}
	length := map[string]measure.Length{}
	gone := map[string]measure.Length{}
	for _, c := range in.Book.Coils {
		length[c.ID] = c.Length
	}
	for _, reel := range p.Reels {
		length[reel.ID] = reel.Length
		seen := map[Setup]bool{}
		for _, id := range reel.Pieces {
			was[id] = reel.ID
			if formed[id] {
				gone[reel.ID] += by[id].Length + m.CutLoss
				if !seen[by[id].Setup] {
					gone[reel.ID] += m.ThreadingScrap
				}
				seen[by[id].Setup] = true
			}
		}
	}
	want := map[string]int{}
	for _, c := range in.Cuts {
		if was[c.ID] != "" && !formed[c.ID] {
			want[c.ID] = 1
		}
	}
	for _, id := range s.Pieces {
		want[id]++
	}
	for _, l := range r.LeftOut {
		want[l.ID]--
	}
	moved := map[string]string{}
	for _, x := range r.Moved {
		moved[x.Piece] = x.To
	}
	for _, g := range r.Given {
		moved[g.Piece] = g.Coil
	}
	bought := 0
	for _, reel := range r.Rest {
		used, seen := gone[reel.ID], map[Setup]bool{}
		for _, id := range reel.ToCut {
			want[id]--
			if used += by[id].Length + m.CutLoss; !seen[by[id].Setup] && !onMachine(p, s, reel.ID, by[id].Setup, by) {
				used += m.ThreadingScrap
			}
			seen[by[id].Setup] = true
			if to, ok := moved[id]; ok && to != reel.ID || !ok && was[id] != reel.ID {
				t.Errorf("%s: on %s before, %s now, said to be on %q", id, was[id], reel.ID, to)
			}
		}
		if length[reel.ID] == 0 {
			bought++
			length[reel.ID] = reel.Used + reel.Tail
		}
		if used != reel.Used || reel.Used+reel.Tail != length[reel.ID] || reel.Tail < m.Reserve {
			t.Errorf("%s: used %v, says %v, tail %v of %v", reel.ID, used, reel.Used, reel.Tail, length[reel.ID])
		}
	}
	for id, n := range want {
		if n != 0 {
			t.Errorf("%s is %d times short", id, n)
		}
	}
	coils := 0
	for _, b := range r.Buy {
		coils += b.Count
	}
	if coils < bought {
		t.Errorf("%d coils appear, %d are bought", bought, coils)
	}
}

func formedBefore(p Plan, s Spoiled) map[string]bool {
	var order []string
	for _, r := range p.Runs {
		order = append(order, r.Pieces...)
	}
	last := slices.Index(order, s.Formed)
	for _, id := range s.Pieces {
		last = max(last, slices.Index(order, id))
	}
	formed := map[string]bool{}
	for _, id := range order[:last+1] {
		formed[id] = true
	}
	return formed
}

// onMachine tells whether the last piece formed came from that reel in that set-up.
func onMachine(p Plan, s Spoiled, reel string, set Setup, by map[string]Cut) bool {
	formed := formedBefore(p, s)
	last := ""
	for _, r := range p.Runs {
		for _, id := range r.Pieces {
			if formed[id] {
				last = id
			}
		}
	}
	i := slices.IndexFunc(p.Reels, func(r Reel) bool { return slices.Contains(r.Pieces, last) })
	return p.Reels[i].ID == reel && by[last].Setup == set
}

func TestRecutByHand(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{stock("c1", 100), stock("c2", 60)}}
	cuts := []Cut{piece("a", 60, "w"), piece("b", 40, "w"), piece("c", 30, "w"), piece("d", 20, "w")}
	in := Input{Cuts: cuts, Book: b}
	p := Make(in)
	verify(t, cuts, b, p)
	// 150 of 160 ft are spoken for: 100 and 50, tail 10. A piece of 20 ft fits nowhere.
	for _, c := range []struct {
		spoil, name string
		coils       []steel.Coil
		mill        []steel.Mill
		how         string
		moved       int
	}{
		{"d", "nothing can give it", nil, nil, "", 0},
		{"d", "an unused coil gives it", []steel.Coil{stock("c3", 25)}, nil, FromStock, 0},
		{"d", "it is bought", nil, []steel.Mill{mill(500, 700)}, ByBuying, 0},
	} {
		in := Input{Cuts: cuts, Book: &steel.Book{Coils: append(slices.Clone(b.Coils), c.coils...), Mill: c.mill}}
		r, err := Recut(in, p, Spoiled{Pieces: []string{c.spoil}})
		if err != nil {
			t.Fatal(err)
		}
		verifyRemedy(t, in, p, Spoiled{Pieces: []string{c.spoil}}, r)
		how := ""
		if len(r.Given) == 1 {
			how = r.Given[0].How
		}
		if how != c.how || len(r.Moved) != c.moved || (len(r.LeftOut) > 0) != (c.how == "") || (len(r.Buy) > 0) != (c.how == ByBuying) {
			t.Errorf("%s: %+v", c.name, r)
		}
	}
}

// The tail of one coil takes a piece of another, which then gives the spoiled one.
func TestRecutMovesOnePiece(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{stock("c1", 100), stock("c2", 60)}}
	cuts := []Cut{piece("a", 30, "w"), piece("b", 45, "w"), piece("c", 20, "w"), piece("d", 45, "w")}
	p := Plan{
		Runs:  []Run{{Setup: slate, Pieces: []string{"a", "b", "c", "d"}}},
		Reels: []Reel{{ID: "c1", Length: 100 * ft, Colour: "slate", Pieces: []string{"a", "b", "c"}, Used: 95 * ft}, {ID: "c2", Length: 70 * ft, Colour: "slate", Pieces: []string{"d"}}},
	}
	for i := range p.Reels {
		p.Reels[i].Thickness, p.Reels[i].Width = slate.Thickness, slate.Width
	}
	b.Coils[1].Length = 70 * ft
	in := Input{Cuts: append(cuts, piece("e", 22, "w")), Book: b}
	p.Runs[0].Pieces = []string{"e", "a", "b", "c", "d"}
	p.Reels[0].Pieces, p.Reels[0].Length, in.Book.Coils[0].Length = []string{"e", "a", "b", "c"}, 120*ft, 120*ft
	// e (22) is spoiled; c1 has 3 ft left, c2 25 ft: c2's tail gives it.
	s := Spoiled{Pieces: []string{"e"}}
	r, err := Recut(in, p, s)
	if err != nil || len(r.Moved) != 0 || r.Given[0].Coil != "c2" || r.Given[0].How != FromTail || !r.Given[0].Thread == false {
		t.Errorf("%+v, %v", r, err)
	}
	verifyRemedy(t, in, p, s, r)
	// a (30) is spoiled: no tail gives 30 ft, but c (20) may go to c2 only if c1 then holds 30: 3+20 < 30. b (45) does not fit c2's 25.
	// The whole that is left, 30+45+20+45, does not fit 68+70 either way: nothing gives it.
	s = Spoiled{Pieces: []string{"a"}}
	if r, err = Recut(in, p, s); err != nil || len(r.LeftOut) != 1 {
		t.Errorf("%+v, %v", r, err)
	}
	// With 10 ft more on c1, c goes to c2 and c1 gives a again.
	p.Reels[0].Length, in.Book.Coils[0].Length = 130*ft, 130*ft
	if r, err = Recut(in, p, s); err != nil || len(r.Moved) != 1 || r.Moved[0] != (Moved{"c", "c1", "c2"}) || r.Given[0].How != ByMoving || r.Given[0].Coil != "c1" {
		t.Errorf("%+v, %v", r, err)
	}
	verifyRemedy(t, in, p, s, r)
}

func TestRecutRefuses(t *testing.T) {
	b := &steel.Book{Coils: []steel.Coil{stock("c1", 100)}}
	in := Input{Cuts: []Cut{piece("a", 10, "w"), piece("b", 20, "w")}, Book: b}
	p := Make(in)
	for _, s := range []Spoiled{{Pieces: []string{"x"}}, {Pieces: []string{"a", "a"}}, {Pieces: []string{"b"}, Formed: "a"}, {Pieces: []string{"a"}, Formed: "x"}} {
		_, err := Recut(in, p, s)
		if e := (*SpoiledError)(nil); !errors.As(err, &e) {
			t.Errorf("%+v: %v", s, err)
		}
	}
}

// On random houses every remedy holds, and none buys where the stock could give all that is left.
func TestRandomRemediesHold(t *testing.T) {
	hows := map[string]int{}
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 8))
		b := &steel.Book{Machine: steel.Machine{ThreadingScrap: measure.Length(r.IntN(3)) * 3 * ft, CutLoss: measure.Sixteenth, Reserve: measure.Length(r.IntN(2)) * ft}}
		for i := range 1 + r.IntN(5) {
			b.Coils = append(b.Coils, lot(fmt.Sprint("c", i), []string{"A", "A", "B", ""}[r.IntN(4)], 50+r.IntN(400)))
		}
		if r.IntN(3) > 0 {
			b.Mill = []steel.Mill{mill(300, 450), mill(500, 700)}
		}
		in := Input{Book: b, Steps: Quick}
		for i := range 2 + r.IntN(60) {
			s := slate
			if r.IntN(4) == 0 {
				s.Texture = "smooth"
			}
			in.Cuts = append(in.Cuts, Cut{fmt.Sprint("p", i), measure.Length(16+r.IntN(640)) * ft / 16, s, []string{"n", "e", "s"}[r.IntN(3)]})
		}
		p := Make(in)
		if len(p.Reels) == 0 {
			continue
		}
		var order []string
		for _, run := range p.Runs {
			order = append(order, run.Pieces...)
		}
		at := r.IntN(len(order))
		s := Spoiled{Pieces: []string{order[at]}}
		if at > 0 && r.IntN(2) == 0 {
			s.Pieces = append(s.Pieces, order[r.IntN(at)])
		}
		if r.IntN(2) == 0 {
			s.Formed = order[at+r.IntN(len(order)-at)]
		}
		rem, err := Recut(in, p, s)
		if err != nil {
			t.Fatal(seed, err)
		}
		verifyRemedy(t, in, p, s, rem)
		for _, g := range rem.Given {
			hows[g.How]++
		}
		hows["left out"] += len(rem.LeftOut)
		if t.Failed() {
			t.Fatalf("seed %d: %+v\n%+v", seed, s, rem)
		}
	}
	t.Log(hows)
}
