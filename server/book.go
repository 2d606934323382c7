package server

import (
	"context"
	"math"
	"strings"
	"sync"

	"coilwright/job"
	"coilwright/measure"
	"coilwright/steel"
)

// BookView is a shop's book as the page needs it to offer choices and to draw.
type BookView struct {
	Title     string         `json:"title"`
	Invented  bool           `json:"invented" doc:"Demo figures: nobody's panels, stock or prices"`
	Panels    []PanelView    `json:"panels"`
	Colours   []ColourView   `json:"colours"`
	Textures  []TextureView  `json:"textures"`
	Receivers []ReceiverView `json:"receivers"`
	Coils     []StockView    `json:"coils"`
	Step      string         `json:"step"`
	StepIn    float64        `json:"step_in"`
	Sliver    string         `json:"sliver"`
	SliverIn  float64        `json:"sliver_in"`
	Longest   string         `json:"longest_piece,omitempty"`
	FitToCut  FitView        `json:"fit_to_cut"`
	Currency  string         `json:"currency"`
}

// PanelView is one panel. Face is its visible face from the butt up: depth over the
// sheathing, height.
type PanelView struct {
	ID           string  `json:"id"`
	Title        string  `json:"title"`
	Kind         string  `json:"kind" enum:"horizontal,vertical,counted"`
	CoverIn      float64 `json:"cover_in"`
	Cover        string  `json:"cover"`
	Laps         int     `json:"laps"`
	ExposureIn   float64 `json:"exposure_in"`
	Vertical     bool    `json:"vertical"`
	ThicknessIn  float64 `json:"thickness_in"`
	BlankWidthIn float64 `json:"blank_width_in"`
	Face         []XY    `json:"face"`
}

// ColourView is one colour for the screen, sRGB 0 to 255.
type ColourView struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	SRGB  [3]int `json:"srgb"`
}

// TextureView is one texture.
type TextureView struct {
	ID    string `json:"id"`
	Title string `json:"title"`
}

// ReceiverView is one receiver.
type ReceiverView struct {
	ID       string  `json:"id"`
	PocketIn float64 `json:"pocket_in"`
	CoverIn  float64 `json:"cover_in"`
}

// StockView is one coil in stock.
type StockView struct {
	ID          string  `json:"id"`
	Lot         string  `json:"lot"`
	Colour      string  `json:"colour"`
	ThicknessIn float64 `json:"thickness_in"`
	WidthIn     float64 `json:"width_in"`
	LengthFt    float64 `json:"length_ft"`
}

// FitView is what a number must be before steel is cut from it.
type FitView struct {
	By          string  `json:"by"`
	PlusMinus   string  `json:"plus_minus"`
	PlusMinusIn float64 `json:"plus_minus_in"`
	Over        string  `json:"over"`
}

type bookOut struct{ Body *BookView }

func (s *Server) registerBook() {
	const tag = "book"
	handle(s, operation("GET", "/api/book", "get-book", tag, "The shop's book: panels, colours, textures, receivers, coils"), func(ctx context.Context, _ *struct{}) (*bookOut, error) {
		w, err := who(ctx)
		if err != nil {
			return nil, err
		}
		v, err := s.newestView(ctx, w.Shop)
		return &bookOut{v}, err
	})
	handle(s, operation("GET", "/api/jobs/{job}/book", "get-job-book", tag, "The book that a job uses, with what the job lays over it", 404), func(ctx context.Context, in *JobPath) (*bookOut, error) {
		_, done, err := s.worked(ctx, in.Job)
		if err != nil {
			return nil, err
		}
		return &bookOut{bookView(&done.job)}, nil
	})
	op := operation("GET", "/api/health", "health", tag, "Whether the server and its database answer")
	handle(s, op, s.health)
	s.registerDescription()
}

func bookView(j *job.Job) *BookView {
	b, u := &j.Book, j.Units
	at := b.StepIn(u)
	v := &BookView{
		Title: b.Title, Invented: b.Invented, Panels: []PanelView{}, Colours: []ColourView{}, Textures: []TextureView{}, Receivers: []ReceiverView{}, Coils: []StockView{},
		Step: at.Text(u), StepIn: at.Inches(), Sliver: b.Sliver.Text(u), SliverIn: b.Sliver.Inches(), Currency: j.Prices.Currency,
		FitToCut: FitView{b.FitToCut.By, b.FitToCut.PlusMinus.Text(u), b.FitToCut.PlusMinus.Inches(), b.FitToCut.Over},
	}
	if b.LongestPiece > 0 {
		v.Longest = b.LongestPiece.Text(u)
	}
	for _, p := range b.Panels {
		v.Panels = append(v.Panels, panelView(p, u))
	}
	for _, c := range b.Colours {
		v.Colours = append(v.Colours, ColourView{c.ID, c.Title, screen(c.Linear)})
	}
	for _, t := range b.Textures {
		v.Textures = append(v.Textures, TextureView{t, t})
	}
	for _, k := range receiverOrder {
		if r, ok := b.Receivers[k]; ok {
			v.Receivers = append(v.Receivers, ReceiverView{k, r.Pocket.Inches(), r.Cover.Inches()})
		}
	}
	for _, c := range b.Coils {
		v.Coils = append(v.Coils, StockView{c.ID, c.Lot, c.Colour, c.Thickness.Inches(), c.Width.Inches(), c.Length.Feet()})
	}
	return v
}

// receiverOrder is that of the contract: edges first, then sides of openings.
var receiverOrder = strings.Fields("base eave rake outside-corner inside-corner abuts open " +
	steel.OpeningSide + " " + steel.OpeningHead + " " + steel.OpeningSill + " " + steel.ZoneEdge)

// faceTolerance is how far the drawn face may stray, in inches; a screen shows less.
const faceTolerance = measure.Inch / 100

func panelView(p steel.Panel, u measure.Units) PanelView {
	v := PanelView{
		ID: p.ID, Title: p.Title, Kind: string(p.Kind), CoverIn: p.Cover().Inches(), Cover: p.Cover().Text(u), Laps: p.Laps,
		ExposureIn: p.Exposure.Inches(), Vertical: p.Kind == steel.Vertical, ThicknessIn: p.Thickness.Inches(), BlankWidthIn: p.BlankWidth.Inches(), Face: []XY{},
	}
	for _, f := range p.Face(faceTolerance) {
		v.Face = append(v.Face, XY{f.Depth.Inches(), f.Height.Inches()})
	}
	return v
}

// screen encodes linear light for a screen: IEC 61966-2-1 (sRGB).
func screen(linear [3]float64) (out [3]int) {
	for i, c := range linear {
		c = min(max(c, 0), 1)
		if c <= 0.0031308 {
			c *= 12.92
		} else {
			c = 1.055*math.Pow(c, 1/2.4) - 0.055
		}
		out[i] = int(math.Round(c * 255))
	}
	return out
}

type healthOut struct {
	Body struct {
		OK      bool   `json:"ok"`
		Version string `json:"version"`
	}
}

func (s *Server) health(ctx context.Context, _ *struct{}) (*healthOut, error) {
	out := &healthOut{}
	out.Body.OK, out.Body.Version = true, s.version
	return out, s.store.Ping(ctx)
}

// registerDescription serves the API's own description; it is not part of it.
func (s *Server) registerDescription() {
	var once sync.Once
	var text []byte
	s.api.Adapter().Handle(&hidden, func(c hctx) {
		once.Do(func() { text, _ = describe(s.api) })
		c.SetHeader("Content-Type", "application/json")
		c.BodyWriter().Write(text) //nolint:errcheck // the asker has gone
	})
}
