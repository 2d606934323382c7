package store

import (
	"context"
	"fmt"
	"strings"
	"unicode/utf8"

	"coilwright/change"

	"github.com/uptrace/bun"
)

// Query chooses jobs of a list.
type Query struct {
	Search string // words of the title, all of them
	Stage  string // empty: any
	Aside  bool   // those put aside instead of the others
	Limit  int    // at most; 0: 50
	After  string // id of the last job of the page before
}

// Jobs lists a shop's jobs without their documents, the latest change first.
func (s *Store) Jobs(ctx context.Context, shop string, q Query) ([]Job, error) {
	var rows []jobRow
	aside := "aside_at = 0"
	if q.Aside {
		aside = "aside_at <> 0"
	}
	sel := s.read.NewSelect().Model(&rows).Column(headColumns...).Where("shop = ?", shop).Where(aside).
		OrderExpr("changed_at DESC, id DESC").Limit(limit(q.Limit, 50, 200))
	for _, word := range strings.Fields(strings.ToLower(plain(q.Search, mostTitle))) {
		sel = sel.Where("search LIKE ? ESCAPE '!'", "%"+likeEscape.Replace(word)+"%")
	}
	if q.Stage != "" {
		sel = sel.Where("stage = ?", plain(q.Stage, mostName))
	}
	if q.After != "" {
		last, err := s.Head(ctx, shop, q.After)
		if err != nil {
			return nil, err
		}
		at := last.Changed.UnixMicro()
		sel = sel.Where("(changed_at < ? OR (changed_at = ? AND id < ?))", at, at, last.ID)
	}
	if err := sel.Scan(ctx); err != nil {
		return nil, explain(err)
	}
	out := make([]Job, len(rows))
	for i, r := range rows {
		out[i] = r.job()
	}
	return out, nil
}

var likeEscape = strings.NewReplacer("!", "!!", "%", "!%", "_", "!_")

func limit(wanted, usual, most int) int64 {
	if wanted <= 0 {
		return int64(usual)
	}
	return int64(min(wanted, most))
}

// Head gives a job without its document; ErrNotFound for another shop's.
func (s *Store) Head(ctx context.Context, shop, id string) (Job, error) {
	r, err := s.row(ctx, s.read, shop, id)
	return r.job(), err
}

// Job gives a job; ErrNotFound for another shop's.
func (s *Store) Job(ctx context.Context, shop, id string) (Job, error) {
	r, err := s.whole(ctx, s.read, shop, id)
	return r.job(), err
}

// row gives a job without its document.
func (s *Store) row(ctx context.Context, db bun.IDB, shop, id string) (jobRow, error) {
	if !isID(id) {
		return jobRow{}, ErrNotFound
	}
	r, err := s.look(ctx, db, shop, id)
	return r, explain(err)
}

// isID says whether a text can be an id at all; others never reach the database.
func isID(id string) bool {
	if id == "" || len(id) > 64 {
		return false
	}
	for _, c := range []byte(id) {
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return true
}

// Create makes a job of a document.
func (s *Store) Create(ctx context.Context, who Who, document []byte, what string) (Job, error) {
	now := s.now()
	r := jobRow{ID: newID(), Shop: who.Shop, Stage: Stages[0], Revision: 1, CreatedAt: now}
	if err := s.fill(&r, compact(document), nil, who, now); err != nil {
		return Job{}, err
	}
	first := s.eventRow(r, who, Created, what, now)
	err := s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		if _, err := tx.NewInsert().Model(&r).Exec(ctx); err != nil {
			return err
		}
		if _, err := tx.NewInsert().Model(&snapshotRow{Job: r.ID, Revision: 1, Document: string(r.Document)}).Exec(ctx); err != nil {
			return err
		}
		_, err := tx.NewInsert().Model(&first).Exec(ctx)
		return err
	})
	if err != nil {
		return Job{}, err
	}
	return r.job(), nil
}

// fill sets what a new revision changes of a job's row, or says why the document
// may not be kept. done is the patch that led to it, nil for a new document.
func (s *Store) fill(r *jobRow, document []byte, done change.Patch, who Who, now int64) error {
	if !utf8.Valid(document) {
		return fmt.Errorf("%w: it is not UTF-8 text; save it as UTF-8", ErrRefused)
	}
	if done == nil || !s.config.Settled(done) {
		d, err := s.config.Read(document)
		if err != nil {
			return fmt.Errorf("%w: %w", ErrRefused, err)
		}
		r.Walls, r.Title = d.Walls, plain(d.Title, mostTitle)
		r.Search = strings.ToLower(r.Title)
	}
	r.Document, r.Hash = document, Hash(document)
	r.ChangedAt, r.ChangedBy = max(now, r.ChangedAt), plain(who.Name, mostName)
	return nil
}

func (s *Store) eventRow(r jobRow, who Who, k Kind, what string, now int64) eventRow {
	return eventRow{
		Job: r.ID, Revision: r.Revision, At: now, Account: who.Account, ByName: plain(who.Name, mostName),
		Device: plain(who.Device, mostName), Kind: k, What: plain(what, mostWhat), Patch: "[]", Inverse: "[]",
	}
}
