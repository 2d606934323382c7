package store

import (
	"context"
	"time"

	"github.com/uptrace/bun"
)

// Invoice is one payment asked for. Body is the caller's text. Numbers run on
// within a shop without a gap.
type Invoice struct {
	Number     int64
	Job, Offer string
	Step       int
	Body       string
	Issued     time.Time
	Paid       time.Time // zero while it is open
	PaidNote   string
}

type invoiceRow struct {
	bun.BaseModel `bun:"table:invoices"`
	Shop          string `bun:"shop,pk"`
	Number        int64  `bun:"number,pk"`
	Job           string
	Offer         string
	Step          int64
	Body          string
	IssuedAt      int64
	PaidAt        int64
	PaidNote      string
}

func (r invoiceRow) invoice() Invoice {
	i := Invoice{Number: r.Number, Job: r.Job, Offer: r.Offer, Step: int(r.Step), Body: r.Body, Issued: moment(r.IssuedAt), PaidNote: r.PaidNote}
	if r.PaidAt != 0 {
		i.Paid = moment(r.PaidAt)
	}
	return i
}

// AddInvoice keeps an invoice under the shop's next number. write is given the
// number and the job's earlier invoices and credit notes and gives the invoice's
// text. ErrTaken where that payment was asked for already and not credited whole.
func (s *Store) AddInvoice(ctx context.Context, who Who, i Invoice, write func(number int64, earlier []Invoice, credits []Credit) (string, error)) (Invoice, error) {
	if _, err := s.Offer(ctx, who.Shop, i.Job, i.Offer); err != nil {
		return Invoice{}, err
	}
	r := invoiceRow{Shop: who.Shop, Job: i.Job, Offer: i.Offer, Step: int64(i.Step), IssuedAt: i.Issued.UnixMicro()}
	err := s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		// The shop's row first, so that two numbers cannot be equal on PostgreSQL.
		if _, err := tx.NewUpdate().Model((*shopRow)(nil)).Set("title = title").Where("id = ?", who.Shop).Exec(ctx); err != nil {
			return err
		}
		earlier, err := invoicesOf(ctx, tx, who.Shop, i.Job)
		if err != nil {
			return err
		}
		credits, err := creditsOf(ctx, tx, who.Shop, i.Job)
		if err != nil {
			return err
		}
		for _, e := range earlier {
			if e.Offer == i.Offer && e.Step == i.Step && !credited(credits, e.Number) {
				return turnBack(ErrTaken)
			}
		}
		if err := tx.NewSelect().Model((*invoiceRow)(nil)).ColumnExpr("COALESCE(MAX(number), 0) + 1").Where("shop = ?", who.Shop).Scan(ctx, &r.Number); err != nil {
			return err
		}
		if r.Body, err = write(r.Number, earlier, credits); err != nil {
			return turnBack(err)
		}
		_, err = tx.NewInsert().Model(&r).Exec(ctx)
		return err
	})
	return r.invoice(), err
}

func invoicesOf(ctx context.Context, db bun.IDB, shop, job string) ([]Invoice, error) {
	var rows []invoiceRow
	err := db.NewSelect().Model(&rows).Where("shop = ?", shop).Where("job = ?", job).OrderExpr("number").Scan(ctx)
	out := make([]Invoice, len(rows))
	for i, r := range rows {
		out[i] = r.invoice()
	}
	return out, err
}

// Invoices lists a job's invoices by number.
func (s *Store) Invoices(ctx context.Context, shop, job string) ([]Invoice, error) {
	if _, err := s.Head(ctx, shop, job); err != nil {
		return nil, err
	}
	out, err := invoicesOf(ctx, s.read, shop, job)
	return out, explain(err)
}

// Paid notes that an invoice was paid; once.
func (s *Store) Paid(ctx context.Context, who Who, job string, number int64, at time.Time, note string) error {
	if _, err := s.Head(ctx, who.Shop, job); err != nil {
		return err
	}
	return s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error {
		return one(tx.NewUpdate().Model((*invoiceRow)(nil)).Set("paid_at = ?", at.UnixMicro()).Set("paid_note = ?", plain(note, mostWhat)).
			Where("shop = ?", who.Shop).Where("job = ?", job).Where("number = ?", number).Where("paid_at = 0").Exec(ctx))
	})
}
