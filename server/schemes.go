package server

import (
	"context"
	"net/http"
	"slices"
	"strings"

	"coilwright/course"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/price"
	"coilwright/problem"
	"coilwright/scheme"
	"coilwright/steel"
	"coilwright/store"
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
			Kind: string(t.Kind), What: t.What, Wall: wall, LengthIn: t.Length.Inches(), Length: t.Length.CeilTo(step(&j.Book, j.Units)).Text(j.Units),
			Count: t.Count, Pieces: t.Pieces, AreaFt2: t.Area.SquareFeet(), From: t.From, Note: t.Note,
		})
	}
	return out
}

func step(b *steel.Book, u measure.Units) measure.Length {
	if b.Step > 0 {
		return b.Step
	}
	return u.Step()
}

type trimOut struct {
	Body struct {
		Walls  []TrimView `json:"walls"`
		Totals []TrimView `json:"totals"`
	}
}

func (s *Server) registerSchemes() {
	const tag, at = "schemes", "/api/jobs/{job}/schemes/{scheme}"
	lay := operation("GET", at+"/layout", "get-layout", tag, "A scheme laid out: every piece, and what to draw", 404)
	answers[SchemeLayout](s, &lay, "SchemeLayout")
	lay.Responses["304"] = notModified
	handle(s, lay, s.getLayout)
	run := operation("GET", at+"/run", "get-run", tag, "The machine's run: set-ups, coils, what to buy", 404)
	answers[RunView](s, &run, "RunView")
	run.Responses["304"] = notModified
	handle(s, run, s.getRun)
	compare := operation("GET", at+"/compare", "get-comparison", tag, "The scheme from coil beside box siding on the same walls", 404)
	answers[job.CompareAnswer](s, &compare, "CompareAnswer")
	compare.Responses["304"] = notModified
	handle(s, compare, s.getComparison)
	prices := operation("GET", "/api/jobs/{job}/price", "get-price", tag, "Quantities and price of every scheme", 404)
	answers[job.PriceAnswer](s, &prices, "PriceAnswer")
	prices.Responses["304"] = notModified
	handle(s, prices, s.getPrice)
	handle(s, operation("GET", at+"/trim", "get-trim", tag, "Trim, wall by wall and in all", 404), s.getTrim)
}

type SchemeIn struct {
	SchemePath
	IfNoneMatch string `header:"If-None-Match"`
}

