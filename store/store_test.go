package store_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"coilwright/change"
	"coilwright/store"
)

// kind is one pairing of a database with a place for files.
type kind struct {
	name   string
	config func(t testing.TB) store.Config
}

// kinds are held to one suite: whatever a test asks of one it asks of the other.
var kinds = []kind{
	{"sqlite, folder", func(t testing.TB) store.Config {
		dir := t.TempDir()
		return store.Config{Database: filepath.Join(dir, "jobs.sqlite"), Files: filepath.Join(dir, "files")}
	}},
	{"postgresql, folder", func(t testing.TB) store.Config {
		return store.Config{Database: postgres.database(t), Files: filepath.Join(t.TempDir(), "files")}
	}},
}

// inBucket keeps files with a server that speaks S3.
var inBucket = kind{"sqlite, bucket", func(t testing.TB) store.Config {
	return store.Config{Database: filepath.Join(t.TempDir(), "jobs.sqlite"), Files: bucket.url(t)}
}}

// each runs a test on every kind of store.
func each(t *testing.T, do func(t *testing.T, s *store.Store)) {
	for _, k := range kinds {
		t.Run(k.name, func(t *testing.T) { do(t, open(t, k.config(t))) })
	}
}

func open(t testing.TB, c store.Config) *store.Store {
	t.Helper()
	c.Read = func(document []byte) (store.Description, error) {
		if strings.Contains(string(document), "forbidden") {
			return store.Description{}, errors.New("it says forbidden")
		}
		var d struct{ Title string }
		json.Unmarshal(document, &d) //nolint:errcheck // no title then
		return store.Description{Title: d.Title, Walls: strings.Count(string(document), "wall")}, nil
	}
	s, err := store.Open(context.Background(), c)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	for _, shop := range []string{"home", "other"} {
		if err := s.AddShop(context.Background(), shop, shop); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

var (
	ctx  = context.Background()
	anna = store.Who{Shop: "home", Account: "a", Name: "Anna"}
	bert = store.Who{Shop: "home", Account: "b", Name: "Bert"}
	zoe  = store.Who{Shop: "other", Account: "z", Name: "Zoe"}
)

const document = `{"title":"T","n":[1,2,3],"m":{"x":"1.50"}}`

func made(t testing.TB, s *store.Store) store.Job {
	t.Helper()
	j, err := s.Create(ctx, anna, []byte(document), "Begun")
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func set(path, value string) change.Patch {
	return change.Patch{{Op: change.Add, Path: path, Value: json.RawMessage(value)}}
}

func save(t testing.TB, s *store.Store, w store.Who, j store.Job, base int64, path, value string) store.Saved {
	t.Helper()
	saved, err := s.Change(ctx, w, j.ID, store.Edit{Base: base, What: path, Patch: set(path, value)})
	if err != nil {
		t.Fatalf("%s = %s on %d: %v", path, value, base, err)
	}
	return saved
}

func TestJobs(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		got, err := s.Job(ctx, "home", j.ID)
		if err != nil || string(got.Document) != document || got.Revision != 1 || got.Title != "T" || got.Stage != "visit" || got.ChangedBy != "Anna" {
			t.Errorf("got %+v, %v", got, err)
		}
		if _, err := s.Create(ctx, anna, []byte(`{"forbidden":1}`), ""); !errors.Is(err, store.ErrRefused) {
			t.Errorf("a document that the check refuses: %v", err)
		}
		if _, err := s.Create(ctx, anna, []byte("{\"a\":\"\xff\"}"), ""); !errors.Is(err, store.ErrRefused) {
			t.Errorf("a document that is no UTF-8: %v", err)
		}
		odd, err := s.Create(ctx, store.Who{Shop: "home", Name: "Zero\x00\nRow"}, []byte(`{"title":"a\u0000b\n'; DROP TABLE jobs; --"}`), "x\x00y")
		if err != nil || odd.Title != "a b '; DROP TABLE jobs; --" || odd.ChangedBy != "Zero Row" {
			t.Errorf("odd letters: %+v, %v", odd, err)
		}
	})
}

func TestLists(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		var ids []string
		for i := range 7 {
			j, err := s.Create(ctx, anna, []byte(fmt.Sprintf(`{"title":"Hazel 100%% _%d"}`, i)), "")
			if err != nil {
				t.Fatal(err)
			}
			ids = append([]string{j.ID}, ids...)
		}
		if _, err := s.Create(ctx, zoe, []byte(document), ""); err != nil {
			t.Fatal(err)
		}
		var got []string
		for after := ""; ; {
			page, err := s.Jobs(ctx, "home", store.Query{Limit: 3, After: after})
			if err != nil {
				t.Fatal(err)
			}
			for _, j := range page {
				got = append(got, j.ID)
			}
			if len(page) < 3 {
				break
			}
			after = page[2].ID
		}
		slices.Sort(got)
		slices.Sort(ids)
		if !slices.Equal(got, ids) {
			t.Errorf("pages hold %v, want %v", got, ids)
		}
		for search, want := range map[string]int{"HAZEL": 7, "hazel _3": 1, "100% hazel": 7, "%": 7, "x%y": 0, "!": 0, "_3": 1} {
			if page, err := s.Jobs(ctx, "home", store.Query{Search: search}); err != nil || len(page) != want {
				t.Errorf("search %q finds %d, %v; want %d", search, len(page), err, want)
			}
		}
		if _, err := s.SetStage(ctx, anna, ids[0], "offer"); err != nil {
			t.Fatal(err)
		}
		if page, err := s.Jobs(ctx, "home", store.Query{Stage: "offer"}); err != nil || len(page) != 1 {
			t.Errorf("one offer: %v, %v", page, err)
		}
	})
}

