package store

import (
	"context"
	"database/sql"
	"errors"
	"strconv"
	"strings"
	"sync"

	"github.com/uptrace/bun"
	"github.com/uptrace/bun/dialect"
)

// The statements that every save and every look at a job take. They are written out
// and their values bound, where bun would write a whole document into the statement's
// text and have it read again; SQLite keeps them prepared. No save writes the document:
// it follows from the newest whole one and the changes since.
const (
	lookJob = `SELECT id, shop, title, search, stage, revision, hash, walls, created_at, changed_at, changed_by, aside_at
		FROM jobs WHERE id = ? AND shop = ?`
	setJob = `UPDATE jobs SET title = ?, search = ?, stage = ?, revision = ?, hash = ?, walls = ?, changed_at = ?, changed_by = ?, aside_at = ?
		WHERE id = ? AND revision = ? AND hash = ?`
	addEvent = `INSERT INTO events (job, revision, at, account, by_name, device, kind, what, about, patch, inverse)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`
	addSnapshot = `INSERT INTO snapshots (job, revision, document) VALUES (?, ?, ?)`
)

// statements keeps statements prepared for one pool of connections.
type statements struct {
	mu   sync.Mutex
	kept map[string]*sql.Stmt
}

func (k *statements) of(ctx context.Context, db *sql.DB, query string) (*sql.Stmt, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if st := k.kept[query]; st != nil {
		return st, nil
	}
	st, err := db.PrepareContext(ctx, query)
	if err == nil {
		if k.kept == nil {
			k.kept = map[string]*sql.Stmt{}
		}
		k.kept[query] = st
	}
	return st, err
}

func (k *statements) close() error {
	k.mu.Lock()
	defer k.mu.Unlock()
	var err error
	for _, st := range k.kept {
		err = errors.Join(err, st.Close())
	}
	return err
}

// numbered writes a statement's marks as PostgreSQL does: $1, $2.
func numbered(query string) string {
	var b strings.Builder
	n := 0
	for _, part := range strings.SplitAfter(query, "?") {
		if cut, ok := strings.CutSuffix(part, "?"); ok {
			n++
			part = cut + "$" + strconv.Itoa(n)
		}
		b.WriteString(part)
	}
	return b.String()
}

// look reads one job without its document; within a unit of writing on PostgreSQL,
// others who change the job wait for this one.
func (s *Store) look(ctx context.Context, db bun.IDB, shop, id string) (jobRow, error) {
	var (
		r   jobRow
		row *sql.Row
	)
	tx, writing := db.(bun.Tx)
	switch {
	case db.Dialect().Name() == dialect.PG && writing:
		row = tx.Tx.QueryRowContext(ctx, numbered(lookJob)+" FOR UPDATE", id, shop)
	case db.Dialect().Name() == dialect.PG:
		row = s.read.DB.QueryRowContext(ctx, numbered(lookJob), id, shop)
	case writing:
		row = tx.Tx.QueryRowContext(ctx, lookJob, id, shop)
	default:
		st, err := s.prepared.of(ctx, s.read.DB, lookJob)
		if err != nil {
			return r, err
		}
		row = st.QueryRowContext(ctx, id, shop)
	}
	err := row.Scan(&r.ID, &r.Shop, &r.Title, &r.Search, &r.Stage, &r.Revision, &r.Hash, &r.Walls, &r.CreatedAt, &r.ChangedAt, &r.ChangedBy, &r.AsideAt)
	return r, err
}

// put carries out one of the statements that prepareHot prepares, within a unit of writing.
func (s *Store) put(ctx context.Context, tx bun.Tx, query string, values ...any) (sql.Result, error) {
	g, ok := s.writer.(*group)
	if !ok {
		return tx.Tx.ExecContext(ctx, numbered(query), values...)
	}
	return g.prepared(ctx, tx, query).ExecContext(ctx, values...)
}

// prepared gives a statement of the writing connection, bound once to each transaction.
// Only the one goroutine that writes comes here, and it holds the only connection.
func (g *group) prepared(ctx context.Context, tx bun.Tx, query string) *sql.Stmt {
	if g.bound.tx != tx.Tx {
		g.bound.tx = tx.Tx
		clear(g.bound.statements)
	}
	st := g.bound.statements[query]
	if st == nil {
		st = tx.Tx.StmtContext(ctx, g.kept[query])
		g.bound.statements[query] = st
	}
	return st
}

// prepareHot prepares the writing statements before the first save.
func (g *group) prepareHot(ctx context.Context) error {
	g.kept, g.bound.statements = map[string]*sql.Stmt{}, map[string]*sql.Stmt{}
	for _, q := range []string{setJob, addEvent, addSnapshot} {
		st, err := g.db.DB.PrepareContext(ctx, q)
		if err != nil {
			return err
		}
		g.kept[q] = st
	}
	return nil
}
