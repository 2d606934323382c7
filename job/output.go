package job

import (
	"fmt"
	"math/big"

	"coilwright/coil"
	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	trims "coilwright/trim"
)

// The answers of layout and run as the contract shapes them. Lengths are decimal
// inches, exact to the nanometre; arrays are never null.

// XY is a place in inches.
type XY [2]float64

func xy(p plane.Point) XY { return XY{p.X.Inches(), p.Y.Inches()} }

func ringXY(r plane.Ring) []XY {
	out := make([]XY, len(r))
	for i, p := range r {
		out[i] = xy(p)
	}
	return out
}

// LayoutAnswer is `layout --json`.
type LayoutAnswer struct {
	Scheme  string        `json:"scheme"`
	Raw     bool          `json:"raw"`
	DatumIn float64       `json:"datum_in"`
	Datum   string        `json:"datum"`
	Choice  *DatumAnswer  `json:"datum_choice,omitempty"`
	Zones   []ZoneAnswer  `json:"zones"`
	Pieces  []PieceAnswer `json:"pieces"`
	Totals  TotalsAnswer  `json:"totals"`
}

// DatumAnswer tells what the choice of the datum gained.
type DatumAnswer struct {
	Looked  int         `json:"heights_looked_at"`
	Best    ScoreAnswer `json:"best"`
	Plain   ScoreAnswer `json:"plain"`
	Worst   ScoreAnswer `json:"worst"`
	PlainIn float64     `json:"plain_in"`
	WorstIn float64     `json:"worst_in"`
}

// ScoreAnswer is one height's score.
type ScoreAnswer struct {
	Slivers        int `json:"slivers"`
	RipsAndNotches int `json:"rips_and_notches"`
}

// ZoneAnswer is one zone on one wall.
type ZoneAnswer struct {
	ID        string  `json:"id"`
	Wall      string  `json:"wall"`
	Panel     string  `json:"panel"`
	RegionFt2 float64 `json:"region_ft2"`
	Count     *int    `json:"count,omitempty"`
}

// PieceAnswer is one piece.
type PieceAnswer struct {
	ID          string         `json:"id"`
	Number      string         `json:"number"`
	Wall        string         `json:"wall"`
	Zone        string         `json:"zone"`
	Course      int            `json:"course"`
	Panel       string         `json:"panel"`
	Texture     string         `json:"texture"`
	Colour      string         `json:"colour"`
	ThicknessIn float64        `json:"thickness_in"`
	At          XY             `json:"at_in"`
	LengthIn    float64        `json:"length_in"`
	Length      string         `json:"length"`
	CoverIn     float64        `json:"cover_in"`
	RipIn       *float64       `json:"rip_in"`
	Shape       []XY           `json:"shape"`
	Holes       [][]XY         `json:"holes"`
	Gaps        [2]float64     `json:"gaps_in"`
	Ends        []EndAnswer    `json:"ends"`
	Notches     []NotchAnswer  `json:"notches"`
	Measured    MeasuredAnswer `json:"measured"`
	Warnings    []string       `json:"warnings"`
}

// EndAnswer is what stands at an end of a piece.
type EndAnswer struct {
	Side     string  `json:"side"`
	Receiver string  `json:"receiver"`
	AngleDeg float64 `json:"angle_deg"`
	PocketIn float64 `json:"pocket_in"`
	GapIn    float64 `json:"gap_in"`
}

// NotchAnswer is a cut-out by its box, from the piece's left end and lower edge.
type NotchAnswer struct {
	Opening string `json:"opening"`
	At      XY     `json:"at_in"`
	Size    XY     `json:"size_in"`
	Inside  bool   `json:"inside"`
	Square  bool   `json:"square"`
}

// MeasuredAnswer is the worst pedigree of the numbers a piece depends on.
type MeasuredAnswer struct {
	By          string   `json:"by"`
	PlusMinusIn *float64 `json:"plus_minus_in"`
	FitToCut    bool     `json:"fit_to_cut"`
}

// TotalsAnswer sums a layout up.
type TotalsAnswer struct {
	Pieces    int     `json:"pieces"`
	RegionFt2 float64 `json:"region_ft2"`
	PanelFt   float64 `json:"panel_ft"`
	Joints    int     `json:"joints"`
	Slivers   int     `json:"slivers"`
	Rips      int     `json:"rips"`
	Notches   int     `json:"notches"`
}

// LayoutAnswer shapes a layout of j for other programs.
func (j *Job) LayoutAnswer(l *course.Layout) LayoutAnswer {
	return j.LayoutAnswerAfter(l, nil, LayoutAnswer{})
}

