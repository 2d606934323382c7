package server

import (
	"context"
	"encoding/json"

	"coilwright/change"
	"coilwright/job"
	"coilwright/problem"
)

// TapeView is what is left to measure, what was misread, and what all readings
// together give.
type TapeView struct {
	Pieces   int                  `json:"pieces" doc:"Of the schemes looked at"`
	Waiting  int                  `json:"waiting" doc:"Not fit to cut yet"`
	Readings []job.TapeReading    `json:"readings" doc:"In walking order"`
	Next     *job.TapeNext        `json:"next,omitempty" doc:"The one reading that would do most for the cut list"`
	Misread  []job.MisreadAnswer  `json:"misread" doc:"Numbers that the others do not bear out"`
	Adjusted []job.AdjustedAnswer `json:"adjusted" doc:"Numbers that all readings together give better"`
	Patch    change.Patch         `json:"patch" doc:"Takes the adjusted numbers over, to be sent as a change of the job"`
	Cautions []job.CautionAnswer  `json:"cautions"`
	By       string               `json:"by" doc:"How a number is fit to cut: read by this"`
	Within   string               `json:"within" doc:"and this good, or better"`
	Over     string               `json:"over"`
	Problems []Finding            `json:"problems" doc:"Of the photos that were weighed in"`
}

type tapeIn struct {
	JobPath
	Scheme      string `query:"scheme" maxLength:"200" doc:"Look at one scheme only; without it, at all"`
	IfNoneMatch string `header:"If-None-Match"`
}

func (s *Server) registerTape() {
	op := operation("GET", "/api/jobs/{job}/tape", "get-tape", "measuring", "What to measure on the next visit, misread numbers, adjusted sizes", 404)
	answers[TapeView](s, &op, "TapeView")
	op.Responses["304"] = notModified
	handle(s, op, s.getTape)
}

func (s *Server) getTape(ctx context.Context, in *tapeIn) (*kept, error) {
	at := &SchemeIn{SchemePath: SchemePath{JobPath: in.JobPath, Scheme: in.Scheme}, IfNoneMatch: in.IfNoneMatch}
	return s.ofScheme(ctx, at, "tape", func(w *worked) (any, error) {
		var schemes []string
		if in.Scheme != "" {
			if _, err := w.job.Scheme(in.Scheme); err != nil {
				return nil, refuse(404, "The job has no scheme of that id.")
			}
			schemes = append(schemes, in.Scheme)
		}
		j, found, err := s.withPhotos(ctx, w, in.Job)
		if err != nil {
			return nil, err
		}
		a, err := slow(ctx, w, "tape "+in.Scheme, func() (job.TapeAnswer, error) { return j.Tape(schemes...) })
		if err != nil {
			return nil, err
		}
		return tapeView(j, a, found)
	})
}

// withPhotos is a job with the marks on its photos solved, and what was found wrong with
// them.
func (s *Server) withPhotos(ctx context.Context, w *worked, id string) (*job.Job, problem.List, error) {
	type looked struct {
		job   job.Job
		found problem.List
	}
	out, err := slow(ctx, w, "seen", func() (looked, error) {
		who, err := who(ctx)
		if err != nil {
			return looked{}, err
		}
		l := looked{job: w.job}
		l.found = l.job.See(s.open(context.WithoutCancel(ctx), who.Shop, id))
		return l, nil
	})
	return &out.job, out.found, err
}

func tapeView(j *job.Job, a job.TapeAnswer, found problem.List) (TapeView, error) {
	f := j.Book.FitToCut
	out := TapeView{
		Pieces: a.Pieces, Waiting: a.Waiting, Readings: a.Readings, Next: a.Next, Misread: a.Misread, Adjusted: a.Adjusted, Cautions: a.Cautions,
		By: f.By, Within: f.PlusMinus.Text(j.Units), Over: f.Over, Problems: findings(j, found), Patch: change.Patch{},
	}
	for _, op := range a.Patch {
		value, err := json.Marshal(op.Value)
		if err != nil {
			return TapeView{}, err
		}
		out.Patch = append(out.Patch, change.Op{Op: op.Op, Path: op.Path, Value: value})
	}
	return out, nil
}
