package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"coilwright/job"
	"coilwright/offer"
	"coilwright/store"
)

// ReleaseView says whether a scheme's steel may be cut. Until the job is signed it
// says nothing: it is a plan.
type ReleaseView struct {
	State      string      `json:"state" enum:"unsigned,open,ready,released"`
	Says       string      `json:"says" doc:"As it stands on run sheets and papers; empty while nothing is signed"`
	Why        []string    `json:"why" doc:"What is to be done before it can be released"`
	By         string      `json:"by"`
	At         *time.Time  `json:"at,omitempty"`
	Revision   int64       `json:"revision" doc:"That was released; 0: none"`
	Difference *Difference `json:"difference,omitempty" doc:"Of the job as it stands against what is agreed, where there is one"`
	LeftOut    int         `json:"left_out" doc:"Pieces that are not fit to cut by the shop's rule, and not formed"`
}

// RunView is the machine's run with whether it is released.
type RunView struct {
	job.RunAnswer
	Release ReleaseView `json:"release"`
}

type releaseOut struct{ Body ReleaseView }

type releaseIn struct {
	SchemePath
	Body struct {
		Revision int64 `json:"revision" minimum:"1" doc:"The revision that was looked at; another is refused"`
	}
}

func (s *Server) registerReleases() {
	const tag, at = "releases", "/api/jobs/{job}/schemes/{scheme}/release"
	handle(s, operation("GET", at, "get-release", tag, "Whether a scheme is released to the machine, and what stands against it", 404), s.getRelease)
	handle(s, operation("POST", at, "release", tag, "Release a scheme to the machine; refused while its remeasure is open", 404, 409, 412), s.release)
	handle(s, operation("DELETE", at, "take-release-back", tag, "Take a release back", 404), s.takeReleaseBack)
}

// The words on papers.
const (
	openSays  = "NOT RELEASED: remeasure is open"
	readySays = "NOT RELEASED: nobody has released it to the machine yet"
)

func (s *Server) getRelease(ctx context.Context, in *SchemePath) (*releaseOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	v, _, err := s.releaseOf(ctx, w.Shop, in.Job, in.Scheme)
	return &releaseOut{v}, err
}

// releaseOf says how a scheme stands, and the digest of the pieces that it says so
// of. It asks nobody who they are.
func (s *Server) releaseOf(ctx context.Context, shop, id, scheme string) (ReleaseView, string, error) {
	v := ReleaseView{State: "unsigned", Why: []string{}}
	all, err := s.store.Offers(ctx, shop, id)
	if err != nil {
		return v, "", err
	}
	agreed, signed, err := agreedNow(all)
	if err != nil || agreed == nil {
		return v, "", err
	}
	head, done, err := s.workedOf(ctx, shop, id)
	if err == nil {
		err = done.sound()
	}
	if err != nil {
		return v, "", err
	}
	if _, err := done.job.Scheme(scheme); err != nil {
		return v, "", refuse(http.StatusNotFound, "The job has no scheme of that id.")
	}
	now, why, err := s.offeredNow(ctx, done, scheme)
	if err != nil {
		return v, "", err
	}
	v.Why = append(v.Why, why...)
	if err := v.judge(head.Stage, scheme, *agreed, *signed, now); err != nil {
		return v, "", err
	}
	by, err := s.spoken(ctx, shop, id, scheme, "")
	if err != nil {
		return v, "", err
	}
	if err := s.leftOut(ctx, done, scheme, by, &v); err != nil {
		return v, "", err
	}
	pieces, err := piecesDigest(now)
	if err != nil {
		return v, "", err
	}
	return v, pieces, s.settle(ctx, shop, id, scheme, pieces, done, &v)
}

// agreedNow is what the owner and the shop stand by: the signed offer, or a later
// change of it that the shop bears; and the signed one.
func agreedNow(all []store.Offer) (agreed, signed *offer.Offer, err error) {
	i := slices.IndexFunc(all, func(o store.Offer) bool { return o.State == store.OfferSigned })
	if i < 0 {
		return nil, nil, nil
	}
	s, err := signedOption(all[i])
	if err != nil {
		return nil, nil, err
	}
	for _, o := range all { // the latest first
		if o.State == store.OfferBorne && o.Instead == all[i].ID && o.At.After(all[i].At) {
			options, err := optionsOf(o)
			if err != nil || len(options) == 0 {
				return nil, nil, err
			}
			b, err := options[0].read()
			return &b, &s, err
		}
	}
	return &s, &s, nil
}

// offeredNow is what would be offered of the job as it stands.
func (s *Server) offeredNow(ctx context.Context, w *worked, scheme string) (offer.Offer, []string, error) {
	o, err := slow(ctx, w, "offered now "+scheme, func() (offer.Offer, error) { return w.job.Freeze(scheme, job.Frozen{}) })
	var not *job.NotReadyError
	if !errors.As(err, &not) {
		return o, nil, err
	}
	var why []string
	for _, l := range not.Lacks {
		why = append(why, "The shop's book: "+l.What+"; "+l.Mend+".")
	}
	return o, why, nil
}

// judge finds what stands against a release.
func (v *ReleaseView) judge(stage, scheme string, agreed, signed, now offer.Offer) error {
	if signed.Scheme != scheme {
		v.Why = append(v.Why, fmt.Sprintf("The owner signed scheme %s, not %s.", signed.Scheme, scheme))
	}
	if slices.Index(store.Stages[:], stage) < slices.Index(store.Stages[:], "remeasured") {
		v.Why = append(v.Why, "The bare wall is still to be measured: write its sizes down, then move the job to its stage measured again.")
	}
	if signed.Scheme != scheme || len(v.Why) > 0 && now.Scheme == "" {
		return nil
	}
	d, err := offer.Difference(agreed, now)
	if err != nil || d.Empty() {
		return err
	}
	v.Difference = differenceView(d, agreed, now)
	v.Why = append(v.Why, fmt.Sprintf("The job is no longer what was agreed (%d pieces new, %d gone, %d altered; %s %s): have the owner sign it as a change, or bear it as the shop's own cost.",
		len(d.Added), len(d.Removed), len(d.Altered), d.Money, d.Currency))
	return nil
}

func differenceView(d offer.Change, before, after offer.Offer) *Difference {
	return &Difference{
		Added: len(d.Added), Removed: len(d.Removed), Altered: len(d.Altered), LongerFt: d.LongerFeet(), Hours: d.Hours, Money: d.Money,
		Currency: d.Currency, Before: before.Total, After: after.Total, None: d.Empty(),
	}
}

// leftOut counts what no machine may cut yet; where nothing may be, that stands
// against a release too.
func (s *Server) leftOut(ctx context.Context, w *worked, scheme string, by spoken, v *ReleaseView) error {
	r, err := s.run(ctx, w, scheme, by)
	if err != nil {
		return err
	}
	v.LeftOut = len(r.LeftOut)
	if v.LeftOut > 0 && v.LeftOut >= len(r.Layout.Pieces) {
		v.Why = append(v.Why, "No piece is fit to cut by the shop's rule: "+r.LeftOut[0].Why+".")
	}
	return nil
}

func piecesDigest(o offer.Offer) (string, error) {
	text, err := json.Marshal(o.Pieces)
	return offer.Sum(text), err
}

// settle says the state in words. A release holds only for the very pieces that
// were released.
func (s *Server) settle(ctx context.Context, shop, id, scheme, pieces string, w *worked, v *ReleaseView) error {
	released, err := s.store.Releases(ctx, shop, id)
	if err != nil {
		return err
	}
	v.State, v.Says = "open", openSays
	if len(v.Why) > 0 {
		return nil
	}
	v.State, v.Says = "ready", readySays
	for _, r := range released {
		if r.Scheme == scheme && r.Pieces == pieces {
			v.State, v.By, v.At, v.Revision = "released", r.By, &r.At, r.Revision
			v.Says = fmt.Sprintf("Released to the machine by %s, %s", r.By, r.At.Format("2 January 2006 15:04 MST"))
			return nil
		}
	}
	return nil
}

func (s *Server) release(ctx context.Context, in *releaseIn) (*releaseOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	head, err := s.store.Head(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	if head.Revision != in.Body.Revision {
		return nil, movedOn(head.Revision, "release")
	}
	v, pieces, err := s.releaseOf(ctx, w.Shop, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	switch v.State {
	case "unsigned":
		return nil, refuse(http.StatusConflict, "Not released: nothing is signed for this house yet.")
	case "open":
		return nil, refuse(http.StatusConflict, "Not released: remeasure is open. "+strings.Join(v.Why, " "))
	}
	if err := s.store.AddRelease(ctx, w, in.Job, store.Release{Scheme: in.Scheme, Revision: head.Revision, Pieces: pieces}); err != nil {
		return nil, err
	}
	return s.getRelease(ctx, &in.SchemePath)
}

func (s *Server) takeReleaseBack(ctx context.Context, in *SchemePath) (*releaseOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	if err := s.store.TakeBackReleases(ctx, w, in.Job, in.Scheme); err != nil {
		return nil, err
	}
	return s.getRelease(ctx, in)
}
