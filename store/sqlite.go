package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"github.com/pressly/goose/v3"
	"github.com/uptrace/bun"
	"github.com/uptrace/bun/dialect/sqlitedialect"
	_ "modernc.org/sqlite" // the driver "sqlite"
)

// writer carries out one unit of writing, durably: once write returns nil the
// change has reached the disk.
type writer interface {
	write(ctx context.Context, do func(context.Context, bun.Tx) error) error
	// expect says that a write is being worked out; call done after it.
	expect() (done func())
	close() error
}

// busyMilliseconds is how long a save waits for another program's lock.
const busyMilliseconds = 4000

// checkpointAfter is how many pages of the log are brought into the database at once: a
// save that meets this waits for the disk twice more, and a page that was written often
// since goes there once (sqlite.org/wal.html, section 3.1). 16 MB; 1000 pages unless told.
const checkpointAfter = 4000

// openSQLite opens the file twice: connections that read, and one that writes. WAL
// lets readers go on while it does; synchronous=FULL makes each commit wait for the
// disk (sqlite.org/pragma.html).
func openSQLite(ctx context.Context, path string) (*bun.DB, writer, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, nil, err
	}
	q := url.Values{"_pragma": {
		fmt.Sprintf("busy_timeout(%d)", busyMilliseconds), "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)", "cache_size(-16000)",
		fmt.Sprintf("wal_autocheckpoint(%d)", checkpointAfter),
	}, "_txlock": {"immediate"}, "_timezone": {"UTC"}}
	name := (&url.URL{Scheme: "file", OmitHost: true, Path: path, RawQuery: q.Encode()}).String()
	pen, err := sql.Open("sqlite", name)
	if err != nil {
		return nil, nil, err
	}
	pen.SetMaxOpenConns(1)
	if err := migrateTogether(ctx, pen); err != nil {
		return nil, nil, errors.Join(err, pen.Close())
	}
	eyes, err := sql.Open("sqlite", name+"&_pragma=query_only(1)")
	if err != nil {
		return nil, nil, errors.Join(err, pen.Close())
	}
	eyes.SetMaxOpenConns(8)
	eyes.SetMaxIdleConns(8)
	g := newGroup(bun.NewDB(pen, sqlitedialect.New()))
	if err := g.prepareHot(ctx); err != nil {
		return nil, nil, errors.Join(err, pen.Close(), eyes.Close())
	}
	go g.run()
	return bun.NewDB(eyes, sqlitedialect.New()), g, nil
}

// migrateTogether migrates where another program may be doing the same: SQLite has
// no lock for the whole of it, so the one that comes second looks again.
func migrateTogether(ctx context.Context, db *sql.DB) (err error) {
	for wait := 50 * time.Millisecond; wait < 2*time.Second; wait *= 2 {
		if err = migrate(ctx, db, goose.DialectSQLite3, -1); err == nil {
			return nil
		}
		time.Sleep(wait)
	}
	return err
}

// group is the one that writes to SQLite: saves that wait while another is on its
// way to the disk go there together, in one commit.
type group struct {
	db    *bun.DB
	kept  map[string]*sql.Stmt
	bound struct { // kept, as the transaction under way has them
		tx         *sql.Tx
		statements map[string]*sql.Stmt
	}
	// coming counts saves that are being worked out or wait.
	coming  atomic.Int64
	mu      sync.Mutex
	waiting []*save
	shut    bool
	wake    chan struct{} // holds one: there is something to look at
	stop    sync.Once
	done    chan struct{}
}

type save struct {
	ctx    context.Context
	do     func(context.Context, bun.Tx) error
	answer chan error
	err    error
}

// mostTogether bounds the saves of one commit.
const mostTogether = 256

var errShut = errors.New("the program is being closed: nothing of this was saved")

func newGroup(db *bun.DB) *group {
	return &group{db: db, wake: make(chan struct{}, 1), done: make(chan struct{})}
}