// TestShops: what is another shop's is not there.
func TestShops(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		calls := map[string]func() error{
			"job":  func() error { _, err := s.Job(ctx, "other", j.ID); return err },
			"head": func() error { _, err := s.Head(ctx, "other", j.ID); return err },
			"change": func() error {
				_, err := s.Change(ctx, zoe, j.ID, store.Edit{Base: 1, Patch: set("/title", `"Z"`)})
				return err
			},
			"undo":       func() error { _, err := s.Undo(ctx, zoe, j.ID, 1, ""); return err },
			"stage":      func() error { _, err := s.SetStage(ctx, zoe, j.ID, "done"); return err },
			"aside":      func() error { _, err := s.SetAside(ctx, zoe, j.ID, true); return err },
			"history":    func() error { _, err := s.History(ctx, "other", j.ID, 0, 0); return err },
			"revision":   func() error { _, err := s.Revision(ctx, "other", j.ID, 1); return err },
			"difference": func() error { _, err := s.Difference(ctx, "other", j.ID, 1, 1); return err },
			"files":      func() error { _, err := s.Files(ctx, "other", j.ID, ""); return err },
			"put file":   func() error { return s.PutFiles(ctx, "other", j.ID, "", []store.Content{{Name: "x"}}) },
			"open file":  func() error { _, _, err := s.OpenFile(ctx, "other", j.ID, "x"); return err },
			"an odd id":  func() error { _, err := s.Job(ctx, "home", "../../etc"); return err },
			"a long id":  func() error { _, err := s.Job(ctx, "home", strings.Repeat("a", 1<<20)); return err },
		}
		for name, call := range calls {
			if err := call(); !errors.Is(err, store.ErrNotFound) {
				t.Errorf("%s: %v; want it not found", name, err)
			}
		}
		if got, err := s.Job(ctx, "home", j.ID); err != nil || got.Revision != 1 {
			t.Errorf("afterwards: %+v, %v", got, err)
		}
	})
}

func TestChangesMerge(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		if got := save(t, s, anna, j, 1, "/title", `"A"`); got.Job.Revision != 2 || got.Merged || got.Job.Title != "A" {
			t.Errorf("first: %+v", got)
		}
		got := save(t, s, bert, j, 1, "/n/0", `0`)
		if want := `{"title":"A","n":[0,1,2,3],"m":{"x":"1.50"}}`; string(got.Job.Document) != want || !got.Merged || got.Job.Revision != 3 {
			t.Errorf("merged: %+v %s, want %s", got, got.Job.Document, want)
		}
		_, err := s.Change(ctx, bert, j.ID, store.Edit{Base: 1, Patch: set("/title", `"B"`)})
		var c *store.ConflictError
		if !errors.As(err, &c) || len(c.Places) != 1 || c.Places[0].Path != "/title" || string(c.Places[0].Yours) != `"B"` || string(c.Places[0].Theirs) != `"A"` || c.Places[0].By != "Anna" || c.Revision != 3 {
			t.Errorf("conflict: %v %+v", err, c)
		}
		if same := save(t, s, bert, j, 1, "/title", `"A"`); same.Job.Revision != 3 {
			t.Errorf("what is there already made revision %d", same.Job.Revision)
		}
		_, err = s.Change(ctx, bert, j.ID, store.Edit{Base: 9, Patch: set("/title", `"B"`)})
		if !errors.Is(err, store.ErrStale) {
			t.Errorf("a revision that never was: %v", err)
		}
		_, err = s.Change(ctx, bert, j.ID, store.Edit{Base: 1, Patch: change.Patch{{Op: change.Test, Path: "/title", Value: []byte(`"T"`)}, {Op: change.Remove, Path: "/m"}}})
		if !errors.Is(err, store.ErrConflict) {
			t.Errorf("a tested place that moved on: %v", err)
		}
	})
}

