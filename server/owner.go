package server

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"coilwright/job"
	"coilwright/offer"
	"coilwright/price"
	"coilwright/proposal"
	"coilwright/store"
)

// OwnerPath is the way to an owner's page. Nobody signs in there: who has the link
// may read and sign.
type OwnerPath struct {
	Token string `path:"token" maxLength:"64"`
}

// OwnerView is all that an owner's page shows.
type OwnerView struct {
	Shop        LetterheadView  `json:"shop"`
	Title       string          `json:"title"`
	Owner       string          `json:"owner"`
	Address     []string        `json:"address"`
	Start       string          `json:"start"`
	Finish      string          `json:"finish"`
	Kind        string          `json:"kind" enum:"offer,change,remeasure"`
	State       string          `json:"state" enum:"open,signed,replaced,borne"`
	Until       time.Time       `json:"until"`
	Late        bool            `json:"late" doc:"It stood until then; it can no longer be signed"`
	Why         string          `json:"why"`
	Options     []OwnerOption   `json:"options"`
	Scope       []string        `json:"scope"`
	NotIncluded []string        `json:"not_included"`
	Terms       string          `json:"terms"`
	Practice    []string        `json:"practice"`
	View        *View           `json:"view"`
	Book        *BookView       `json:"book" doc:"Panels and colours to draw with"`
	Pictures    []string        `json:"pictures"`
	Rendered    []RenderedView  `json:"rendered" doc:"The pictures wearing the options, as far as they are marked"`
	Talk        []OfferNote     `json:"talk" doc:"Questions and answers"`
	Signed      *SignatureView  `json:"signed,omitempty"`
	Countersign *SignatureView  `json:"countersigned,omitempty"`
	Difference  *Difference     `json:"difference,omitempty"`
	Cautions    []string        `json:"cautions"`
	Layouts     []*SchemeLayout `json:"layouts" doc:"One for each option, to draw"`
}

// LetterheadView is who offers.
type LetterheadView struct {
	Name    string   `json:"name"`
	Address []string `json:"address"`
	Phone   string   `json:"phone"`
	Mail    string   `json:"mail"`
	Licence string   `json:"licence"`
	Logo    bool     `json:"logo" doc:"There is a picture of it"`
}

// OwnerOption is one option as an owner reads it.
type OwnerOption struct {
	OptionLine
	Materials []string `json:"materials"`
	Colour    string   `json:"colour" doc:"Id of the colour that covers most"`
	Trim      string   `json:"trim_colour" doc:"Empty where the scheme draws none"`
	Pieces    int      `json:"pieces"`
	Joints    int      `json:"joints"`
	Less      string   `json:"than_first" doc:"The total less the first option's"`
	Adds      []string `json:"adds" doc:"What more goes into, greatest first"`
	Saves     []string `json:"saves"`
}

// ownerCautions stand where the owner decides.
var ownerCautions = []string{
	"You may have a legal right to cancel within days, whatever this page says. Local law decides; ask your local consumer office.",
	"A house painted before 1978 may hold lead, and old cladding may hold asbestos: ask a certified person before anything is disturbed.",
	"Colours on a screen only come near the steel: see a sample in daylight before you sign.",
}

func (s *Server) registerOwner() {
	const tag, at = "owner", "/api/owner/{token}"
	open := func(method, path, id, summary string, errors ...int) (op opTag) {
		return opTag{method, path, id, tag, summary, errors}
	}
	ownerOp(s, open("GET", at, "see-offer", "The owner's page: options, pictures, terms", 404, 410), s.seeOffer)
	ownerOp(s, open("POST", at+"/questions", "ask-shop", "Ask the shop", 404, 410, 429), s.askShop)
	ownerOp(s, open("POST", at+"/signature", "sign-offer", "Choose an option and sign it", 404, 409, 410), s.signOffer)
	ownerOp(s, open("GET", at+"/paper", "get-owner-paper", "The offer as PDF, signed as far as it is", 404, 410), s.ownerPaper)
	ownerOp(s, open("GET", at+"/pictures/{number}", "get-owner-picture", "One picture of the house", 404, 410), s.ownerPicture)
	ownerOp(s, open("GET", at+"/pictures/{number}/options/{option}", "get-owner-rendered", "One picture of the house wearing an option", 404, 410), s.ownerRendered)
	ownerOp(s, open("GET", at+"/pictures/letterhead", "get-owner-logo", "The picture of the shop's letterhead", 404, 410), s.ownerLogo)
}

