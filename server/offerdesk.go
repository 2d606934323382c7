package server

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"

	"coilwright/offer"
	"coilwright/price"
	"coilwright/proposal"
	"coilwright/store"
)

// offerLineOut answers with one offer as it stands now.
type offerLineOut struct{ Body OfferLine }

// askedFor is who asks, and the offer of that shop that is asked for.
func (s *Server) askedFor(ctx context.Context, in OfferPath) (store.Who, store.Offer, error) {
	w, err := who(ctx)
	if err != nil {
		return w, store.Offer{}, err
	}
	o, err := s.store.Offer(ctx, w.Shop, in.Job, in.Offer)
	return w, o, err
}

func (s *Server) offerNow(ctx context.Context, w store.Who, in OfferPath) (*offerLineOut, error) {
	o, err := s.store.Offer(ctx, w.Shop, in.Job, in.Offer)
	if err != nil {
		return nil, err
	}
	l, err := s.offerLine(ctx, w.Shop, o)
	return &offerLineOut{l}, err
}

func (s *Server) moveOffer(to store.OfferState) func(context.Context, *OfferPath) (*offerLineOut, error) {
	return func(ctx context.Context, in *OfferPath) (*offerLineOut, error) {
		w, err := who(ctx)
		if err == nil {
			err = s.store.MoveOffer(ctx, w, in.Job, in.Offer, to, "")
		}
		if err != nil {
			return nil, err
		}
		return s.offerNow(ctx, w, *in)
	}
}

type bearIn struct {
	OfferPath
	Body struct {
		Why string `json:"why" minLength:"1" maxLength:"1000"`
	}
}

// bearOffer carries a change out without the owner's signature: the price stays as
// signed, and the shop says why it pays.
func (s *Server) bearOffer(ctx context.Context, in *bearIn) (*offerLineOut, error) {
	w, o, err := s.askedFor(ctx, in.OfferPath)
	if err != nil {
		return nil, err
	}
	if o.Instead == "" {
		return nil, refuse(http.StatusConflict, "Only a change can be borne by the shop; a first offer is for the owner to sign.")
	}
	if err := s.store.MoveOffer(ctx, w, in.Job, in.Offer, store.OfferBorne, in.Body.Why); err != nil {
		return nil, err
	}
	return s.offerNow(ctx, w, in.OfferPath)
}

type relinkIn struct {
	OfferPath
	Body struct {
		Days int `json:"days" minimum:"1" maximum:"730"`
	}
}

type linkOut struct {
	Body struct {
		Link string `json:"link"`
	}
}

func (s *Server) relinkOffer(ctx context.Context, in *relinkIn) (*linkOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	token, err := s.store.Relink(ctx, w, in.Job, in.Offer, s.now().AddDate(0, 0, in.Body.Days))
	out := &linkOut{}
	out.Body.Link = linkOf(token)
	return out, err
}

type answerIn struct {
	OfferPath
	Body struct {
		Text string `json:"text" minLength:"1" maxLength:"1000"`
	}
}

func (s *Server) answerOwner(ctx context.Context, in *answerIn) (*offerLineOut, error) {
	w, _, err := s.askedFor(ctx, in.OfferPath)
	if err != nil {
		return nil, err
	}
	if err := s.store.NoteOffer(ctx, in.Offer, store.OfferEvent{Kind: "answer", By: w.Name, What: in.Body.Text}); err != nil {
		return nil, err
	}
	return s.offerNow(ctx, w, in.OfferPath)
}

type countersignIn struct {
	OfferPath
	Body struct {
		Name  string `json:"name" minLength:"1" maxLength:"80"`
		Drawn string `json:"drawn,omitempty" maxLength:"60000" doc:"Strokes: M x y L x y ..."`
	}
}

