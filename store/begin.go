package store

import (
	"context"

	"github.com/uptrace/bun"
)

// Begin makes the shop Home at a program's first start, with one job in it where a
// document is given. Later starts, and others that start at the same time, change
// nothing: a job that was put aside does not come back.
func (s *Store) Begin(ctx context.Context, title string, document []byte, what string) error {
	shop := shopRow{ID: Home, Title: plain(title, mostTitle), CreatedAt: s.now()}
	var rows []any
	if document != nil {
		who := Who{Shop: Home, Name: "Coilwright"}
		r := jobRow{ID: newID(), Shop: Home, Stage: Stages[0], Revision: 1, CreatedAt: s.now()}
		if err := s.fill(&r, compact(document), nil, who, s.now()); err != nil {
			return err
		}
		ev := s.eventRow(r, who, Created, what, s.now())
		rows = []any{&r, &snapshotRow{Job: r.ID, Revision: 1, Document: string(r.Document)}, &ev}
	}
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		result, err := tx.NewInsert().Model(&shop).On("CONFLICT (id) DO NOTHING").Exec(ctx)
		if err != nil {
			return err
		}
		if n, err := result.RowsAffected(); err != nil || n == 0 {
			return err
		}
		for _, r := range rows {
			if _, err := tx.NewInsert().Model(r).Exec(ctx); err != nil {
				return err
			}
		}
		return nil
	})
}