// TestHistory: any revision can be had back as it was, also past whole documents.
func TestHistory(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		was := map[int64]string{1: document}
		for i := int64(1); i < 150; i++ {
			patch := set("/n/0", fmt.Sprint(i))
			if i%3 == 0 {
				patch = change.Patch{{Op: change.Remove, Path: "/n/1"}, {Op: change.Add, Path: "/m/k", Value: []byte(fmt.Sprint(i))}}
			}
			saved, err := s.Change(ctx, anna, j.ID, store.Edit{Base: i, What: fmt.Sprint(i), Patch: patch})
			if err != nil {
				t.Fatal(err)
			}
			was[saved.Job.Revision] = string(saved.Job.Document)
		}
		for r, want := range was {
			if got, err := s.Revision(ctx, "home", j.ID, r); err != nil || !change.Equal(got, []byte(want)) {
				t.Errorf("revision %d: %s, %v; was %s", r, got, err, want)
			}
		}
		for _, r := range []int64{0, -1, 151} {
			if _, err := s.Revision(ctx, "home", j.ID, r); !errors.Is(err, store.ErrNotFound) {
				t.Errorf("revision %d: %v", r, err)
			}
		}
		events, err := s.History(ctx, "home", j.ID, 100, 10)
		if err != nil || len(events) != 10 || events[0].Revision != 99 || events[0].By != "Anna" || events[0].What != "98" || len(events[0].Patch) == 0 {
			t.Errorf("history: %+v, %v", events, err)
		}
		d, err := s.Difference(ctx, "home", j.ID, 1, 2)
		if err != nil || len(d) == 0 {
			t.Errorf("difference: %v, %v", d, err)
		}
	})
}

func TestStagesAndPuttingAside(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		got, err := s.SetStage(ctx, bert, j.ID, "signed")
		if err != nil || got.Stage != "signed" || got.Revision != 2 {
			t.Errorf("stage: %+v, %v", got, err)
		}
		if _, err := s.SetStage(ctx, bert, j.ID, "sold"); !errors.Is(err, store.ErrRefused) {
			t.Errorf("no stage: %v", err)
		}
		if _, err := s.SetAside(ctx, anna, j.ID, true); err != nil {
			t.Fatal(err)
		}
		if list, err := s.Jobs(ctx, "home", store.Query{}); err != nil || len(list) != 0 {
			t.Errorf("list: %v, %v", list, err)
		}
		if _, err := s.Change(ctx, anna, j.ID, store.Edit{Base: 3, Patch: set("/title", `"X"`)}); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("change while aside: %v", err)
		}
		if got, err = s.SetAside(ctx, anna, j.ID, false); err != nil || got.Aside || string(got.Document) != document {
			t.Errorf("back: %+v, %v", got, err)
		}
		if list, err := s.Jobs(ctx, "home", store.Query{Aside: true}); err != nil || len(list) != 0 {
			t.Errorf("aside: %v, %v", list, err)
		}
	})
}

// TestManyAtOnce: fifty people on one job, each in a place of their own and all at
// the end of one list: nothing is lost, every revision is one change.
func TestManyAtOnce(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		j := made(t, s)
		const people, each = 25, 4
		var wg sync.WaitGroup
		for p := range people {
			wg.Go(func() {
				w := store.Who{Shop: "home", Account: fmt.Sprint(p), Name: fmt.Sprint(p)}
				for i := range each {
					e := store.Edit{Base: 1, Patch: append(set(fmt.Sprintf("/m/p%d-%d", p, i), "1"), set("/n/-", fmt.Sprintf(`"p%d-%d"`, p, i))...)}
					if _, err := s.Change(ctx, w, j.ID, e); err != nil {
						t.Errorf("person %d: %v", p, err)
					}
				}
			})
		}
		wg.Wait()
		got, err := s.Job(ctx, "home", j.ID)
		if err != nil || got.Revision != 1+people*each {
			t.Fatalf("revision %d, %v; want %d", got.Revision, err, 1+people*each)
		}
		for p := range people {
			for i := range each {
				if name := fmt.Sprintf("p%d-%d\"", p, i); strings.Count(string(got.Document), name) != 2 {
					t.Errorf("%s stands %d times", name, strings.Count(string(got.Document), name))
				}
			}
		}
		if first, err := s.Revision(ctx, "home", j.ID, 1); err != nil || string(first) != document {
			t.Errorf("the first revision: %s, %v", first, err)
		}
	})
}

