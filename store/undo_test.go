package store_test

import (
	"context"
	"encoding/json"
	"errors"
	"testing"

	"coilwright/change"
	"coilwright/store"
)

// TestUndo: one's own changes are taken back one by one, around what others did.
func TestUndo(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		save(t, s, anna, j, 1, "/n/0", `"a"`)   // 2
		save(t, s, bert, j, 2, "/n/2", `"b"`)   // 3
		save(t, s, anna, j, 3, "/title", `"A"`) // 4
		save(t, s, bert, j, 4, "/m/y", `true`)  // 5
		step := func(name string, do func(context.Context, store.Who, string, int64, string) (store.Saved, error), w store.Who, want string) {
			t.Helper()
			now, err := s.Head(ctx, "home", j.ID)
			if err != nil {
				t.Fatal(err)
			}
			got, err := do(ctx, w, j.ID, now.Revision, now.Hash)
			if want == "" {
				if !errors.Is(err, store.ErrNothing) {
					t.Errorf("%s: %s, %v; want nothing left", name, got.Job.Document, err)
				}
				return
			}
			if err != nil || string(got.Job.Document) != want {
				t.Errorf("%s: %s, %v\nwant %s", name, got.Job.Document, err, want)
			}
		}
		step("title back", s.Undo, anna, `{"title":"T","n":["a",1,"b",2,3],"m":{"x":"1.50","y":true}}`)
		step("a back", s.Undo, anna, `{"title":"T","n":[1,"b",2,3],"m":{"x":"1.50","y":true}}`)
		step("no more", s.Undo, anna, "")
		step("y back", s.Undo, bert, `{"title":"T","n":[1,"b",2,3],"m":{"x":"1.50"}}`)
		step("a again", s.Redo, anna, `{"title":"T","n":["a",1,"b",2,3],"m":{"x":"1.50"}}`)
		step("title again", s.Redo, anna, `{"title":"A","n":["a",1,"b",2,3],"m":{"x":"1.50"}}`)
		step("no more again", s.Redo, anna, "")
		step("title back again", s.Undo, anna, `{"title":"T","n":["a",1,"b",2,3],"m":{"x":"1.50"}}`)
		now, _ := s.Head(ctx, "home", j.ID)
		save(t, s, anna, j, now.Revision, "/title", `"C"`)
		step("a change ends redo", s.Redo, anna, "")
		save(t, s, bert, j, now.Revision+1, "/title", `"D"`)
		if _, err := s.Undo(ctx, anna, j.ID, now.Revision+2, ""); !errors.Is(err, store.ErrConflict) {
			t.Errorf("undo of what another changed since: %v", err)
		}
	})
}

// TestUndoComesTwice: an undo whose answer was lost is sent again for the same revision;
// one change is taken back, not two. An edit made before somebody changed and took back
// the same place meets nothing there.
func TestUndoComesTwice(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		save(t, s, anna, j, 1, "/title", `"A"`)  // 2
		save(t, s, anna, j, 2, "/title", `"AA"`) // 3
		for _, c := range []struct {
			name     string
			do       func(context.Context, store.Who, string, int64, string) (store.Saved, error)
			base     int64
			revision int64
			title    string
		}{
			{"undo", s.Undo, 3, 4, "A"}, {"undo again", s.Undo, 3, 4, "A"}, {"the next undo", s.Undo, 4, 5, "T"},
			{"redo", s.Redo, 5, 6, "A"}, {"redo again", s.Redo, 5, 6, "A"}, {"the next redo", s.Redo, 6, 7, "AA"},
		} {
			if got, err := c.do(ctx, anna, j.ID, c.base, ""); err != nil || got.Job.Revision != c.revision || got.Job.Title != c.title {
				t.Errorf("%s: revision %d, title %q, %v; want %d, %q", c.name, got.Job.Revision, got.Job.Title, err, c.revision, c.title)
			}
		}
		save(t, s, bert, j, 7, "/title", `"B"`)
		if _, err := s.Undo(ctx, bert, j.ID, 8, ""); err != nil {
			t.Fatal(err)
		}
		if got := save(t, s, anna, j, 7, "/title", `"C"`); got.Job.Title != "C" || !got.Merged {
			t.Errorf("over what was taken back: %+v", got)
		}
	})
}

