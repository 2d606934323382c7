package job

import (
	"coilwright/measure"
	trims "coilwright/trim"
)

// SlittingAnswer is the plan of one coil that trim is slit from.
type SlittingAnswer struct {
	From        string           `json:"from"` // "trim-coil" or "panel-coil"
	Colour      string           `json:"colour"`
	Texture     string           `json:"texture,omitempty"`
	ThicknessIn float64          `json:"thickness_in"`
	WidthIn     float64          `json:"width_in"`
	BrakeIn     float64          `json:"brake_in"`
	StepIn      float64          `json:"blank_step_in"`
	Pieces      []FlatAnswer     `json:"pieces"`
	Blanks      []BlankAnswer    `json:"blanks"`
	Setups      int              `json:"setups"`
	Slits       int              `json:"slits"`
	UseFt       float64          `json:"use_ft"`
	WasteFt2    float64          `json:"waste_ft2"`
	WastePct    float64          `json:"waste_pct"`
	Coils       []FlatCoilAnswer `json:"coils"`
	Buy         FlatBuyAnswer    `json:"buy"`
	Bound       FlatBoundAnswer  `json:"bound"`
	LeftOut     []FlatLeftAnswer `json:"left_out"`
	Proof       FlatProofAnswer  `json:"proof"`
	Note        string           `json:"note,omitempty"`
}

// FlatAnswer is one strip that trim is bent from. Part of Parts: lengths of one run,
// each lapping the next.
type FlatAnswer struct {
	ID       string  `json:"id"`
	Kind     string  `json:"kind"`
	Wall     string  `json:"wall"`
	From     string  `json:"from"`
	WidthIn  float64 `json:"width_in"`
	LengthIn float64 `json:"length_in"`
	Length   string  `json:"length"`
	Part     int     `json:"part"`
	Parts    int     `json:"parts"`
}

// BlankAnswer is one length of coil: strips side by side, in each the pieces end to
// end. Coil names one of the coils. A blank of panel coil has none: ID is its name
// among the pieces of the run.
type BlankAnswer struct {
	ID       string        `json:"id,omitempty"`
	Number   int           `json:"number"`
	Setup    int           `json:"setup"`
	Coil     string        `json:"coil"`
	LengthIn float64       `json:"length_in"`
	Length   string        `json:"length"`
	Strips   []StripAnswer `json:"strips"`
	Slits    int           `json:"slits"`
}

// StripAnswer is one strip of a blank.
type StripAnswer struct {
	WidthIn float64  `json:"width_in"`
	UsedIn  float64  `json:"used_in"`
	Pieces  []string `json:"pieces"`
}

// FlatCoilAnswer is a trim coil and what is left on it.
type FlatCoilAnswer struct {
	ID       string  `json:"id"`
	Lot      string  `json:"lot"`
	Bought   bool    `json:"bought"`
	LengthFt float64 `json:"length_ft"`
	UsedFt   float64 `json:"used_ft"`
	TailFt   float64 `json:"tail_ft"`
}

// FlatBuyAnswer is the trim coils to order; no plan orders fewer than Bound.
type FlatBuyAnswer struct {
	Count    int     `json:"count"`
	LengthFt float64 `json:"length_ft"`
	Bound    int     `json:"bound"`
	Optimal  bool    `json:"optimal"`
}

// FlatBoundAnswer is what no plan of these blanks and strips can beat: feet of coil.
type FlatBoundAnswer struct {
	Ft      float64 `json:"ft"`
	GapFt   float64 `json:"gap_ft"`
	Optimal bool    `json:"optimal"`
}

// FlatProofAnswer is the certificate in whole numbers: pieces, in the order of
// Pieces, weigh Weight and together Total; no blank weighs more than its length in
// nanometres times Most/Least. Searched: trying everything proved more.
type FlatProofAnswer struct {
	Weight   []int64 `json:"weight"`
	Total    int64   `json:"total"`
	LeastNm  int64   `json:"least_nm"`
	Most     int64   `json:"most"`
	Searched bool    `json:"searched"`
}

// FlatLeftAnswer is trim that is not to be cut yet, or not from this coil, and why.
type FlatLeftAnswer struct {
	What string `json:"what"`
	From string `json:"from"`
	Why  string `json:"why"`
}

// trimAnswer shapes slitting plans; never null.
func (j *Job) trimAnswer(plans []trims.Slitting) []SlittingAnswer {
	out := []SlittingAnswer{}
	for i := range plans {
		out = append(out, j.slittingAnswer(&plans[i]))
	}
	return out
}

func (j *Job) slittingAnswer(p *trims.Slitting) SlittingAnswer {
	a := SlittingAnswer{
		From: p.From, Colour: p.Colour, Texture: p.Texture, ThicknessIn: p.Thickness.Inches(), WidthIn: p.Width.Inches(),
		BrakeIn: p.Brake.Inches(), StepIn: p.Step.Inches(), Pieces: []FlatAnswer{}, Blanks: []BlankAnswer{}, Coils: []FlatCoilAnswer{},
		LeftOut: []FlatLeftAnswer{}, Setups: p.Setups, Slits: p.Slits, UseFt: p.Length.Feet(), WasteFt2: p.Waste(), WastePct: p.WastePct(), Note: p.Note,
		Buy:   FlatBuyAnswer{p.Buy, p.Each.Feet(), p.BuyBound, p.Buy == p.BuyBound},
		Bound: FlatBoundAnswer{p.Bound.Feet(), p.Gap().Feet(), p.Optimal},
		Proof: FlatProofAnswer{append([]int64{}, p.Proof.Weight...), p.Proof.Total, p.Proof.Least, p.Proof.Most, p.Proof.Searched},
	}
	for _, f := range p.Flats {
		wall := ""
		if f.Wall >= 0 {
			wall = j.House.Walls[f.Wall].ID
		}
		a.Pieces = append(a.Pieces, FlatAnswer{f.ID, string(f.Kind), wall, f.From, f.Width.Inches(), f.Length.Inches(), f.Length.Text(j.Units), f.Part, f.Parts})
	}
	for _, b := range p.Blanks {
		a.Blanks = append(a.Blanks, blankAnswer(p, b, j.Units))
	}
	for _, c := range p.Coils {
		a.Coils = append(a.Coils, FlatCoilAnswer{c.ID, c.Lot, c.Bought, c.Length.Feet(), c.Used.Feet(), c.Tail.Feet()})
	}
	for _, n := range p.Not {
		a.LeftOut = append(a.LeftOut, FlatLeftAnswer{n.What, n.From, n.Why})
	}
	return a
}

func blankAnswer(p *trims.Slitting, b trims.Blank, u measure.Units) BlankAnswer {
	a := BlankAnswer{Number: b.Number, Setup: b.Setup, LengthIn: b.Length.Inches(), Length: b.Length.Text(u), Strips: []StripAnswer{}, Slits: b.Slits}
	if b.Coil >= 0 {
		a.Coil = p.Coils[b.Coil].ID
	}
	if p.From == trims.PanelCoil {
		a.ID = b.PieceID()
	}
	for _, s := range b.Strips {
		strip := StripAnswer{WidthIn: s.Width.Inches(), UsedIn: s.Used.Inches(), Pieces: []string{}}
		for _, k := range s.Flats {
			strip.Pieces = append(strip.Pieces, p.Flats[k].ID)
		}
		a.Strips = append(a.Strips, strip)
	}
	return a
}
