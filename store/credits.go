package store

import (
	"context"
	"time"

	"github.com/uptrace/bun"
)

// Credit is a credit note: money of an invoice given back or no longer asked for.
// Whole says that nothing of the invoice stays. Body is the caller's text. Numbers
// run on within a shop without a gap, apart from those of invoices.
type Credit struct {
	Number, Invoice int64
	Job             string
	Whole           bool
	Body            string
	Issued          time.Time
	By              string
}

type creditRow struct {
	bun.BaseModel `bun:"table:credits"`
	Shop          string `bun:"shop,pk"`
	Number        int64  `bun:"number,pk"`
	Job           string
	Invoice       int64
	Whole         int64
	Body          string
	IssuedAt      int64
	ByName        string
}

func (r creditRow) credit() Credit {
	return Credit{r.Number, r.Invoice, r.Job, r.Whole != 0, r.Body, moment(r.IssuedAt), r.ByName}
}

// AddCredit keeps a credit note under the shop's next number. write is given the
// number and what was invoiced and credited of the job so far; it gives the note's
// text and whether nothing of the invoice stays.
func (s *Store) AddCredit(ctx context.Context, who Who, c Credit, write func(number int64, invoices []Invoice, earlier []Credit) (string, bool, error)) error {
	if _, err := s.Head(ctx, who.Shop, c.Job); err != nil {
		return err
	}
	r := creditRow{Shop: who.Shop, Job: c.Job, Invoice: c.Invoice, IssuedAt: c.Issued.UnixMicro(), ByName: plain(who.Name, mostName)}
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		if _, err := tx.NewUpdate().Model((*shopRow)(nil)).Set("title = title").Where("id = ?", who.Shop).Exec(ctx); err != nil {
			return err
		}
		invoices, err := invoicesOf(ctx, tx, who.Shop, c.Job)
		if err != nil {
			return err
		}
		earlier, err := creditsOf(ctx, tx, who.Shop, c.Job)
		if err != nil {
			return err
		}
		if err := tx.NewSelect().Model((*creditRow)(nil)).ColumnExpr("COALESCE(MAX(number), 0) + 1").Where("shop = ?", who.Shop).Scan(ctx, &r.Number); err != nil {
			return err
		}
		body, whole, err := write(r.Number, invoices, earlier)
		if err != nil {
			return turnBack(err)
		}
		r.Body, r.Whole = body, 0
		if whole {
			r.Whole = 1
		}
		_, err = tx.NewInsert().Model(&r).Exec(ctx)
		return err
	})
}

func creditsOf(ctx context.Context, db bun.IDB, shop, job string) ([]Credit, error) {
	var rows []creditRow
	err := db.NewSelect().Model(&rows).Where("shop = ?", shop).Where("job = ?", job).OrderExpr("number").Scan(ctx)
	out := make([]Credit, len(rows))
	for i, r := range rows {
		out[i] = r.credit()
	}
	return out, err
}

// Credits lists a job's credit notes by number.
func (s *Store) Credits(ctx context.Context, shop, job string) ([]Credit, error) {
	out, err := creditsOf(ctx, s.read, shop, job)
	return out, explain(err)
}

// credited says whether nothing of an invoice stays.
func credited(all []Credit, number int64) bool {
	for _, c := range all {
		if c.Whole && c.Invoice == number {
			return true
		}
	}
	return false
}
