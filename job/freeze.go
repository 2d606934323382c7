package job

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"time"

	"coilwright/course"
	"coilwright/offer"
	"coilwright/plane"
	"coilwright/price"
)

// ErrNotReady is matched by every *NotReadyError.
var ErrNotReady = errors.New("no offer can be made yet")

// NotReadyError names all that the book lacks.
type NotReadyError struct{ Lacks []offer.Lack }

func (e *NotReadyError) Error() string {
	said := make([]string, len(e.Lacks))
	for i, l := range e.Lacks {
		said[i] = l.What + "; " + l.Mend
	}
	return ErrNotReady.Error() + ": " + strings.Join(said, ". ")
}

// Unwrap makes errors.Is true for ErrNotReady.
func (e *NotReadyError) Unwrap() error { return ErrNotReady }

// Lacks names all that must be there before scheme e can be offered: figures of
// the estimate, and the shop's own words. A price of nothing is a lack too.
func (j *Job) Lacks(e price.Estimate) []offer.Lack {
	var out []offer.Lack
	for _, g := range e.Gaps {
		out = append(out, offer.Lack(g))
	}
	if !e.Total.IsPos() {
		out = append(out, offer.Lack{Key: "total", What: "the price of scheme " + e.Scheme + " is nothing", Mend: "look at its zones and at the prices in the book"})
	}
	return append(out, j.Offer.Lacks()...)
}

// Frozen is what a caller adds to an offer: what it rests on, and until when.
type Frozen struct {
	Complete []byte // the job's text with its book in place: see [Complete]
	Revision int64
	Kind     offer.Kind
	Until    time.Time
	Pictures []string // SHA-256 of each
	Instead  string
	Why      string
}

// Freeze works scheme id out and gives what an owner would sign. The error is a
// *NotReadyError where something is missing.
func (j *Job) Freeze(id string, f Frozen) (offer.Offer, error) {
	e, err := j.Price(id)
	if err != nil {
		return offer.Offer{}, err
	}
	if lacks := j.Lacks(e); len(lacks) > 0 {
		return offer.Offer{}, &NotReadyError{lacks}
	}
	l, err := j.Layout(id, false)
	if err != nil {
		return offer.Offer{}, err
	}
	places, err := j.Prices.Places()
	if err != nil {
		return offer.Offer{}, err
	}
	s, _ := j.Scheme(id)
	o := offer.Offer{
		Kind: f.Kind, Shop: j.Offer.Letterhead.Name, Owner: j.Visit.Owner, Title: j.Title,
		JobSHA256: offer.Sum(f.Complete), Revision: f.Revision, Scheme: id, SchemeTitle: j.Schemes[s].Title,
		Currency: e.Currency, Price: e.Price.String(), Total: e.Total.String(), Hours: e.Hours().String(),
		Taxes: j.taxesOf(e), Terms: j.termsText(), Until: f.Until, Pictures: f.Pictures, Instead: f.Instead, Why: f.Why,
	}
	if o.SchemeTitle == "" {
		o.SchemeTitle = "scheme " + id
	}
	for _, p := range l.Pieces {
		o.Pieces = append(o.Pieces, summary(p))
	}
	scope, notIncluded := j.Offer.Around(j.Visit)
	for _, line := range scope {
		o.Scope = append(o.Scope, scopeText(line))
	}
	o.NotIncluded = notIncluded
	o.Payments, err = offer.Payments(o.Total, places, j.Offer.Plan)
	return o, err
}

// scopeText says a line of the scope in one sentence.
func scopeText(s offer.Scope) string {
	text := s.What
	if by := map[offer.Doer]string{
		offer.ByOwner: "by the owner", offer.ByUtility: "by the utility or whoever it belongs to", offer.ByAuthority: "to be asked of the local authority",
	}[s.By]; by != "" {
		text += " (" + by + ")"
	}
	if s.Note != "" {
		text += ": " + s.Note
	}
	return text
}

// termsText is all that is agreed in words.
func (j *Job) termsText() string {
	all := append([]string{}, j.Offer.Terms...)
	return strings.Join(append(all, "Warranty: "+j.Offer.Warranty, "Cancellation: "+j.Offer.Cancellation), "\n")
}

func (j *Job) taxesOf(e price.Estimate) []offer.Tax {
	var out []offer.Tax
	for i, t := range e.Taxes {
		out = append(out, offer.Tax{Title: t.Title, Percent: j.Prices.Taxes[i].Percent(), Amount: t.Amount.String()})
	}
	return out
}

// summary is a piece as agreed.
func summary(p course.Piece) offer.PieceSummary {
	return offer.PieceSummary{
		ID: p.ID, Panel: p.Panel, Colour: p.Colour, Texture: p.Texture, LengthNM: int64(p.Length), Shape: shapeSum(p),
	}
}

// shapeSum is a digest of a piece's outline and holes, in nanometres.
func shapeSum(p course.Piece) string {
	var b bytes.Buffer
	write := func(r plane.Ring) {
		fmt.Fprintf(&b, "%d:", len(r))
		for _, q := range r {
			binary.Write(&b, binary.BigEndian, [2]int64{int64(q.X), int64(q.Y)}) //nolint:errcheck // a buffer takes all
		}
	}
	write(p.Shape.Outer)
	for _, h := range p.Shape.Holes {
		write(h)
	}
	return offer.Sum(b.Bytes())[:16]
}
