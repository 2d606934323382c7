package store_test

import (
	"errors"
	"fmt"
	"io"
	"sync"
	"testing"
	"time"

	"coilwright/store"
)

func TestAccounts(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		if some, err := s.HasAccounts(ctx); err != nil || some {
			t.Errorf("has accounts: %v, %v", some, err)
		}
		var wg sync.WaitGroup
		var mu sync.Mutex
		first := 0
		for i := range 8 {
			wg.Go(func() {
				_, err := s.First(ctx, "Shop", fmt.Sprintf("Anna %d", i), "secret")
				mu.Lock()
				defer mu.Unlock()
				if err == nil {
					first++
				} else if !errors.Is(err, store.ErrTaken) {
					t.Errorf("first: %v", err)
				}
			})
		}
		wg.Wait()
		if first != 1 {
			t.Errorf("%d first accounts", first)
		}
		b, err := s.AddAccount(ctx, "home", "Bert  ", "s2")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.AddAccount(ctx, "other", "bERT", "s3"); !errors.Is(err, store.ErrTaken) {
			t.Errorf("taken: %v", err)
		}
		got, err := s.AccountByName(ctx, " BERT")
		if err != nil || got.ID != b.ID || got.Secret != "s2" || got.ShopTitle != "Shop" {
			t.Errorf("by name: %+v, %v", got, err)
		}
		if _, err := s.AccountByID(ctx, "nobody"); !errors.Is(err, store.ErrNotFound) {
			t.Errorf("nobody: %v", err)
		}
	})
}

func TestSessions(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		x := s.Sessions()
		if err := x.Commit("t1", []byte{0, 1, 255}, time.Now().Add(time.Hour)); err != nil {
			t.Fatal(err)
		}
		if err := x.Commit("t1", []byte{7}, time.Now().Add(time.Hour)); err != nil {
			t.Fatal(err)
		}
		if err := x.Commit("old", []byte{7}, time.Now().Add(-time.Second)); err != nil {
			t.Fatal(err)
		}
		if got, ok, err := x.Find("t1"); err != nil || !ok || string(got) != "\x07" {
			t.Errorf("found %v %v %v", got, ok, err)
		}
		if _, ok, err := x.Find("old"); ok || err != nil {
			t.Errorf("a session that ended: %v %v", ok, err)
		}
		if err := x.Delete("t1"); err != nil {
			t.Fatal(err)
		}
		if _, ok, err := x.Find("t1"); ok || err != nil {
			t.Errorf("a deleted session: %v %v", ok, err)
		}
	})
}

func TestFiles(t *testing.T) {
	for _, k := range append(kinds[:2:2], inBucket) {
		t.Run(k.name, func(t *testing.T) {
			s := open(t, k.config(t))
			j := made(t, s)
			read := func(name string) string {
				_, r, err := s.OpenFile(ctx, "home", j.ID, name)
				if err != nil {
					return err.Error()
				}
				defer r.Close()
				b, err := io.ReadAll(r)
				if err != nil {
					return err.Error()
				}
				return string(b)
			}
			put := func(prefix string, names ...string) {
				t.Helper()
				var all []store.Content
				for _, n := range names {
					all = append(all, store.Content{Name: n, Media: "text/plain", Bytes: []byte("content of " + n)})
				}
				if err := s.PutFiles(ctx, "home", j.ID, prefix, all); err != nil {
					t.Fatal(err)
				}
			}
			put("", "papers/A/1/é x.pdf", "papers/A/1/../../../y", "added/photo")
			put("papers/A/", "papers/A/2/z.pdf", "papers/A/2/a.pdf")
			list, err := s.Files(ctx, "home", j.ID, "papers/")
			if err != nil || len(list) != 2 || list[0].Name != "papers/A/2/z.pdf" || list[0].Size != 27 {
				t.Errorf("list: %+v, %v", list, err)
			}
			if got := read("papers/A/2/z.pdf"); got != "content of papers/A/2/z.pdf" {
				t.Error(got)
			}
			if got := read("added/photo"); got != "content of added/photo" {
				t.Error(got)
			}
			if _, _, err := s.OpenFile(ctx, "home", j.ID, "papers/A/1/é x.pdf"); !errors.Is(err, store.ErrNotFound) {
				t.Errorf("a replaced paper: %v", err)
			}
			if err := s.RemoveFile(ctx, "home", j.ID, "added/photo"); err != nil {
				t.Error(err)
			}
			if err := s.RemoveFile(ctx, "home", j.ID, "added/photo"); !errors.Is(err, store.ErrNotFound) {
				t.Errorf("removed twice: %v", err)
			}
			if err := s.PutFiles(ctx, "home", j.ID, "", []store.Content{{Name: "a\x00b"}}); !errors.Is(err, store.ErrRefused) {
				t.Errorf("an odd name: %v", err)
			}
		})
	}
}
