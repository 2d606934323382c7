package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"time"

	"coilwright/job"
	"coilwright/price"
	"coilwright/store"
)

// FinishedView is what a finished job took beside what was planned.
type FinishedView struct {
	Scheme string     `json:"scheme"`
	Works  []WorkView `json:"works"`
	At     *time.Time `json:"at,omitempty" doc:"Missing until the true hours are written down"`
	By     string     `json:"by"`
}

// WorkView is one work of a job, in hours of all people together.
type WorkView struct {
	Work    string `json:"work"`
	Planned string `json:"planned"`
	Took    string `json:"took" doc:"Empty: not written down"`
}

// LearnedRate is a rate as finished jobs have it.
type LearnedRate struct {
	Name      string `json:"name"`
	What      string `json:"what"`
	Unit      string `json:"unit"`
	Now       string `json:"now" doc:"As the newest book has it; empty: not"`
	Offered   string `json:"offered"`
	PlusMinus string `json:"plus_minus" doc:"Half of the 95 % interval; empty where one job alone speaks"`
	Jobs      int    `json:"jobs"`
}

// finishedBody is what is kept of a finished job: hours planned and true by work, the
// planned ones by the rate that planned them too, and what those rates were.
type finishedBody struct {
	Scheme  string             `json:"scheme"`
	Planned map[string]float64 `json:"planned"`
	Took    map[string]float64 `json:"took"`
	Parts   []price.Part       `json:"parts"`
	Rates   map[string]float64 `json:"rates"`
}

type finishedOut struct{ Body FinishedView }

type finishedIn struct {
	JobPath
	Body struct {
		Scheme string `json:"scheme,omitempty" maxLength:"200" doc:"Of a job that nobody signed"`
		Works  []struct {
			Work string `json:"work" maxLength:"80"`
			Took string `json:"took" maxLength:"20" doc:"Hours of all people together; empty: not known"`
		} `json:"works" nullable:"false" maxItems:"20"`
	}
}

type learnedOut struct {
	Body struct {
		Rates []LearnedRate `json:"rates"`
	}
}

func (s *Server) registerFinished() {
	const tag, at = "finished", "/api/jobs/{job}/finished"
	handle(s, operation("GET", at, "get-finished", tag, "What a job's works were planned to take, and took", 404), s.getFinished)
	handle(s, operation("PUT", at, "put-finished", tag, "Write down the true hours of a finished job", 404, 409), s.putFinished)
	handle(s, operation("GET", "/api/shop-book/learned", "get-learned", tag, "Rates as the finished jobs have them, to be taken over into the book or not"), s.getLearned)
}

// planOf is what a job was priced with: what was signed, or else the job as it is.
func (s *Server) planOf(ctx context.Context, w store.Who, id, scheme string) (*job.Job, price.Estimate, error) {
	o, x, frozen, err := s.agreed(ctx, w, id)
	var none *Refusal
	switch {
	case err == nil && o.ID != "":
		scheme = x.Scheme
	case errors.As(err, &none):
		if _, frozen, err = s.worked(ctx, id); err == nil {
			err = frozen.sound()
		}
	}
	if err != nil {
		return nil, price.Estimate{}, err
	}
	if scheme == "" {
		scheme = frozen.job.Schemes[0].ID
	}
	if _, err := frozen.job.Scheme(scheme); err != nil {
		return nil, price.Estimate{}, refuse(http.StatusNotFound, "The job has no scheme of that id.")
	}
	e, err := slow(ctx, frozen, "estimate "+scheme, func() (price.Estimate, error) { return frozen.job.Price(scheme) })
	return &frozen.job, e, err
}

func (s *Server) getFinished(ctx context.Context, in *JobPath) (*finishedOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	f, err := s.store.FinishedJob(ctx, w.Shop, in.Job)
	if errors.Is(err, store.ErrNotFound) {
		_, e, err := s.planOf(ctx, w, in.Job, "")
		if err != nil {
			return nil, err
		}
		v := FinishedView{Scheme: e.Scheme, Works: []WorkView{}}
		for _, work := range price.Works {
			v.Works = append(v.Works, WorkView{work, hoursText(e.HoursOf(work)), ""})
		}
		return &finishedOut{v}, nil
	}
	if err != nil {
		return nil, err
	}
	return finishedView(f)
}

