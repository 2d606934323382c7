package server

import (
	"context"
	"errors"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// slowly answers a question when it is let go, counts how often it began, and tells
// when it was stopped.
type slowly struct {
	began      atomic.Int32
	start, let chan struct{}
	stopped    chan struct{}
}

func newSlowly() *slowly {
	return &slowly{start: make(chan struct{}, 999), let: make(chan struct{}), stopped: make(chan struct{}, 99)}
}

func (s *slowly) double(ctx context.Context, n int) (int, error) {
	s.began.Add(1)
	s.start <- struct{}{}
	select {
	case <-s.let:
		return 2 * n, nil
	case <-ctx.Done():
		s.stopped <- struct{}{}
		return 0, ctx.Err()
	}
}

type said struct {
	n   int
	err error
}

func later(do func() (int, error)) chan said {
	out := make(chan said, 1)
	go func() {
		n, err := do()
		out <- said{n, err}
	}()
	return out
}

// waiting waits until so many wait for the only answer on its way.
func waiting(t *testing.T, s *shared[int, int], n int) {
	t.Helper()
	for range 5000 {
		s.mu.Lock()
		for _, a := range s.asked {
			if a.waiting == n {
				s.mu.Unlock()
				return
			}
		}
		s.mu.Unlock()
		time.Sleep(time.Millisecond)
	}
	t.Fatalf("never did %d wait", n)
}

// asked waits until so many questions are on their way or kept.
func asked(t *testing.T, s *shared[int, int], n int) {
	t.Helper()
	for range 5000 {
		s.mu.Lock()
		now := len(s.asked)
		s.mu.Unlock()
		if now == n {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Fatalf("there never were %d questions", n)
}

// patient is a desk of slow answers at one place, which stops what was left after so long.
func patient(grace time.Duration) (*slowly, *shared[int, int]) {
	slow := newSlowly()
	s := newShared(slow.double, 1)
	s.grace = grace
	return slow, s
}

func TestEqualQuestionsAreAnsweredOnce(t *testing.T) {
	slow, s := patient(time.Second)
	ask := func() (int, error) { return s.ask(t.Context(), 21) }
	one, two := later(ask), later(ask)
	waiting(t, s, 2)
	close(slow.let)
	for _, c := range []chan said{one, two, later(ask)} {
		if got := <-c; got.n != 42 || got.err != nil {
			t.Fatal(got)
		}
	}
	if n := slow.began.Load(); n != 1 {
		t.Errorf("worked out %d times", n)
	}
}

func TestAQuestionLeftAndAskedAgainGoesOn(t *testing.T) {
	slow, s := patient(time.Hour)
	ctx, leave := context.WithCancel(t.Context())
	one := later(func() (int, error) { return s.ask(ctx, 1) })
	<-slow.start
	leave()
	<-one
	two := later(func() (int, error) { return s.ask(t.Context(), 1) })
	waiting(t, s, 1)
	close(slow.let)
	if got := <-two; got.n != 2 || got.err != nil || slow.began.Load() != 1 {
		t.Fatal(got, slow.began.Load())
	}
}

func TestAQuestionGoesOnWhileSomebodyWaits(t *testing.T) {
	slow, s := patient(0)
	first, leave := context.WithCancel(t.Context())
	one := later(func() (int, error) { return s.ask(first, 1) })
	two := later(func() (int, error) { return s.ask(t.Context(), 1) })
	waiting(t, s, 2)
	leave()
	if got := <-one; !errors.Is(got.err, context.Canceled) {
		t.Fatal(got)
	}
	close(slow.let)
	if got := <-two; got.n != 2 || got.err != nil || slow.began.Load() != 1 {
		t.Fatal(got, slow.began.Load())
	}
}

func TestAQuestionThatAllLeftIsStoppedAndGivesItsPlace(t *testing.T) {
	slow, s := patient(0)
	ctx, leave := context.WithCancel(t.Context())
	one := later(func() (int, error) { return s.ask(ctx, 1) })
	<-slow.start
	behind, leaveToo := context.WithCancel(t.Context())
	leaveToo()
	if _, err := s.ask(behind, 2); !errors.Is(err, context.Canceled) { // never begun
		t.Fatal(err)
	}
	asked(t, s, 1)
	leave()
	<-one
	<-slow.stopped
	close(slow.let)
	if n, err := s.ask(t.Context(), 1); n != 2 || err != nil {
		t.Fatal(n, err)
	}
	if n := slow.began.Load(); n != 2 {
		t.Errorf("begun %d times", n)
	}
}

func TestNobodyWhoHasLeftTakesAPlace(t *testing.T) {
	ctx, leave := context.WithCancel(t.Context())
	leave()
	places := make(chan struct{}, 1)
	for range 100 {
		if _, err := turn(ctx, places); err == nil || len(places) > 0 {
			t.Fatal("a place was taken")
		}
	}
}

func TestAFaultEndsItsQuestionAlone(t *testing.T) {
	s := newShared(func(_ context.Context, n int) (int, error) { return 1 / n, nil }, 1)
	if _, err := s.ask(t.Context(), 0); err == nil || !strings.Contains(err.Error(), "divide by zero") {
		t.Fatal(err)
	}
	if n, err := s.ask(t.Context(), 1); n != 1 || err != nil {
		t.Fatal(n, err)
	}
}

func TestSharedKeepsTheNewestAnswers(t *testing.T) {
	slow, s := patient(time.Second)
	close(slow.let)
	for n := range 3 * mostAnswers {
		if _, err := s.ask(t.Context(), n); err != nil {
			t.Fatal(err)
		}
	}
	s.mu.Lock()
	kept := len(s.asked)
	s.mu.Unlock()
	if kept > mostAnswers {
		t.Errorf("%d answers kept", kept)
	}
	if _, _ = s.ask(t.Context(), 3*mostAnswers-1); int(slow.began.Load()) != 3*mostAnswers {
		t.Error("the newest was not kept")
	}
}

// Who waits for what another began, and left, gets it all the same.
func TestWorkThatItsAskerLeftIsBegunAnew(t *testing.T) {
	w := &worked{done: map[string]*once{}}
	slow := newSlowly()
	ctx, leave := context.WithCancel(t.Context())
	one := later(func() (int, error) { return work(w, "k", func() (int, error) { return slow.double(ctx, 1) }) })
	<-slow.start
	two := later(func() (int, error) { return work(w, "k", func() (int, error) { return slow.double(t.Context(), 1) }) })
	leave()
	if got := <-one; !errors.Is(got.err, context.Canceled) {
		t.Fatal(got)
	}
	close(slow.let)
	if got := <-two; got.n != 2 || got.err != nil {
		t.Fatal(got)
	}
	if n, err := work(w, "k", func() (int, error) { return 7, nil }); n != 2 || err != nil {
		t.Fatal("not kept:", n, err)
	}
}
