package sheet

import (
	"io/fs"
	"math"
	"testing"

	"coilwright/examples"
	"coilwright/job"
	"coilwright/measure"
)

// The stretches of every reel of every example follow each other without gap or
// overlap, end where the plan says that its last piece ends, and fill the coil; at the
// chosen scale a bar's length on paper is the coil's.
func TestStretchesAreThePlan(t *testing.T) {
	names, err := fs.Glob(examples.Files, "*.json")
	if err != nil || len(names) == 0 {
		t.Fatal("no examples", err)
	}
	reels := 0
	for _, name := range names {
		j, found := job.Read("../examples/" + name)
		if found.Fatal() {
			t.Fatal(found)
		}
		r, err := j.RunWithin(j.Schemes[0].ID, 1_000_000)
		if err != nil {
			t.Fatal(err)
		}
		s := newSet(Input{Units: j.Units, Book: &j.Book, House: &j.House, Scheme: &j.Schemes[0], Layout: r.Layout, Run: paperRun(&j, r)})
		for _, c := range s.Run.Coils {
			reels++
			all, at := s.stretches(c), measure.Length(0)
			for _, t2 := range all {
				if t2.from != at || t2.to <= t2.from {
					t.Errorf("%s, coil %s: a stretch from %s to %s after %s", name, c.ID, t2.from.Text(0), t2.to.Text(0), at.Text(0))
				}
				at = t2.to
			}
			if end := cutEnd(all); end != c.Used || at != c.Length {
				t.Errorf("%s, coil %s: drawn to %s, used %s; ends at %s of %s", name, c.ID, end.Text(0), c.Used.Text(0), at.Text(0), c.Length.Text(0))
			}
			scale := s.barScale([][]stretch{all}, 190)
			if w := along(scale.line, scale, 190); math.Abs(w-190) > 1e-9 {
				t.Errorf("a line of coil is %f mm", w)
			}
		}
	}
	if reels == 0 {
		t.Error("no reel was drawn")
	}
}