func (g *group) write(ctx context.Context, do func(context.Context, bun.Tx) error) error {
	s := &save{ctx: context.WithoutCancel(ctx), do: do, answer: make(chan error, 1)}
	g.mu.Lock()
	if g.shut {
		g.mu.Unlock()
		return errShut
	}
	g.waiting = append(g.waiting, s)
	n := len(g.waiting)
	g.mu.Unlock()
	if n == 1 || g.enough(n) { // between the first and the last nobody need be woken
		g.rouse()
	}
	return <-s.answer // even where ctx ends: the caller must know what became of it
}

func (g *group) rouse() {
	select {
	case g.wake <- struct{}{}:
	default: // it is awake
	}
}

// enough says whether so many saves are all that can be had now.
func (g *group) enough(n int) bool { return n >= mostTogether || n >= int(g.coming.Load()) }

func (g *group) close() error {
	g.stop.Do(func() {
		g.mu.Lock()
		g.shut = true
		g.mu.Unlock()
		g.rouse()
		<-g.done
	})
	return g.db.Close()
}

func (g *group) run() {
	defer close(g.done)
	for {
		batch, shut := g.gather()
		if len(batch) > 0 {
			g.commit(batch)
		} else if shut {
			return
		} else {
			<-g.wake
		}
	}
}

// gatherFor is how long a commit waits for saves that are being worked out: about
// what one way to the disk takes.
const gatherFor = time.Millisecond

// gather takes what waits already, and for a moment what is on its way. Somebody
// who saves alone waits for nobody.
func (g *group) gather() (batch []*save, shut bool) {
	var late <-chan time.Time
	for {
		n, shut := g.queued()
		if n == 0 || shut || g.enough(n) {
			return g.take()
		}
		if late == nil {
			late = time.After(gatherFor)
		}
		select {
		case <-g.wake:
		case <-late:
			return g.take()
		}
	}
}

func (g *group) queued() (n int, shut bool) {
	g.mu.Lock()
	defer g.mu.Unlock()
	return len(g.waiting), g.shut
}

func (g *group) take() (batch []*save, shut bool) {
	g.mu.Lock()
	defer g.mu.Unlock()
	n := min(len(g.waiting), mostTogether)
	batch, g.waiting = g.waiting[:n:n], g.waiting[n:]
	return batch, g.shut
}

// expect says that a save is being worked out, until the answer is called.
func (g *group) expect() (done func()) {
	g.coming.Add(1)
	return func() { g.coming.Add(-1) }
}

// commit writes a batch in one transaction; where the database itself fails, each
// alone, so that one save's trouble is not another's.
func (g *group) commit(batch []*save) {
	if err := explain(g.together(batch)); err != nil {
		again := len(batch) > 1 && !errors.Is(err, ErrBusy) // for a lock all have waited
		for _, s := range batch {
			if !again {
				s.err = err
			} else if err := g.together([]*save{s}); err != nil {
				s.err = explain(err)
			}
		}
	}
	for _, s := range batch {
		s.answer <- s.err
	}
}

// together runs all in one transaction. A save that turns back leaves the others
// alone; any other error gives up the whole.
func (g *group) together(batch []*save) error {
	return g.db.RunInTx(context.Background(), nil, func(_ context.Context, tx bun.Tx) error {
		for _, s := range batch {
			s.err = s.done(tx)
			var back *turnedBack
			switch {
			case errors.As(s.err, &back):
				s.err = back.why
			case s.err != nil:
				return s.err
			}
		}
		return nil
	})
}

// done carries the save out; a mistake in it is its own, not the writer's end.
func (s *save) done(tx bun.Tx) (err error) {
	defer func() {
		if wrong := recover(); wrong != nil {
			err = fmt.Errorf("a save broke off: %v", wrong)
		}
	}()
	return s.do(s.ctx, tx)
}

// turnedBack says that a save gave up by itself before it wrote anything, for a
// reason that may be none.
type turnedBack struct{ why error }

func (e *turnedBack) Error() string { return fmt.Sprint("turned back: ", e.why) }

func turnBack(why error) error { return &turnedBack{why} }
