package job

import (
	"fmt"
	"math"
	"math/big"

	"coilwright/box"
	"coilwright/measure"
)

// CompareAnswer is `compare --json`. Areas are sq ft of wall that a length would
// cover.
type CompareAnswer struct {
	Scheme      string         `json:"scheme"`
	Strips      int            `json:"strips"`
	HungFt2     float64        `json:"hung_ft2"`
	Formed      FormedAnswer   `json:"formed"`
	Box         []BoxAnswer    `json:"box"`
	Least       []LeastAnswer  `json:"least"`
	Rules       BoxRulesAnswer `json:"rules"`
	Assumptions []string       `json:"assumptions"`
	Cautions    []Caution      `json:"cautions"`
}

// FormedAnswer is the site-formed side. Waste is trimmed, laps, threading, cut loss
// and the tails that are too short for another job; usable tails stay stock.
type FormedAnswer struct {
	CoilFt        float64         `json:"coil_ft"`
	BuyFt         float64         `json:"buy_ft"`
	Coils         int             `json:"coils"`
	Pieces        int             `json:"pieces"`
	Joints        int             `json:"joints"`
	WasteFt2      float64         `json:"waste_ft2"`
	WastePct      float64         `json:"waste_pct"`
	TrimmedFt2    float64         `json:"trimmed_ft2"`
	LapsFt2       float64         `json:"laps_ft2"`
	ThreadingFt   float64         `json:"threading_ft"`
	ThreadingFt2  float64         `json:"threading_ft2"`
	CutLossFt     float64         `json:"cut_loss_ft"`
	CutLossFt2    float64         `json:"cut_loss_ft2"`
	ShortTailsFt  float64         `json:"short_tails_ft"`
	ShortTailsFt2 float64         `json:"short_tails_ft2"`
	UsableTailsFt float64         `json:"usable_tails_ft"`
	WeightLb      *float64        `json:"weight_lb"`
	NoCoil        []LeftOutAnswer `json:"no_coil"`
}

// BoxAnswer is one plan in box siding. BareSections is the bound that anyone can
// check: the length that strips and their fewest laps need, divided by the section,
// rounded up, group by group. BoundSections holds for plans that keep the rules.
type BoxAnswer struct {
	SectionFt     float64             `json:"section_ft"`
	Sections      int                 `json:"sections"`
	BoughtFt      float64             `json:"bought_ft"`
	Pieces        int                 `json:"pieces"`
	Joints        int                 `json:"joints"`
	WasteFt2      float64             `json:"waste_ft2"`
	WastePct      float64             `json:"waste_pct"`
	TrimmedFt2    float64             `json:"trimmed_ft2"`
	LapsFt2       float64             `json:"laps_ft2"`
	OffcutsFt2    float64             `json:"offcuts_ft2"`
	WeightLb      *float64            `json:"weight_lb"`
	BareSections  int                 `json:"bare_sections"`
	BoundSections int                 `json:"bound_sections"`
	Optimal       bool                `json:"optimal"`
	BoundJoints   int                 `json:"bound_joints"`
	Groups        []BoxGroupAnswer    `json:"groups"`
	Compromises   []CompromiseAnswer  `json:"compromises"`
	Plan          *[]BoxSectionAnswer `json:"plan,omitempty"`
}

// BoxGroupAnswer is one kind of section.
type BoxGroupAnswer struct {
	Panel         string  `json:"panel"`
	Texture       string  `json:"texture"`
	Colour        string  `json:"colour"`
	ThicknessIn   float64 `json:"thickness_in"`
	NeedFt        float64 `json:"need_ft"`
	Sections      int     `json:"sections"`
	BareSections  int     `json:"bare_sections"`
	BoundSections int     `json:"bound_sections"`
	Joints        int     `json:"joints"`
}

// CompromiseAnswer is a strip of which no plan was found that keeps the rules.
type CompromiseAnswer struct {
	Piece string `json:"piece"`
	Rule  string `json:"rule"`
}

// BoxSectionAnswer is one section and what is cut from it.
type BoxSectionAnswer struct {
	Panel  string          `json:"panel"`
	Colour string          `json:"colour"`
	Parts  []BoxPartAnswer `json:"parts"`
	LeftIn float64         `json:"left_in"`
}

// BoxPartAnswer is the n-th piece (from 1, from the left or the bottom) of what the
// formed piece of that id covers, from from_in on.
type BoxPartAnswer struct {
	Piece    string  `json:"piece"`
	N        int     `json:"n"`
	FromIn   float64 `json:"from_in"`
	LengthIn float64 `json:"length_in"`
}

// LeastAnswer says who needs least of a thing: "formed", or "box" and its section;
// several where they need the same.
type LeastAnswer struct {
	What string   `json:"what"`
	Who  []string `json:"who"`
}

// BoxRulesAnswer is the rules that box siding was laid by.
type BoxRulesAnswer struct {
	LapIn      float64 `json:"lap_in"`
	StaggerIn  float64 `json:"stagger_in"`
	ClearIn    float64 `json:"clear_of_corner_in"`
	ShortestIn float64 `json:"shortest_in"`
	Extra      int     `json:"extra_pieces"`
}

// CompareAssumptions is what both sides were counted by; where one is in doubt, it
// favours box siding.
var CompareAssumptions = [...]string{
	"Both cover the same strips of wall, with the same set-backs, and are of the same panel, thickness and colour.",
	"Waste is all that is bought or run off a coil and does not hang to be seen, as sq ft of wall that it would cover.",
	"Box siding is counted by the section; a carton rounds up. Any cut end may lap, snips lose nothing, and an offcut serves on any wall.",
	"A course that one section covers has no joint; a longer one takes one piece more than the fewest at most.",
	"A coil's tail is stock for another job if 10 ft and a threading are left on it; else it counts as waste.",
	"Panels bought by the piece, such as shake, are the same on both sides and left out.",
}

// CompareCautions stand beside a comparison.
var CompareCautions = [...]Caution{
	{"choose", "Compare like with like: decimal thickness, coating, fastening, weather barrier, trim, warranty, and who does the work."},
	{"cut", "Cut edges are sharp: gloves and eye protection. The panel maker's instructions say how a panel may be cut, lapped and nailed."},
}

// CompareAnswer shapes a comparison for other programs; with plans, every section of
// box siding with what is cut from it.
func (j *Job) CompareAnswer(c *Comparison, plans bool) CompareAnswer {
	r := c.Rules
	a := CompareAnswer{Scheme: c.Scheme, Strips: len(c.Strips), HungFt2: c.Hung, Formed: c.formedAnswer(), Box: []BoxAnswer{}, Least: c.least(),
		Rules:       BoxRulesAnswer{r.Lap.Inches(), r.Stagger.Inches(), r.Clear.Inches(), r.Shortest.Inches(), r.Extra},
		Assumptions: CompareAssumptions[:], Cautions: CompareCautions[:]}
	for _, b := range c.Box {
		a.Box = append(a.Box, c.boxAnswer(b, plans))
	}
	return a
}

func (c *Comparison) formedAnswer() FormedAnswer {
	f := c.Formed
	a := FormedAnswer{CoilFt: f.Coil.Feet(), Coils: f.Coils, Pieces: f.Pieces, Joints: f.Joints, WasteFt2: f.Waste, WastePct: percent(f.Waste, c.Hung),
		TrimmedFt2: f.Waste - f.Laps - f.Threads - f.Losses - f.Shorts, LapsFt2: f.Laps, ThreadingFt: f.Threading.Feet(), ThreadingFt2: f.Threads,
		CutLossFt: f.CutLoss.Feet(), CutLossFt2: f.Losses, ShortTailsFt: f.ShortTails.Feet(), ShortTailsFt2: f.Shorts,
		UsableTailsFt: f.UsableTails.Feet(), WeightLb: weight(f.Weight, f.Weighed), NoCoil: []LeftOutAnswer{}}
	for _, b := range f.Plan.Buy {
		a.BuyFt += b.Length.Feet() * float64(b.Count)
	}
	for _, x := range f.Plan.LeftOut {
		a.NoCoil = append(a.NoCoil, LeftOutAnswer{x.ID, x.Why})
	}
	return a
}