// TestTwoPrograms: two programs on one database see and keep each other's work.
func TestTwoPrograms(t *testing.T) {
	for _, k := range kinds {
		t.Run(k.name, func(t *testing.T) {
			c := k.config(t)
			one, two := open(t, c), open(t, c)
			j := made(t, one)
			known := map[string]int64{j.ID: 1}
			if news, err := two.News(ctx, known); err != nil || len(news) != 0 {
				t.Errorf("no news: %v, %v", news, err)
			}
			var wg sync.WaitGroup
			for n, s := range []*store.Store{one, two} {
				wg.Go(func() {
					for i := range 20 {
						save(t, s, anna, j, 1, fmt.Sprintf("/m/s%d-%d", n, i), "1")
					}
				})
			}
			wg.Wait()
			news, err := two.News(ctx, known)
			if err != nil || len(news[j.ID]) != 40 || news[j.ID][39].Revision != 41 || news[j.ID][0].By != "Anna" {
				t.Errorf("news: %d, %v", len(news[j.ID]), err)
			}
		})
	}
}

// TestFirstStarts: several programs that start at once on an empty database make its
// tables together, and one demo job.
func TestFirstStarts(t *testing.T) {
	for _, k := range kinds {
		t.Run(k.name, func(t *testing.T) {
			c := k.config(t)
			var wg sync.WaitGroup
			for range 4 {
				wg.Go(func() {
					s, err := store.Open(ctx, c)
					if err != nil {
						t.Error(err)
						return
					}
					defer s.Close()
					if err := s.Begin(ctx, "Shop", []byte(document), "demo"); err != nil {
						t.Error(err)
					}
				})
			}
			wg.Wait()
			if list, err := open(t, c).Jobs(ctx, store.Home, store.Query{}); err != nil || len(list) != 1 {
				t.Errorf("jobs: %v, %v", list, err)
			}
		})
	}
}

// TestPutBackAndChanged: older data are put back, and others save on past the revision that an
// edit or an undo was made for. What says its document is refused, and takes nothing of theirs.
func TestPutBackAndChanged(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		for _, forget := range []bool{true, false} {
			j := made(t, s)
			old := save(t, s, anna, j, 1, "/m/x", `"2"`).Job
			mine := save(t, s, anna, j, 2, "/n/0", `"mine"`).Job // which is lost
			if err := s.PutBack(old); err != nil {
				t.Fatal(err)
			}
			if forget {
				s.Forget()
			}
			theirs := save(t, s, bert, j, 2, "/n/0", `"theirs"`).Job
			for _, more := range []int64{0, 1} {
				if more == 1 {
					theirs = save(t, s, bert, j, 3, "/title", `"B"`).Job
				}
				for what, do := range map[string]func() (store.Saved, error){
					"an edit": func() (store.Saved, error) {
						return s.Change(ctx, anna, j.ID, store.Edit{Base: mine.Revision, Of: mine.Hash, What: "x", Patch: change.Patch{{Op: change.Remove, Path: "/n/0"}}})
					},
					"an undo": func() (store.Saved, error) { return s.Undo(ctx, anna, j.ID, mine.Revision, mine.Hash) },
				} {
					if got, err := do(); !errors.Is(err, store.ErrStale) {
						t.Errorf("%s, %d on: %s, %v", what, more, got.Job.Document, err)
					}
				}
				if now, err := s.Job(ctx, "home", j.ID); err != nil || now.Hash != theirs.Hash || now.Revision != theirs.Revision {
					t.Errorf("%d on: %s, %v", more, now.Document, err)
				}
			}
			if got, err := s.Change(ctx, anna, j.ID, store.Edit{Base: 2, Of: old.Hash, What: "x", Patch: set("/m/x", `"3"`)}); err != nil || !got.Merged {
				t.Errorf("made for what was put back: %v", err)
			}
			now, err := s.Head(ctx, "home", j.ID)
			if err != nil {
				t.Fatal(err)
			}
			if err := s.PutBack(store.Job{ID: j.ID, Revision: now.Revision, Hash: old.Hash}); err != nil { // beneath a store that wrote it last
				t.Fatal(err)
			}
			if got, err := s.Change(ctx, anna, j.ID, store.Edit{Base: now.Revision, What: "x", Patch: set("/m/x", `"4"`)}); !errors.Is(err, store.ErrDamaged) {
				t.Errorf("on another document than was read: %s, %v", got.Job.Document, err)
			}
		}
	})
}
