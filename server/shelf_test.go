package server

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestShelf: whatever is asked for in whatever order, the answer is right and no more
// is held than may be; what was asked for last is held still.
func TestShelf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newShelf(100, 4, func(v int) int { return v })
		for range rapid.IntRange(1, 60).Draw(t, "askings") {
			v := rapid.IntRange(0, 130).Draw(t, "value")
			got, err := s.get(strconv.Itoa(v), func() (int, error) {
				if v == 7 {
					return 0, errors.New("no")
				}
				return v, nil
			})
			if (err != nil) != (v == 7) || err == nil && got != v {
				t.Fatalf("%d: %d, %v", v, got, err)
			}
			sum := 0
			for k, it := range s.held {
				sum += it.cost
				if strconv.Itoa(it.value) != k {
					t.Fatalf("%s holds %d", k, it.value)
				}
			}
			if sum > 100 || sum != s.total || len(s.held) > 4 || len(s.held) != len(s.order) {
				t.Fatalf("held %d of %d things, said %d, order %v", sum, len(s.held), s.total, s.order)
			}
			if v <= 100 && v != 7 && s.held[strconv.Itoa(v)] == nil {
				t.Fatalf("%d was asked for last and is not held", v)
			}
		}
	})
}

// TestShelfOnce: many who ask at once wait for one making.
func TestShelfOnce(t *testing.T) {
	s := newShelf(1000, 10, func(string) int { return 1 })
	var made atomic.Int64
	var all sync.WaitGroup
	for i := range 40 {
		all.Go(func() {
			key := fmt.Sprint(i % 4)
			if got, err := s.get(key, func() (string, error) { made.Add(1); return "thing " + key, nil }); err != nil || got != "thing "+key {
				t.Errorf("%s: %q, %v", key, got, err)
			}
		})
	}
	if all.Wait(); made.Load() != 4 {
		t.Errorf("made %d times, want 4", made.Load())
	}
}

// TestGone: whoever goes away while a picture waits for its turn, or is being made,
// keeps no place, and takes no picture from those who stay.
func TestGone(t *testing.T) {
	const tick = 10 * time.Microsecond
	rapid.Check(t, func(rt *rapid.T) {
		stay := rapid.SliceOfN(rapid.Bool(), 1, 12).Draw(rt, "who stays")
		leave := rapid.SliceOfN(rapid.IntRange(0, 40), len(stay), len(stay)).Draw(rt, "leaves after")
		come := rapid.SliceOfN(rapid.IntRange(0, 30), len(stay), len(stay)).Draw(rt, "comes after")
		busy := rapid.IntRange(0, 40).Draw(rt, "the place is another's until")
		places := make(chan struct{}, 1)
		places <- struct{}{}
		fits, files := newShelf(9, 9, func(int) int { return 1 }), newShelf(9, 9, func(int) int { return 1 })
		ask := func(ctx context.Context) (int, error) {
			return shelvedFor(ctx, files, "picture", func() (int, error) {
				fit, err := shelvedFor(ctx, fits, "fit", func() (int, error) {
					return unlessGone(ctx, places, func() (int, error) { time.Sleep(10 * tick); return 3, nil })
				})
				if err != nil {
					return 0, err
				}
				return unlessGone(ctx, places, func() (int, error) { time.Sleep(10 * tick); return 2 * fit, nil })
			})
		}
		var all sync.WaitGroup
		var wrong atomic.Int64
		all.Go(func() { time.Sleep(time.Duration(busy) * tick); <-places })
		for i := range stay {
			all.Go(func() {
				time.Sleep(time.Duration(come[i]) * tick)
				ctx, gone := context.WithTimeout(t.Context(), 5*time.Second)
				defer gone()
				if !stay[i] {
					time.AfterFunc(time.Duration(leave[i])*tick, gone)
				}
				if got, err := ask(ctx); stay[i] && (err != nil || got != 6) {
					wrong.Add(1)
				}
			})
		}
		all.Wait()
		if wrong.Load() != 0 || len(places) != 0 {
			rt.Fatalf("%d who stayed got no picture; %d places are held by nobody", wrong.Load(), len(places))
		}
	})
}
