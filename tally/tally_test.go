package tally

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func mark(id string, count int64, kind Kind, piece string) Mark {
	return Mark{ID: id, Count: count, Device: "d" + id[:1], Kind: kind, Piece: piece}
}

func moved(id string, count int64, from, to string) Mark {
	m := mark(id, count, Moved, to)
	m.Text = from
	return m
}

func TestAPiecesWay(t *testing.T) {
	marks := []Mark{
		mark("a1", 1, Formed, "p"), mark("a2", 2, Spoiled, "p"), mark("a3", 3, Formed, "p"), mark("b4", 4, Hung, "p"),
		mark("a5", 5, Formed, "q"), mark("a6", 6, Formed, "gone"),
	}
	s := Of([]string{"p", "q", "r"}, marks)
	if p := s.Pieces["p"]; p.Place != OnWall || p.Formed != 2 || p.Spoiled != 1 || p.Last.ID != "b4" {
		t.Errorf("p: %+v", p)
	}
	if s.Pieces["q"].Place != Ready || s.Pieces["r"].Place != Waiting {
		t.Errorf("q %v, r %v", s.Pieces["q"], s.Pieces["r"])
	}
	if s.Homeless["gone"].Formed != 1 {
		t.Error("a formed piece without a place was forgotten")
	}
	if c := s.Count(); c != (Counts{3, 2, 1, 1}) {
		t.Errorf("counts %+v", c)
	}
}

func TestSpoiledOfTwo(t *testing.T) {
	s := Of([]string{"p"}, []Mark{mark("a1", 1, Formed, "p"), mark("b1", 1, Formed, "p"), mark("a2", 2, Spoiled, "p")})
	if p := s.Pieces["p"]; p.Place != Ready {
		t.Errorf("two were formed and one spoiled: one lies there; got %+v", p)
	}
}

func TestTakingBack(t *testing.T) {
	marks := []Mark{mark("a1", 1, Formed, "p"), mark("a2", 2, Hung, "p"), mark("b3", 3, Withdrawn, "a2")}
	if s := Of([]string{"p"}, marks); s.Pieces["p"].Place != Ready || !slices.Equal(s.Withdrawn, []string{"a2"}) {
		t.Errorf("%+v", s)
	}
	marks = append(marks, mark("a4", 4, Withdrawn, "b3"))
	if s := Of([]string{"p"}, marks); s.Pieces["p"].Place != OnWall {
		t.Errorf("a withdrawal that was withdrawn still counts: %+v", s)
	}
}

// A clock that is wrong by a day changes nothing: order comes from the counts.
func TestWrongClock(t *testing.T) {
	late, early := mark("a1", 1, Formed, "p"), mark("b2", 2, Hung, "p")
	late.At, early.At = "2031-01-02T00:00:00Z", "2031-01-01T00:00:00Z"
	if s := Of([]string{"p"}, []Mark{late, early}); s.Pieces["p"].Place != OnWall {
		t.Errorf("%+v", s)
	}
}

func TestCheck(t *testing.T) {
	good := mark("a1", 1, Formed, "p")
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	tooLong := strings.Repeat("x", longestID+1)
	just, text := tooLong[1:], strings.Repeat("x", longestText)
	longest := Mark{ID: just, Count: highest - 1, Device: just, Kind: Formed, Piece: just, By: just, At: just, Photo: just, Cut: just, Text: text, Note: text}
	if err := longest.Check(); err != nil {
		t.Error("the longest that may be:", err)
	}
	for name, spoil := range map[string]func(*Mark){
		"id": func(m *Mark) { m.ID = "" }, "count": func(m *Mark) { m.Count = 0 }, "far count": func(m *Mark) { m.Count = highest },
		"device": func(m *Mark) { m.Device = "" }, "kind": func(m *Mark) { m.Kind = "painted" }, "piece": func(m *Mark) { m.Piece = "" },
		"odd id": func(m *Mark) { m.ID = "a b" }, "not UTF-8": func(m *Mark) { m.Note = "\xff" },
		"note": func(m *Mark) { m.Note = strings.Repeat("x", longestText+1) }, "text": func(m *Mark) { m.Text = strings.Repeat("x", longestText+1) },
		"long id": func(m *Mark) { m.ID += tooLong }, "long device": func(m *Mark) { m.Device = tooLong }, "long piece": func(m *Mark) { m.Piece = tooLong },
		"by": func(m *Mark) { m.By = tooLong }, "at": func(m *Mark) { m.At = tooLong }, "photo": func(m *Mark) { m.Photo = tooLong }, "cut": func(m *Mark) { m.Cut = tooLong },
	} {
		m := good
		spoil(&m)
		if err := m.Check(); !errors.Is(err, ErrMark) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// phone is a device in the simulation: what it has seen, and what it made.
type phone struct {
	name  string
	marks []Mark
	made  int
}

func (p *phone) mark(t *rapid.T) {
	m := Mark{
		ID: fmt.Sprintf("%s-%d", p.name, p.made), Count: Next(p.marks), Device: p.name,
		Kind: rapid.SampledFrom(Kinds[:]).Draw(t, "kind"), Piece: rapid.SampledFrom([]string{"1", "2", "3", "4", "gone"}).Draw(t, "piece"),
	}
	if m.Kind == Moved {
		m.Text = rapid.SampledFrom([]string{"1", "2", "gone"}).Draw(t, "from")
	}
	if m.Kind == Withdrawn && len(p.marks) > 0 {
		m.Piece = rapid.SampledFrom(p.marks).Draw(t, "withdrawn").ID
	}
	p.made++
	p.marks = append(p.marks, m)
}

// Ten phones for three days: each marks on its own, and now and then two of them
// meet. Whatever the order in which all marks come together in the end, doubled and
// shuffled, the state is one and no mark is lost.
func TestEveryOrderAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		phones := make([]*phone, 10)
		for i := range phones {
			phones[i] = &phone{name: fmt.Sprintf("d%d", i)}
		}
		steps := rapid.IntRange(1, 90).Draw(t, "steps")
		for range steps {
			p := phones[rapid.IntRange(0, 9).Draw(t, "phone")]
			if rapid.IntRange(0, 3).Draw(t, "meets") > 0 {
				p.mark(t)
				continue
			}
			q := phones[rapid.IntRange(0, 9).Draw(t, "other")]
			p.marks = Merge(p.marks, q.marks)
		}
		var all []Mark
		made := 0
		for _, p := range phones {
			all = append(all, p.marks...)
			made += p.made
		}
		merged := Merge(all)
		if len(merged) != made {
			t.Fatalf("%d marks made, %d after merging", made, len(merged))
		}
		pieces := []string{"1", "2", "3", "4"}
		want := Of(pieces, merged)
		shuffled := rapid.Permutation(all).Draw(t, "order")
		sound(t, want, merged)
		if got := Of(pieces, append(shuffled, shuffled...)); !reflect.DeepEqual(got, want) {
			t.Fatalf("another order gives %+v, want %+v", got, want)
		}
	})
}

