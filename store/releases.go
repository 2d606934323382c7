package store

import (
	"context"
	"time"

	"github.com/uptrace/bun"
)

// Release is a scheme handed to the machine: its pieces, known by their digest, and
// who said so. It holds until it is taken back or the pieces change.
type Release struct {
	Number, Revision int64
	Scheme, Pieces   string
	At               time.Time
	By               string
}

type releaseRow struct {
	bun.BaseModel `bun:"table:releases"`
	Job           string `bun:"job,pk"`
	Number        int64  `bun:"number,pk"`
	Shop          string
	Scheme        string
	Revision      int64
	Pieces        string
	At            int64
	ByName        string
	TakenBack     int64
}

// AddRelease releases a scheme of a job. Who releases the same pieces again keeps
// the first name and time.
func (s *Store) AddRelease(ctx context.Context, who Who, job string, r Release) error {
	if _, err := s.Head(ctx, who.Shop, job); err != nil {
		return err
	}
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		number, err := nextOfJob(ctx, tx, (*releaseRow)(nil), job)
		if err != nil {
			return err
		}
		same, err := tx.NewSelect().Model((*releaseRow)(nil)).Where("job = ?", job).Where("scheme = ?", r.Scheme).Where("pieces = ?", r.Pieces).Where("taken_back = 0").Count(ctx)
		if err != nil || same > 0 {
			return err
		}
		row := releaseRow{Job: job, Number: number, Shop: who.Shop, Scheme: r.Scheme, Revision: r.Revision, Pieces: r.Pieces, At: s.now(), ByName: plain(who.Name, mostName)}
		_, err = tx.NewInsert().Model(&row).Exec(ctx)
		return err
	})
}

// nextOfJob is the next number among a job's rows of one table. It takes the job's own
// row first, so that two numbers cannot be equal on PostgreSQL.
func nextOfJob(ctx context.Context, tx bun.Tx, rows any, job string) (number int64, err error) {
	if _, err := tx.NewUpdate().Model((*jobRow)(nil)).Set("stage = stage").Where("id = ?", job).Exec(ctx); err != nil {
		return 0, err
	}
	err = tx.NewSelect().Model(rows).ColumnExpr("COALESCE(MAX(number), 0) + 1").Where("job = ?", job).Scan(ctx, &number)
	return number, err
}

// TakeBackReleases ends all releases of a job's scheme.
func (s *Store) TakeBackReleases(ctx context.Context, who Who, job, scheme string) error {
	if _, err := s.Head(ctx, who.Shop, job); err != nil {
		return err
	}
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		_, err := tx.NewUpdate().Model((*releaseRow)(nil)).Set("taken_back = ?", s.now()).Where("job = ?", job).Where("scheme = ?", scheme).Where("taken_back = 0").Exec(ctx)
		return err
	})
}

// Releases lists what is released of a job, the latest first.
func (s *Store) Releases(ctx context.Context, shop, job string) ([]Release, error) {
	var rows []releaseRow
	err := s.read.NewSelect().Model(&rows).Where("job = ?", job).Where("shop = ?", shop).Where("taken_back = 0").OrderExpr("number DESC").Scan(ctx)
	out := make([]Release, len(rows))
	for i, r := range rows {
		out[i] = Release{r.Number, r.Revision, r.Scheme, r.Pieces, moment(r.At), r.ByName}
	}
	return out, explain(err)
}

// Finished is what a finished job took; Body is the caller's text.
type Finished struct {
	Job, Body string
	At        time.Time
	By        string
}

type finishedRow struct {
	bun.BaseModel `bun:"table:finished"`
	Job           string `bun:"job,pk"`
	Shop          string
	Body          string
	At            int64
	ByName        string
}

func (r finishedRow) finished() Finished { return Finished{r.Job, r.Body, moment(r.At), r.ByName} }

// Finish keeps what a job took, in place of what was said before.
func (s *Store) Finish(ctx context.Context, who Who, job, body string) error {
	if _, err := s.Head(ctx, who.Shop, job); err != nil {
		return err
	}
	r := finishedRow{Job: job, Shop: who.Shop, Body: body, At: s.now(), ByName: plain(who.Name, mostName)}
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		_, err := tx.NewInsert().Model(&r).On("CONFLICT (job) DO UPDATE").
			Set("body = EXCLUDED.body").Set("at = EXCLUDED.at").Set("by_name = EXCLUDED.by_name").Exec(ctx)
		return err
	})
}

// mostFinished bounds how many jobs rates are learned from: the latest ones.
const mostFinished = 200

// AllFinished lists what a shop's finished jobs took, the latest first. Jobs that
// were put aside do not count.
func (s *Store) AllFinished(ctx context.Context, shop string) ([]Finished, error) {
	var rows []finishedRow
	err := s.read.NewSelect().Model(&rows).Where("shop = ?", shop).Where("job IN (SELECT id FROM jobs WHERE aside_at = 0)").
		OrderExpr("at DESC, job").Limit(mostFinished).Scan(ctx)
	out := make([]Finished, len(rows))
	for i, r := range rows {
		out[i] = r.finished()
	}
	return out, explain(err)
}

// FinishedJob gives what one job took; ErrNotFound where nothing was said.
func (s *Store) FinishedJob(ctx context.Context, shop, job string) (Finished, error) {
	var r finishedRow
	err := s.read.NewSelect().Model(&r).Where("job = ?", job).Where("shop = ?", shop).Scan(ctx)
	return r.finished(), explain(err)
}
