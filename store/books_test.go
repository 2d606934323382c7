package store_test

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"coilwright/store"
)

func TestBookVersions(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		ctx := context.Background()
		w, _, _, _ := offered(t, s)
		if n, err := s.NewestBook(ctx, "shop"); n != 0 || err != nil {
			t.Fatal(n, err)
		}
		for i := range int64(3) {
			v, err := s.SaveBook(ctx, w, i, []byte(fmt.Sprintf(`{ "n": %d }`, i)), "prices\nof May")
			if err != nil || v.Version != i+1 || v.By != "Anna" || v.What != "prices of May" {
				t.Fatal(v, err)
			}
		}
		if _, err := s.SaveBook(ctx, w, 1, []byte(`{}`), ""); !errors.Is(err, store.ErrStale) {
			t.Error("an old base was taken:", err)
		}
		if _, err := s.SaveBook(ctx, store.Who{Shop: "nobody"}, 0, []byte(`{}`), ""); !errors.Is(err, store.ErrNotFound) {
			t.Error("a shop that is not there:", err)
		}
		v, err := s.Book(ctx, "shop", 2)
		if err != nil || string(v.Document) != `{"n":1}` || time.Since(v.At) > time.Minute {
			t.Error(string(v.Document), err)
		}
		if _, err := s.Book(ctx, "other", 2); !errors.Is(err, store.ErrNotFound) {
			t.Error("another shop reads the book:", err)
		}
		all, err := s.Books(ctx, "shop")
		if err != nil || len(all) != 3 || all[0].Version != 3 || all[0].Document != nil {
			t.Error(all, err)
		}
	})
}

// Many save on the same version at once: one is taken.
func TestBookAtOnce(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		w, _, _, _ := offered(t, s)
		var all sync.WaitGroup
		errs := make([]error, 8)
		for i := range errs {
			all.Go(func() { _, errs[i] = s.SaveBook(context.Background(), w, 0, []byte(`{}`), "") })
		}
		all.Wait()
		taken := 0
		for _, err := range errs {
			if err == nil {
				taken++
			} else if !errors.Is(err, store.ErrStale) {
				t.Error(err)
			}
		}
		if taken != 1 {
			t.Errorf("%d were taken: %v", taken, errs)
		}
	})
}

func TestShopFiles(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		ctx := context.Background()
		offered(t, s)
		var hash string
		for range 2 { // the same again is no second one
			var err error
			if hash, err = s.PutShopFile(ctx, "shop", store.Content{Media: "image/png", Bytes: []byte("a mark")}); err != nil {
				t.Fatal(err)
			}
		}
		c, err := s.ShopFile(ctx, "shop", hash)
		if err != nil || string(c.Bytes) != "a mark" || c.Media != "image/png" {
			t.Error(c, err)
		}
		for _, wrong := range [][2]string{{"other", hash}, {"shop", "../jobs"}, {"shop", "00"}} {
			if _, err := s.ShopFile(ctx, wrong[0], wrong[1]); !errors.Is(err, store.ErrNotFound) {
				t.Error(wrong, err)
			}
		}
	})
}

func TestReleases(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		ctx := context.Background()
		w, j, _, _ := offered(t, s)
		for _, r := range []store.Release{{Scheme: "A", Pieces: "p", Revision: 1}, {Scheme: "A", Pieces: "p", Revision: 2}, {Scheme: "B", Pieces: "q", Revision: 2}} {
			if err := s.AddRelease(ctx, w, j.ID, r); err != nil {
				t.Fatal(err)
			}
		}
		all, err := s.Releases(ctx, "shop", j.ID)
		if err != nil || len(all) != 2 || all[1].Revision != 1 || all[0].Number != 2 || all[0].By != "Anna" {
			t.Error(all, err)
		}
		if err := s.TakeBackReleases(ctx, w, j.ID, "A"); err != nil {
			t.Fatal(err)
		}
		if all, err = s.Releases(ctx, "shop", j.ID); err != nil || len(all) != 1 || all[0].Scheme != "B" {
			t.Error(all, err)
		}
		if err := s.AddRelease(ctx, store.Who{Shop: "other"}, j.ID, store.Release{}); !errors.Is(err, store.ErrNotFound) {
			t.Error("another shop releases:", err)
		}
	})
}

