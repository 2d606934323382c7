package store

import (
	"context"
	"time"

	"github.com/uptrace/bun"
)

// Word is a person's word for pieces whose numbers are not fit to cut. Pieces is the
// caller's text. Nothing of it is ever removed: a word that is taken back says so.
type Word struct {
	Number, Revision int64
	Scheme, Pieces   string
	Name, Reason     string // who answers, and why
	At               time.Time
	By               string // who was signed in
	TakenBack        time.Time
	TakenBy          string
}

type wordRow struct {
	bun.BaseModel `bun:"table:words"`
	Job           string `bun:"job,pk"`
	Number        int64  `bun:"number,pk"`
	Shop          string
	Scheme        string
	Pieces        string
	Name          string
	Reason        string
	Revision      int64
	At            int64
	ByName        string
	TakenBack     int64
	TakenBy       string
}

// mostReason is how long a reason may be, in bytes.
const mostReason = 1000

// AddWord keeps a word.
func (s *Store) AddWord(ctx context.Context, who Who, job string, word Word) error {
	if _, err := s.Head(ctx, who.Shop, job); err != nil {
		return err
	}
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		number, err := nextOfJob(ctx, tx, (*wordRow)(nil), job)
		if err != nil {
			return err
		}
		row := wordRow{
			Job: job, Number: number, Shop: who.Shop, Scheme: word.Scheme, Pieces: word.Pieces, Name: plain(word.Name, mostName), Reason: plain(word.Reason, mostReason),
			Revision: word.Revision, At: s.now(), ByName: plain(who.Name, mostName),
		}
		_, err = tx.NewInsert().Model(&row).Exec(ctx)
		return err
	})
}

// TakeBackWord ends a word; one that is ended already stays as it was. ErrNotFound
// where there is none of that number.
func (s *Store) TakeBackWord(ctx context.Context, who Who, job, scheme string, number int64) error {
	if _, err := s.Head(ctx, who.Shop, job); err != nil {
		return err
	}
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		its := tx.NewSelect().Model((*wordRow)(nil)).Where("job = ?", job).Where("number = ?", number).Where("scheme = ?", scheme)
		there, err := its.Exists(ctx)
		if err != nil {
			return err
		}
		if !there {
			return turnBack(ErrNotFound)
		}
		_, err = tx.NewUpdate().Model((*wordRow)(nil)).Set("taken_back = ?", s.now()).Set("taken_by = ?", plain(who.Name, mostName)).
			Where("job = ?", job).Where("number = ?", number).Where("taken_back = 0").Exec(ctx)
		return err
	})
}

// Words lists all words ever given for a job, the first first.
func (s *Store) Words(ctx context.Context, shop, job string) ([]Word, error) {
	var rows []wordRow
	err := s.read.NewSelect().Model(&rows).Where("job = ?", job).Where("shop = ?", shop).OrderExpr("number").Scan(ctx)
	out := make([]Word, len(rows))
	for i, r := range rows {
		out[i] = Word{r.Number, r.Revision, r.Scheme, r.Pieces, r.Name, r.Reason, moment(r.At), r.ByName, time.Time{}, r.TakenBy}
		if r.TakenBack > 0 {
			out[i].TakenBack = moment(r.TakenBack)
		}
	}
	return out, explain(err)
}