// LayoutAnswerAfter is LayoutAnswer where that of the layout before is at hand.
func (j *Job) LayoutAnswerAfter(l, before *course.Layout, was LayoutAnswer) LayoutAnswer {
	s, _ := j.Scheme(l.Scheme)
	zones := j.Schemes[s].Zones
	a := LayoutAnswer{
		Scheme: l.Scheme, Raw: l.Raw, DatumIn: l.Datum.Datum.Inches(), Datum: l.Datum.Datum.Text(j.Units),
		Choice: datumAnswer(l.Datum), Zones: []ZoneAnswer{}, Pieces: make([]PieceAnswer, 0, len(l.Pieces)),
		Totals: TotalsAnswer{l.Totals.Pieces, l.Totals.Region.SquareFeet(), l.Totals.PanelLength.Feet(), l.Totals.Joints, l.Totals.Slivers, l.Totals.Rips, l.Totals.Notches},
	}
	for _, z := range l.Zones {
		b := ZoneAnswer{ID: zones[z.Zone].ID, Wall: j.House.Walls[z.Wall].ID, Panel: zones[z.Zone].Panel, RegionFt2: z.Area.SquareFeet()}
		if z.Counted {
			b.Count = &z.Count
		}
		a.Zones = append(a.Zones, b)
	}
	for w := range j.House.Walls {
		if l.Stayed(before, w) {
			from, to := before.PiecesOf(w)
			a.Pieces = append(a.Pieces, was.Pieces[from:to]...)
			continue
		}
		from, to := l.PiecesOf(w)
		for _, p := range l.Pieces[from:to] {
			a.Pieces = append(a.Pieces, pieceAnswer(p, j.House.Walls[w].ID, zones[p.Zone].ID, j.Units))
		}
	}
	return a
}

func datumAnswer(c course.DatumChoice) *DatumAnswer {
	if !c.Chosen {
		return nil
	}
	score := func(s course.Score) ScoreAnswer { return ScoreAnswer{s.Slivers, s.RipsAndNotches} }
	return &DatumAnswer{c.Looked, score(c.Best), score(c.AtPlain), score(c.Worst), c.Plain.Inches(), c.WorstDatum.Inches()}
}

func pieceAnswer(p course.Piece, wall, zone string, u measure.Units) PieceAnswer {
	a := PieceAnswer{
		ID: p.ID, Number: p.Number, Wall: wall, Zone: zone, Course: p.Course, Panel: p.Panel, Texture: p.Texture,
		Colour: p.Colour, ThicknessIn: p.Thickness.Inches(), At: xy(p.At), LengthIn: p.Length.Inches(), Length: p.Length.Text(u),
		CoverIn: p.Cover.Inches(), Shape: ringXY(p.Shape.Outer), Holes: [][]XY{}, Gaps: [2]float64{p.Gaps[0].Inches(), p.Gaps[1].Inches()},
		Ends: []EndAnswer{}, Notches: []NotchAnswer{}, Warnings: append([]string{}, p.Warnings...), Measured: measuredAnswer(p.Measured, p.Fit),
	}
	if p.Rip > 0 {
		rip := p.Rip.Inches()
		a.RipIn = &rip
	}
	for _, h := range p.Shape.Holes {
		a.Holes = append(a.Holes, ringXY(h))
	}
	for _, e := range p.Ends {
		a.Ends = append(a.Ends, EndAnswer{string(e.Side), e.Receiver, e.Angle, e.Pocket.Inches(), e.Gap.Inches()})
	}
	for _, n := range p.Notches {
		a.Notches = append(a.Notches, NotchAnswer{n.Opening, xy(n.Box.Min), XY{n.Box.Width().Inches(), n.Box.Height().Inches()}, n.Inside, n.Square})
	}
	return a
}

func measuredAnswer(m house.Pedigree, fit bool) MeasuredAnswer {
	a := MeasuredAnswer{By: string(m.By), FitToCut: fit}
	if m.PlusMinus >= 0 {
		in := m.PlusMinus.Inches()
		a.PlusMinusIn = &in
	}
	return a
}

// RunAnswer is `run --json`.
type RunAnswer struct {
	Setups  []SetupAnswer    `json:"setups"`
	Coils   []CoilAnswer     `json:"coils"`
	Buy     []BuyAnswer      `json:"buy"`
	Bound   BoundAnswer      `json:"bound"`
	Aims    []AimsAnswer     `json:"aims"`
	Lots    LotsAnswer       `json:"lots"`
	ScrapFt float64          `json:"scrap_ft"`
	Trim    []SlittingAnswer `json:"trim"`
	LeftOut []LeftOutAnswer  `json:"left_out"`
	// OnWord are pieces that are not fit to cut and are cut on somebody's word.
	OnWord   *OnWordAnswer `json:"on_word,omitempty"`
	Cautions []Caution     `json:"cautions"`
}

// SetupAnswer is one set-up of the machine.
type SetupAnswer struct {
	Panel       string   `json:"panel"`
	Texture     string   `json:"texture"`
	Colour      string   `json:"colour"`
	ThicknessIn float64  `json:"thickness_in"`
	Pieces      []string `json:"pieces"`
	Minutes     float64  `json:"minutes"`
}