// opTag is an operation that needs no session.
type opTag struct {
	method, path, id, tag, summary string
	errors                         []int
}

func ownerOp[I, O any](s *Server, t opTag, do func(context.Context, *I) (*O, error)) {
	op := operation(t.method, t.path, t.id, t.tag, t.summary, t.errors...)
	op.Security = []map[string][]string{{}}
	if strings.HasSuffix(t.path, "/paper") || strings.Contains(t.path, "/pictures/") {
		op.Responses = binary("The file")
	}
	handle(s, op, do)
}

// opened finds the offer of a link, or refuses and notes it.
func (s *Server) opened(ctx context.Context, token string) (store.Offer, string, error) {
	o, shop, err := s.store.OfferByToken(ctx, token)
	if errors.Is(err, store.ErrNotFound) {
		s.log.Warn("a link that leads nowhere was tried", "letters", len(token))
		return o, "", refuse(http.StatusNotFound, "This link leads nowhere. Ask the shop for a new one.")
	}
	if err != nil {
		return o, "", err
	}
	switch {
	case o.State == store.OfferRevoked:
		return o, "", s.refused(ctx, o, "", http.StatusGone, "The shop has taken this offer back; it may have sent a newer one. Ask the shop.")
	case s.now().After(o.LinkUntil):
		return o, "", s.refused(ctx, o, "", http.StatusGone, "This link has run out. Ask the shop for a new one.")
	}
	return o, shop, nil
}

// refused notes a refusal beside the offer and says it.
func (s *Server) refused(ctx context.Context, o store.Offer, by string, status int, why string) error {
	if err := s.store.NoteOffer(ctx, o.ID, store.OfferEvent{Kind: "refused", By: by, What: why}); err != nil {
		s.log.Error("a refusal could not be noted", "offer", o.ID, "error", err)
	}
	return refuse(status, why)
}

type ownerOut struct{ Body *OwnerView }

func (s *Server) seeOffer(ctx context.Context, in *OwnerPath) (*ownerOut, error) {
	o, shop, err := s.opened(ctx, in.Token)
	if err != nil {
		return nil, err
	}
	v, err := s.ownerView(ctx, shop, o)
	return &ownerOut{v}, err
}

func (s *Server) ownerView(ctx context.Context, shop string, o store.Offer) (*OwnerView, error) {
	line, err := s.offerLine(ctx, shop, o)
	if err != nil {
		return nil, err
	}
	w, err := s.frozenJob(ctx, o)
	if err != nil {
		return nil, err
	}
	options, err := optionsOf(o)
	if err != nil {
		return nil, err
	}
	first, err := options[0].read()
	if err != nil {
		return nil, err
	}
	l, visit := w.job.Offer.Letterhead, w.job.Visit
	v := &OwnerView{
		Shop: LetterheadView{l.Name, filled(l.Address), l.Phone, l.Mail, l.Licence, l.Logo != ""}, Title: w.job.Title, Owner: visit.Owner, Address: filled(visit.Address),
		Start: visit.Start, Finish: visit.Finish, Kind: o.Kind, State: string(o.State), Until: line.Until, Late: s.now().After(line.Until), Why: line.Why,
		Scope: filled(first.Scope), NotIncluded: filled(first.NotIncluded), Terms: first.Terms, Practice: filled(w.job.Offer.Practice),
		View: w.view, Book: ownerBook(&w.job), Pictures: []string{}, Talk: []OfferNote{}, Signed: line.Signed, Countersign: line.Countersign,
		Difference: line.Difference, Cautions: ownerCautions, Options: []OwnerOption{}, Layouts: []*SchemeLayout{},
	}
	for _, e := range line.Events {
		if e.Kind == "question" || e.Kind == "answer" {
			v.Talk = append(v.Talk, e)
		}
	}
	return v, s.ownerParts(ctx, shop, o, w, line, v)
}

