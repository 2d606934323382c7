package server

import (
	"context"
	"errors"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"coilwright/guillotine"
	"coilwright/job"
	"coilwright/problem"
	"coilwright/store"
)

// desk is where jobs are worked out: each content once, by its hash, so that ten
// people looking at one job cost as much as one. It is bounded, and nothing on it
// would be missed by another server: all of it follows from the document.
type desk struct {
	mu    sync.Mutex
	items map[string]*worked
	order []string                                  // least lately used first
	bytes int                                       // of documents
	turns chan struct{}                             // for what a page waits for at every edit
	slow  chan struct{}                             // for plans and papers, which must not keep an edit waiting
	slits *shared[guillotine.Coil, guillotine.Plan] // seconds each: neither edits nor prices wait for them
}

// Bounds of the desk.
const (
	mostWorked      = 96
	mostWorkedBytes = 24 << 20
)

func newDesk() *desk {
	cores := runtime.GOMAXPROCS(0)
	return &desk{
		items: map[string]*worked{}, turns: make(chan struct{}, max(2, cores)), slow: make(chan struct{}, 2),
		slits: newShared(guillotine.Slit, max(1, cores/2)),
	}
}

// worked is one document and what was worked out of it so far.
type worked struct {
	desk  *desk
	size  int
	job   job.Job
	found problem.List // of reading
	view  *View
	from  string // the content before; the desk's lock holds it

	mu   sync.Mutex
	done map[string]*once
}

// once is one thing worked out one time, whoever asks first.
type once struct {
	sync.Once
	value any
	err   error
	ready atomic.Bool
}

// deskKey is what a document stands under: the same text may name another shop's book.
func deskKey(shop, hash string) string { return shop + " " + hash }

// at gives the worked document of a job; open serves the versions of its shop's book.
func (d *desk) at(ctx context.Context, shop string, j store.Job, open job.Open) (*worked, error) {
	key := deskKey(shop, j.Hash)
	if w := d.have(key); w != nil {
		return w, nil
	}
	release, err := turn(ctx, d.turns)
	if err != nil {
		return nil, err
	}
	defer release()
	w := &worked{desk: d, size: len(j.Document), done: map[string]*once{}}
	w.job, w.found = job.Parse("", j.Document, open)
	if !w.found.Fatal() {
		w.found = append(w.found, w.job.House.Check()...)
	}
	w.view = viewOf(&w.job, w.found)
	return d.put(key, w), nil
}

func (d *desk) have(hash string) *worked {
	d.mu.Lock()
	defer d.mu.Unlock()
	w := d.items[hash]
	if w != nil {
		d.touch(hash)
	}
	return w
}

func (d *desk) touch(hash string) {
	for i, h := range d.order {
		if h == hash {
			copy(d.order[i:], d.order[i+1:])
			d.order[len(d.order)-1] = hash
			return
		}
	}
	d.order = append(d.order, hash)
}

// put keeps w, or gives what another asker put there first.
func (d *desk) put(hash string, w *worked) *worked {
	d.mu.Lock()
	defer d.mu.Unlock()
	if first := d.items[hash]; first != nil {
		return first
	}
	d.items[hash] = w
	d.bytes += w.size
	d.touch(hash)
	for len(d.order) > 1 && (len(d.order) > mostWorked || d.bytes > mostWorkedBytes) {
		d.drop(d.order[0])
	}
	return w
}

// moved says that a job went from one content to the next. What is two contents back
// nobody asks for but an undo, for which it is worked out again; kept, it would be most
// of the program's memory while a person types.
func (d *desk) moved(from, to string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	was, is := d.items[from], d.items[to]
	if was == nil || is == nil || from == to {
		return
	}
	is.from = from
	if was.from != "" && was.from != to {
		d.drop(was.from)
	}
	was.from = ""
}

func (d *desk) drop(hash string) {
	w := d.items[hash]
	if w == nil {
		return
	}
	d.bytes -= w.size
	delete(d.items, hash)
	d.order = slices.DeleteFunc(d.order, func(h string) bool { return h == hash })
}

// turn waits for one of so many places at work.
func turn(ctx context.Context, places chan struct{}) (release func(), err error) {
	select {
	case places <- struct{}{}:
		if ctx.Err() == nil {
			return func() { <-places }, nil
		}
		<-places // left just when the place was free
	case <-ctx.Done():
	}
	return nil, refuse(503, "The program is busy working other jobs out; try again in a moment.")
}

// heavy is work that takes a processor for a while. It must not be called within
// heavy work: there may be no second turn.
func heavy[T any](ctx context.Context, w *worked, key string, do func() (T, error)) (T, error) {
	return takingTurns(ctx, w, w.desk.turns, key, do)
}

// slow is heavy work that may take seconds.
func slow[T any](ctx context.Context, w *worked, key string, do func() (T, error)) (T, error) {
	return takingTurns(ctx, w, w.desk.slow, key, do)
}

func takingTurns[T any](ctx context.Context, w *worked, places chan struct{}, key string, do func() (T, error)) (T, error) {
	return work(w, key, func() (out T, err error) {
		release, err := turn(context.WithoutCancel(ctx), places) // others wait for the same
		if err != nil {
			return out, err
		}
		defer release()
		return do()
	})
}

// work works something out of a document, once, and keeps it with the document. What
// its asker left before it was done is not kept: who else waits for it begins it anew.
func work[T any](w *worked, key string, do func() (T, error)) (T, error) {
	for {
		o, mine := w.once(key), false
		o.Do(func() {
			mine = true
			o.value, o.err = do()
			if o.left() {
				w.forget(key, o)
			}
			o.ready.Store(true)
		})
		if mine || !o.left() {
			out, _ := o.value.(T)
			return out, o.err
		}
	}
}

// left says that whoever began it went away before it was done.
func (o *once) left() bool {
	return errors.Is(o.err, context.Canceled) || errors.Is(o.err, context.DeadlineExceeded)
}

func (w *worked) once(key string) *once {
	w.mu.Lock()
	defer w.mu.Unlock()
	o := w.done[key]
	if o == nil {
		o = &once{}
		w.done[key] = o
	}
	return o
}

func (w *worked) forget(key string, o *once) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.done[key] == o {
		delete(w.done, key)
	}
}

// known gives what was worked out already, if it was.
func known[T any](w *worked, key string) (out T, ok bool) {
	w.mu.Lock()
	o := w.done[key]
	w.mu.Unlock()
	if o == nil || !o.ready.Load() || o.err != nil {
		return out, false
	}
	out, ok = o.value.(T)
	return out, ok
}

// sound refuses a job that has errors.
func (w *worked) sound() error { return w.found.Err() }
