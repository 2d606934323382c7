package store_test

import (
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"coilwright/store"
)

func marked(id, body string) store.Mark { return store.Mark{ID: id, Body: body} }

func addMarks(t testing.TB, s *store.Store, job string, marks ...store.Mark) ([]store.MarkFate, store.MarkHead) {
	t.Helper()
	fates, head, err := s.AddMarks(ctx, anna, job, marks)
	if err != nil {
		t.Fatal(err)
	}
	return fates, head
}

func TestMarks(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		if head, err := s.MarkAt(ctx, "home", j.ID, -1); err != nil || head != (store.MarkHead{}) {
			t.Errorf("no marks yet: %+v, %v", head, err)
		}
		fates, first := addMarks(t, s, j.ID, marked("a", "1"), marked("b", "1"), marked("a", "1"), marked("a", "2"))
		if !slices.Equal(fates, []store.MarkFate{store.MarkNew, store.MarkNew, store.MarkKnown, store.MarkTwin}) || first.Seq != 3 {
			t.Errorf("fates %v, head %+v", fates, first)
		}
		if fates, again := addMarks(t, s, j.ID, marked("b", "1"), marked("a", "2")); !slices.Equal(fates, []store.MarkFate{store.MarkKnown, store.MarkKnown}) || again != first {
			t.Errorf("sent again: %v, %+v", fates, again)
		}
		_, last := addMarks(t, s, j.ID, marked("c", "'; DROP TABLE marks; --"), marked("d", "é \U0001F3E0"))
		got, err := s.Marks(ctx, "home", j.ID, 3, 10)
		if err != nil || len(got) != 2 || got[0].Seq != 4 || got[0].Body != "'; DROP TABLE marks; --" || got[1].Body != "é \U0001F3E0" || got[1].Received.IsZero() {
			t.Errorf("after 3: %+v, %v", got, err)
		}
		if few, _ := s.Marks(ctx, "home", j.ID, 0, 2); len(few) != 2 || few[1].ID != "b" {
			t.Errorf("the first two: %+v", few)
		}
		for seq, want := range map[int64]store.MarkHead{0: {}, 3: first, 5: last, -1: last} {
			if at, err := s.MarkAt(ctx, "home", j.ID, seq); err != nil || at != want {
				t.Errorf("at %d: %+v, %v; want %+v", seq, at, err, want)
			}
		}
		if _, err := s.MarkAt(ctx, "home", j.ID, 6); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("never so many: %v", err)
		}
		if heads, err := s.MarkHeads(ctx, []string{j.ID, "none"}); err != nil || len(heads) != 1 || heads[j.ID] != last {
			t.Errorf("heads %v, %v", heads, err)
		}
	})
}

func TestMarksAreTheShopsOwn(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		addMarks(t, s, j.ID, marked("a", "1"))
		if _, _, err := s.AddMarks(ctx, zoe, j.ID, []store.Mark{marked("z", "1")}); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("another shop marks: %v", err)
		}
		if _, err := s.Marks(ctx, "other", j.ID, 0, 10); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("another shop reads: %v", err)
		}
		if _, err := s.MarkAt(ctx, "other", j.ID, 1); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("another shop looks: %v", err)
		}
		if _, err := s.SetAside(ctx, anna, j.ID, true); err != nil {
			t.Fatal(err)
		}
		if _, _, err := s.AddMarks(ctx, anna, j.ID, []store.Mark{marked("b", "1")}); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("a job put aside takes marks: %v", err)
		}
	})
}

// One id takes few bodies, so that a phone gone wrong fills nothing.
func TestTooManyTwins(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		var all []store.Mark
		for i := range 12 {
			all = append(all, marked("a", fmt.Sprint(i)))
		}
		fates, head := addMarks(t, s, j.ID, all...)
		if head.Seq != 8 || fates[7] != store.MarkTwin || fates[8] != store.MarkOver || fates[11] != store.MarkOver {
			t.Errorf("%v, %+v", fates, head)
		}
	})
}

// Many phones send at once, some the same: every mark is there once, the order has no
// gaps, and who reads step by step sees all of them.
func TestManyPhonesAtOnce(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		const phones, calls = 8, 6
		var wg sync.WaitGroup
		errs := make(chan error, phones*calls)
		for p := range phones {
			wg.Go(func() {
				for c := range calls {
					own := marked(fmt.Sprintf("p%d-%d", p, c), "x")
					shared := marked(fmt.Sprintf("shared-%d", c), "x")
					_, _, err := s.AddMarks(ctx, anna, j.ID, []store.Mark{own, shared})
					errs <- err
				}
			})
		}
		seen, after := map[string]int{}, int64(0)
		reading := make(chan struct{})
		go func() { wg.Wait(); close(reading) }()
		read := func() {
			got, err := s.Marks(ctx, "home", j.ID, after, 7)
			if err != nil {
				t.Error(err)
			}
			for _, m := range got {
				if m.Seq != after+1 {
					t.Errorf("after %d comes %d", after, m.Seq)
				}
				seen[m.ID]++
				after = m.Seq
			}
		}
		for open := true; open; {
			select {
			case <-reading:
				open = false
			default:
			}
			read()
		}
		for range phones * calls {
			read()
		}
		for range phones * calls {
			if err := <-errs; err != nil {
				t.Error(err)
			}
		}
		if len(seen) != phones*calls+calls || after != int64(len(seen)) {
			t.Errorf("%d marks seen up to %d; want %d", len(seen), after, phones*calls+calls)
		}
	})
}

// TestChain: a database that was put back to an older copy and went on from there
// never has the chain that a phone remembers.
func TestChain(t *testing.T) {
	s := open(t, kinds[0].config(t))
	rapid.Check(t, func(t *rapid.T) {
		both := rapid.SliceOfN(rapid.StringMatching(`[a-c]{1,2}`), 0, 4).Draw(t, "before")
		here := rapid.StringMatching(`[a-c]{3}`).Draw(t, "here")
		there := rapid.StringMatching(`[a-c]{3}`).Draw(t, "there")
		chain := func(last string) store.MarkHead {
			j, err := s.Create(ctx, anna, []byte(document), "")
			if err != nil {
				t.Fatal(err)
			}
			var head store.MarkHead
			for _, id := range append(slices.Clone(both), last) {
				if _, head, err = s.AddMarks(ctx, anna, j.ID, []store.Mark{marked(id, id)}); err != nil {
					t.Fatal(err)
				}
			}
			return head
		}
		if a, b := chain(here), chain(there); (a == b) != (here == there) {
			t.Fatalf("after %v: %s gives %+v, %s gives %+v", both, here, a, there, b)
		}
	})
}