// CoilAnswer is one reel and what is cut from it.
type CoilAnswer struct {
	ID       string   `json:"id"`
	Lot      string   `json:"lot"`
	Colour   string   `json:"colour"`
	Bought   bool     `json:"bought"`
	LengthFt float64  `json:"length_ft"`
	Pieces   []string `json:"pieces"`
	UsedFt   float64  `json:"used_ft"`
	TailFt   float64  `json:"tail_ft"`

	ThicknessIn float64 `json:"thickness_in"`
	WidthIn     float64 `json:"width_in"`
	// What hangs on the coil's length: the pieces that end in its last plus-minus,
	// and another coil that could give the last one; empty where none could.
	PlusMinusFt float64  `json:"plus_minus_ft"`
	InDoubt     []string `json:"in_doubt"`
	Spare       string   `json:"spare"`
}

// BuyAnswer is coils to order; price is for all of them.
type BuyAnswer struct {
	Colour      string  `json:"colour"`
	ThicknessIn float64 `json:"thickness_in"`
	WidthIn     float64 `json:"width_in"`
	LengthFt    float64 `json:"length_ft"`
	Count       int     `json:"count"`
	Price       float64 `json:"price"`
}

// BoundAnswer is what no plan can beat.
type BoundAnswer struct {
	Coils   int     `json:"coils"`
	Price   float64 `json:"price"`
	Optimal bool    `json:"optimal"`
}

// LeftOutAnswer is a piece that is not to be cut, and why.
type LeftOutAnswer struct {
	Piece string `json:"piece"`
	Why   string `json:"why"`
}

// Caution is a warning for the place where somebody is about to do a thing.
type Caution struct {
	Where string `json:"where"`
	Text  string `json:"text"`
}

// RunCautions stand on every run: common practice, deferring to the maker and the
// trained person on site.
var RunCautions = [...]Caution{
	{"load", "Coils tip and straps spring: rated lifting gear only, stand clear, gloves and eye protection."},
	{"thread", "Guards on, hands out of the rollers and the shear; keep bystanders away. The machine maker's instructions win."},
	{"jam", "Lock the power out before a jam is cleared."},
	{"carry", "Long pieces: none near power lines, none in gusty wind; edges are sharp; two people or more."},
}

// RunAnswer shapes a run of j, and the slitting plans of its layout (see [Job.Slit]),
// for other programs.
func (j *Job) RunAnswer(r *RunResult, slitting []trims.Slitting) RunAnswer {
	a := RunAnswer{
		Setups: []SetupAnswer{}, Coils: []CoilAnswer{}, Buy: []BuyAnswer{}, LeftOut: []LeftOutAnswer{},
		Cautions: RunCautions[:], ScrapFt: r.Plan.Scrap.Feet(), Trim: j.trimAnswer(slitting),
		Bound: BoundAnswer{r.Plan.Bound.Coils, number(r.Plan.Bound.Price), r.Plan.Bound.Optimal},
	}
	for _, s := range r.Plan.Runs {
		a.Setups = append(a.Setups, SetupAnswer{s.Setup.Panel, s.Setup.Texture, s.Setup.Colour, s.Setup.Thickness.Inches(), s.Pieces, s.Minutes})
	}
	for _, c := range r.Plan.Reels {
		a.Coils = append(a.Coils, CoilAnswer{c.ID, c.Lot, c.Colour, c.Bought, c.Length.Feet(), c.Pieces, c.Used.Feet(), c.Tail.Feet(),
			c.Thickness.Inches(), c.Width.Inches(), c.PlusMinus.Feet(), append([]string{}, c.InDoubt...), c.Spare})
	}
	for _, b := range r.Plan.Buy {
		a.Buy = append(a.Buy, BuyAnswer{b.Colour, b.Thickness.Inches(), b.Width.Inches(), b.Length.Feet(), b.Count, number(b.Price)})
	}
	a.Aims, a.Lots = aimsAnswer(r.Plan), lotsAnswer(r.Plan.Lots)
	for _, x := range r.LeftOut {
		a.LeftOut = append(a.LeftOut, LeftOutAnswer{x.ID, x.Why})
	}
	a.OnWord = onWordAnswer(r.OnWord)
	return a
}

func number(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}

// PriceText prints exact money in the book's currency, with the places of its smallest
// unit (ISO 4217); with two where the book names no currency of it.
func (j *Job) PriceText(r *big.Rat) string {
	places, err := j.Prices.Places()
	if err != nil {
		places = 2
	}
	return fmt.Sprintf("%s %s", j.Prices.Currency, r.FloatString(places))
}

// LeftOutByWhy groups pieces left out by reason, in order.
func LeftOutByWhy(all []coil.LeftOut) (why []string, pieces map[string][]string) {
	pieces = map[string][]string{}
	for _, x := range all {
		if len(pieces[x.Why]) == 0 {
			why = append(why, x.Why)
		}
		pieces[x.Why] = append(pieces[x.Why], x.ID)
	}
	return why, pieces
}
