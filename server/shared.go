package server

import (
	"context"
	"encoding/json"
	"fmt"
	"runtime/debug"
	"slices"
	"sync"
	"time"

	"coilwright/store"
)

// mostAnswers bounds the answers that a shared question keeps.
const mostAnswers = 64

// shared answers equal questions once, whoever asks and of whichever document: few at a
// time, and only while somebody waits. A question that nobody waits for any more is
// stopped, so that a person who edits fast does not queue behind what they have left.
type shared[Q, A any] struct {
	do     func(context.Context, Q) (A, error)
	places chan struct{}
	grace  time.Duration

	mu    sync.Mutex
	asked map[string]*answer[A]
	order []string // of those answered, oldest first
}

// answer is one that is worked out, or on its way.
type answer[A any] struct {
	done    chan struct{}
	value   A
	err     error
	waiting int
	stop    context.CancelFunc
}

func newShared[Q, A any](do func(context.Context, Q) (A, error), places int) *shared[Q, A] {
	return &shared[Q, A]{do: do, places: make(chan struct{}, places), grace: time.Second, asked: map[string]*answer[A]{}}
}

// ask gives the answer to q; where ctx ends first, its error.
func (s *shared[Q, A]) ask(ctx context.Context, q Q) (out A, err error) {
	text, err := json.Marshal(q)
	if err != nil {
		return out, err
	}
	key := store.Hash(text)
	a := s.join(ctx, key, q)
	select {
	case <-a.done:
		return a.value, a.err
	case <-ctx.Done():
		s.leave(key, a)
		return out, ctx.Err()
	}
}

// join waits for the answer that is kept or on its way, or begins it.
func (s *shared[Q, A]) join(ctx context.Context, key string, q Q) *answer[A] {
	s.mu.Lock()
	defer s.mu.Unlock()
	a := s.asked[key]
	if a == nil {
		on, stop := context.WithCancel(context.WithoutCancel(ctx))
		a = &answer[A]{done: make(chan struct{}), stop: stop}
		s.asked[key] = a
		go s.work(on, key, q, a)
	}
	a.waiting++
	return a
}

// leave stops what nobody waits for any more, unless the same is asked again soon: a page
// that shows a job's next content leaves the answers of the one before.
func (s *shared[Q, A]) leave(key string, a *answer[A]) {
	s.mu.Lock()
	defer s.mu.Unlock()
	a.waiting--
	if a.waiting == 0 {
		time.AfterFunc(s.grace, func() { s.stopLeft(key, a) })
	}
}

func (s *shared[Q, A]) stopLeft(key string, a *answer[A]) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if a.waiting == 0 && s.asked[key] == a && !closed(a.done) {
		delete(s.asked, key)
		a.stop()
	}
}

func (s *shared[Q, A]) work(ctx context.Context, key string, q Q, a *answer[A]) {
	defer a.stop()
	release, err := turn(ctx, s.places)
	if err != nil {
		return // stopped: nobody waits
	}
	a.value, a.err = s.safely(ctx, q)
	release()
	s.mu.Lock()
	defer s.mu.Unlock()
	close(a.done)
	if s.asked[key] != a {
		return // stopped
	}
	s.order = append(s.order, key)
	if len(s.order) > mostAnswers {
		delete(s.asked, s.order[0])
		s.order = slices.Delete(s.order, 0, 1)
	}
}

// safely has a fault in what is asked end that question alone, not the program.
func (s *shared[Q, A]) safely(ctx context.Context, q Q) (out A, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("a fault of the program: %v\n%s", fault, debug.Stack())
		}
	}()
	return s.do(ctx, q)
}

func closed(done chan struct{}) bool {
	select {
	case <-done:
		return true
	default:
		return false
	}
}
