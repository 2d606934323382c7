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

// offered is a job with one offer sent.
func offered(t *testing.T, s *store.Store) (store.Who, store.Job, store.Offer, string) {
	t.Helper()
	ctx := context.Background()
	if err := s.AddShop(ctx, "shop", "Shop"); err != nil {
		t.Fatal(err)
	}
	w := store.Who{Shop: "shop", Name: "Anna"}
	j, err := s.Create(ctx, w, []byte(`{"title":"House"}`), "made")
	if err != nil {
		t.Fatal(err)
	}
	o, token, err := s.AddOffer(ctx, w, store.Offer{Job: j.ID, Kind: "offer", Revision: 1, LinkUntil: time.Now().Add(time.Hour), Document: "{}", Options: "[]"})
	if err != nil {
		t.Fatal(err)
	}
	return w, j, o, token
}

func TestOfferLinks(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		ctx := context.Background()
		w, j, o, token := offered(t, s)
		if len(token) < 26 { // 128 bits in base32
			t.Errorf("a token of %d letters", len(token))
		}
		got, shop, err := s.OfferByToken(ctx, token)
		if err != nil || got.ID != o.ID || shop != "shop" || got.Document != "{}" {
			t.Fatal(got, shop, err)
		}
		if _, _, err := s.OfferByToken(ctx, token[:25]+"2"); !errors.Is(err, store.ErrNotFound) {
			t.Error("a guessed token:", err)
		}
		again, err := s.Relink(ctx, w, j.ID, o.ID, time.Now().Add(time.Hour))
		if err != nil || again == token {
			t.Fatal(err)
		}
		if _, _, err := s.OfferByToken(ctx, token); !errors.Is(err, store.ErrNotFound) {
			t.Error("the old link still leads somewhere:", err)
		}
		if _, err := s.Offer(ctx, "other", j.ID, o.ID); !errors.Is(err, store.ErrNotFound) {
			t.Error("another shop reads the offer:", err)
		}
		if err := s.MoveOffer(ctx, w, j.ID, o.ID, store.OfferRevoked, "taken back"); err != nil {
			t.Fatal(err)
		}
		if err := s.SignOffer(ctx, o.ID, "d", "{}", "Pat"); !errors.Is(err, store.ErrOfferState) {
			t.Error("an offer taken back was signed:", err)
		}
		if _, err := s.Relink(ctx, w, j.ID, o.ID, time.Now()); !errors.Is(err, store.ErrOfferState) {
			t.Error("an offer taken back has a new link:", err)
		}
		events, err := s.OfferEvents(ctx, o.ID)
		if err != nil || len(events) != 3 || events[0].Kind != "sent" || events[2].Kind != "revoked" {
			t.Error(events, err)
		}
	})
}

// Many sign at once: one does.
func TestSignAtOnce(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		ctx := context.Background()
		w, j, o, _ := offered(t, s)
		second, _, err := s.AddOffer(ctx, w, store.Offer{Job: j.ID, Kind: "offer", Revision: 1, LinkUntil: time.Now(), Document: "{}", Options: "[]"})
		if err != nil {
			t.Fatal(err)
		}
		var all sync.WaitGroup
		errs := make([]error, 16)
		for i := range errs {
			all.Go(func() {
				errs[i] = s.SignOffer(ctx, []string{o.ID, second.ID}[i%2], fmt.Sprint(i), "{}", "Pat")
			})
		}
		all.Wait()
		signed := 0
		for _, err := range errs {
			switch {
			case err == nil:
				signed++
			case !errors.Is(err, store.ErrOfferState) && !errors.Is(err, store.ErrOfferOther):
				t.Error(err)
			}
		}
		if signed != 1 {
			t.Errorf("%d signatures were taken", signed)
		}
	})
}

// A change takes the place of what it changes, and only of that.
func TestSignChange(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		ctx := context.Background()
		w, j, o, _ := offered(t, s)
		add := func(instead string) store.Offer {
			c, _, err := s.AddOffer(ctx, w, store.Offer{Job: j.ID, Kind: "change", Revision: 2, LinkUntil: time.Now(), Document: "{}", Options: "[]", Instead: instead})
			if err != nil {
				t.Fatal(err)
			}
			return c
		}
		early := add(o.ID)
		if err := s.SignOffer(ctx, early.ID, "x", "{}", "Pat"); !errors.Is(err, store.ErrOfferOther) {
			t.Error("a change of what is not signed:", err)
		}
		if err := s.SignOffer(ctx, o.ID, "d", "{}", "Pat"); err != nil {
			t.Fatal(err)
		}
		late := add(o.ID)
		if err := s.SignOffer(ctx, early.ID, "x", "{}", "Pat"); err != nil {
			t.Fatal(err)
		}
		if err := s.SignOffer(ctx, late.ID, "y", "{}", "Pat"); !errors.Is(err, store.ErrOfferOther) {
			t.Error("a change of what was replaced:", err)
		}
		if err := s.Countersign(ctx, w, j.ID, early.ID, "{}"); err != nil {
			t.Error(err)
		}
		if err := s.Countersign(ctx, w, j.ID, early.ID, "{}"); !errors.Is(err, store.ErrOfferState) {
			t.Error("countersigned twice:", err)
		}
		states := map[string]store.OfferState{}
		list, err := s.Offers(ctx, "shop", j.ID)
		for _, x := range list {
			states[x.ID] = x.State
		}
		if err != nil || states[o.ID] != store.OfferReplaced || states[early.ID] != store.OfferSigned || states[late.ID] != store.OfferOpen {
			t.Error(states, err)
		}
	})
}

// Numbers run on without gap or double, whoever asks at once.
func TestInvoiceNumbers(t *testing.T) {
	each(t, func(t *testing.T, s *store.Store) {
		ctx := context.Background()
		w, j, o, _ := offered(t, s)
		var all sync.WaitGroup
		for step := range 6 {
			all.Go(func() {
				if _, err := s.AddInvoice(ctx, w, store.Invoice{Job: j.ID, Offer: o.ID, Step: step, Issued: time.Now()}, func(n int64, _ []store.Invoice, _ []store.Credit) (string, error) {
					return fmt.Sprint(n), nil
				}); err != nil {
					t.Error(err)
				}
			})
		}
		all.Wait()
		_, err := s.AddInvoice(ctx, w, store.Invoice{Job: j.ID, Offer: o.ID, Step: 3, Issued: time.Now()}, func(int64, []store.Invoice, []store.Credit) (string, error) { return "", nil })
		if !errors.Is(err, store.ErrTaken) {
			t.Error("a payment was asked for twice:", err)
		}
		list, err := s.Invoices(ctx, "shop", j.ID)
		if err != nil || len(list) != 6 {
			t.Fatal(list, err)
		}
		for i, x := range list {
			if x.Number != int64(i+1) || x.Body != fmt.Sprint(i+1) || !x.Paid.IsZero() {
				t.Errorf("%+v", x)
			}
		}
		if err := s.Paid(ctx, w, j.ID, 2, time.Now(), "by cheque"); err != nil {
			t.Error(err)
		}
		if err := s.Paid(ctx, w, j.ID, 2, time.Now(), "again"); !errors.Is(err, store.ErrOfferState) {
			t.Error("paid twice:", err)
		}
	})
}
