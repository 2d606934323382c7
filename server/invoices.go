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

// Ledger is what was agreed, asked for and paid.
type Ledger struct {
	Currency string        `json:"currency"`
	Total    string        `json:"total" doc:"As agreed now, with every signed change"`
	Asked    string        `json:"asked" doc:"Less what was credited"`
	Credited string        `json:"credited"`
	Paid     string        `json:"paid"`
	Open     string        `json:"open" doc:"Asked for and not paid; negative: to be paid back"`
	Left     string        `json:"left" doc:"Not asked for yet; negative where a change made it less"`
	Invoices []InvoiceLine `json:"invoices"`
	Credits  []CreditLine  `json:"credits"`
	Plan     []PlanLine    `json:"plan" doc:"The payments as they are agreed now"`
}

// InvoiceLine is one invoice of the ledger.
type InvoiceLine struct {
	Number  int64      `json:"number"`
	Name    string     `json:"name" doc:"As it stands on the paper"`
	When    string     `json:"when"`
	Amount  string     `json:"amount"`
	Issued  time.Time  `json:"issued"`
	Due     time.Time  `json:"due"`
	Overdue bool       `json:"overdue"`
	Paid    *time.Time `json:"paid,omitempty"`
	Note    string     `json:"note"`
	Left    string     `json:"left" doc:"What stays of it after its credit notes"`
}

// PlanLine is one payment of the plan.
type PlanLine struct {
	Step   int    `json:"step"`
	When   string `json:"when"`
	Amount string `json:"amount"`
	Asked  bool   `json:"asked"`
}

type ledgerOut struct{ Body Ledger }

type invoiceIn struct {
	JobPath
	Body struct {
		Step    int    `json:"step" minimum:"0" maximum:"100" doc:"Which payment of the plan"`
		DueDays int    `json:"due_days,omitempty" minimum:"0" maximum:"365" doc:"Left out: 14"`
		Note    string `json:"note,omitempty" maxLength:"300"`
	}
}

// InvoicePath names an invoice.
type InvoicePath struct {
	JobPath
	Number int64 `path:"number" minimum:"1"`
}

func (s *Server) registerInvoices() {
	const tag, at = "invoices", "/api/jobs/{job}/invoices"
	handle(s, operation("GET", at, "get-ledger", tag, "What was agreed, asked for and paid", 404), s.getLedger)
	handle(s, operation("POST", at, "make-invoice", tag, "Ask for a payment of the plan; signed changes are settled with it", 404, 409), s.makeInvoice)
	handle(s, operation("PUT", at+"/{number}/paid", "invoice-paid", tag, "Note that an invoice was paid", 404, 409), s.invoicePaid)
	paper := operation("GET", at+"/{number}/paper", "get-invoice-paper", tag, "An invoice as PDF, or as OASIS UBL 2.1 XML", 404)
	paper.Responses = binary("PDF or XML")
	handle(s, paper, s.invoicePaper)
}

// agreed is the job's signed offer with what was frozen under it.
func (s *Server) agreed(ctx context.Context, w store.Who, jobID string) (store.Offer, offer.Offer, *worked, error) {
	all, err := s.store.Offers(ctx, w.Shop, jobID)
	if err != nil {
		return store.Offer{}, offer.Offer{}, nil, err
	}
	for _, line := range all {
		if line.State != store.OfferSigned {
			continue
		}
		o, err := s.store.Offer(ctx, w.Shop, jobID, line.ID)
		if err != nil {
			return o, offer.Offer{}, nil, err
		}
		x, err := signedOption(o)
		if err != nil {
			return o, x, nil, err
		}
		frozen, err := s.frozenJob(ctx, o)
		return o, x, frozen, err
	}
	return store.Offer{}, offer.Offer{}, nil, refuse(http.StatusConflict, "Nothing is signed yet, so nothing can be asked for.")
}