func (s *Server) countersign(ctx context.Context, in *countersignIn) (*offerLineOut, error) {
	w, o, err := s.askedFor(ctx, in.OfferPath)
	if err != nil {
		return nil, err
	}
	if _, err := proposal.Strokes(in.Body.Drawn); err != nil {
		return nil, refuse(http.StatusUnprocessableEntity, capital(err.Error())+".")
	}
	text, err := json.Marshal(offer.Signature{Name: in.Body.Name, At: s.now().UTC(), Digest: o.Signed, Drawn: in.Body.Drawn})
	if err != nil {
		return nil, err
	}
	if err := s.store.Countersign(ctx, w, in.Job, in.Offer, string(text)); err != nil {
		return nil, err
	}
	if o, err = s.store.Offer(ctx, w.Shop, in.Job, in.Offer); err == nil {
		_, err = s.offerPaper(ctx, w.Shop, o)
	}
	if err != nil {
		s.log.Error("the countersigned paper could not be drawn; it will be when it is asked for", "offer", in.Offer, "error", err)
	}
	return s.offerNow(ctx, w, in.OfferPath)
}

// offerFolder is where an offer's pictures and papers stand.
func offerFolder(id string) string { return "offers/" + id + "/" }

// mostPictures go into one offer.
const mostPictures = 6

// pictures are the job's photographs, as they stand now.
func (s *Server) pictures(ctx context.Context, w store.Who, jobID string) ([]store.Content, error) {
	files, err := s.store.Files(ctx, w.Shop, jobID, added)
	if err != nil {
		return nil, err
	}
	var out []store.Content
	for _, f := range files {
		if f.Media != "image/jpeg" || len(out) == mostPictures {
			continue
		}
		c, err := s.bytesOf(ctx, w.Shop, jobID, f.Name)
		if err != nil {
			return nil, err
		}
		if _, err := proposal.PictureOf(c, f.Name); err != nil {
			continue // a file that calls itself a photograph and is none
		}
		out = append(out, store.Content{Name: fmt.Sprintf("picture-%d %s", len(out)+1, f.Name[len(added):]), Media: f.Media, Bytes: c})
	}
	return out, nil
}

func (s *Server) bytesOf(ctx context.Context, shop, jobID, name string) ([]byte, error) {
	_, r, err := s.store.OpenFile(ctx, shop, jobID, name)
	if err != nil {
		return nil, err
	}
	defer r.Close() //nolint:errcheck // read only
	return io.ReadAll(r)
}

// keepPictures copies them beside the offer: what was signed keeps its pictures
// whatever becomes of the job's.
func (s *Server) keepPictures(ctx context.Context, w store.Who, o store.Offer, pictures []store.Content) error {
	if len(pictures) == 0 {
		return nil
	}
	for i := range pictures {
		pictures[i].Name = offerFolder(o.ID) + pictures[i].Name
	}
	return s.store.PutFiles(ctx, w.Shop, o.Job, "", pictures)
}

// paperName tells papers apart by how far they are signed.
func paperName(o store.Offer) string {
	switch {
	case o.Countersign != "":
		return "signed-by-both.pdf"
	case o.Signature != "":
		return "signed-by-owner.pdf"
	}
	return "offer.pdf"
}

// offerPaper gives an offer's PDF, drawn once for each signature.
func (s *Server) offerPaper(ctx context.Context, shop string, o store.Offer) ([]byte, error) {
	name := offerFolder(o.ID) + paperName(o)
	if text, err := s.bytesOf(ctx, shop, o.Job, name); err == nil {
		return text, nil
	}
	pdf, err := s.drawOffer(ctx, shop, o)
	if err != nil {
		return nil, err
	}
	err = s.store.PutFiles(ctx, shop, o.Job, "", []store.Content{{Name: name, Media: "application/pdf", Bytes: pdf}})
	return pdf, err
}

// drawOffer draws an offer from what was frozen, not from the job as it is now.
func (s *Server) drawOffer(ctx context.Context, shop string, o store.Offer) ([]byte, error) {
	w, err := s.frozenJob(ctx, o)
	if err != nil {
		return nil, err
	}
	options, err := s.paperOptions(ctx, w, o)
	if err != nil {
		return nil, err
	}
	var signed *proposal.Signed
	if owner := signatureOf(o.Signature); owner != nil {
		signed = &proposal.Signed{Owner: *owner, Shop: signatureOf(o.Countersign)}
	}
	release, err := turn(ctx, w.desk.slow)
	if err != nil {
		return nil, err
	}
	defer release()
	if o.Instead != "" {
		return s.drawChange(ctx, shop, o, w, options[0], signed)
	}
	in := proposal.Input{Job: &w.job, Options: options, Date: o.At, Until: options[0].Offer.Until, Number: o.ID, Revision: o.Revision, Signed: signed}
	in.Logo = s.logoOf(ctx, shop, &w.job)
	if in.Pictures, err = s.paperPictures(ctx, shop, o); err != nil {
		return nil, err
	}
	return proposal.Offer(in)
}

