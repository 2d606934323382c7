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
	"coilwright/problem"
	"coilwright/store"
)

// OfferLine is one offer of a list, as the shop sees it.
type OfferLine struct {
	ID          string         `json:"id"`
	Kind        string         `json:"kind" enum:"offer,change,remeasure"`
	State       string         `json:"state" enum:"open,signed,replaced,revoked,borne"`
	Revision    int64          `json:"revision"`
	At          time.Time      `json:"at"`
	By          string         `json:"by"`
	Until       time.Time      `json:"until" doc:"Not to be signed later"`
	LinkUntil   time.Time      `json:"link_until"`
	Why         string         `json:"why"`
	Options     []OptionLine   `json:"options"`
	Signed      *SignatureView `json:"signed,omitempty"`
	Countersign *SignatureView `json:"countersigned,omitempty"`
	Events      []OfferNote    `json:"events"`
	Difference  *Difference    `json:"difference,omitempty" doc:"Of a change, against what was signed"`
}

// OptionLine is one scheme offered.
type OptionLine struct {
	Scheme   string          `json:"scheme"`
	Title    string          `json:"title"`
	Currency string          `json:"currency"`
	Price    string          `json:"price"`
	Taxes    []offer.Tax     `json:"taxes"`
	Total    string          `json:"total"`
	Payments []offer.Payment `json:"payments"`
	Digest   string          `json:"digest" doc:"SHA-256 of the text that is signed"`
}

// SignatureView is who signed what and when.
type SignatureView struct {
	Name   string    `json:"name"`
	At     time.Time `json:"at"`
	Scheme string    `json:"scheme"`
	Digest string    `json:"digest"`
}

// OfferNote is one thing that happened around an offer.
type OfferNote struct {
	At   time.Time `json:"at"`
	Kind string    `json:"kind"`
	By   string    `json:"by"`
	What string    `json:"what"`
}

// Difference is what a change does to what was signed.
type Difference struct {
	Added    int    `json:"added" doc:"Pieces that are new"`
	Removed  int    `json:"removed"`
	Altered  int    `json:"altered" doc:"Pieces of the same place in another size or shape"`
	LongerFt string `json:"longer_ft" doc:"Panel more, or less where negative"`
	Hours    string `json:"hours"`
	Money    string `json:"money"`
	Currency string `json:"currency"`
	Before   string `json:"before" doc:"The total as signed"`
	After    string `json:"after"`
	None     bool   `json:"none" doc:"Nothing that is cut or paid differs"`
}

// keptOption is an option as it is kept: the very text that is signed.
type keptOption struct {
	Scheme string          `json:"scheme"`
	Digest string          `json:"digest"`
	Text   json.RawMessage `json:"text"`
}

// OfferPath names an offer.
type OfferPath struct {
	JobPath
	Offer string `path:"offer" maxLength:"64" doc:"The offer's id"`
}

type sendIn struct {
	JobPath
	Body struct {
		Revision int64    `json:"revision" minimum:"1" doc:"The revision that was looked at; another is refused"`
		Schemes  []string `json:"schemes,omitempty" maxItems:"12" doc:"Left out: all, or of a change the one that was signed"`
		Kind     string   `json:"kind,omitempty" enum:"offer,change,remeasure" default:"offer"`
		Why      string   `json:"why,omitempty" maxLength:"1000"`
		Days     int      `json:"days,omitempty" minimum:"1" maximum:"366" doc:"How long it stands; left out: as the book says"`
		Link     int      `json:"link_days,omitempty" minimum:"1" maximum:"730" doc:"How long the link leads there; left out: 90 days longer than the offer stands"`
	}
}

type sentOut struct {
	Status int
	Body   struct {
		Offer OfferLine `json:"offer"`
		Link  string    `json:"link" doc:"The owner's page; told this once, kept nowhere"`
	}
}

