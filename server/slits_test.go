package server

import (
	"bytes"
	"context"
	"slices"
	"sync/atomic"
	"testing"

	"coilwright/coil"
	"coilwright/examples"
	"coilwright/guillotine"
	"coilwright/job"
	"coilwright/store"
)

// slitter slits with little work once it is let go, and counts what it is asked.
type slitter struct {
	asked      atomic.Int32
	began, let chan struct{}
}

func (s *slitter) slit(ctx context.Context, c guillotine.Coil) (guillotine.Plan, error) {
	s.asked.Add(1)
	s.began <- struct{}{}
	<-s.let
	c.Steps = 100_000
	return guillotine.Slit(ctx, c)
}

// formsFlats is a job whose shop takes corner flats from panel coil.
func formsFlats(t *testing.T, d *desk, title string) *worked {
	t.Helper()
	text := bytes.Replace(examples.Demo, []byte(`"use": "demo"`), []byte(`"use": "demo", "trim": {"post_flat_from": "panel-coil"}`), 1)
	text = bytes.Replace(text, []byte(`Alder Row 7`), []byte(title), 1)
	w, err := d.at(t.Context(), "", store.Job{Hash: store.Hash(text), Document: text}, nil)
	if err != nil || w.sound() != nil || !w.job.RunsFlats() || w.job.Title == "" {
		t.Fatal(err, w.found)
	}
	return w
}

// Where corner flats come from panel coil a run waits for a slitting. It holds up no price
// meanwhile, and the same flats are slit once: for the run, for what the run's page shows
// and for another job that has them too.
func TestARunThatWaitsForItsFlatsHoldsUpNoPrice(t *testing.T) {
	s, d, in := &Server{}, newDesk(), &slitter{began: make(chan struct{}, 99), let: make(chan struct{})}
	d.slits, d.slow = newShared(in.slit, 1), make(chan struct{}, 1)
	w, ctx := formsFlats(t, d, "Alder Row 7"), t.Context()
	ran := make(chan *job.RunResult, 1)
	go func() {
		r, err := s.run(ctx, w, "A", spoken{})
		if err != nil {
			t.Error(err)
		}
		ran <- r
	}()
	select {
	case <-in.began:
	case <-ran:
		t.Fatal("the run slit by itself")
	}
	if _, err := slow(ctx, w, "price", func() (job.PriceAnswer, error) { return priceOf(&w.job) }); err != nil {
		t.Fatal(err)
	}
	close(in.let)
	r := <-ran
	if r == nil || !slices.ContainsFunc(r.Input.Cuts, func(c coil.Cut) bool { return c.Setup.Panel == "flat" }) {
		t.Fatal("the run forms no flats")
	}
	if n := in.asked.Load(); n != 2 { // trim coil, panel coil
		t.Errorf("%d questions, want 2", n)
	}
	if _, err := s.slitting(ctx, w, "A", r.Layout); err != nil {
		t.Fatal(err)
	}
	if _, err := s.run(ctx, formsFlats(t, d, "Alder Row 8"), "A", spoken{}); err != nil {
		t.Fatal(err)
	}
	if n := in.asked.Load(); n != 2 {
		t.Errorf("slit anew: %d questions", n)
	}
}
