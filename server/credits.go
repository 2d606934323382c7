package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"time"

	"coilwright/job"
	"coilwright/offer"
	"coilwright/proposal"
	"coilwright/store"
)

// CreditLine is one credit note of the ledger.
type CreditLine struct {
	Number  int64     `json:"number"`
	Name    string    `json:"name" doc:"As it stands on the paper"`
	Invoice int64     `json:"invoice"`
	Amount  string    `json:"amount"`
	Whole   bool      `json:"whole" doc:"Nothing of the invoice stays; the payment may be asked for again"`
	Issued  time.Time `json:"issued"`
	By      string    `json:"by"`
	Why     string    `json:"why"`
}

type creditIn struct {
	InvoicePath
	Body struct {
		Amount string `json:"amount,omitempty" maxLength:"30" doc:"With taxes; left out: all that is left of the invoice"`
		Why    string `json:"why" minLength:"1" maxLength:"300" doc:"For the owner to read"`
	}
}

func (s *Server) registerCredits() {
	const tag, at = "invoices", "/api/jobs/{job}"
	handle(s, operation("POST", at+"/invoices/{number}/credits", "make-credit", tag, "Credit an invoice, whole or in part", 404, 409), s.makeCredit)
	paper := operation("GET", at+"/credits/{number}/paper", "get-credit-paper", tag, "A credit note as PDF, or as OASIS UBL 2.1 XML", 404)
	paper.Responses = binary("PDF or XML")
	handle(s, paper, s.creditPaper)
}

func readCredits(kept []store.Credit) ([]offer.CreditNote, error) {
	out := make([]offer.CreditNote, len(kept))
	for i, k := range kept {
		if err := json.Unmarshal([]byte(k.Body), &out[i]); err != nil {
			return nil, fmt.Errorf("credit note %d cannot be read: %w", k.Number, err)
		}
	}
	return out, nil
}

func creditedWhole(all []store.Credit, invoice int64) bool {
	return slices.ContainsFunc(all, func(c store.Credit) bool { return c.Whole && c.Invoice == invoice })
}

func (s *Server) makeCredit(ctx context.Context, in *creditIn) (*ledgerOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	frozen, err := s.frozenOf(ctx, w, in.Job, in.Number)
	if err != nil {
		return nil, err
	}
	places, err := frozen.job.Prices.Places()
	if err != nil {
		return nil, err
	}
	now := s.now().UTC().Truncate(time.Second)
	c := store.Credit{Job: in.Job, Invoice: in.Number, Issued: now}
	err = s.store.AddCredit(ctx, w, c, func(number int64, invoices []store.Invoice, earlier []store.Credit) (string, bool, error) {
		return writeCredit(in, &frozen.job, places, now, number, invoices, earlier)
	})
	if errors.Is(err, offer.ErrCredit) {
		return nil, refuse(http.StatusConflict, capital(err.Error())+".")
	}
	if err != nil {
		return nil, err
	}
	return s.ledger(ctx, w, in.Job)
}

// writeCredit gives the note's text under its number, and whether it is the whole.
func writeCredit(in *creditIn, j *job.Job, places int, now time.Time, number int64, invoices []store.Invoice, earlier []store.Credit) (string, bool, error) {
	n := slices.IndexFunc(invoices, func(i store.Invoice) bool { return i.Number == in.Number })
	if n < 0 {
		return "", false, store.ErrNotFound
	}
	read, err := readInvoices(invoices[n : n+1])
	if err != nil {
		return "", false, err
	}
	notes, err := readCredits(slices.DeleteFunc(slices.Clone(earlier), func(c store.Credit) bool { return c.Invoice != in.Number }))
	if err != nil {
		return "", false, err
	}
	items, taxes, whole, err := offer.Credit(read[0], notes, in.Body.Amount, places)
	if err != nil {
		return "", false, err
	}
	l := j.Offer.Letterhead
	text, err := json.Marshal(offer.CreditNote{
		Number: fmt.Sprintf("C%d-%04d", now.Year(), number), Issued: now, Currency: read[0].Currency,
		From: proposal.Party(l.Name, l.Address, l.Country), To: read[0].To, Items: items, Taxes: taxes,
		Invoice: read[0].Number, InvoiceIssued: read[0].Issued, Why: in.Body.Why,
	})
	return string(text), whole, err
}

// frozenOf is the job as it was offered under an invoice.
func (s *Server) frozenOf(ctx context.Context, w store.Who, id string, number int64) (*worked, error) {
	of, err := s.offerOf(ctx, w, id, number)
	if err != nil {
		return nil, err
	}
	o, err := s.store.Offer(ctx, w.Shop, id, of)
	if err != nil {
		return nil, err
	}
	return s.frozenJob(ctx, o)
}

// offerOf is the offer under an invoice.
func (s *Server) offerOf(ctx context.Context, w store.Who, id string, number int64) (string, error) {
	kept, err := s.store.Invoices(ctx, w.Shop, id)
	if err != nil {
		return "", err
	}
	n := slices.IndexFunc(kept, func(k store.Invoice) bool { return k.Number == number })
	if n < 0 {
		return "", store.ErrNotFound
	}
	return kept[n].Offer, nil
}

// credits puts the notes on the ledger and gives what each invoice was credited.
func (l *Ledger) credits(kept []store.Credit, places int) (map[int64][]string, error) {
	notes, err := readCredits(kept)
	if err != nil {
		return nil, err
	}
	given, all := map[int64][]string{}, []string{}
	for i, k := range kept {
		amount := notes[i].Gross(places)
		given[k.Invoice], all = append(given[k.Invoice], amount), append(all, amount)
		l.Credits = append(l.Credits, CreditLine{k.Number, notes[i].Number, k.Invoice, amount, k.Whole, k.Issued, k.By, notes[i].Why})
	}
	l.Credited = offer.Add(places, all...)
	return given, nil
}

func (s *Server) creditPaper(ctx context.Context, in *billAsk) (*fileOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	kept, err := s.store.Credits(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	n := slices.IndexFunc(kept, func(c store.Credit) bool { return c.Number == in.Number })
	if n < 0 {
		return nil, store.ErrNotFound
	}
	notes, err := readCredits(kept[n : n+1])
	if err != nil {
		return nil, err
	}
	of, err := s.offerOf(ctx, w, in.Job, kept[n].Invoice)
	if err != nil {
		return nil, err
	}
	return s.billPaper(ctx, w, in, "credit-"+notes[0].Number, of, notes[0].UBL, func(j *job.Job, logo *proposal.Picture, places int) ([]byte, error) {
		return proposal.Credit(j, notes[0], logo, places)
	})
}
