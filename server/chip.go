package server

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"net/http"
	"strings"

	"coilwright/colour"
	"coilwright/job"
	"coilwright/photo"
	"coilwright/picture"
	"coilwright/proposal"
	"coilwright/store"
)

// Patch is a rectangle of an upright photo, in shares of its width and height.
type Patch struct {
	U float64 `json:"u" minimum:"0" maximum:"1" doc:"Left edge"`
	V float64 `json:"v" minimum:"0" maximum:"1" doc:"Top edge"`
	W float64 `json:"w" minimum:"0" maximum:"1"`
	H float64 `json:"h" minimum:"0" maximum:"1"`
}

func (p Patch) in(size image.Point) image.Rectangle {
	x := func(share float64, n int) int { return int(math.Round(share * float64(n))) }
	return image.Rect(x(p.U, size.X), x(p.V, size.Y), x(p.U+p.W, size.X), x(p.V+p.H, size.Y))
}

// ChipBody is an owner's chip in a photo, and the reference beside it.
type ChipBody struct {
	File        string  `json:"file" minLength:"1" maxLength:"100" doc:"A photo that was added to the job's files"`
	Chip        Patch   `json:"chip"`
	Reference   Patch   `json:"reference"`
	Kind        string  `json:"kind" enum:"grey-card,white-paper,white-trim,other" doc:"What the reference is"`
	Reflectance float64 `json:"reflectance,omitempty" minimum:"0" maximum:"1" doc:"Of another reference, as a share of the light: 0.18 for a grey card"`
	PlusMinus   float64 `json:"plus_minus,omitempty" minimum:"0" maximum:"1" doc:"How far that may be off, in the same shares"`
	Name        string  `json:"name,omitempty" maxLength:"100" doc:"What the owner calls the colour"`
}

// references are the reflectances taken for each kind, and their doubt as a share.
// Grey cards are made for 18 % (common practice, no source); paper and painted trim
// are assumed.
var references = map[string]struct{ value, doubt float64 }{
	"grey-card": {0.18, 0.03}, "white-paper": {0.85, 0.06}, "white-trim": {0.78, 0.12},
}

// ChipView is what the photo tells of a chip.
type ChipView struct {
	Lab         LabView     `json:"lab"`
	SRGB        [3]int      `json:"srgb" doc:"For the screen"`
	Inside      bool        `json:"inside" doc:"A screen can show it"`
	Uncertainty float64     `json:"uncertainty" doc:"One standard deviation, CIEDE2000"`
	Verdict     string      `json:"verdict"`
	Matches     []MatchView `json:"matches" doc:"Stock colours, nearest first"`
	Notes       []string    `json:"notes"`
}

// LabView is a colour under D65, 2 degree observer.
type LabView struct {
	L float64 `json:"l"`
	A float64 `json:"a"`
	B float64 `json:"b"`
}

// MatchView is one stock colour beside the chip.
type MatchView struct {
	ID     string  `json:"id"`
	Title  string  `json:"title"`
	SRGB   [3]int  `json:"srgb"`
	Off    float64 `json:"off" doc:"CIEDE2000"`
	Chance float64 `json:"chance" doc:"That this is the nearest, 0 to 1"`
}

// ChipAsk asks for one chip of a job.
type ChipAsk struct {
	JobPath
	Body ChipBody
}

func (s *Server) registerChip() {
	const tag, at = "pictures", "/api/jobs/{job}/chip"
	handle(s, operation("POST", at, "read-chip", tag, "An owner's chip in a photo: the nearest stock colours, and how sure that is", 404), s.readChip)
	ask := operation("POST", at+"/request", "ask-match", tag, "A request for a custom colour match, as PDF or text", 404)
	ask.Responses = binary("The request: PDF or text")
	handle(s, ask, s.askMatch)
}

// chipRead is a chip with what it was compared with.
type chipRead struct {
	job     *job.Job
	sample  colour.Sample
	matches []colour.Match
	notes   []string
}

