package store

import (
	"context"
	"fmt"
	"testing"

	"github.com/uptrace/bun"
)

// Narrow bounds the database's file to so many pages beyond what it has, which
// SQLite then takes for a full disk.
func (s *Store) Narrow(t *testing.T, pages int) {
	t.Helper()
	err := s.writer.write(context.Background(), func(ctx context.Context, tx bun.Tx) error {
		var has int
		if err := tx.QueryRowContext(ctx, "PRAGMA page_count").Scan(&has); err != nil {
			return err
		}
		var most int
		return tx.QueryRowContext(ctx, fmt.Sprintf("PRAGMA max_page_count = %d", has+pages)).Scan(&most)
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Break writes what the database refuses.
func (s *Store) Break() error {
	return s.writer.write(context.Background(), func(ctx context.Context, tx bun.Tx) error {
		_, err := tx.NewInsert().Model(&eventRow{Job: "there is no such job", Revision: 1}).Exec(ctx)
		return err
	})
}

// Forget lets go of what this process wrote and read last, as another program has it.
func (s *Store) Forget() {
	s.lately.mu.Lock()
	s.lately.rows, s.lately.bytes = nil, 0
	s.lately.mu.Unlock()
}

// Wear changes what an event says was done, as a failing disk might.
func (s *Store) Wear(job string, revision int64, patch string) error {
	return s.writer.write(context.Background(), func(ctx context.Context, tx bun.Tx) error {
		_, err := tx.NewUpdate().Model((*eventRow)(nil)).Set("patch = ?", patch).Where("job = ?", job).Where("revision = ?", revision).Exec(ctx)
		return err
	})
}

// PutBack makes a job what it was, as older data have it that are put back beneath the store.
func (s *Store) PutBack(j Job) error {
	return s.writer.write(context.Background(), func(ctx context.Context, tx bun.Tx) error {
		_, err := tx.NewDelete().Model((*eventRow)(nil)).Where("job = ?", j.ID).Where("revision > ?", j.Revision).Exec(ctx)
		if err == nil {
			_, err = tx.NewUpdate().Model((*jobRow)(nil)).Set("title = ?, revision = ?, hash = ?", j.Title, j.Revision, j.Hash).
				Where("id = ?", j.ID).Exec(ctx)
		}
		return err
	})
}

// Panic writes by a program's mistake.
func (s *Store) Panic() error {
	return s.writer.write(context.Background(), func(context.Context, bun.Tx) error { panic("a mistake") })
}

// Explain is what a caller is told of an error.
var Explain = explain
