package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"github.com/uptrace/bun"

	"coilwright/change"
)

// The newest whole document at or before a revision, and what was done after it.
const (
	lookSnapshot = `SELECT revision, document FROM snapshots WHERE job = ? AND revision <= ? ORDER BY revision DESC LIMIT 1`
	lookDone     = `SELECT patch FROM events WHERE job = ? AND revision > ? AND revision <= ? ORDER BY revision`
)

// whole gives a job with its document, put together from the newest whole one and what
// was done since, at most snapshotEvery changes. Both stand for good once they are
// written, so that it does not matter what others save meanwhile.
func (s *Store) whole(ctx context.Context, db bun.IDB, shop, id string) (jobRow, error) {
	r, err := s.row(ctx, db, shop, id)
	if err != nil {
		return r, err
	}
	if r.Document = s.lately.document(id, r.Hash); r.Document != nil {
		return r, nil
	}
	if r.Document, err = s.assembled(ctx, db, id, r.Revision); err != nil {
		return r, explain(err)
	}
	if Hash(r.Document) != r.Hash {
		return r, fmt.Errorf("%w (job %s, revision %d)", ErrDamaged, id, r.Revision)
	}
	s.lately.keep(r)
	return r, nil
}

// assembled carries out again what was done since the newest whole document.
func (s *Store) assembled(ctx context.Context, db bun.IDB, id string, revision int64) ([]byte, error) {
	var (
		from     int64
		document string
	)
	if err := db.QueryRowContext(ctx, lookSnapshot, id, revision).Scan(&from, &document); errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("%w (job %s has no whole document)", ErrDamaged, id)
	} else if err != nil {
		return nil, err
	}
	if from == revision {
		return []byte(document), nil
	}
	rows, err := db.QueryContext(ctx, lookDone, id, from, revision)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var done []change.Patch
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return nil, err
		}
		done = append(done, unpacked(text))
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	again, err := change.Again([]byte(document), done...)
	if err != nil {
		return nil, fmt.Errorf("%w (job %s: %v)", ErrDamaged, id, err)
	}
	return again, nil
}
