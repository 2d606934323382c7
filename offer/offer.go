// Package offer is what is agreed with the owner and held to: which scheme at what
// price, frozen with its SHA-256 so that both sides can prove what was signed; the
// payments; the difference that a later change makes; and the invoices.
package offer

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"time"
)

// Offer is what the owner is shown and signs. It names the whole job file of the
// revision offered, its shop's book in place, by SHA-256: the shop keeps that file,
// so that an old offer always works out to the same cent, and its own costs stay
// its own. The rest was worked out from it.
type Offer struct {
	Kind        Kind           `json:"kind"`
	Shop        string         `json:"shop"`
	Owner       string         `json:"owner"`
	Title       string         `json:"title"`
	JobSHA256   string         `json:"job_sha256"`
	Revision    int64          `json:"revision"`
	Scheme      string         `json:"scheme"`
	SchemeTitle string         `json:"scheme_title"`
	Currency    string         `json:"currency"`
	Price       string         `json:"price"` // before taxes
	Taxes       []Tax          `json:"taxes"`
	Total       string         `json:"total"`
	Hours       string         `json:"hours"` // of work on site and at the machine
	Pieces      []PieceSummary `json:"pieces"`
	Payments    []Payment      `json:"payments"`
	Scope       []string       `json:"scope"`
	NotIncluded []string       `json:"not_included"`
	Terms       string         `json:"terms"`
	Until       time.Time      `json:"until"`    // not to be signed later
	Pictures    []string       `json:"pictures"` // SHA-256 of each, as hexadecimal text
	Instead     string         `json:"instead"`  // digest of the signed offer that this one takes the place of
	Why         string         `json:"why"`      // of a change, in words
}

// Kind of offer.
type Kind string

// The kinds. A remeasure is a change that the bare wall's sizes ask for.
const (
	First     Kind = "offer"
	Changed   Kind = "change"
	Remeasure Kind = "remeasure"
)

// Tax is one tax within the total. Percent is of the part that it falls on.
type Tax struct {
	Title   string `json:"title"`
	Percent string `json:"percent"`
	Amount  string `json:"amount"`
}

// PieceSummary is one piece as agreed: enough to tell later what changed.
type PieceSummary struct {
	ID       string `json:"id"`
	Panel    string `json:"panel"`
	Colour   string `json:"colour"`
	Texture  string `json:"texture"`
	LengthNM int64  `json:"length_nm"`
	Shape    string `json:"shape"` // a digest of its outline, so that a moved notch counts
}

// Errors that a caller can match. Each is said to the person as it stands.
var (
	ErrExpired = errors.New("the offer has run out; ask the shop for a new one")
	ErrChanged = errors.New("the offer was changed after it was opened; read it again before signing")
	ErrSigned  = errors.New("the offer is already signed")
	ErrName    = errors.New("a signature needs the name of who signs")
)

// Digest is the SHA-256 of the offer's canonical text: JSON with the fields in the
// order above, no blanks, and the job's own text in compact form.
func (o Offer) Digest() (string, error) {
	text, err := o.Text()
	if err != nil {
		return "", err
	}
	return Sum(text), nil
}

// Text is the canonical text.
func (o Offer) Text() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	o.Until = o.Until.UTC().Truncate(time.Second)
	if err := e.Encode(o.whole()); err != nil {
		return nil, fmt.Errorf("the offer cannot be written down: %w", err)
	}
	return bytes.TrimRight(b.Bytes(), "\n"), nil
}

// whole has empty lists where there were none, so that equal offers have one text.
func (o Offer) whole() Offer {
	o.Taxes, o.Pieces, o.Payments = filled(o.Taxes), filled(o.Pieces), filled(o.Payments)
	o.Scope, o.NotIncluded, o.Pictures = filled(o.Scope), filled(o.NotIncluded), filled(o.Pictures)
	return o
}

func filled[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// Sum is SHA-256 as hexadecimal text.
func Sum(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// Signature is an owner's consent to one offer, known by its digest.
type Signature struct {
	Name   string    `json:"name"`
	At     time.Time `json:"at"`
	Digest string    `json:"digest"`
	Drawn  string    `json:"drawn,omitempty"` // the drawn signature, an SVG path
}

// Sign checks that an offer may be signed now, by the digest that the person has
// before their eyes, and gives the signature.
func (o Offer) Sign(name, seen, drawn string, earlier *Signature, now time.Time) (Signature, error) {
	digest, err := o.Digest()
	switch {
	case err != nil:
		return Signature{}, err
	case earlier != nil:
		return Signature{}, ErrSigned
	case name == "":
		return Signature{}, ErrName
	case now.After(o.Until):
		return Signature{}, ErrExpired
	case seen != digest:
		return Signature{}, ErrChanged
	}
	return Signature{Name: name, At: now.UTC().Truncate(time.Second), Digest: digest, Drawn: drawn}, nil
}