func (s *Server) registerOffers() {
	const tag, at = "offers", "/api/jobs/{job}/offers"
	send := operation("POST", at, "send-offer", tag, "Freeze the job as it stands and make a link for its owner", 404, 409, 412)
	send.DefaultStatus = http.StatusCreated
	handle(s, send, s.sendOffer)
	handle(s, operation("GET", at, "list-offers", tag, "What was offered, what became of it, and what was asked", 404), s.listOffers)
	handle(s, operation("DELETE", at+"/{offer}", "revoke-offer", tag, "Take an open offer back", 404, 409), s.moveOffer(store.OfferRevoked))
	handle(s, operation("POST", at+"/{offer}/bear", "bear-offer", tag, "Carry out a change at the shop's own cost", 404, 409), s.bearOffer)
	handle(s, operation("POST", at+"/{offer}/link", "relink-offer", tag, "Another link to the same offer; the old one ends", 404, 409), s.relinkOffer)
	handle(s, operation("POST", at+"/{offer}/answers", "answer-owner", tag, "Answer what the owner asked", 404), s.answerOwner)
	handle(s, operation("POST", at+"/{offer}/countersignature", "countersign", tag, "Sign for the shop", 404, 409), s.countersign)
	paper := operation("GET", at+"/{offer}/paper", "get-offer-paper", tag, "The offer as PDF, signed as far as it is", 404)
	paper.Responses = binary("PDF")
	handle(s, paper, s.shopPaper)
	s.registerOwner()
	s.registerInvoices()
	s.registerFigures()
	s.registerFinished()
	s.registerReleases()
	s.registerWords()
	s.registerCredits()
}

// sendOffer freezes a job's revision. Open offers of the job are taken back: the
// owner has one to decide on.
func (s *Server) sendOffer(ctx context.Context, in *sendIn) (*sentOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	out, err := s.makeOffer(ctx, w, in)
	if err != nil {
		s.log.Warn("offer refused", "job", in.Job, "by", w.Name, "why", err, "found", foundIn(err))
	}
	return out, err
}

// foundIn is each thing that a refusal names.
func foundIn(err error) []problem.Problem {
	var r *Refusal
	if errors.As(err, &r) {
		return r.Problems
	}
	return nil
}

