package server

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"coilwright/house"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/photo"
	"coilwright/store"
)

// PhotoMarks names a photo of the job and, where they are not those that the job
// holds, its marks.
type PhotoMarks struct {
	Photo string          `json:"photo" maxLength:"200"`
	Marks json.RawMessage `json:"marks,omitempty" doc:"As in a file coilwright/marks@1; left out: those that the job holds"`
}

type measureIn struct {
	JobPath
	Body struct {
		Photos []PhotoMarks `json:"photos,omitempty" nullable:"false" maxItems:"50" doc:"Left out: every photo of the job that is marked"`
	}
}

// PhotoMeasureView is what marks on a job's photos say. Where they do not say enough
// there are no sizes, and lacking says what is missing.
type PhotoMeasureView struct {
	job.MeasureAnswer
	Sizes     []SizeView     `json:"sizes"`
	Residuals []ResidualView `json:"residuals" doc:"How far off each mark is"`
	Doubts    []DoubtView    `json:"doubts" doc:"Marks and lengths that do not fit the rest"`
	Lacking   []LackingView  `json:"lacking" doc:"Why a photo gives no sizes yet"`
	Taken     []TakenView    `json:"taken" doc:"Edges taken as level or plumb because they look so"`
	Widened   float64        `json:"widened" doc:"By what the plus-minus were multiplied because the marks fit badly; 1 where they fit"`
	Next      *NextView      `json:"next,omitempty" doc:"The one further tape number that would help most"`
	Unchecked *UncheckedView `json:"unchecked,omitempty" doc:"The tape number that the others check least, where an inch misread would pass unseen"`
}

// SizeView is one size and the two marked corners that it runs between.
type SizeView struct {
	Wall        string  `json:"wall"`
	Opening     string  `json:"opening,omitempty"`
	What        string  `json:"what" enum:"edge,width,height,left,sill"`
	Edge        int     `json:"edge" doc:"Of the wall, from 0; -1 for an opening's"`
	Words       string  `json:"words" doc:"What it is, in the trade's words"`
	Corners     [2]int  `json:"corners" doc:"Of the outline or the opening, from 0; equal where the size does not run between two of them"`
	Length      string  `json:"length"`
	LengthIn    float64 `json:"length_in"`
	PlusMinus   string  `json:"plus_minus" doc:"95 %"`
	PlusMinusIn float64 `json:"plus_minus_in"`
}

// ResidualView is where a mark lies less where the others put it.
type ResidualView struct {
	Photo string  `json:"photo"`
	Point string  `json:"point"`
	OffPx XY      `json:"off_px"`
	Ratio float64 `json:"ratio" doc:"Over its own standard deviation"`
	Large bool    `json:"large" doc:"Beyond what chance does once in a thousand times"`
}

// DoubtView is a mark or length that does not fit.
type DoubtView struct {
	Photo string `json:"photo"`
	Where string `json:"where"`
	What  string `json:"what"`
	Mend  string `json:"mend"`
}

// LackingView says what is missing in a photo's marks.
type LackingView = DoubtView

// TakenView is an edge that is taken as level, or as plumb.
type TakenView struct {
	Wall  string `json:"wall"`
	Edge  int    `json:"edge"`
	Plumb bool   `json:"plumb"`
}

// NextView is a tape number that would help, and how to take it safely.
type NextView struct {
	Size   int    `json:"size" doc:"Its place in sizes, -1 where it is none of them"`
	What   string `json:"what"`
	Advice string `json:"advice"`
}

// largeRatio is Baarda's usual bound (1968): once in a thousand marks that are good.
const largeRatio = 3.29

func (s *Server) registerPhotoMeasure() {
	const tag, at = "photos", "/api/jobs/{job}/photos"
	handle(s, operation("POST", at+"/measure", "measure-photos", tag, "Sizes with their plus-minus from marks on photos, or what is missing for them", 404), s.measurePhotos)
}

type measureOut struct{ Body *PhotoMeasureView }

