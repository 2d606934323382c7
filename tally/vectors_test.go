package tally

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
)

var update = flag.Bool("update", false, "write testdata/merge.json anew")

// vector is one set of marks and the state that every program which merges marks must
// come to. Marks stand for themselves by their ids.
type vector struct {
	Name   string      `json:"name"`
	Pieces []string    `json:"pieces"`
	Marks  []Mark      `json:"marks"`
	State  vectorState `json:"state"`
}

type vectorPiece struct {
	Place   Place  `json:"place"`
	Formed  int    `json:"formed"`
	Spoiled int    `json:"spoiled"`
	Lies    int    `json:"lies"`
	Last    string `json:"last"`
}

type vectorState struct {
	Pieces    map[string]vectorPiece `json:"pieces"`
	Homeless  map[string]vectorPiece `json:"homeless"`
	Loaded    string                 `json:"loaded"`
	Reels     map[string]string      `json:"reels"`
	Covered   map[string]string      `json:"covered"`
	Sizes     []string               `json:"sizes"`
	Checks    []string               `json:"checks"`
	Withdrawn []string               `json:"withdrawn"`
	Kept      []Mark                 `json:"kept"` // merged: each id once, in order
}

func stateOf(pieces []string, marks []Mark) vectorState {
	s := Of(pieces, marks)
	places := func(in map[string]PieceState) map[string]vectorPiece {
		out := map[string]vectorPiece{}
		for id, p := range in {
			out[id] = vectorPiece{p.Place, p.Formed, p.Spoiled, p.Lies, p.Last.ID}
		}
		return out
	}
	ids := func(in []Mark) []string {
		out := []string{}
		for _, m := range in {
			out = append(out, m.ID)
		}
		return out
	}
	byKey := func(in map[string]Mark) map[string]string {
		out := map[string]string{}
		for k, m := range in {
			out[k] = m.ID
		}
		return out
	}
	return vectorState{
		places(s.Pieces), places(s.Homeless), s.Loaded, byKey(s.Reels), byKey(s.Covered), ids(s.Sizes), ids(s.Checks), append([]string{}, s.Withdrawn...), Merge(marks),
	}
}

// vectors are named cases, then random ones from a fixed seed. Odd letters stand where
// UTF-16 and code points are ordered otherwise.
func vectors() []vector {
	odd := []string{"\uffee", "\U0001F3E0", "é", "z", ""}
	a := mark("a1", 1, Formed, "p")
	b := a
	a.Note, b.Note = odd[0], odd[1]
	out := []vector{
		{Name: "nothing", Pieces: []string{"p"}, Marks: []Mark{}},
		{Name: "one id, two contents: by code points, not by UTF-16", Pieces: []string{"p"}, Marks: []Mark{b, a}},
		{Name: "equal counts: by id, code points", Pieces: []string{"p"}, Marks: []Mark{{ID: "\U0001F3E0", Count: 1, Device: "d", Kind: Hung, Piece: "p"}, {ID: "\uffee", Count: 1, Device: "d", Kind: Formed, Piece: "p"}}},
		{Name: "a withdrawal withdrawn", Pieces: []string{"p"}, Marks: []Mark{mark("a1", 1, Hung, "p"), mark("a2", 2, Withdrawn, "a1"), mark("b3", 3, Withdrawn, "a2")}},
		{Name: "withdrawn before it was made", Pieces: []string{"p"}, Marks: []Mark{mark("a5", 5, Hung, "p"), mark("b2", 2, Withdrawn, "a5")}},
		{Name: "formed twice, one spoiled", Pieces: []string{"p"}, Marks: []Mark{mark("a1", 1, Formed, "p"), mark("b1", 1, Formed, "p"), mark("a2", 2, Spoiled, "p")}},
		{Name: "a piece that the layout has no more", Pieces: []string{"p"}, Marks: []Mark{mark("a1", 1, Formed, "gone"), mark("a2", 2, Hung, "gone")}},
		{Name: "spoiled on the machine, formed twice, one of them spoiled: one lies there", Pieces: []string{"p"}, Marks: []Mark{mark("a1", 1, Spoiled, "p"), mark("a2", 2, Formed, "p"), mark("b2", 2, Formed, "p"), mark("b3", 3, Spoiled, "p")}},
		{Name: "one hangs, a second one was spoiled", Pieces: []string{"p"}, Marks: []Mark{mark("a1", 1, Formed, "p"), mark("b1", 1, Formed, "p"), mark("a2", 2, Hung, "p"), mark("b3", 3, Spoiled, "p")}},
		{Name: "serves elsewhere; the second to give it away gives nothing", Pieces: []string{"p", "q"}, Marks: []Mark{mark("a1", 1, Formed, "gone"), moved("a2", 2, "gone", "p"), moved("b2", 2, "gone", "q")}},
		{Name: "what hangs is not given away", Pieces: []string{"p", "q"}, Marks: []Mark{mark("a1", 1, Formed, "p"), mark("a2", 2, Hung, "p"), moved("b3", 3, "p", "q")}},
	}
	r := rand.New(rand.NewPCG(8, 2026))
	for i := range 40 {
		pieces := []string{"1", "2", "3"}
		v := vector{Name: fmt.Sprintf("random %d", i+1), Pieces: pieces, Marks: []Mark{}}
		for range r.IntN(20) {
			m := Mark{
				ID: fmt.Sprintf("%c%d", 'a'+r.IntN(3), r.IntN(12)), Count: 1 + r.Int64N(12), Device: fmt.Sprintf("d%d", r.IntN(3)), By: odd[r.IntN(len(odd))],
				At: "2026-05-01T10:00:00Z", Kind: Kinds[r.IntN(len(Kinds))], Piece: []string{"1", "2", "3", "gone"}[r.IntN(4)], Text: odd[r.IntN(len(odd))],
			}
			if m.Kind == Withdrawn {
				m.Piece = fmt.Sprintf("%c%d", 'a'+r.IntN(3), r.IntN(12))
			}
			if m.Kind == Moved {
				m.Text, m.Cut = []string{"1", "2", "3", "gone"}[r.IntN(4)], odd[r.IntN(len(odd))]
			}
			v.Marks = append(v.Marks, m)
		}
		out = append(out, v)
	}
	for i := range out {
		out[i].State = stateOf(out[i].Pieces, out[i].Marks)
	}
	return out
}

