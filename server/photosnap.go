package server

import (
	"context"

	"coilwright/photo"
)

// SnapPlace is a place that a person marked, and where it is a corner the places
// that its two edges lead to.
type SnapPlace struct {
	At     XY   `json:"at" doc:"Pixels, upright"`
	Toward []XY `json:"toward,omitempty" nullable:"false" maxItems:"2" doc:"The next corners on both sides, where they are marked"`
}

type snapIn struct {
	PhotoPath
	Body struct {
		Places []SnapPlace `json:"places" nullable:"false" maxItems:"40"`
		Reach  float64     `json:"reach" minimum:"1" maximum:"40" doc:"Pixels"`
	}
}

// SnappedView is a place after it was moved on to what the picture shows.
type SnappedView struct {
	At  XY     `json:"at"`
	How string `json:"how" enum:"corner,edge,nowhere"`
}

type snapOut struct {
	Body struct {
		Places []SnappedView `json:"places"`
	}
}

// ProposalsView is what a photo seems to show: nothing of it counts before a person
// takes it over.
type ProposalsView struct {
	Upright LinesView    `json:"upright"`
	Level   []LinesView  `json:"level"`
	Windows []WindowView `json:"windows" doc:"Likely windows and doors, the likeliest first"`
}

// LinesView is edges that are parallel on the house.
type LinesView struct {
	MeetPx *XY     `json:"meet_px,omitempty" doc:"Where they meet in the picture; left out where they run parallel there"`
	Lines  [][2]XY `json:"lines"`
}

// WindowView is a likely window.
type WindowView struct {
	Corners [4]XY   `json:"corners" doc:"From the lower left, counter-clockwise"`
	Score   float64 `json:"score"`
}

func (s *Server) registerPhotoSnap() {
	const tag, at = "photos", "/api/jobs/{job}/photos/{photo}"
	handle(s, operation("POST", at+"/snap", "snap-marks", tag, "Move marks on to the edges and corners that the photo shows", 404), s.snap)
	handle(s, operation("GET", at+"/proposals", "get-proposals", tag, "Lines that meet, and likely windows", 404), s.proposals)
}

func (s *Server) snap(ctx context.Context, in *snapIn) (*snapOut, error) {
	p, err := s.shot(ctx, in.Job, in.Photo)
	if err != nil {
		return nil, err
	}
	whole, err := p.picture(ctx)
	if err != nil {
		return nil, unusable(err)
	}
	out := &snapOut{}
	out.Body.Places = []SnappedView{}
	for _, place := range in.Body.Places {
		out.Body.Places = append(out.Body.Places, snapped(whole, place, in.Body.Reach))
	}
	return out, nil
}

// snapped moves one place; what lies outside the picture stays.
func snapped(whole photo.Picture, place SnapPlace, reach float64) SnappedView {
	at := pixel(place.At)
	size := whole.Image.Rect.Size()
	if !(at.U >= 0 && at.V >= 0 && at.U <= float64(size.X) && at.V <= float64(size.Y)) {
		return SnappedView{place.At, string(photo.SnappedNowhere)}
	}
	if len(place.Toward) == 2 && near(place, size.X+size.Y) {
		if p, ok := photo.SnapCorner(whole.Image, at, pixel(place.Toward[0]), pixel(place.Toward[1]), reach); ok {
			return SnappedView{XY{p.U, p.V}, string(photo.SnappedToCorner)}
		}
	}
	p, how := photo.Snap(whole.Image, at, reach)
	return SnappedView{XY{p.U, p.V}, string(how)}
}

// near says that the next corners lie where a mark may lie at all.
func near(place SnapPlace, size int) bool {
	for _, t := range place.Toward {
		for _, v := range t {
			if !(v > -3*float64(size) && v < 3*float64(size)) {
				return false
			}
		}
	}
	return true
}

func pixel(at XY) photo.Pixel { return photo.Pixel{U: at[0], V: at[1]} }

type proposalsOut struct{ Body *ProposalsView }

func (s *Server) proposals(ctx context.Context, in *PhotoPath) (*proposalsOut, error) {
	p, err := s.shot(ctx, in.Job, in.Photo)
	if err != nil {
		return nil, err
	}
	v, err := s.photos.proposed.get(p.file.Hash, func() (*ProposalsView, error) {
		whole, err := p.picture(ctx)
		if err != nil {
			return nil, err
		}
		release, err := turn(context.WithoutCancel(ctx), s.desk.slow)
		if err != nil {
			return nil, err
		}
		defer release()
		return proposalsOf(whole), nil
	})
	return &proposalsOut{v}, unusable(err)
}

// proposalSide is the width in pixels that windows are looked for at: finer detail
// is siding.
const proposalWidth = 2000

func proposalsOf(whole photo.Picture) *ProposalsView {
	small := whole.Smaller(proposalWidth)
	size := small.Image.Rect.Size()
	by := float64(whole.Image.Rect.Dx()) / float64(size.X)
	lens := photo.LensOf(size.X, size.Y, small.Meta.Focal)
	segments := photo.Segments(small.Image)
	upright, level := photo.VanishingLines(segments, lens)
	v := &ProposalsView{Upright: linesOf(upright, segments, lens, by), Level: []LinesView{}, Windows: []WindowView{}}
	for _, l := range level {
		v.Level = append(v.Level, linesOf(l, segments, lens, by))
	}
	for _, w := range photo.Windows(small.Image) {
		one := WindowView{Score: w.Score}
		for k, c := range w.Corners {
			one.Corners[k] = XY{by * c.U, by * c.V}
		}
		v.Windows = append(v.Windows, one)
	}
	return v
}

// mostLines is how many of a group's longest lines are shown.
const mostLines = 40

func linesOf(v photo.Vanishing, segments []photo.Segment, lens photo.Lens, by float64) LinesView {
	out := LinesView{Lines: [][2]XY{}}
	if at, ok := v.Point(lens); ok && len(v.Segments) > 0 {
		out.MeetPx = &XY{by * at.U, by * at.V}
	}
	for _, i := range v.Segments[:min(len(v.Segments), mostLines)] {
		s := segments[i]
		out.Lines = append(out.Lines, [2]XY{{by * s.A.U, by * s.A.V}, {by * s.B.U, by * s.B.V}})
	}
	return out
}
