package job

import (
	"coilwright/coil"
)

// AimsAnswer is how the aims after the purchase were met, for one strip of one
// lot: reels threaded and longest tail with their proven bounds, and the most
// places that a piece is cut from its turn in hanging.
type AimsAnswer struct {
	Colour      string  `json:"colour"`
	Lot         string  `json:"lot"`
	ThicknessIn float64 `json:"thickness_in"`
	WidthIn     float64 `json:"width_in"`
	Reels       int     `json:"reels"`
	ReelsBound  int     `json:"reels_bound"`
	TailFt      float64 `json:"tail_ft"`
	TailBoundFt float64 `json:"tail_bound_ft"`
	Farthest    int     `json:"farthest"`
}

// LotsAnswer says how far lots were kept, and where not. PriceIfMixed is the least
// that a plan could pay without that rule; null where it costs nothing.
type LotsAnswer struct {
	Kept         string      `json:"kept"`
	Mixed        []MixAnswer `json:"mixed"`
	PriceIfMixed *float64    `json:"price_if_mixed,omitempty"`
}

// MixAnswer is walls that meet and wear one colour from several lots.
type MixAnswer struct {
	Colour string   `json:"colour"`
	Walls  []string `json:"walls"`
	Lots   []string `json:"lots"`
	Why    string   `json:"why"`
}

func aimsAnswer(p coil.Plan) []AimsAnswer {
	out := []AimsAnswer{}
	for _, s := range p.Strips {
		out = append(out, AimsAnswer{s.Colour, s.Lot, s.Thickness.Inches(), s.Width.Inches(), s.Reels, s.ReelsBound, s.Tail.Feet(), s.TailBound.Feet(), s.Farthest})
	}
	return out
}

func lotsAnswer(l coil.Lots) LotsAnswer {
	a := LotsAnswer{Kept: l.Kept, Mixed: []MixAnswer{}}
	if l.PriceIfMixed != nil {
		price := number(l.PriceIfMixed)
		a.PriceIfMixed = &price
	}
	for _, m := range l.Mixed {
		a.Mixed = append(a.Mixed, MixAnswer{m.Colour, m.Walls, m.Lots, m.Why})
	}
	return a
}