// written is the file's text, a case a line.
func written(cases []vector) []byte {
	var b bytes.Buffer
	for i, c := range cases {
		line, _ := json.Marshal(c)
		fmt.Fprintf(&b, "%s%s", [...]string{"{\"cases\":[\n", ",\n"}[min(i, 1)], line)
	}
	b.WriteString("\n]}\n")
	return b.Bytes()
}

// TestVectors holds the merge to testdata/merge.json, which the page's own merge is
// held to as well.
func TestVectors(t *testing.T) {
	const file = "testdata/merge.json"
	want := vectors()
	if *update {
		if err := os.WriteFile(file, written(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var kept struct{ Cases []vector }
	if err := json.Unmarshal(text, &kept); err != nil {
		t.Fatal(err)
	}
	if len(kept.Cases) != len(want) {
		t.Fatalf("%d cases kept, %d made: run with -update and read the difference", len(kept.Cases), len(want))
	}
	for i, c := range kept.Cases {
		got, _ := json.Marshal(stateOf(c.Pieces, c.Marks))
		if kept, _ := json.Marshal(c.State); string(got) != string(kept) {
			t.Errorf("%s: %s\nkept %s", c.Name, got, kept)
		}
		if made, _ := json.Marshal(want[i].State); string(got) != string(made) {
			t.Errorf("%s is not the case that the seed makes", c.Name)
		}
	}
}

// TestContents: an order in which only equal marks are equal.
func TestContents(t *testing.T) {
	base := Mark{"a", 1, "d", "b", "t", Formed, "p", "x", "n", "f", "c"}
	for i, change := range []func(*Mark){
		func(m *Mark) { m.ID += "!" }, func(m *Mark) { m.Count++ }, func(m *Mark) { m.Device += "!" }, func(m *Mark) { m.By += "!" }, func(m *Mark) { m.At += "!" },
		func(m *Mark) { m.Kind += "!" }, func(m *Mark) { m.Piece += "!" }, func(m *Mark) { m.Text += "!" }, func(m *Mark) { m.Note += "!" }, func(m *Mark) { m.Photo += "!" }, func(m *Mark) { m.Cut += "!" },
	} {
		other := base
		change(&other)
		if Contents(base, other) >= 0 || Contents(other, base) <= 0 {
			t.Errorf("field %d does not count", i)
		}
	}
	if Contents(base, base) != 0 {
		t.Error("a mark differs from itself")
	}
}