// ownerParts adds what is drawn: each option's layout, and the pictures.
func (s *Server) ownerParts(ctx context.Context, shop string, o store.Offer, w *worked, line OfferLine, v *OwnerView) error {
	var first price.Estimate
	for i, opt := range line.Options {
		l, err := s.schemeLayout(ctx, w, opt.Scheme)
		if err != nil {
			return err
		}
		e, err := slow(ctx, w, "estimate "+opt.Scheme, func() (price.Estimate, error) { return w.job.Price(opt.Scheme) })
		if err != nil {
			return err
		}
		if i == 0 {
			first = e
		}
		x, err := ownerOption(&w.job, opt, l, first, e)
		if err != nil {
			return err
		}
		v.Options, v.Layouts = append(v.Options, x), append(v.Layouts, l)
	}
	files, err := s.store.Files(ctx, shop, o.Job, offerFolder(o.ID)+"picture-")
	for _, f := range files {
		v.Pictures = append(v.Pictures, plainCaption(f.Name[len(offerFolder(o.ID)):]))
	}
	if err == nil {
		v.Rendered, _, err = s.renderedOf(ctx, shop, o)
	}
	return err
}

func ownerOption(j *job.Job, opt OptionLine, l *SchemeLayout, first, e price.Estimate) (OwnerOption, error) {
	x := OwnerOption{OptionLine: opt, Materials: []string{}, Pieces: l.Tally.Pieces, Joints: l.Tally.Joints, Adds: []string{}, Saves: []string{}}
	n, err := j.Scheme(opt.Scheme)
	if err != nil {
		return x, err
	}
	for _, z := range j.Schemes[n].Zones {
		panel, _ := j.Book.Panel(z.Panel)
		x.Materials = append(x.Materials, panel.Title+", "+z.Texture+", "+colourTitle(j, z.Colour))
		x.Colour = z.Colour
	}
	x.Trim = j.Schemes[n].TrimColour
	less, err := e.Total.Sub(first.Total)
	if err != nil {
		return x, err
	}
	x.Less = less.String()
	all, err := price.Differences(first, e)
	for _, d := range all {
		if d.Amount.IsPos() && len(x.Adds) < 3 {
			x.Adds = append(x.Adds, d.What)
		} else if d.Amount.IsNeg() && len(x.Saves) < 3 {
			x.Saves = append(x.Saves, d.What)
		}
	}
	return x, err
}

func colourTitle(j *job.Job, id string) string {
	for _, c := range j.Book.Colours {
		if c.ID == id && c.Title != "" {
			return strings.ToLower(c.Title)
		}
	}
	return id
}

// ownerBook is what is drawn with; the shop's stock is nobody's business.
func ownerBook(j *job.Job) *BookView {
	b := bookView(j)
	b.Coils, b.Receivers = []StockView{}, []ReceiverView{}
	return b
}

