package store

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"github.com/uptrace/bun"
)

// Mark is one mark of a crew; what its body says is not the store's business. Of one
// id there may be several, each with another body.
type Mark struct {
	ID, Body string
	Seq      int64  // place in the order in which a job's marks came, from 1
	Chain    string // of all up to it, see MarkHead
	Received time.Time
}

// MarkHead is where a job's marks stand: how many there are, and a digest of all of
// them in their order.
type MarkHead struct {
	Seq   int64
	Chain string
}

// Bounds of a job's marks: far above what crews make, so that a phone gone wrong
// cannot fill the disk. The second bounds the bodies of one id.
const (
	MostMarks = 200_000
	mostTwins = 8
)

// MarkFate is what became of a mark that was sent.
type MarkFate int

// The fates.
const (
	MarkNew   MarkFate = iota // kept now
	MarkKnown                 // kept before, the very same
	MarkTwin                  // kept now beside another body of its id
	MarkOver                  // not kept: there are too many
)

type markRow struct {
	bun.BaseModel `bun:"table:marks"`
	Job           string `bun:"job,pk"`
	Seq           int64  `bun:"seq,pk"`
	ID            string `bun:"id"`
	Digest        string
	Body          string
	Chain         string
	Account       string
	ReceivedAt    int64
}

func (r markRow) mark() Mark { return Mark{r.ID, r.Body, r.Seq, r.Chain, moment(r.ReceivedAt)} }

type markHeadRow struct {
	bun.BaseModel `bun:"table:mark_heads"`
	Job           string `bun:"job,pk"`
	Seq           int64
	Chain         string
}

// AddMarks keeps marks of a job that was not put aside, each once, all that can be or
// none, and says what became of each.
func (s *Store) AddMarks(ctx context.Context, who Who, job string, marks []Mark) ([]MarkFate, MarkHead, error) {
	at, err := s.Head(ctx, who.Shop, job)
	if err != nil {
		return nil, MarkHead{}, err
	}
	if at.Aside {
		return nil, MarkHead{}, fmt.Errorf("%w: the job was put aside; fetch it back first", ErrNotFound)
	}
	var (
		fates []MarkFate
		head  markHeadRow
	)
	err = s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) (err error) {
		fates = fates[:0]
		if head, err = lockMarks(ctx, tx, job); err != nil {
			return err
		}
		a := adding{head: head, who: who, now: s.now()}
		if a.known, err = bodies(ctx, tx, job, marks); err != nil {
			return err
		}
		for _, m := range marks {
			fates = append(fates, a.add(m))
		}
		head = a.head
		return a.write(ctx, tx)
	})
	return fates, MarkHead{head.Seq, head.Chain}, err
}

// lockMarks gives where a job's marks stand and keeps others from adding until this
// writing is done, so that the rows come in order and nobody who reads up to one ever
// finds another before it later.
func lockMarks(ctx context.Context, tx bun.Tx, job string) (markHeadRow, error) {
	r := markHeadRow{Job: job}
	_, err := tx.NewInsert().Model(&r).On("CONFLICT (job) DO UPDATE").Set("seq = ?TableAlias.seq").Returning("seq, chain").Exec(ctx, &r.Seq, &r.Chain)
	return r, err
}

// bodies gives, by id, the digests that are kept already.
func bodies(ctx context.Context, tx bun.Tx, job string, marks []Mark) (map[string][]string, error) {
	ids := map[string]bool{}
	for _, m := range marks {
		ids[m.ID] = true
	}
	out := map[string][]string{}
	if len(ids) == 0 {
		return out, nil
	}
	var rows []markRow
	err := tx.NewSelect().Model(&rows).Column("id", "digest").Where("job = ?", job).Where("id IN (?)", bun.List(slices.Collect(maps.Keys(ids)))).Scan(ctx)
	for _, r := range rows {
		out[r.ID] = append(out[r.ID], r.Digest)
	}
	return out, err
}

// adding is marks on their way into the table.
type adding struct {
	head  markHeadRow
	who   Who
	now   int64
	known map[string][]string
	rows  []markRow
}

func (a *adding) add(m Mark) MarkFate {
	digest, fate := Hash([]byte(m.Body)), MarkNew
	switch had := a.known[m.ID]; {
	case slices.Contains(had, digest):
		return MarkKnown
	case len(had) >= mostTwins || a.head.Seq >= MostMarks:
		return MarkOver
	case len(had) > 0:
		fate = MarkTwin
	}
	a.known[m.ID] = append(a.known[m.ID], digest)
	a.head.Seq++
	a.head.Chain = Hash([]byte(a.head.Chain + m.ID + "\x00" + digest))
	a.rows = append(a.rows, markRow{
		Job: a.head.Job, Seq: a.head.Seq, ID: m.ID, Digest: digest, Body: m.Body, Chain: a.head.Chain, Account: a.who.Account, ReceivedAt: a.now,
	})
	return fate
}

func (a *adding) write(ctx context.Context, tx bun.Tx) error {
	if len(a.rows) == 0 {
		return nil
	}
	if _, err := tx.NewInsert().Model(&a.rows).Exec(ctx); err != nil {
		return err
	}
	_, err := tx.NewUpdate().Model(&a.head).WherePK().Exec(ctx)
	return err
}

// Marks gives a job's marks after one place in their order, at most so many.
func (s *Store) Marks(ctx context.Context, shop, job string, after int64, most int) ([]Mark, error) {
	if _, err := s.Head(ctx, shop, job); err != nil {
		return nil, err
	}
	var rows []markRow
	err := s.read.NewSelect().Model(&rows).Column("seq", "id", "body", "chain", "received_at").Where("job = ?", job).Where("seq > ?", after).
		OrderExpr("seq").Limit(int64(most)).Scan(ctx)
	out := make([]Mark, len(rows))
	for i, r := range rows {
		out[i] = r.mark()
	}
	return out, explain(err)
}

// MarkAt gives where a job's marks stood at one place in their order; at a negative
// one, where they stand now. ErrNotFound where they never were so many.
func (s *Store) MarkAt(ctx context.Context, shop, job string, seq int64) (MarkHead, error) {
	if _, err := s.Head(ctx, shop, job); err != nil {
		return MarkHead{}, err
	}
	if seq == 0 {
		return MarkHead{}, nil
	}
	if seq < 0 {
		heads, err := s.MarkHeads(ctx, []string{job})
		return heads[job], err
	}
	r := markRow{Job: job, Seq: seq}
	err := s.read.NewSelect().Model(&r).Column("seq", "chain").WherePK().Scan(ctx)
	return MarkHead{r.Seq, r.Chain}, explain(err)
}

// MarkHeads gives where the marks of jobs stand; jobs without any are left out.
func (s *Store) MarkHeads(ctx context.Context, jobs []string) (map[string]MarkHead, error) {
	if len(jobs) == 0 {
		return nil, nil
	}
	var rows []markHeadRow
	err := s.read.NewSelect().Model(&rows).Where("job IN (?)", bun.List(jobs)).Where("seq > 0").Scan(ctx)
	out := map[string]MarkHead{}
	for _, r := range rows {
		out[r.Job] = MarkHead{r.Seq, r.Chain}
	}
	return out, explain(err)
}