// chipOf reads the chip that is asked for.
func (s *Server) chipOf(ctx context.Context, in *ChipAsk) (*chipRead, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	_, done, err := s.workedOf(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	known, doubt, err := in.Body.known()
	if err != nil {
		return nil, err
	}
	file, data, err := s.keptBytes(ctx, w.Shop, in.Job, in.Body.File)
	if errors.Is(err, store.ErrNotFound) {
		return nil, refuse(http.StatusNotFound, "The photo of the chip is not kept with this job: add it again.")
	}
	if err != nil {
		return nil, err
	}
	shot, err := s.photos.decoded.get(file.Hash, func() (photo.Picture, error) {
		release, err := turn(context.WithoutCancel(ctx), s.photos.turns)
		if err != nil {
			return photo.Picture{}, err
		}
		defer release()
		return photo.Decode(data)
	})
	if err != nil {
		return nil, unusable(err)
	}
	size := shot.Image.Rect.Size()
	got, err := picture.ReadChip(shot.Image, picture.ProfileOf(data), picture.ChipAsk{Chip: in.Body.Chip.in(size), Reference: in.Body.Reference.in(size), Known: known, Doubt: doubt})
	if errors.Is(err, colour.ErrPatch) {
		err = refuse(http.StatusUnprocessableEntity, "The chip or the reference is burnt out or black in this photo: take it again in open shade, less bright, and without glare.")
	}
	var own *Refusal
	if err != nil && !errors.As(err, &own) {
		err = fitRefusal(err)
	}
	if err != nil {
		return nil, err
	}
	return &chipRead{&done.job, got.Sample, colour.Nearest(got.Sample, stockOf(&done.job)), got.Notes}, nil
}

func (b ChipBody) known() (colour.Linear, float64, error) {
	r, ok := references[b.Kind]
	if !ok {
		if b.Reflectance < 0.02 {
			return colour.Linear{}, 0, refuse(http.StatusUnprocessableEntity, "Say how much light the reference sends back: reflectance, 0.02 to 1.")
		}
		r.value, r.doubt = b.Reflectance, max(b.PlusMinus, 0.01*b.Reflectance)/b.Reflectance
	}
	return colour.Linear{r.value, r.value, r.value}, r.doubt, nil
}

func stockOf(j *job.Job) (out []colour.Stock) {
	for _, c := range j.Book.Colours {
		out = append(out, colour.Stock{ID: c.ID, Lab: colour.Linear(c.Linear).Lab()})
	}
	return out
}

// mostMatches are shown of the stock colours.
const mostMatches = 5

func (s *Server) readChip(ctx context.Context, in *ChipAsk) (*struct{ Body ChipView }, error) {
	r, err := s.chipOf(ctx, in)
	if err != nil {
		return nil, err
	}
	at := r.sample.Lab
	shown := colour.Show(at, colour.D65)
	v := ChipView{
		Lab: LabView{at.L, at.A, at.B}, SRGB: screen(shown.Light), Inside: shown.Inside, Uncertainty: r.sample.Uncertainty,
		Verdict: r.verdict(), Matches: []MatchView{}, Notes: append(r.notes, proposal.PhoneWords...),
	}
	for _, m := range r.matches[:min(mostMatches, len(r.matches))] {
		c := r.colour(m.Stock.ID)
		v.Matches = append(v.Matches, MatchView{m.Stock.ID, c.title, screen(c.linear), m.Off, m.Chance})
	}
	return &struct{ Body ChipView }{v}, nil
}

type stockColour struct {
	title  string
	linear [3]float64
}

func (r *chipRead) colour(id string) stockColour {
	for _, c := range r.job.Book.Colours {
		if c.ID == id {
			return stockColour{c.Title, c.Linear}
		}
	}
	return stockColour{title: id}
}

// verdict says what the figures mean.
func (r *chipRead) verdict() string {
	if len(r.matches) == 0 {
		return "The shop's book has no colours to compare with."
	}
	first := r.matches[0]
	name := r.colour(first.Stock.ID).title
	switch {
	case first.Off > 2*r.sample.Uncertainty:
		return fmt.Sprintf("No stock colour is near: %s is nearest and %.0f off, more than this photo's doubt explains. Ask for a custom match, or choose from the shop's samples.", name, first.Off)
	case first.Chance < 0.7 && len(r.matches) > 1:
		var also []string
		for _, m := range r.matches[1:] {
			if m.Chance > 0.1 {
				also = append(also, r.colour(m.Stock.ID).title)
			}
		}
		return fmt.Sprintf("%s is nearest, but this photo cannot tell it from %s: lay the samples beside the chip in daylight.", name, strings.Join(also, ", "))
	}
	return fmt.Sprintf("%s is nearest, as far as a phone can tell. Lay its sample beside the chip in daylight before choosing it.", name)
}

type matchIn struct {
	ChipAsk
	Kind string `query:"kind" enum:"pdf,txt" default:"pdf"`
}

func (s *Server) askMatch(ctx context.Context, in *matchIn) (*fileOut, error) {
	r, err := s.chipOf(ctx, &in.ChipAsk)
	if err != nil {
		return nil, err
	}
	m := proposal.Match{Chip: in.Body.Name, Sample: r.sample, Notes: r.notes, Date: s.now()}
	for _, k := range r.matches[:min(mostMatches, len(r.matches))] {
		c := r.colour(k.Stock.ID)
		m.Near = append(m.Near, proposal.Near{Title: c.title, Linear: c.linear, Off: k.Off, Chance: k.Chance})
	}
	if in.Kind == "txt" {
		out := pdfOut([]byte(proposal.MatchText(r.job, m)), "colour-match.txt", true)
		out.Type = "text/plain; charset=utf-8"
		return out, nil
	}
	if len(r.job.Schemes) == 0 {
		return nil, refuse(http.StatusUnprocessableEntity, "The job has no scheme yet: begin one, or take the request as text.")
	}
	text, err := proposal.MatchRequest(r.job, m)
	return pdfOut(text, "colour-match.pdf", true), err
}
