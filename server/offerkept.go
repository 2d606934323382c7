package server

import (
	"context"
	"encoding/json"
	"fmt"

	"coilwright/offer"
	"coilwright/store"
)

func optionsOf(o store.Offer) ([]keptOption, error) {
	var out []keptOption
	if err := json.Unmarshal([]byte(o.Options), &out); err != nil {
		return nil, fmt.Errorf("the offer %s cannot be read: %w", o.ID, err)
	}
	return out, nil
}

// read gives the offer of a kept text, which must still have its digest.
func (k keptOption) read() (offer.Offer, error) {
	var o offer.Offer
	if err := json.Unmarshal(k.Text, &o); err != nil {
		return o, err
	}
	if digest, err := o.Digest(); err != nil || digest != k.Digest {
		return o, fmt.Errorf("the text of scheme %s is not what its digest says (%v)", k.Scheme, err)
	}
	return o, nil
}

// signedOption is the one that was signed.
func signedOption(o store.Offer) (offer.Offer, error) {
	all, err := optionsOf(o)
	if err != nil {
		return offer.Offer{}, err
	}
	for _, k := range all {
		if k.Digest == o.Signed {
			return k.read()
		}
	}
	return offer.Offer{}, store.ErrNotFound
}

func (s *Server) offerLine(ctx context.Context, shop string, o store.Offer) (OfferLine, error) {
	l := OfferLine{
		ID: o.ID, Kind: o.Kind, State: string(o.State), Revision: o.Revision, At: o.At, By: o.By, LinkUntil: o.LinkUntil,
		Options: []OptionLine{}, Events: []OfferNote{},
	}
	options, err := optionsOf(o)
	if err != nil {
		return l, err
	}
	var first offer.Offer
	for i, k := range options {
		x, err := k.read()
		if err != nil {
			return l, err
		}
		if i == 0 {
			first = x
			l.Until, l.Why = x.Until, x.Why
		}
		l.Options = append(l.Options, OptionLine{x.Scheme, x.SchemeTitle, x.Currency, x.Price, x.Taxes, x.Total, x.Payments, k.Digest})
	}
	l.Signed, l.Countersign = signatureView(o.Signature, options), signatureView(o.Countersign, options)
	events, err := s.store.OfferEvents(ctx, o.ID)
	if err != nil {
		return l, err
	}
	for _, e := range events {
		l.Events = append(l.Events, OfferNote(e))
	}
	l.Difference, err = s.changeOf(ctx, shop, o, first)
	return l, err
}

func signatureView(text string, options []keptOption) *SignatureView {
	sig := signatureOf(text)
	if sig == nil {
		return nil
	}
	v := &SignatureView{Name: sig.Name, At: sig.At, Digest: sig.Digest}
	for _, k := range options {
		if k.Digest == sig.Digest {
			v.Scheme = k.Scheme
		}
	}
	return v
}

func signatureOf(text string) *offer.Signature {
	var sig offer.Signature
	if text == "" || json.Unmarshal([]byte(text), &sig) != nil {
		return nil
	}
	return &sig
}

// changeOf is what a change does to what it takes the place of.
func (s *Server) changeOf(ctx context.Context, shop string, o store.Offer, after offer.Offer) (*Difference, error) {
	if o.Instead == "" {
		return nil, nil
	}
	was, err := s.store.Offer(ctx, shop, o.Job, o.Instead)
	if err != nil {
		return nil, err
	}
	before, err := signedOption(was)
	if err != nil {
		return nil, err
	}
	d, err := offer.Difference(before, after)
	if err != nil {
		return nil, err
	}
	return differenceView(d, before, after), nil
}