// sound: a piece waits just when none of it lies there, none is less than none, and
// giving away makes no steel: no more lies there than was formed, or was seen without
// having been marked formed.
func sound(t *rapid.T, s State, marks []Mark) {
	formed, lies, seen := 0, 0, 0
	for _, all := range []map[string]PieceState{s.Pieces, s.Homeless} {
		for id, p := range all {
			if p.Lies < 0 || (p.Lies == 0) != (p.Place == Waiting) {
				t.Fatalf("%s: %+v", id, p)
			}
			formed, lies = formed+p.Formed, lies+p.Lies
		}
	}
	for _, m := range Standing(marks) {
		if m.Kind == Hung || m.Kind == TakenOff {
			seen++
		}
	}
	if lies > formed+seen {
		t.Fatalf("%d lie there of %d formed and %d seen: %+v", lies, formed, seen, s)
	}
}

// What lies there of pieces that are only formed and spoiled, by another way of
// counting: a spoiled one takes away a formed one that stands before it, so "FS" is
// struck out of the row of marks until there is none; the F that are left lie there.
func TestFormedAndSpoiled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row := rapid.StringOfN(rapid.SampledFrom([]rune("FS")), 0, 40, -1).Draw(t, "row")
		var marks []Mark
		for i, c := range row {
			marks = append(marks, mark(fmt.Sprintf("a%02d", i), int64(i+1), map[rune]Kind{'F': Formed, 'S': Spoiled}[c], "p"))
		}
		rest := row
		for strings.Contains(rest, "FS") {
			rest = strings.Replace(rest, "FS", "", 1)
		}
		want := PieceState{Place: Waiting, Formed: strings.Count(row, "F"), Spoiled: strings.Count(row, "S"), Lies: strings.Count(rest, "F")}
		if want.Lies > 0 {
			want.Place = Ready
		}
		got := Of([]string{"p"}, rapid.Permutation(marks).Draw(t, "order")).Pieces["p"]
		if got.Last = (Mark{}); got != want {
			t.Fatalf("%s: %+v, want %+v", row, got, want)
		}
	})
}

// A piece without a place serves as a like one, once, whoever gives it away first.
func TestMoved(t *testing.T) {
	marks := []Mark{mark("a1", 1, Formed, "gone"), moved("a2", 2, "gone", "p"), moved("b2", 2, "gone", "q")}
	s := Of([]string{"p", "q"}, marks)
	if s.Pieces["p"].Place != Ready || s.Pieces["q"].Place != Waiting || s.Homeless["gone"].Lies != 0 {
		t.Errorf("%+v", s)
	}
	s = Of([]string{"p", "q"}, append(marks, mark("b3", 3, Withdrawn, "a2")))
	if s.Pieces["p"].Place != Waiting || s.Pieces["q"].Place != Ready {
		t.Errorf("the first was taken back: %+v", s)
	}
}

// Two marks with one id, as a phone restored from an old copy may make: every order
// keeps the same one.
func TestOneIDTwice(t *testing.T) {
	a, b := mark("a1", 1, Formed, "p"), mark("a1", 1, Hung, "q")
	if x, y := Merge([]Mark{a}, []Mark{b}), Merge([]Mark{b}, []Mark{a}); !reflect.DeepEqual(x, y) || len(x) != 1 {
		t.Errorf("%v and %v", x, y)
	}
}
