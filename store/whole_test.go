package store_test

import (
	"errors"
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"coilwright/change"
	"coilwright/store"
)

// TestWhole: a document put together again is, letter for letter, the one that was
// answered when it was saved: after edits in any order, some taken back and done again,
// across more than one whole document, whatever letters stand in them.
func TestWhole(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		rapid.Check(t, func(rt *rapid.T) {
			j, err := s.Create(ctx, anna, []byte(` {"t\u0069tle":"<T> & co","n":[1.50, 2e0],"m":{"x":"\u2028"}} `), "Begun")
			if err != nil {
				rt.Fatal(err)
			}
			for range rapid.SampledFrom([]int{1, 2, 3, 4, 6, 8, 12, 70}).Draw(rt, "edits") {
				saved, err := anyEdit(rt, s, j)
				if errors.Is(err, store.ErrNothing) || errors.Is(err, change.ErrPatch) {
					continue
				}
				if err != nil {
					rt.Fatal(err)
				}
				j = saved.Job
			}
			s.Forget()
			got, err := s.Job(ctx, "home", j.ID)
			if err != nil || string(got.Document) != string(j.Document) || got.Hash != store.Hash(j.Document) || got.Revision != j.Revision {
				rt.Fatalf("put together: %s, %v\nwas answered: %s", got.Document, err, j.Document)
			}
		})
	})
}

func anyEdit(t *rapid.T, s *store.Store, j store.Job) (store.Saved, error) {
	places := []string{"/n/0", "/n/-", "/m/x", "/m/é<", "/m/y~0", "/title"}
	values := []string{`"<&>\u0041"`, `"é` + "\u2028" + `"`, `7.10`, `{"b\u0062" : [ 1 ]}`}
	p := change.Op{Op: rapid.SampledFrom([]string{"add", "replace", "remove", "move", "copy", "test"}).Draw(t, "op"), Path: rapid.SampledFrom(places).Draw(t, "place")}
	p.Value, p.From = []byte(rapid.SampledFrom(values).Draw(t, "value")), rapid.SampledFrom(places).Draw(t, "from")
	switch rapid.IntRange(0, 9).Draw(t, "what") {
	case 0:
		return s.Undo(ctx, anna, j.ID, j.Revision, "")
	case 1:
		return s.Redo(ctx, anna, j.ID, j.Revision, "")
	}
	looked := change.Op{Op: "copy", From: "/m", Path: "/q"} // it looks into what it does not change
	return s.Change(ctx, anna, j.ID, store.Edit{Base: j.Revision, What: "x", Patch: change.Patch{looked, p}})
}

// TestLargePatch: a change of more moves than one patch may hold operations when it is
// written as what was done, is put together again as well.
func TestLargePatch(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		var p change.Patch
		for i := range change.MostOps - 1 {
			p = append(p, change.Op{Op: change.Move, From: fmt.Sprintf("/n/%d", i%3), Path: fmt.Sprintf("/n/%d", (i+1)%3)})
		}
		saved, err := s.Change(ctx, anna, j.ID, store.Edit{Base: 1, What: "x", Patch: p})
		if err != nil {
			t.Fatal(err)
		}
		s.Forget()
		if got, err := s.Job(ctx, "home", j.ID); err != nil || string(got.Document) != string(saved.Job.Document) {
			t.Errorf("put together: %s, %v; was answered: %s", got.Document, err, saved.Job.Document)
		}
	})
}

// TestDamaged: a document that cannot be the one that was saved is never shown nor
// built upon.
func TestDamaged(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		for name, patch := range map[string]string{
			"another value": `[{"op":"add","path":"/m/x","value":"1.51"}]`, "no such place": `[{"op":"remove","path":"/gone"}]`, "no patch at all": `[{`,
		} {
			j := made(t, s)
			save(t, s, anna, j, 1, "/m/x", `"1.75"`)
			if err := s.Wear(j.ID, 2, patch); err != nil {
				t.Fatal(err)
			}
			s.Forget()
			if got, err := s.Job(ctx, "home", j.ID); !errors.Is(err, store.ErrDamaged) {
				t.Errorf("%s: %s, %v; want damage to be said", name, got.Document, err)
			}
			if _, err := s.Change(ctx, anna, j.ID, store.Edit{Base: 2, What: "x", Patch: set("/m/x", "2")}); !errors.Is(err, store.ErrDamaged) {
				t.Errorf("%s: an edit on top: %v; want damage to be said", name, err)
			}
		}
	})
}
