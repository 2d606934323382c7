package server

import (
	"context"
	"slices"

	"coilwright/course"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/problem"
	"coilwright/scheme"
	"coilwright/trim"
)

// SchemeLayout is the contract's layout with what the page draws beside it.
type SchemeLayout struct {
	job.LayoutAnswer
	Heights  HeightsView   `json:"heights"`
	Drawn    []DrawnPiece  `json:"drawn" doc:"Each piece in its wall's coordinates"`
	Friezes  []FriezeView  `json:"friezes"`
	Courses  []CoursesView `json:"courses"`
	Warnings []Finding     `json:"warnings"`
	Trim     []TrimView    `json:"trim"`
	Tally    TallyView     `json:"tally"`

	totals  []TrimView     // of the trim, which an operation of its own gives
	laid    *course.Layout // what all of it shows
	borders *trim.Borders
	free    *course.Layout // where the scheme fixes its datum: what heights near it would do
}

// TallyView is the layout in a few figures.
type TallyView struct {
	Pieces    int     `json:"pieces"`
	PanelFt   float64 `json:"panel_ft"`
	CoilFt    float64 `json:"coil_ft" doc:"With what each cut loses, before coils are planned"`
	RegionFt2 float64 `json:"region_ft2"`
	Slivers   int     `json:"slivers"`
	Joints    int     `json:"joints"`
	Warnings  int     `json:"warnings"`
}

func tallyOf(j *job.Job, l *course.Layout, warnings int) TallyView {
	t := l.Totals
	steel := t.PanelLength + measure.Length(t.Pieces)*j.Book.Machine.CutLoss
	return TallyView{t.Pieces, t.PanelLength.Feet(), steel.Feet(), t.Region.SquareFeet(), t.Slivers, t.Joints, warnings}
}

// HeightsView is the heights that course 1 could start at. Between two candidates
// slivers, rips and notches stay as at one of them.
type HeightsView struct {
	AtIn       float64         `json:"at_in"`
	At         string          `json:"at"`
	Chosen     bool            `json:"chosen" doc:"The program chose it; else the scheme fixes it"`
	RangeIn    [2]float64      `json:"range_in"`
	BestIn     float64         `json:"best_in"`
	Best       string          `json:"best"`
	PlainIn    float64         `json:"plain_in"`
	WorstIn    float64         `json:"worst_in"`
	Candidates []CandidateView `json:"candidates"`
}

// CandidateView is one height and what it costs.
type CandidateView struct {
	AtIn           float64 `json:"at_in"`
	At             string  `json:"at"`
	Slivers        int     `json:"slivers"`
	RipsAndNotches int     `json:"rips_and_notches"`
	SteelFt2       float64 `json:"steel_ft2" doc:"Flat strip that the pieces on this datum need"`
}

// DrawnPiece is a piece on its wall.
type DrawnPiece struct {
	ID        string `json:"id"`
	Wall      string `json:"wall"`
	OutlineIn []XY   `json:"outline_in"`
	HolesIn   [][]XY `json:"holes_in"`
}

// FriezeView is the frieze board on one wall.
type FriezeView struct {
	Wall       string `json:"wall"`
	OutlinesIn [][]XY `json:"outlines_in"`
}

// CoursesView is a zone on a wall with its courses: heights, or for vertical panels
// places across the wall.
type CoursesView struct {
	Zone       string     `json:"zone"`
	Wall       string     `json:"wall"`
	Panel      string     `json:"panel"`
	Texture    string     `json:"texture"`
	Colour     string     `json:"colour"`
	Vertical   bool       `json:"vertical"`
	Counted    bool       `json:"counted"`
	OriginIn   float64    `json:"origin_in"`
	CoverIn    float64    `json:"cover_in"`
	ExposureIn float64    `json:"exposure_in"`
	Laps       int        `json:"laps"`
	OutlinesIn [][]XY     `json:"outlines_in" doc:"What the zone takes of the wall"`
	HolesIn    [][]XY     `json:"holes_in"`
	Bands      []BandView `json:"bands"`
}

// BandView is one course.
type BandView struct {
	K      int     `json:"k"`
	LowIn  float64 `json:"low_in"`
	HighIn float64 `json:"high_in"`
}

// around is how far from a fixed datum heights are shown (common practice, no
// source: starter strips are moved by about an inch to save a sliver).
const around = measure.Inch

// schemeLayout lays a scheme out, once for each content.
func (s *Server) schemeLayout(ctx context.Context, w *worked, id string) (*SchemeLayout, error) {
	return s.schemeLayoutAfter(ctx, w, id, nil)
}

// schemeLayoutAfter is schemeLayout where the scheme's layout before an edit is at hand:
// what stayed is taken from it.
func (s *Server) schemeLayoutAfter(ctx context.Context, w *worked, id string, before *SchemeLayout) (*SchemeLayout, error) {
	return heavy(ctx, w, layoutKey(id), func() (*SchemeLayout, error) {
		n, err := w.job.Scheme(id)
		if err != nil {
			return nil, refuse(404, "The job has no scheme of that id.")
		}
		if before == nil {
			before = &SchemeLayout{}
		}
		l, err := w.job.LayoutAfter(id, false, before.laid)
		if err != nil {
			return nil, err
		}
		lines, borders, err := w.job.TrimAfter(id, l, before.borders)
		if err != nil {
			return nil, err
		}
		out := &SchemeLayout{LayoutAnswer: w.job.LayoutAnswerAfter(l, before.laid, before.LayoutAnswer), Warnings: warningsOf(&w.job, w.found, l), Trim: trimOf(&w.job, lines), laid: l, borders: borders}
		out.heights(&w.job, n, before)
		out.totals = trimOf(&w.job, trim.Totals(lines, &w.job.Book))
		out.Tally = tallyOf(&w.job, l, len(out.Warnings))
		out.draw(&w.job, n, before)
		return out, nil
	})
}