func finishedView(f store.Finished) (*finishedOut, error) {
	var b finishedBody
	if err := json.Unmarshal([]byte(f.Body), &b); err != nil {
		return nil, err
	}
	v := FinishedView{Scheme: b.Scheme, Works: []WorkView{}, At: &f.At, By: f.By}
	for _, work := range price.Works {
		line := WorkView{Work: work, Planned: hoursText(b.Planned[work])}
		if took, ok := b.Took[work]; ok {
			line.Took = hoursText(took)
		}
		v.Works = append(v.Works, line)
	}
	return &finishedOut{v}, nil
}

// mostHours that a work of one house may have taken (assumed: a slip beyond).
const mostHours = 10_000

// putFinished takes the true hours; only a job at its last stage has them.
func (s *Server) putFinished(ctx context.Context, in *finishedIn) (*finishedOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	head, err := s.store.Head(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	if head.Stage != "done" {
		return nil, refuse(http.StatusConflict, "The job is not done yet: its true hours are known when it is. Move it to its last stage first.")
	}
	j, e, err := s.planOf(ctx, w, in.Job, in.Body.Scheme)
	if err != nil {
		return nil, err
	}
	b := planned(j.Prices, e)
	for _, line := range in.Body.Works {
		if err := b.take(line.Work, line.Took); err != nil {
			return nil, err
		}
	}
	text, err := json.Marshal(b)
	if err != nil {
		return nil, err
	}
	if err := s.store.Finish(ctx, w, in.Job, string(text)); err != nil {
		return nil, err
	}
	return s.getFinished(ctx, &in.JobPath)
}

// planned is what an estimate planned, nothing taken yet.
func planned(book price.Book, e price.Estimate) finishedBody {
	b := finishedBody{Scheme: e.Scheme, Planned: map[string]float64{}, Took: map[string]float64{}, Parts: e.Parts, Rates: map[string]float64{}}
	for _, work := range price.Works {
		b.Planned[work] = e.HoursOf(work)
	}
	for _, p := range e.Parts {
		b.Rates[p.Rate], _ = book.RateOf(p.Rate).Value.Float64()
	}
	return b
}

func (b *finishedBody) take(work, took string) error {
	if !slices.Contains(price.Works[:], work) {
		return refuse(http.StatusUnprocessableEntity, fmt.Sprintf("No hours are counted of %.60q.", work))
	}
	if took == "" {
		return nil
	}
	h, err := strconv.ParseFloat(took, 64)
	if err != nil || !(h >= 0 && h <= mostHours) {
		return refuse(http.StatusUnprocessableEntity, fmt.Sprintf("Hours of %s: %.20q; write a number from 0 to %d, such as 12.5.", work, took, mostHours))
	}
	b.Took[work] = h
	return nil
}

func (s *Server) getLearned(ctx context.Context, _ *struct{}) (*learnedOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	all, err := s.store.AllFinished(ctx, w.Shop)
	if err != nil {
		return nil, err
	}
	book, err := s.newestBook(ctx, w.Shop)
	if err != nil {
		return nil, err
	}
	j, found := job.ParseBook("book", book.Document)
	if err := found.Err(); err != nil {
		return nil, err
	}
	bodies := make([]finishedBody, len(all))
	for i, f := range all {
		if err := json.Unmarshal([]byte(f.Body), &bodies[i]); err != nil {
			return nil, err
		}
	}
	out := &learnedOut{}
	out.Body.Rates = learnedOf(bodies, j.Prices)
	return out, nil
}

func hoursText(h float64) string { return strconv.FormatFloat(math.Round(h*100)/100, 'f', -1, 64) }