func (s *Server) makeOffer(ctx context.Context, w store.Who, in *sendIn) (*sentOut, error) {
	_, done, err := s.worked(ctx, in.Job)
	if err == nil {
		err = done.sound()
	}
	if err != nil {
		return nil, err
	}
	full, err := s.store.Job(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	if full.Revision != in.Body.Revision {
		return nil, movedOn(full.Revision, "offer")
	}
	before, err := s.signedBefore(ctx, w, in)
	if err != nil {
		return nil, err
	}
	f, pictures, err := s.frozen(ctx, w, full, in, done, before)
	if err != nil {
		return nil, err
	}
	schemes := schemesOf(in, done, before)
	worn, err := s.render(ctx, w, in.Job, &done.job, schemes, pictures)
	if err != nil {
		return nil, err
	}
	options, err := s.freeze(ctx, done, schemes, f, worn)
	if err != nil {
		return nil, notReady(err)
	}
	for _, r := range worn {
		pictures = append(pictures, store.Content{Name: r.name(), Media: "image/jpeg", Bytes: r.bytes})
	}
	return s.keepOffer(ctx, w, in, f, options, pictures, before)
}

// signedBefore is what is signed of a job; a first offer must find nothing, a
// change must find something.
func (s *Server) signedBefore(ctx context.Context, w store.Who, in *sendIn) (*store.Offer, error) {
	all, err := s.store.Offers(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	var signed *store.Offer
	for i := range all {
		if all[i].State == store.OfferSigned {
			signed = &all[i]
		}
	}
	first := in.Body.Kind == "" || in.Body.Kind == string(offer.First)
	switch {
	case first && signed != nil:
		return nil, refuse(http.StatusConflict, "This job is signed already. What is different now goes to the owner as a change.")
	case !first && signed == nil:
		return nil, refuse(http.StatusConflict, "Nothing is signed yet, so nothing can be changed: send an offer.")
	}
	return signed, nil
}

// frozen is what an offer rests on: the complete job, until when, and the pictures.
func (s *Server) frozen(ctx context.Context, w store.Who, j store.Job, in *sendIn, done *worked, before *store.Offer) (job.Frozen, []store.Content, error) {
	complete, err := job.Complete("job", j.Document, s.books(ctx, w.Shop))
	if err != nil {
		return job.Frozen{}, nil, err
	}
	days := in.Body.Days
	if days == 0 {
		days = max(done.job.Offer.DaysValid, 1)
	}
	f := job.Frozen{Complete: complete, Revision: j.Revision, Kind: offer.Kind(in.Body.Kind), Why: in.Body.Why, Until: s.now().UTC().AddDate(0, 0, days).Truncate(time.Second)}
	if f.Kind == "" {
		f.Kind = offer.First
	}
	if before != nil {
		f.Instead = before.Signed
		return f, nil, nil // the pictures stand in what was signed first
	}
	pictures, err := s.pictures(ctx, w, j.ID)
	for _, c := range pictures {
		f.Pictures = append(f.Pictures, offer.Sum(c.Bytes))
	}
	return f, pictures, err
}

func schemesOf(in *sendIn, done *worked, before *store.Offer) []string {
	if len(in.Body.Schemes) > 0 {
		return in.Body.Schemes
	}
	if before != nil {
		if o, err := optionsOf(*before); err == nil {
			for _, k := range o {
				if k.Digest == before.Signed {
					return []string{k.Scheme}
				}
			}
		}
	}
	var all []string
	for _, sc := range done.job.Schemes {
		all = append(all, sc.ID)
	}
	return all
}

// freeze works each scheme out and keeps the very text that will be signed.
func (s *Server) freeze(ctx context.Context, w *worked, ids []string, f job.Frozen, worn []rendered) ([]keptOption, error) {
	release, err := turn(ctx, w.desk.slow)
	if err != nil {
		return nil, err
	}
	defer release()
	var out []keptOption
	for _, id := range ids {
		if _, err := w.job.Scheme(id); err != nil {
			return nil, refuse(http.StatusNotFound, fmt.Sprintf("The job has no scheme %.40q.", id))
		}
		own := f
		own.Pictures = append(slices.Clone(f.Pictures), digests(worn, id)...)
		o, err := w.job.Freeze(id, own)
		if err != nil {
			return nil, err
		}
		text, err := o.Text()
		if err != nil {
			return nil, err
		}
		out = append(out, keptOption{id, offer.Sum(text), text})
	}
	return out, nil
}

// notReady names each gap with its place and mend.
func notReady(err error) error {
	var not *job.NotReadyError
	if !errors.As(err, &not) {
		return err
	}
	p := refuse(http.StatusUnprocessableEntity, "No offer can be made yet: the shop's book lacks what is listed.")
	for _, l := range not.Lacks {
		p.Problems = append(p.Problems, problem.Problem{Severity: problem.Error, Where: "$.shop." + l.Key, What: l.What, Mend: l.Mend})
	}
	return p
}

func (s *Server) keepOffer(ctx context.Context, w store.Who, in *sendIn, f job.Frozen, options []keptOption, pictures []store.Content, before *store.Offer) (*sentOut, error) {
	text, err := json.Marshal(options)
	if err != nil {
		return nil, err
	}
	days := in.Body.Link
	until := f.Until.AddDate(0, 0, 90)
	if days > 0 {
		until = s.now().AddDate(0, 0, days)
	}
	o := store.Offer{Job: in.Job, Kind: string(f.Kind), Revision: f.Revision, LinkUntil: until, Document: string(f.Complete), Options: string(text)}
	if before != nil {
		o.Instead = before.ID
	}
	if err := s.takeBack(ctx, w, in.Job); err != nil {
		return nil, err
	}
	o, token, err := s.store.AddOffer(ctx, w, o)
	if err != nil {
		return nil, err
	}
	if err := s.keepPictures(ctx, w, o, pictures); err != nil {
		return nil, err
	}
	out := &sentOut{Status: http.StatusCreated}
	out.Body.Link = linkOf(token)
	out.Body.Offer, err = s.offerLine(ctx, w.Shop, o)
	return out, err
}

// linkOf is the way to the owner's page.
func linkOf(token string) string { return "/#/owner/" + token }

// takeBack ends what is open: its price may have changed.
func (s *Server) takeBack(ctx context.Context, w store.Who, jobID string) error {
	all, err := s.store.Offers(ctx, w.Shop, jobID)
	if err != nil {
		return err
	}
	for _, o := range all {
		if o.State != store.OfferOpen {
			continue
		}
		err := s.store.MoveOffer(ctx, w, jobID, o.ID, store.OfferRevoked, "a newer one was sent")
		if err != nil && !errors.Is(err, store.ErrOfferState) {
			return err
		}
	}
	return nil
}

type offersOut struct {
	Body struct {
		Offers []OfferLine `json:"offers"`
		Lacks  []Lack      `json:"lacks" doc:"What the book lacks before an offer can be sent"`
	}
}

// Lack is one thing missing, and the mend.
type Lack struct {
	Key  string `json:"key"`
	What string `json:"what"`
	Mend string `json:"mend"`
}

func (s *Server) listOffers(ctx context.Context, in *JobPath) (*offersOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	all, err := s.store.Offers(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	out := &offersOut{}
	out.Body.Offers, out.Body.Lacks = []OfferLine{}, []Lack{}
	for _, o := range all {
		l, err := s.offerLine(ctx, w.Shop, o)
		if err != nil {
			return nil, err
		}
		out.Body.Offers = append(out.Body.Offers, l)
	}
	if _, done, err := s.worked(ctx, in.Job); err == nil {
		for _, l := range done.job.Offer.Lacks() {
			out.Body.Lacks = append(out.Body.Lacks, Lack(l))
		}
	}
	return out, nil
}
