package job_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"coilwright/job"
)

// Pieces not fit to cut are left out of a run, or cut on a named person's word, who
// stands in the answer with them.
func TestRunOnWord(t *testing.T) {
	doc := alder(t)
	pedigreed(t, doc, "$.house.walls[0].openings[1].size[0]", "photo", "1 in")
	j := parsed(t, doc)
	plain, err := j.Run("A")
	if err != nil || len(plain.LeftOut) == 0 || plain.OnWord != nil {
		t.Fatalf("%v %v", err, plain.LeftOut)
	}
	r, err := j.RunOnWord("A", "  Robin  Invented ")
	if err != nil || len(r.LeftOut) != 0 {
		t.Fatalf("%v %v", err, r.LeftOut)
	}
	a := j.RunAnswer(r, nil)
	if a.OnWord == nil || a.OnWord.Name != "Robin Invented" || len(a.OnWord.Pieces) != len(plain.LeftOut) {
		t.Fatalf("%+v", a.OnWord)
	}
	var cut []string
	for _, s := range a.Setups {
		cut = append(cut, s.Pieces...)
	}
	for i, p := range plain.LeftOut {
		if a.OnWord.Pieces[i].Piece != p.ID || !strings.Contains(a.OnWord.Pieces[i].Why, `photo +/- 1"`) || !slices.Contains(cut, p.ID) {
			t.Errorf("%+v", a.OnWord.Pieces[i])
		}
	}
	for _, nobody := range []string{" ", "...", "a\x00b", strings.Repeat("long name ", 10), "\xff"} {
		if _, err := j.RunOnWord("A", nobody); !errors.Is(err, job.ErrNoName) {
			t.Errorf("%q answers for it: %v", nobody, err)
		}
	}
}