func (s *Server) measurePhotos(ctx context.Context, in *measureIn) (*measureOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	_, done, err := s.worked(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	marked, v, err := s.marksOf(ctx, w, in.Job, &done.job, in.Body.Photos)
	if err != nil {
		return nil, err
	}
	solved, lacking, err := s.solvePhotos(ctx, marked)
	if err != nil {
		return nil, err
	}
	for _, l := range lacking {
		v.Lacking = append(v.Lacking, DoubtView{l.Photo, l.Where, l.What, l.Mend})
	}
	for _, one := range solved {
		v.add(one, done.job.Units)
	}
	return &measureOut{v}, nil
}

// marksOf reads the marks that are asked for, or all that the job holds. What is
// wrong with them is lacking in the answer, which begins here.
func (s *Server) marksOf(ctx context.Context, w store.Who, id string, j *job.Job, asked []PhotoMarks) ([]job.MarkedPhoto, *PhotoMeasureView, error) {
	v := &PhotoMeasureView{Widened: 1, Sizes: []SizeView{}, Residuals: []ResidualView{}, Doubts: []DoubtView{}, Lacking: []LackingView{}, Taken: []TakenView{}}
	v.Walls, v.Cautions = []job.MeasuredWall{}, []job.CautionAnswer{}
	if asked == nil {
		for _, p := range j.Photos {
			asked = append(asked, PhotoMarks{Photo: p.ID})
		}
	}
	var out []job.MarkedPhoto
	for _, a := range asked {
		at := slices.IndexFunc(j.Photos, func(p job.Photo) bool { return p.ID == a.Photo })
		if at < 0 {
			return nil, nil, refuse(404, fmt.Sprintf("The job has no photo %.40q.", a.Photo))
		}
		entry := j.Photos[at]
		if a.Marks != nil {
			raw, err := json.Marshal(map[string]json.RawMessage{"marks": a.Marks})
			if err != nil {
				return nil, nil, err
			}
			entry.Raw = raw
		}
		marks, found := entry.Marks(s.open(ctx, w.Shop, id))
		for _, p := range found {
			if p.Severity == "error" {
				v.Lacking = append(v.Lacking, LackingView{entry.ID, p.Where, p.What, p.Mend})
			} else {
				v.Cautions = append(v.Cautions, job.CautionAnswer{Where: p.Where, Text: p.What + "; " + p.Mend})
			}
		}
		if !found.Fatal() && (len(marks.Walls) > 0 || a.Marks != nil) {
			out = append(out, job.MarkedPhoto{ID: entry.ID, Marks: marks})
		}
	}
	return out, v, job.Few(out)
}

// add puts what one group of photos says into the answer.
func (v *PhotoMeasureView) add(one job.Solved, u measure.Units) {
	answer := job.MeasuredOf(u, one.Solution, len(one.Photos))
	if len(v.Walls) == 0 {
		v.FocalPx, v.K1, v.K2, v.MeasureAnswer.Next = answer.FocalPx, answer.K1, answer.K2, answer.Next
	}
	v.ResidualPx = math.Max(v.ResidualPx, answer.ResidualPx)
	v.Widened = math.Max(v.Widened, one.Solution.Factor)
	v.Cautions = append(v.Cautions, answer.Cautions...)
	for i, w := range one.Solution.Walls {
		v.Walls = append(v.Walls, answer.Walls[i])
		v.Sizes = append(v.Sizes, sizesOf(w, u)...)
	}
	for _, r := range one.Solution.Residuals {
		v.Residuals = append(v.Residuals, ResidualView{one.Photos[r.Photo].ID, r.Point, XY{r.Off.U, r.Off.V}, r.Standardised, r.Standardised > largeRatio})
	}
	for _, d := range one.Solution.Doubts {
		v.Doubts = append(v.Doubts, DoubtView{one.Photos[d.Photo].ID, d.Where, d.Text, d.Mend})
	}
	for _, t := range one.Solution.Taken {
		v.Taken = append(v.Taken, TakenView(t))
	}
	if v.Next == nil && one.Solution.Next != "" {
		v.Next = v.next(one.Solution.Next)
	}
	if v.Unchecked == nil {
		v.Unchecked = v.unchecked(one, u)
	}
}

// next finds the size that a hint names.
func (v *PhotoMeasureView) next(hint string) *NextView {
	n := &NextView{-1, hint, "Measure from the ground where possible; keep tape, ladder and yourself clear of power lines; local safety rules win."}
	for i, z := range v.Sizes {
		if hint == fmt.Sprintf("the %s of %s on wall %s", z.What, z.Opening, z.Wall) || z.Opening == "" && hint == fmt.Sprintf("edge %d of wall %s", z.Edge, z.Wall) {
			n.Size = i
		}
	}
	return n
}

// sizesOf lists a wall's sizes: its edges, then each opening's.
func sizesOf(w photo.Wall, u measure.Units) []SizeView {
	var out []SizeView
	put := func(z SizeView, size photo.Size) {
		z.Wall = w.ID
		z.Length, z.PlusMinus = job.PlusMinusText(size, u)
		z.LengthIn, z.PlusMinusIn = size.Value, size.PlusMinus()
		out = append(out, z)
	}
	words := edgeWords(w)
	for k, side := range w.Sides {
		put(SizeView{What: "edge", Edge: k, Words: words[k], Corners: [2]int{k, (k + 1) % len(w.Sides)}}, side)
	}
	for _, o := range w.Openings {
		put(SizeView{Opening: o.ID, What: "width", Edge: -1, Words: "width", Corners: [2]int{0, 1}}, o.W)
		put(SizeView{Opening: o.ID, What: "height", Edge: -1, Words: "height", Corners: [2]int{1, 2}}, o.H)
		put(SizeView{Opening: o.ID, What: "left", Edge: -1, Words: "from the left"}, o.X)
		put(SizeView{Opening: o.ID, What: "sill", Edge: -1, Words: "sill"}, o.Y)
	}
	return out
}

// edgeWords names a wall's edges as a person points at them.
func edgeWords(w photo.Wall) []string {
	out := []string{}
	for k, kind := range job.EdgeWords(w) {
		a, b := w.Corners[k], w.Corners[(k+1)%len(w.Corners)]
		word := string(kind)
		switch {
		case kind == house.OutsideCorner && b[1].Value > a[1].Value:
			word = "right end"
		case kind == house.OutsideCorner:
			word = "left end"
		case kind == house.Rake && b[1].Value > a[1].Value:
			word = "right rake"
		case kind == house.Rake:
			word = "left rake"
		}
		out = append(out, word)
	}
	return out
}

// solvePhotos solves marked photos in their turn at the processor.
func (s *Server) solvePhotos(ctx context.Context, marked []job.MarkedPhoto) ([]job.Solved, []job.Lacking, error) {
	release, err := turn(ctx, s.desk.turns)
	if err != nil {
		return nil, nil, err
	}
	defer release()
	solved, lacking := job.SolvePhotos(marked)
	return solved, lacking, nil
}