// layoutKey is what a scheme's layout is kept by on the desk.
func layoutKey(scheme string) string { return "layout " + scheme }

// warningsOf is what the layout found and what reading found, each once.
func warningsOf(j *job.Job, found problem.List, l *course.Layout) []Finding {
	out := slices.Clone(found)
	for _, p := range l.Problems {
		if !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return findings(j, out)
}

// strip turns a score's steel, counted in squares of a sixteenth of an inch, into
// square feet.
const strip = 1.0 / (16 * 16 * 144)

// heights shows the heights that were looked at. Where the scheme fixes its datum,
// heights near it are looked at for this.
func (out *SchemeLayout) heights(j *job.Job, n int, before *SchemeLayout) {
	c := out.laid.Datum
	v := HeightsView{AtIn: c.Datum.Inches(), At: c.Datum.Text(j.Units), Chosen: c.Chosen, Candidates: []CandidateView{}}
	low, high := j.Schemes[n].Datum.Low, j.Schemes[n].Datum.High
	if !c.Chosen {
		low, high = c.Datum-around, c.Datum+around
		near := before.free
		if near == nil {
			near = out.laid
		}
		var err error
		if out.free, err = j.HeightsWithin(out.laid.Scheme, scheme.Datum{Low: low, High: high}, near); err == nil {
			c = out.free.Datum
		}
	}
	v.RangeIn = [2]float64{low.Inches(), high.Inches()}
	v.BestIn, v.Best, v.PlainIn, v.WorstIn = c.Datum.Inches(), c.Datum.Text(j.Units), c.Plain.Inches(), c.WorstDatum.Inches()
	for _, h := range c.Heights {
		v.Candidates = append(v.Candidates, CandidateView{h.At.Inches(), h.At.Text(j.Units), h.Score.Slivers, h.Score.RipsAndNotches, float64(h.Score.Steel) * strip})
	}
	out.Heights = v
}

// draw fills in what is drawn on the walls.
func (out *SchemeLayout) draw(j *job.Job, n int, before *SchemeLayout) {
	l := out.laid
	out.Drawn, out.Friezes, out.Courses = make([]DrawnPiece, 0, len(l.Pieces)), []FriezeView{}, []CoursesView{}
	for w := range j.House.Walls {
		if l.Stayed(before.laid, w) {
			from, to := before.laid.PiecesOf(w)
			out.Drawn = append(out.Drawn, before.Drawn[from:to]...)
			continue
		}
		from, to := l.PiecesOf(w)
		for i := range l.Pieces[from:to] {
			p := &l.Pieces[from+i]
			on := p.OnWall()
			out.Drawn = append(out.Drawn, DrawnPiece{p.ID, j.House.Walls[w].ID, ringIn(on.Outer), ringsIn(on.Holes)})
		}
	}
	for _, f := range l.Friezes {
		outlines, _ := regionIn(f.Region)
		out.Friezes = append(out.Friezes, FriezeView{j.House.Walls[f.Wall].ID, outlines})
	}
	for _, z := range l.Zones {
		out.Courses = append(out.Courses, coursesView(j, j.Schemes[n].Zones[z.Zone], z))
	}
}

func coursesView(j *job.Job, zone scheme.Zone, z course.ZoneOnWall) CoursesView {
	panel, _ := j.Book.Panel(zone.Panel)
	v := CoursesView{
		Zone: zone.ID, Wall: j.House.Walls[z.Wall].ID, Panel: zone.Panel, Texture: zone.Texture, Colour: zone.Colour,
		Vertical: z.Vertical, Counted: z.Counted, OriginIn: z.Origin.Inches(), CoverIn: panel.Cover().Inches(),
		ExposureIn: panel.Exposure.Inches(), Laps: panel.Laps, Bands: []BandView{},
	}
	v.OutlinesIn, v.HolesIn = regionIn(z.Region)
	for _, b := range z.Bands {
		v.Bands = append(v.Bands, BandView{b.K, b.Low.Inches(), b.High.Inches()})
	}
	return v
}

func regionIn(r plane.Region) (outlines, holes [][]XY) {
	outlines, holes = [][]XY{}, [][]XY{}
	for _, p := range r {
		outlines = append(outlines, ringIn(p.Outer))
		holes = append(holes, ringsIn(p.Holes)...)
	}
	return outlines, holes
}

// TrimView is one quantity of trim on one wall, or of the whole house where wall is
// empty.
type TrimView struct {
	Kind     string  `json:"kind"`
	What     string  `json:"what"`
	Wall     string  `json:"wall"`
	LengthIn float64 `json:"length_in"`
	Length   string  `json:"length"`
	Count    int     `json:"count"`
	Pieces   int     `json:"pieces" doc:"Stock lengths or rolls"`
	AreaFt2  float64 `json:"area_ft2"`
	From     string  `json:"from"`
	Note     string  `json:"note"`
}

func trimOf(j *job.Job, lines []trim.Line) []TrimView {
	out := []TrimView{}
	for _, t := range lines {
		wall := ""
		if t.Wall >= 0 && t.Wall < len(j.House.Walls) {
			wall = j.House.Walls[t.Wall].ID
		}
		out = append(out, TrimView{
			Kind: string(t.Kind), What: t.What, Wall: wall, LengthIn: t.Length.Inches(), Length: t.Length.CeilTo(j.Book.StepIn(j.Units)).Text(j.Units),
			Count: t.Count, Pieces: t.Pieces, AreaFt2: t.Area.SquareFeet(), From: t.From, Note: t.Note,
		})
	}
	return out
}