func filled(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

type askIn struct {
	OwnerPath
	Body struct {
		Name string `json:"name" maxLength:"80"`
		Text string `json:"text" minLength:"1" maxLength:"1000"`
	}
}

// mostAsked questions that wait for an answer; a link in the wrong hands must not
// fill the shop's days.
const mostAsked = 30

func (s *Server) askShop(ctx context.Context, in *askIn) (*ownerOut, error) {
	o, shop, err := s.opened(ctx, in.Token)
	if err != nil {
		return nil, err
	}
	if strings.TrimSpace(in.Body.Text) == "" {
		return nil, refuse(http.StatusUnprocessableEntity, "Write what you would like to know.")
	}
	events, err := s.store.OfferEvents(ctx, o.ID)
	if err != nil {
		return nil, err
	}
	open := 0
	for _, e := range events {
		switch e.Kind {
		case "question":
			open++
		case "answer":
			open = 0
		}
	}
	if open >= mostAsked {
		return nil, s.refused(ctx, o, in.Body.Name, http.StatusTooManyRequests, "Many questions wait already. Ring the shop.")
	}
	if err := s.store.NoteOffer(ctx, o.ID, store.OfferEvent{Kind: "question", By: in.Body.Name, What: in.Body.Text}); err != nil {
		return nil, err
	}
	v, err := s.ownerView(ctx, shop, o)
	return &ownerOut{v}, err
}

type signIn struct {
	OwnerPath
	Body struct {
		Scheme string `json:"scheme" maxLength:"200"`
		Digest string `json:"digest" maxLength:"64" doc:"SHA-256 of the option as it was read"`
		Name   string `json:"name" maxLength:"80"`
		Drawn  string `json:"drawn,omitempty" maxLength:"60000" doc:"Strokes: M x y L x y ..."`
		Agreed bool   `json:"agreed" doc:"The owner has read scope, price, terms and the right to cancel"`
	}
}

// signOffer takes the owner's signature, once, under what the owner has read.
func (s *Server) signOffer(ctx context.Context, in *signIn) (*ownerOut, error) {
	o, shop, err := s.opened(ctx, in.Token)
	if err != nil {
		return nil, err
	}
	name := strings.TrimSpace(in.Body.Name)
	sig, err := s.signature(ctx, o, in, name)
	if err != nil {
		return nil, err
	}
	text, err := json.Marshal(sig)
	if err != nil {
		return nil, err
	}
	err = s.store.SignOffer(ctx, o.ID, sig.Digest, string(text), name)
	switch {
	case errors.Is(err, store.ErrOfferState):
		return nil, s.refused(ctx, o, name, http.StatusConflict, "This is already signed, by you or by somebody with the same link.")
	case errors.Is(err, store.ErrOfferOther):
		return nil, s.refused(ctx, o, name, http.StatusConflict, "Something else was signed for this house meanwhile; ask the shop.")
	case err != nil:
		return nil, err
	}
	s.afterSigning(ctx, shop, o)
	if o, _, err = s.store.OfferByToken(ctx, in.Token); err != nil {
		return nil, err
	}
	v, err := s.ownerView(ctx, shop, o)
	return &ownerOut{v}, err
}

// signature checks that this may be signed now, by what the owner has read.
func (s *Server) signature(ctx context.Context, o store.Offer, in *signIn, name string) (offer.Signature, error) {
	options, err := optionsOf(o)
	if err != nil {
		return offer.Signature{}, err
	}
	if _, err := proposal.Strokes(in.Body.Drawn); err != nil {
		return offer.Signature{}, s.refused(ctx, o, name, http.StatusUnprocessableEntity, capital(err.Error())+".")
	}
	if !in.Body.Agreed {
		return offer.Signature{}, s.refused(ctx, o, name, http.StatusUnprocessableEntity, "Say first that you have read what is done, the price, the terms and your right to cancel.")
	}
	for _, k := range options {
		if k.Scheme != in.Body.Scheme {
			continue
		}
		x, err := k.read()
		if err != nil {
			return offer.Signature{}, err
		}
		sig, err := x.Sign(name, in.Body.Digest, in.Body.Drawn, signatureOf(o.Signature), s.now())
		if err != nil {
			return sig, s.refused(ctx, o, name, signStatus(err), capital(err.Error())+".")
		}
		return sig, nil
	}
	return offer.Signature{}, s.refused(ctx, o, name, http.StatusNotFound, "That option is not part of this offer.")
}

func signStatus(err error) int {
	switch {
	case errors.Is(err, offer.ErrExpired):
		return http.StatusGone
	case errors.Is(err, offer.ErrName):
		return http.StatusUnprocessableEntity
	}
	return http.StatusConflict
}

// afterSigning moves the job on and draws the signed paper; what fails here is done
// again when it is asked for.
func (s *Server) afterSigning(ctx context.Context, shop string, o store.Offer) {
	w := store.Who{Shop: shop, Name: "the owner"}
	if o.Instead == "" {
		if _, err := s.store.SetStage(ctx, w, o.Job, "signed"); err != nil {
			s.log.Error("the job's stage could not be moved to signed", "job", o.Job, "error", err)
		}
		s.news.look()
	}
	signed, err := s.store.Offer(ctx, shop, o.Job, o.ID)
	if err == nil {
		_, err = s.offerPaper(ctx, shop, signed)
	}
	if err != nil {
		s.log.Error("the signed paper could not be drawn; it will be when it is asked for", "offer", o.ID, "error", err)
	}
}

func (s *Server) ownerPaper(ctx context.Context, in *struct {
	OwnerPath
	Download bool `query:"download"`
},
) (*fileOut, error) {
	o, shop, err := s.opened(ctx, in.Token)
	if err != nil {
		return nil, err
	}
	return s.paperOut(ctx, shop, o, in.Download)
}

func (s *Server) ownerPicture(ctx context.Context, in *struct {
	OwnerPath
	Number int `path:"number" minimum:"1" maximum:"100"`
},
) (*fileOut, error) {
	o, shop, err := s.opened(ctx, in.Token)
	if err != nil {
		return nil, err
	}
	files, err := s.store.Files(ctx, shop, o.Job, offerFolder(o.ID)+"picture-"+strconv.Itoa(in.Number)+" ")
	if err != nil {
		return nil, err
	}
	if len(files) != 1 {
		return nil, store.ErrNotFound
	}
	return s.sendFile(ctx, shop, o.Job, files[0].Name, "picture.jpg", false)
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }
