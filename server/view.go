package server

import (
	"math"

	"coilwright/house"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/problem"
	"coilwright/steel"
)

// XY is a place in inches.
type XY = [2]float64

// View is a house ready to draw, as far as it could be read: the page works no
// length out.
type View struct {
	Units    string     `json:"units" enum:"imperial,metric"`
	Walls    []WallView `json:"walls"`
	Plan     PlanView   `json:"plan"`
	Problems []Finding  `json:"problems"`
}

// WallView is one wall's face: x right from its left end, y up from the house's level line.
type WallView struct {
	ID        string            `json:"id"`
	Title     string            `json:"title"`
	OutlineIn []XY              `json:"outline_in"`
	Outline   [][2]string       `json:"outline" doc:"The same places in the job's units"`
	Edges     []string          `json:"edges"`
	EdgesText []string          `json:"edge_lengths" doc:"Length of each edge, to the nearest step"`
	Width     string            `json:"width"`
	Height    string            `json:"height"`
	WidthIn   float64           `json:"width_in"`
	HeightIn  float64           `json:"height_in"`
	LowIn     float64           `json:"low_in" doc:"Height of the lowest corner"`
	FacesDeg  *float64          `json:"faces_deg"`
	Openings  []OpeningView     `json:"openings"`
	Measured  MeasuredView      `json:"measured"`
	Readings  [][2]MeasuredView `json:"readings" doc:"Pedigree of each corner's x and y"`
	Over      string            `json:"over"`
}

// OpeningView is one opening of a wall.
type OpeningView struct {
	ID        string            `json:"id"`
	Kind      string            `json:"kind"`
	OutlineIn []XY              `json:"outline_in"`
	AtIn      XY                `json:"at_in" doc:"Lower left corner of its box"`
	SizeIn    XY                `json:"size_in"`
	At        [2]string         `json:"at"`
	Size      [2]string         `json:"size"`
	FromRight string            `json:"from_right" doc:"From its right side to the wall's right end"`
	Head      string            `json:"head" doc:"Height of its top"`
	Boxed     bool              `json:"boxed" doc:"It is an upright rectangle"`
	Measured  MeasuredView      `json:"measured"`
	Readings  [][2]MeasuredView `json:"readings" doc:"Pedigree of each corner's x and y; a box begins at its lower left"`
}

// MeasuredView is the pedigree of a number.
type MeasuredView struct {
	By          string   `json:"by"`
	PlusMinus   string   `json:"plus_minus,omitempty"`
	PlusMinusIn *float64 `json:"plus_minus_in"`
	FitToCut    bool     `json:"fit_to_cut" doc:"Good enough by the shop's rule, over whatever surface it was taken"`
}

// pedigrees shows pedigrees by a job's units and its shop's rule.
type pedigrees struct {
	units measure.Units
	rule  steel.FitToCut
}

// viewOf draws what could be read of a job.
func viewOf(j *job.Job, found problem.List) *View {
	v := &View{Units: j.Units.String(), Walls: []WallView{}, Problems: findings(j, found)}
	for i := range j.House.Walls {
		v.Walls = append(v.Walls, wallView(&j.House.Walls[i], pedigrees{j.Units, j.Book.FitToCut}))
	}
	v.Plan = planOf(&j.House, j.Units)
	return v
}

func wallView(w *house.Wall, ped pedigrees) WallView {
	u := ped.units
	box := boxOf(w.Outline)
	v := WallView{
		ID: w.ID, Title: w.ID, OutlineIn: ringIn(w.Outline), Outline: [][2]string{}, Edges: []string{}, EdgesText: []string{},
		Width: box.Width().Text(u), Height: box.Height().Text(u), WidthIn: box.Width().Inches(), HeightIn: box.Height().Inches(), LowIn: box.Min.Y.Inches(),
		FacesDeg: w.FacesDeg, Openings: []OpeningView{}, Measured: ped.view(w.Measured), Readings: [][2]MeasuredView{}, Over: string(w.Over),
	}
	for i, p := range w.Outline {
		v.Outline = append(v.Outline, [2]string{p.X.Text(u), p.Y.Text(u)})
		v.EdgesText = append(v.EdgesText, edgeLength(w, i).Near(u, u.Step()))
	}
	for _, r := range w.Readings {
		v.Readings = append(v.Readings, [2]MeasuredView{ped.view(r[0]), ped.view(r[1])})
	}
	for _, e := range w.Edges {
		v.Edges = append(v.Edges, string(e))
	}
	for i := range w.Openings {
		v.Openings = append(v.Openings, openingView(&w.Openings[i], box, ped))
	}
	return v
}

func edgeLength(w *house.Wall, i int) measure.Length {
	from, to := w.Edge(i)
	d := to.Sub(from)
	return measure.FromInches(math.Hypot(d.X.Inches(), d.Y.Inches()))
}

func openingView(o *house.Opening, wall plane.Box, ped pedigrees) OpeningView {
	box, u := boxOf(o.Outline), ped.units
	v := OpeningView{
		ID: o.ID, Kind: string(o.Kind), OutlineIn: ringIn(o.Outline),
		AtIn: XY{box.Min.X.Inches(), box.Min.Y.Inches()}, SizeIn: XY{box.Width().Inches(), box.Height().Inches()},
		At: [2]string{box.Min.X.Text(u), box.Min.Y.Text(u)}, Size: [2]string{box.Width().Text(u), box.Height().Text(u)},
		FromRight: (wall.Max.X - box.Max.X).Text(u), Head: box.Max.Y.Text(u),
		Boxed: isBox(o.Outline, box), Measured: ped.view(o.Measured), Readings: [][2]MeasuredView{},
	}
	for _, r := range o.Readings {
		v.Readings = append(v.Readings, [2]MeasuredView{ped.view(r[0]), ped.view(r[1])})
	}
	return v
}

// isBox says whether a ring is its own box.
func isBox(r plane.Ring, box plane.Box) bool {
	if len(r) != 4 {
		return false
	}
	for i, p := range r {
		q := r[(i+1)%4]
		if (p.X != q.X && p.Y != q.Y) || (p.X != box.Min.X && p.X != box.Max.X) || (p.Y != box.Min.Y && p.Y != box.Max.Y) {
			return false
		}
	}
	return true
}

func (ped pedigrees) view(m house.Pedigree) MeasuredView {
	u := ped.units
	v := MeasuredView{By: string(m.By)}
	v.FitToCut = m.PlusMinus >= 0 && m.PlusMinus <= ped.rule.PlusMinus && m.By.Rank() >= house.Source(ped.rule.By).Rank()
	if m.PlusMinus >= 0 {
		in := m.PlusMinus.Inches()
		v.PlusMinus, v.PlusMinusIn = m.PlusMinus.Text(u), &in
	}
	return v
}

func boxOf(r plane.Ring) plane.Box {
	if len(r) == 0 {
		return plane.Box{}
	}
	return r.Box()
}

func ringIn(r plane.Ring) []XY {
	out := make([]XY, len(r))
	for i, p := range r {
		out[i] = XY{p.X.Inches(), p.Y.Inches()}
	}
	return out
}

func ringsIn(rings []plane.Ring) [][]XY {
	out := make([][]XY, len(rings))
	for i, r := range rings {
		out[i] = ringIn(r)
	}
	return out
}