func (c *Comparison) boxAnswer(b BoxSide, plans bool) BoxAnswer {
	a := BoxAnswer{SectionFt: b.Length.Feet(), Sections: len(b.Sections), BoughtFt: b.Bought.Feet(), Pieces: b.Pieces, Joints: b.Joints,
		WasteFt2: b.Waste, WastePct: percent(b.Waste, c.Hung), TrimmedFt2: c.Trim, LapsFt2: b.Laps, OffcutsFt2: b.Offcuts,
		WeightLb: weight(b.Weight, b.Weighed), BareSections: b.Bare, BoundSections: b.Bound, Optimal: b.Optimal, BoundJoints: b.FewestJoints,
		Groups: []BoxGroupAnswer{}, Compromises: []CompromiseAnswer{}}
	for _, g := range b.Groups {
		a.Groups = append(a.Groups, BoxGroupAnswer{g.Panel, g.Texture, g.Colour, g.Thickness.Inches(), g.Need.Feet(), g.Sections, g.Bare, g.Bound, g.Joints})
	}
	for _, x := range b.Compromises {
		a.Compromises = append(a.Compromises, CompromiseAnswer{c.Strips[x.Strip].ID, string(x.Rule)})
	}
	if plans {
		all := []BoxSectionAnswer{}
		for _, s := range b.Sections {
			all = append(all, c.sectionAnswer(s))
		}
		a.Plan = &all
	}
	return a
}

func (c *Comparison) sectionAnswer(s box.Section) BoxSectionAnswer {
	a := BoxSectionAnswer{Panel: s.Like.Panel, Colour: s.Like.Colour, LeftIn: s.Left.Inches()}
	for _, p := range s.Parts {
		a.Parts = append(a.Parts, BoxPartAnswer{c.Strips[p.Strip].ID, p.N + 1, p.From.Inches(), p.Length.Inches()})
	}
	return a
}

// percent is waste as a share of all that is bought or run off.
func percent(waste, hung float64) float64 {
	if waste+hung <= 0 {
		return 0
	}
	return 100 * waste / (waste + hung)
}

func weight(w *big.Rat, known bool) *float64 {
	if !known {
		return nil
	}
	f := number(w)
	return &f
}

// BoxName is what a plan in box siding is called: box 12 ft.
func BoxName(section measure.Length) string { return fmt.Sprintf("box %g ft", section.Feet()) }

// least finds who needs least of each thing. Areas and weights are compared to a
// tenth, as they are printed.
func (c *Comparison) least() []LeastAnswer {
	tenth := func(f float64) float64 { return math.Round(10 * f) }
	f := c.Formed
	out := []LeastAnswer{{What: "waste"}, {What: "joints"}, {What: "pieces"}, {What: "weight"}}
	best := []float64{tenth(f.Waste), float64(f.Joints), float64(f.Pieces), tenth(number(f.Weight))}
	for i := range out {
		out[i].Who = []string{"formed"}
	}
	for _, b := range c.Box {
		for i, v := range []float64{tenth(b.Waste), float64(b.Joints), float64(b.Pieces), tenth(number(b.Weight))} {
			if v < best[i] {
				best[i], out[i].Who = v, nil
			}
			if v == best[i] {
				out[i].Who = append(out[i].Who, BoxName(b.Length))
			}
		}
	}
	if !f.Weighed {
		return out[:3]
	}
	return out
}