// invoices reads the kept invoices.
func readInvoices(kept []store.Invoice) ([]offer.Invoice, error) {
	out := make([]offer.Invoice, len(kept))
	for i, k := range kept {
		if err := json.Unmarshal([]byte(k.Body), &out[i]); err != nil {
			return nil, fmt.Errorf("invoice %d cannot be read: %w", k.Number, err)
		}
	}
	return out, nil
}

func (s *Server) makeInvoice(ctx context.Context, in *invoiceIn) (*ledgerOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	o, x, frozen, err := s.agreed(ctx, w, in.Job)
	if err != nil {
		return nil, err
	}
	places, err := frozen.job.Prices.Places()
	if err != nil {
		return nil, err
	}
	now := s.now().UTC().Truncate(time.Second)
	_, err = s.store.AddInvoice(ctx, w, store.Invoice{Job: in.Job, Offer: o.ID, Step: in.Body.Step, Issued: now}, func(number int64, earlier []store.Invoice, credits []store.Credit) (string, error) {
		return s.writeInvoice(in, o, x, frozen, places, now, number, earlier, credits)
	})
	if errors.Is(err, store.ErrTaken) {
		return nil, refuse(http.StatusConflict, "This payment was asked for already.")
	}
	if errors.Is(err, offer.ErrInvoice) {
		return nil, refuse(http.StatusConflict, capital(err.Error())+".")
	}
	if err != nil {
		return nil, err
	}
	return s.ledger(ctx, w, in.Job)
}

// writeInvoice gives the invoice's text under its number.
func (s *Server) writeInvoice(in *invoiceIn, o store.Offer, x offer.Offer, frozen *worked, places int, now time.Time, number int64, earlier []store.Invoice, credits []store.Credit) (string, error) {
	before, err := readInvoices(earlier)
	if err != nil {
		return "", err
	}
	given, err := readCredits(credits)
	if err != nil {
		return "", err
	}
	for _, c := range given {
		before = append(before, c.Against())
	}
	for _, e := range earlier {
		if e.Step > in.Body.Step && !creditedWhole(credits, e.Number) {
			return "", fmt.Errorf("%w: a later payment of the plan was asked for already", offer.ErrInvoice)
		}
	}
	items, taxes, err := offer.Bill(x, in.Body.Step, places, before)
	if err != nil {
		return "", err
	}
	days := in.Body.DueDays
	if days == 0 {
		days = 14
	}
	l, v := frozen.job.Offer.Letterhead, frozen.job.Visit
	i := offer.Invoice{
		Number: fmt.Sprintf("%d-%04d", now.Year(), number), Issued: now, Due: proposal.Due(now, days), Currency: x.Currency,
		From: proposal.Party(l.Name, l.Address, l.Country), To: proposal.Party(ownerName(x, v.Owner), v.Address, ""),
		Items: items, Taxes: taxes, OfferDigest: o.Signed, AlreadyPaid: offer.Add(places), Note: in.Body.Note,
	}
	t, err := i.Totals(places)
	if err != nil {
		return "", err
	}
	if !offer.IsDue(t.Payable) {
		return "", fmt.Errorf("%w: nothing is to be asked for; %s %s is to be paid back", offer.ErrInvoice, i.Currency, t.Payable)
	}
	text, err := json.Marshal(i)
	return string(text), err
}

// ownerName is whom an invoice goes to.
func ownerName(x offer.Offer, visited string) string {
	if visited != "" {
		return visited
	}
	if x.Owner != "" {
		return x.Owner
	}
	return "The owner of " + x.Title
}

func (s *Server) getLedger(ctx context.Context, in *JobPath) (*ledgerOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	return s.ledger(ctx, w, in.Job)
}