// A word that is taken back stays to be read, with who took it back.
func TestWords(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		ctx := context.Background()
		w, j, _, _ := offered(t, s)
		for _, word := range []store.Word{{Scheme: "A", Pieces: "[]", Name: "Robin", Reason: "measured twice", Revision: 1}, {Scheme: "B", Pieces: "[]", Name: "Kim", Revision: 2}} {
			if err := s.AddWord(ctx, w, j.ID, word); err != nil {
				t.Fatal(err)
			}
		}
		if err := s.TakeBackWord(ctx, w, j.ID, "A", 1); err != nil {
			t.Fatal(err)
		}
		all, err := s.Words(ctx, "shop", j.ID)
		if err != nil || len(all) != 2 || all[0].Name != "Robin" || all[0].Reason != "measured twice" || all[0].By != "Anna" || all[0].TakenBy != "Anna" || all[0].TakenBack.IsZero() || !all[1].TakenBack.IsZero() {
			t.Errorf("%+v %v", all, err)
		}
		if err := s.TakeBackWord(ctx, w, j.ID, "A", 2); !errors.Is(err, store.ErrNotFound) {
			t.Error("a word of another scheme was taken back:", err)
		}
		if err := s.AddWord(ctx, store.Who{Shop: "other"}, j.ID, store.Word{}); !errors.Is(err, store.ErrNotFound) {
			t.Error("another shop answers:", err)
		}
	})
}

func TestFinished(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		ctx := context.Background()
		w, j, _, _ := offered(t, s)
		for _, body := range []string{"{}", `{"n":2}`} {
			if err := s.Finish(ctx, w, j.ID, body); err != nil {
				t.Fatal(err)
			}
		}
		all, err := s.AllFinished(ctx, "shop")
		if err != nil || len(all) != 1 || all[0].Body != `{"n":2}` {
			t.Error(all, err)
		}
		if _, err := s.FinishedJob(ctx, "other", j.ID); !errors.Is(err, store.ErrNotFound) {
			t.Error(err)
		}
		if _, err := s.SetAside(ctx, w, j.ID, true); err != nil {
			t.Fatal(err)
		}
		if all, err = s.AllFinished(ctx, "shop"); err != nil || len(all) != 0 {
			t.Error("a job put aside still teaches:", all, err)
		}
	})
}

// A payment that was credited whole is asked for again; one in part is not.
func TestCredits(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		ctx := context.Background()
		w, j, o, _ := offered(t, s)
		ask := func() error {
			_, err := s.AddInvoice(ctx, w, store.Invoice{Job: j.ID, Offer: o.ID, Issued: time.Now()}, func(int64, []store.Invoice, []store.Credit) (string, error) { return "{}", nil })
			return err
		}
		credit := func(invoice int64, whole bool) error {
			return s.AddCredit(ctx, w, store.Credit{Job: j.ID, Invoice: invoice, Issued: time.Now()}, func(n int64, invoices []store.Invoice, earlier []store.Credit) (string, bool, error) {
				if len(invoices) == 0 {
					return "", false, store.ErrRefused
				}
				return fmt.Sprint(n, len(earlier)), whole, nil
			})
		}
		if err := credit(1, true); !errors.Is(err, store.ErrRefused) {
			t.Error(err)
		}
		if err := ask(); err != nil {
			t.Fatal(err)
		}
		if err := credit(1, false); err != nil {
			t.Fatal(err)
		}
		if err := ask(); !errors.Is(err, store.ErrTaken) {
			t.Error("asked for twice:", err)
		}
		if err := credit(1, true); err != nil {
			t.Fatal(err)
		}
		if err := ask(); err != nil {
			t.Error("a payment credited whole cannot be asked for again:", err)
		}
		all, err := s.Credits(ctx, "shop", j.ID)
		if err != nil || len(all) != 2 || all[1].Number != 2 || all[1].Body != "2 1" || !all[1].Whole || all[0].By != "Anna" {
			t.Error(all, err)
		}
	})
}