// ofScheme answers with something worked out of a job that is sound.
func (s *Server) ofScheme(ctx context.Context, in *SchemeIn, key string, do func(*worked) (any, error)) (*kept, error) {
	j, done, err := s.worked(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	if same(in.IfNoneMatch, etag(j.Revision)) {
		return &kept{Status: 304, ETag: etag(j.Revision)}, nil
	}
	if err := done.sound(); err != nil {
		return nil, err
	}
	text, err := work(done, "text "+key+" "+in.Scheme, func() ([]byte, error) {
		v, err := do(done)
		if err != nil {
			return nil, err
		}
		return encoded(v)
	})
	out := keptJSON(text)
	out.ETag = etag(j.Revision)
	return out, err
}

func (s *Server) getLayout(ctx context.Context, in *SchemeIn) (*kept, error) {
	return s.ofScheme(ctx, in, "layout", func(w *worked) (any, error) { return s.schemeLayout(ctx, w, in.Scheme) })
}

// OnWordIn names who answers for cutting what is not fit to cut.
type OnWordIn struct {
	OnMyWord string `query:"on_my_word" maxLength:"200" doc:"Cut the pieces that are not fit to cut too; the name of who answers for that is recorded and printed"`
}

type runIn struct {
	SchemeIn
	OnWordIn
}

// getRun answers with the run and, before it, whether it is released: that may
// change while the job does not, so it stands in the tag too.
func (s *Server) getRun(ctx context.Context, in *runIn) (*kept, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	whole := *in
	whole.IfNoneMatch = ""
	by, err := s.spoken(ctx, w.Shop, in.Job, in.Scheme, in.OnMyWord)
	if err != nil {
		return nil, err
	}
	out, err := s.runText(ctx, &whole, by)
	if err != nil {
		return nil, err
	}
	v, _, err := s.releaseOf(ctx, w.Shop, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	text, err := encoded(v)
	if err != nil {
		return nil, err
	}
	if v.State != "unsigned" || by.digest != "" {
		out.ETag = strings.TrimSuffix(out.ETag, `"`) + "-" + store.Hash(append(text, by.digest...))[:12] + `"`
	}
	if same(in.IfNoneMatch, out.ETag) {
		return &kept{Status: http.StatusNotModified, ETag: out.ETag}, nil
	}
	out.Body = slices.Concat([]byte(`{"release":`), text, []byte(","), out.Body[1:])
	return out, nil
}

func (s *Server) runText(ctx context.Context, in *runIn, by spoken) (*kept, error) {
	return s.ofScheme(ctx, &in.SchemeIn, "run of "+by.digest+" of", func(w *worked) (any, error) {
		if _, err := w.job.Scheme(in.Scheme); err != nil {
			return nil, refuse(404, "The job has no scheme of that id.")
		}
		r, err := s.run(ctx, w, in.Scheme, by)
		if err != nil {
			return nil, err
		}
		slitting, err := s.slitting(ctx, w, in.Scheme, r)
		if err != nil {
			return nil, err
		}
		return w.job.RunAnswer(r, slitting), nil
	})
}

func (s *Server) getComparison(ctx context.Context, in *SchemeIn) (*kept, error) {
	return s.ofScheme(ctx, in, "compare", func(w *worked) (any, error) {
		if _, err := w.job.Scheme(in.Scheme); err != nil {
			return nil, refuse(404, "The job has no scheme of that id.")
		}
		return slow(ctx, w, "comparison "+in.Scheme, func() (job.CompareAnswer, error) {
			c, _, err := w.job.Compare(in.Scheme)
			if err != nil {
				return job.CompareAnswer{}, err
			}
			return w.job.CompareAnswer(c, false), nil
		})
	})
}

type jobIn struct {
	JobPath
	IfNoneMatch string `header:"If-None-Match"`
}

func (s *Server) getPrice(ctx context.Context, in *jobIn) (*kept, error) {
	whole := &SchemeIn{SchemePath: SchemePath{JobPath: in.JobPath}, IfNoneMatch: in.IfNoneMatch}
	return s.ofScheme(ctx, whole, "price", func(w *worked) (any, error) {
		return slow(ctx, w, "price", func() (job.PriceAnswer, error) { return priceOf(&w.job) })
	})
}

// priceOf prices every scheme of a job.
func priceOf(j *job.Job) (job.PriceAnswer, error) {
	var all []price.Estimate
	for _, sc := range j.Schemes {
		e, err := j.Price(sc.ID)
		if err != nil {
			return job.PriceAnswer{}, err
		}
		all = append(all, e)
	}
	return j.PriceAnswer(all)
}

// run plans the machine's run, once for each content.
func (s *Server) run(ctx context.Context, w *worked, id string, by spoken) (*job.RunResult, error) {
	return slow(ctx, w, "run "+id+" "+by.digest, func() (*job.RunResult, error) { return w.job.RunOnWords(id, by.words) })
}

// slitting plans the flat coil that a run's trim is bent from, once for each content.
func (s *Server) slitting(ctx context.Context, w *worked, id string, r *job.RunResult) ([]trim.Slitting, error) {
	return slow(ctx, w, "slitting "+id, func() ([]trim.Slitting, error) { return w.job.Slit(r.Layout) })
}

func (s *Server) getTrim(ctx context.Context, in *SchemePath) (*trimOut, error) {
	_, done, err := s.worked(ctx, in.Job)
	if err == nil {
		err = done.sound()
	}
	if err != nil {
		return nil, err
	}
	l, err := s.schemeLayout(ctx, done, in.Scheme)
	if err != nil {
		return nil, err
	}
	out := &trimOut{}
	out.Body.Walls, out.Body.Totals = l.Trim, l.totals
	return out, nil
}
