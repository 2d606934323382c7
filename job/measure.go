package job

import (
	"fmt"
	"math"
	"strings"

	"coilwright/measure"
	"coilwright/photo"
	"coilwright/problem"
)

// MeasureAnswer is `measure --json`.
type MeasureAnswer struct {
	Walls      []MeasuredWall  `json:"walls"`
	ResidualPx float64         `json:"residual_px"`
	FocalPx    float64         `json:"focal_px"`
	K1         float64         `json:"k1"`
	K2         float64         `json:"k2"`
	Next       string          `json:"next_tape,omitempty"`
	Cautions   []CautionAnswer `json:"cautions"`
}

// CautionAnswer is something to mind, with its place.
type CautionAnswer struct {
	Where string `json:"where"`
	Text  string `json:"text"`
}

// MeasuredWall is a wall in its own coordinates; sigmas are one standard
// deviation, plus-minus 95 %.
type MeasuredWall struct {
	ID           string            `json:"id"`
	Corners      []XY              `json:"corners_in"`
	CornersSigma []XY              `json:"corners_sigma_in"`
	Sides        []MeasuredSize    `json:"sides"`
	Openings     []MeasuredOpening `json:"openings"`
}

// MeasuredSize is one length: side i of a wall runs from corner i to the next.
type MeasuredSize struct {
	LengthIn    float64 `json:"length_in"`
	Length      string  `json:"length"`
	SigmaIn     float64 `json:"sigma_in"`
	PlusMinusIn float64 `json:"plus_minus_in"`
	PlusMinus   string  `json:"plus_minus"`
}

// MeasuredOpening is an opening's lower left corner and size.
type MeasuredOpening struct {
	ID      string  `json:"id"`
	Kind    string  `json:"kind"`
	X       float64 `json:"x_in"`
	Y       float64 `json:"y_in"`
	W       float64 `json:"w_in"`
	H       float64 `json:"h_in"`
	Sigma   Sigmas  `json:"sigma_in"`
	Corners []XY    `json:"corners_in"`
}

// Sigmas are an opening's standard deviations.
type Sigmas struct {
	X float64 `json:"x_in"`
	Y float64 `json:"y_in"`
	W float64 `json:"w_in"`
	H float64 `json:"h_in"`
}

// Measure works sizes out of marks on one photo, or on several of one house.
// Where it asks for a tape number it says how to take one safely. The lens is the
// first photo's.
func Measure(u measure.Units, marks ...photo.Marks) (MeasureAnswer, error) {
	s, err := photo.Solve(marks...)
	if err != nil {
		return MeasureAnswer{}, &problem.Failure{Problems: problem.List{marksProblem(err, len(marks))}}
	}
	return MeasuredOf(u, s, len(marks)), nil
}

// MeasuredOf writes a solution of so many photos as `measure` does.
func MeasuredOf(u measure.Units, s photo.Solution, photos int) MeasureAnswer {
	lens := s.Cameras[0].Lens
	out := MeasureAnswer{ResidualPx: s.ResidualPx, FocalPx: lens.Focal, K1: lens.K1, K2: lens.K2, Next: s.Next, Walls: []MeasuredWall{}}
	for _, w := range s.Walls {
		out.Walls = append(out.Walls, measuredWall(w, u))
	}
	out.Cautions = cautions(s, photos)
	return out
}

func measuredWall(w photo.Wall, u measure.Units) MeasuredWall {
	out := MeasuredWall{ID: w.ID, Openings: []MeasuredOpening{}}
	for _, c := range w.Corners {
		out.Corners = append(out.Corners, XY{inches(c[0].Value), inches(c[1].Value)})
		out.CornersSigma = append(out.CornersSigma, XY{c[0].Sigma, c[1].Sigma})
	}
	for _, s := range w.Sides {
		out.Sides = append(out.Sides, measuredSize(s, u))
	}
	for _, o := range w.Openings {
		p := MeasuredOpening{ID: o.ID, Kind: o.Kind, X: inches(o.X.Value), Y: inches(o.Y.Value), W: inches(o.W.Value), H: inches(o.H.Value),
			Sigma: Sigmas{o.X.Sigma, o.Y.Sigma, o.W.Sigma, o.H.Sigma}}
		for _, c := range o.Corners {
			p.Corners = append(p.Corners, XY{inches(c[0].Value), inches(c[1].Value)})
		}
		out.Openings = append(out.Openings, p)
	}
	return out
}

// inches rounds to the nanometre, the program's own resolution.
func inches(in float64) float64 { return measure.FromInches(in).Inches() }

func measuredSize(s photo.Size, u measure.Units) MeasuredSize {
	text, plusMinus := PlusMinusText(s, u)
	return MeasuredSize{inches(s.Value), text, s.Sigma, s.PlusMinus(), plusMinus}
}

// PlusMinusText gives a size and its 95 % half-width for a person: the size no
// finer than is known of it, the half-width rounded up.
func PlusMinusText(s photo.Size, u measure.Units) (size, plusMinus string) {
	step := stepOf(s, u)
	value := measure.FromInches(s.Value)
	return value.Near(u, step), measure.FromInches(math.Max(0, s.PlusMinus())).CeilTo(step).Text(u)
}

// stepOf is the finest length worth writing of a size: its plus-minus is at most
// four of it, and it is at most an inch.
func stepOf(s photo.Size, u measure.Units) measure.Length {
	step := u.Step()
	for measure.Length(4)*step < measure.FromInches(s.PlusMinus()) && step < measure.Inch {
		step *= 2
	}
	return step
}

// cautions are what the marks leave to mind.
func cautions(s photo.Solution, photos int) []CautionAnswer {
	out := []CautionAnswer{{"walls", "sizes from a photo are good enough to price, never to cut: tape every size before steel is formed"}}
	for _, d := range s.Doubts {
		out = append(out, CautionAnswer{inPhoto(d.Photo, photos) + d.Where, d.Text + "; " + d.Mend})
	}
	if s.Factor > 1 {
		out = append(out, CautionAnswer{"points", fmt.Sprintf("the marks fit one another worse than careful marks do: every plus-minus was widened %.1f times", s.Factor)})
	}
	for _, w := range s.Walls {
		if text := takenText(s.Taken, w.ID); text != "" {
			out = append(out, CautionAnswer{"walls." + w.ID, text + ` because they look so; say "free": true on the wall if they are not`})
		}
	}
	if s.Next != "" {
		out = append(out, CautionAnswer{"lengths", "one more tape number would help most: " + s.Next +
			". Measure from the ground where possible; keep tape, ladder and yourself clear of power lines; local safety rules win"})
	}
	return out
}

// takenText says which of a wall's edges are taken as level or plumb.
func takenText(taken []photo.Taken, wall string) string {
	var level, plumb []string
	for _, t := range taken {
		switch {
		case t.Wall != wall:
		case t.Plumb:
			plumb = append(plumb, fmt.Sprint("edge ", t.Edge))
		default:
			level = append(level, fmt.Sprint("edge ", t.Edge))
		}
	}
	var parts []string
	if len(level) > 0 {
		parts = append(parts, strings.Join(level, ", ")+" taken as level")
	}
	if len(plumb) > 0 {
		parts = append(parts, strings.Join(plumb, ", ")+" taken as plumb")
	}
	return strings.Join(parts, "; ")
}

// inPhoto begins the place of a finding where there are several photos.
func inPhoto(photo, photos int) string {
	if photos < 2 {
		return ""
	}
	return fmt.Sprintf("photos[%d].marks.", photo)
}
