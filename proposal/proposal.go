// Package proposal makes the papers that an owner reads: the offer with its options
// side by side, the change order, and the invoice, as PDF from the drawing model.
// It works nothing out: sizes, pieces and money come from the layout and the
// estimate that it is given, words from the shop's own book.
package proposal

import (
	"fmt"
	"image"
	"time"

	"coilwright/course"
	"coilwright/draw"
	"coilwright/job"
	"coilwright/offer"
	"coilwright/price"
)

// Input is what an offer tells.
type Input struct {
	Job      *job.Job
	Options  []Option // in the order in which they are offered; at least one
	Date     time.Time
	Until    time.Time
	Number   string // the shop's own, may be empty
	Revision int64
	Pictures []Picture
	Logo     *Picture // of the letterhead; nil: none
	Signed   *Signed  // nil until it is signed
}

// Option is one scheme laid out, priced and frozen.
type Option struct {
	Scheme   int // index into Job.Schemes
	Layout   *course.Layout
	Estimate price.Estimate
	Offer    offer.Offer
	Digest   string
}

// Picture is a photograph or a rendering, upright.
type Picture struct {
	Image   image.Image
	Caption string
}

// Signed is what stands under an offer: the owner's signature and, when the shop
// has signed too, the shop's.
type Signed struct {
	Owner offer.Signature
	Shop  *offer.Signature
}

// OptionOf works scheme id out as an option. The error is a *job.NotReadyError
// where the book lacks something.
func OptionOf(j *job.Job, id string, f job.Frozen) (Option, error) {
	o, err := j.Freeze(id, f)
	if err != nil {
		return Option{}, err
	}
	s, err := j.Scheme(id)
	if err != nil {
		return Option{}, err
	}
	l, err := j.Layout(id, false)
	if err != nil {
		return Option{}, err
	}
	e, err := j.Price(id)
	if err != nil {
		return Option{}, err
	}
	digest, err := o.Digest()
	return Option{s, l, e, o, digest}, err
}

// Offer draws the whole offer. Equal inputs give equal bytes.
func Offer(in Input) ([]byte, error) {
	if in.Job == nil || len(in.Options) == 0 {
		return nil, fmt.Errorf("an offer needs a job and at least one option")
	}
	p := newPaper(in.Job, "Offer: steel siding", in.Date, in.Options[0].Scheme)
	p.in, p.logo = in, in.Logo
	for _, part := range []func() error{
		p.cover, p.pictures, p.sideBySide, p.sides, p.scope, p.money, p.hanging, p.likeForLike, p.agreed, p.signing,
	} {
		if err := part(); err != nil {
			return nil, err
		}
	}
	return p.finish()
}

// scheme gives an option's title.
func (p *paper) title(o Option) string {
	s := p.job.Schemes[o.Scheme]
	if s.Title == "" {
		return "Scheme " + s.ID
	}
	return s.Title
}

// colour is the ink of a colour of the book.
func (p *paper) colour(id string) draw.Ink {
	for _, c := range p.job.Book.Colours {
		if c.ID == id {
			return ink(c.Linear)
		}
	}
	return draw.Grey(200)
}