// TestUndoOnTwoPages: two pages of one person show the same revision. What both ask to
// take back is taken back once; what one of them did and took back since does not keep
// the other from taking back what it shows.
func TestUndoOnTwoPages(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		save(t, s, anna, j, 1, "/m/x", `"A"`)   // 2
		save(t, s, anna, j, 2, "/title", `"B"`) // 3, which both pages show
		save(t, s, anna, j, 3, "/n/0", `7`)     // 4, on one page
		undo := func(base, revision int64, document string) {
			t.Helper()
			got, err := s.Undo(ctx, anna, j.ID, base, "")
			if err != nil || got.Job.Revision != revision || string(got.Job.Document) != document {
				t.Errorf("undo from %d: revision %d, %s, %v; want %d, %s", base, got.Job.Revision, got.Job.Document, err, revision, document)
			}
		}
		undo(4, 5, `{"title":"B","n":[1,2,3],"m":{"x":"A"}}`)
		undo(3, 6, `{"title":"T","n":[1,2,3],"m":{"x":"A"}}`) // the other page
		undo(3, 6, `{"title":"T","n":[1,2,3],"m":{"x":"A"}}`) // once more from what both showed
	})
}

// TestChangeComesTwice: an edit whose answer was lost is sent again for the same revision,
// alone or with what was typed after it, with others' changes before and behind it; what was
// saved is not done again. The same entry put in by another person is another entry.
func TestChangeComesTwice(t *testing.T) {
	add := func(path, value string) change.Op {
		return change.Op{Op: change.Add, Path: path, Value: json.RawMessage(value)}
	}
	first, second := add("/n/-", `"a"`), add("/n/-", `"b"`)
	front := add("/n/0", `"f"`)
	for _, c := range []struct {
		name    string
		between []store.Edit // by the other person, for the first revision
		who     store.Who
		again   change.Patch
		want    string
	}{
		{"alone", nil, anna, change.Patch{first}, `[1,2,3,"a"]`},
		{"with the next", nil, anna, change.Patch{first, second}, `[1,2,3,"a","b"]`},
		{"after others", []store.Edit{{What: "x", Patch: change.Patch{front}}}, anna, change.Patch{first, second}, `["f",1,2,3,"a","b"]`},
		{"by another", nil, bert, change.Patch{first}, `[1,2,3,"a","a"]`},
		{"another edit", nil, anna, change.Patch{second}, `[1,2,3,"a","b"]`},
	} {
		t.Run(c.name, func(t *testing.T) {
			each(t, func(t *testing.T, s *store.Store) {
				j := made(t, s)
				do := func(who store.Who, base int64, patch change.Patch) store.Saved {
					t.Helper()
					saved, err := s.Change(ctx, who, j.ID, store.Edit{Base: base, What: "x", Patch: patch})
					if err != nil {
						t.Fatal(err)
					}
					return saved
				}
				for _, e := range c.between {
					do(bert, 1, e.Patch)
				}
				do(anna, 1, change.Patch{first})
				saved := do(bert, 2, change.Patch{add("/title", `"B"`)})
				got := do(c.who, 1, c.again)
				if n := string(change.Get(got.Job.Document, "/n")); n != c.want || !got.Merged {
					t.Errorf("%s, merged %v; want %s", n, got.Merged, c.want)
				}
				if len(c.again) == 1 && c.want == `[1,2,3,"a"]` && got.Job.Revision != saved.Job.Revision {
					t.Errorf("revision %d after %d for nothing new", got.Job.Revision, saved.Job.Revision)
				}
			})
		})
	}
}
