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

// Offer is what the owner is shown and signs. Job is the whole job file of the
// revision offered, its shop's book in place, so that an old offer always works
// out to the same cent; the rest was worked out from it and is kept beside it.
type Offer struct {
	Job      json.RawMessage `json:"job"`
	Revision int64           `json:"revision"`
	Scheme   string          `json:"scheme"`
	Currency string          `json:"currency"`
	Total    string          `json:"total"`
	Pieces   []PieceSummary  `json:"pieces"`
	Payments []Payment       `json:"payments"`
	Terms    string          `json:"terms"`
	Until    time.Time       `json:"until"`    // not to be signed later
	Pictures []string        `json:"pictures"` // SHA-256 of each, as hexadecimal text
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
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), nil
}

// Text is the canonical text.
func (o Offer) Text() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	o.Until = o.Until.UTC().Truncate(time.Second)
	if err := e.Encode(o); err != nil {
		return nil, fmt.Errorf("the offer cannot be written down: %w", err)
	}
	return bytes.TrimRight(b.Bytes(), "\n"), nil
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