func (s *Server) ledger(ctx context.Context, w store.Who, jobID string) (*ledgerOut, error) {
	kept, err := s.store.Invoices(ctx, w.Shop, jobID)
	if err != nil {
		return nil, err
	}
	credits, err := s.store.Credits(ctx, w.Shop, jobID)
	if err != nil {
		return nil, err
	}
	out := &ledgerOut{Ledger{Invoices: []InvoiceLine{}, Credits: []CreditLine{}, Plan: []PlanLine{}}}
	o, x, frozen, err := s.agreed(ctx, w, jobID)
	var own *Refusal
	if errors.As(err, &own) && own.Status == http.StatusConflict {
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	places, err := frozen.job.Prices.Places()
	if err != nil {
		return nil, err
	}
	return out, out.Body.fill(kept, credits, o, x, places, s.now())
}

func (l *Ledger) fill(kept []store.Invoice, credits []store.Credit, o store.Offer, x offer.Offer, places int, now time.Time) error {
	invoices, err := readInvoices(kept)
	if err != nil {
		return err
	}
	given, err := l.credits(credits, places)
	if err != nil {
		return err
	}
	var asked, paid []string
	highest := -1
	for i, k := range kept {
		t, err := invoices[i].Totals(places)
		if err != nil {
			return err
		}
		line := InvoiceLine{Number: k.Number, Name: invoices[i].Number, Amount: t.Payable, Issued: k.Issued, Due: invoices[i].Due, Note: k.PaidNote}
		line.Left = offer.Less(places, t.Payable, offer.Add(places, given[k.Number]...))
		if len(invoices[i].Items) > 0 {
			line.When = invoices[i].Items[0].What
		}
		asked = append(asked, t.Payable)
		if k.Paid.IsZero() {
			line.Overdue = now.After(line.Due) && offer.IsDue(line.Left)
		} else {
			line.Paid = &k.Paid
			paid = append(paid, t.Payable)
		}
		if !creditedWhole(credits, k.Number) {
			highest = max(highest, k.Step)
		}
		l.Invoices = append(l.Invoices, line)
	}
	l.Currency, l.Total = x.Currency, x.Total
	l.Asked, l.Paid = offer.Less(places, offer.Add(places, asked...), l.Credited), offer.Add(places, paid...)
	l.Open, l.Left = offer.Less(places, l.Asked, l.Paid), offer.Less(places, l.Total, l.Asked)
	for i, p := range x.Payments {
		l.Plan = append(l.Plan, PlanLine{i, p.When, p.Amount, askedFor(kept, credits, o.ID, i) || i < highest})
	}
	return nil
}

func askedFor(kept []store.Invoice, credits []store.Credit, id string, step int) bool {
	for _, k := range kept {
		if k.Offer == id && k.Step == step && !creditedWhole(credits, k.Number) {
			return true
		}
	}
	return false
}

func (s *Server) invoicePaid(ctx context.Context, in *struct {
	InvoicePath
	Body struct {
		At   time.Time `json:"at"`
		Note string    `json:"note,omitempty" maxLength:"300"`
	}
},
) (*ledgerOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	if in.Body.At.IsZero() || in.Body.At.After(s.now().Add(24*time.Hour)) {
		return nil, refuse(http.StatusUnprocessableEntity, "Say when it was paid: a day that has been.")
	}
	if err := s.store.Paid(ctx, w, in.Job, in.Number, in.Body.At, in.Body.Note); err != nil {
		return nil, err
	}
	return s.ledger(ctx, w, in.Job)
}

func (s *Server) invoicePaper(ctx context.Context, in *billAsk) (*fileOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	kept, err := s.store.Invoices(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	n := slices.IndexFunc(kept, func(k store.Invoice) bool { return k.Number == in.Number })
	if n < 0 {
		return nil, store.ErrNotFound
	}
	all, err := readInvoices(kept[n : n+1])
	if err != nil {
		return nil, err
	}
	return s.billPaper(ctx, w, in, "invoice-"+all[0].Number, kept[n].Offer, all[0].UBL, func(j *job.Job, logo *proposal.Picture, places int) ([]byte, error) {
		return proposal.Invoice(j, all[0], logo, places)
	})
}