func (s *Server) drawChange(ctx context.Context, shop string, o store.Offer, w *worked, after proposal.Option, signed *proposal.Signed) ([]byte, error) {
	was, err := s.store.Offer(ctx, shop, o.Job, o.Instead)
	if err != nil {
		return nil, err
	}
	before, err := signedOption(was)
	if err != nil {
		return nil, err
	}
	return proposal.ChangeOrder(proposal.Change{
		Job: &w.job, Before: before, After: after, Date: o.At, Until: after.Offer.Until, Number: o.ID, Revision: o.Revision, Signed: signed, Logo: s.logoOf(ctx, shop, &w.job),
	})
}

// frozenJob is the job as it was offered.
func (s *Server) frozenJob(ctx context.Context, o store.Offer) (*worked, error) {
	w, err := s.desk.at(ctx, "", store.Job{Hash: "offer-" + store.Hash([]byte(o.Document)), Document: []byte(o.Document)}, nil)
	if err != nil {
		return nil, err
	}
	return w, w.sound()
}

// paperOptions are the options to be shown: all, or the one that was signed.
func (s *Server) paperOptions(ctx context.Context, w *worked, o store.Offer) ([]proposal.Option, error) {
	all, err := optionsOf(o)
	if err != nil {
		return nil, err
	}
	var out []proposal.Option
	for _, k := range all {
		if o.Signed != "" && k.Digest != o.Signed {
			continue
		}
		x, err := k.read()
		if err != nil {
			return nil, err
		}
		p, err := slow(ctx, w, "paper "+k.Scheme, func() (proposal.Option, error) {
			n, err := w.job.Scheme(k.Scheme)
			if err != nil {
				return proposal.Option{}, err
			}
			l, err := w.job.Layout(k.Scheme, false)
			if err != nil {
				return proposal.Option{}, err
			}
			var e price.Estimate
			e, err = w.job.Price(k.Scheme)
			return proposal.Option{Scheme: n, Layout: l, Estimate: e}, err
		})
		if err != nil {
			return nil, err
		}
		p.Offer, p.Digest = x, k.Digest
		out = append(out, p)
	}
	if len(out) == 0 {
		return nil, store.ErrNotFound
	}
	return out, nil
}

func (s *Server) paperPictures(ctx context.Context, shop string, o store.Offer) ([]proposal.Picture, error) {
	files, err := s.store.Files(ctx, shop, o.Job, offerFolder(o.ID)+"picture-")
	if err != nil {
		return nil, err
	}
	worn, err := s.paperRendered(ctx, shop, o)
	if err != nil {
		return nil, err
	}
	var out []proposal.Picture
	for i, f := range files {
		text, err := s.bytesOf(ctx, shop, o.Job, f.Name)
		if err != nil {
			return nil, err
		}
		p, err := proposal.PictureOf(text, plainCaption(f.Name[len(offerFolder(o.ID)):]))
		if err != nil {
			return nil, err
		}
		out = append(append(out, p), worn[i+1]...)
	}
	return out, nil
}

func (s *Server) shopPaper(ctx context.Context, in *struct {
	OfferPath
	Download bool `query:"download"`
},
) (*fileOut, error) {
	w, o, err := s.askedFor(ctx, in.OfferPath)
	if err != nil {
		return nil, err
	}
	return s.paperOut(ctx, w.Shop, o, in.Download)
}

func (s *Server) paperOut(ctx context.Context, shop string, o store.Offer, download bool) (*fileOut, error) {
	pdf, err := s.offerPaper(ctx, shop, o)
	if err != nil {
		return nil, err
	}
	return pdfOut(pdf, paperName(o), download), nil
}

func pdfOut(pdf []byte, name string, download bool) *fileOut {
	how := "inline"
	if download {
		how = "attachment"
	}
	return &fileOut{Type: "application/pdf", Policy: drawingPolicy, ETag: `"` + store.Hash(pdf) + `"`, Body: pdf, Disposition: how + `; filename="` + name + `"`}
}
