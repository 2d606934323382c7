package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"coilwright/change"
	"coilwright/document"
	"coilwright/job"
	"coilwright/problem"
	"coilwright/store"
)

// JobLine is one job of a list.
type JobLine struct {
	ID        string    `json:"id"`
	Title     string    `json:"title"`
	Stage     string    `json:"stage"`
	Revision  int64     `json:"revision"`
	Tag       string    `json:"tag" doc:"Names the revision with its document: give it as If-Match"`
	Changed   time.Time `json:"changed"`
	ChangedBy string    `json:"changed_by"`
	Walls     int       `json:"walls"`
	Aside     bool      `json:"aside"`
}

func lineOf(j store.Job) JobLine {
	return JobLine{j.ID, j.Title, j.Stage, j.Revision, tagOf(j), j.Changed, j.ChangedBy, j.Walls, j.Aside}
}

// JobAnswer is a job with its document and what is drawn of it.
type JobAnswer struct {
	JobLine
	Document json.RawMessage `json:"document" doc:"The job file, format coilwright/job@1"`
	View     *View           `json:"view"`
	Problems []Finding       `json:"problems" doc:"Of reading the job and of its house; those of a scheme come with its layout"`
}

type jobListOut struct {
	Body struct {
		Jobs []JobLine `json:"jobs"`
		Next string    `json:"next" doc:"Give this as after for the next page; empty at the end"`
	}
}

type jobListIn struct {
	Search string `query:"search" maxLength:"200" doc:"Words of the title"`
	Stage  string `query:"stage" maxLength:"40"`
	Aside  bool   `query:"aside" doc:"Those that were put aside"`
	Limit  int    `query:"limit" minimum:"1" maximum:"200" default:"50"`
	After  string `query:"after" maxLength:"64"`
}

type newJobIn struct {
	Body struct {
		Title    string          `json:"title,omitempty" maxLength:"200"`
		Template string          `json:"template,omitempty" maxLength:"64" doc:"A template house, from GET /api/templates"`
		Document json.RawMessage `json:"document,omitempty" doc:"A job file"`
	}
}

type lineOut struct {
	Status int
	ETag   string `header:"ETag"`
	Body   JobLine
}

func (s *Server) registerJobs() {
	const tag = "jobs"
	handle(s, operation("GET", "/api/jobs", "list-jobs", tag, "The shop's jobs, latest change first", 404), s.listJobs)
	create := operation("POST", "/api/jobs", "make-job", tag, "Make a job: blank, from a template house, or from a file", 413)
	create.DefaultStatus = http.StatusCreated
	handle(s, create, s.makeJob)
	get := operation("GET", "/api/jobs/{job}", "get-job", tag, "A job: its document, and its house ready to draw", 404)
	answers[JobAnswer](s, &get, "JobAnswer")
	get.Responses["304"] = notModified
	handle(s, get, s.getJob)
	handle(s, operation("GET", "/api/jobs/{job}/problems", "get-problems", tag, "All that is wrong or doubtful, every scheme laid out", 404), s.getProblems)
	handle(s, operation("PUT", "/api/jobs/{job}/stage", "set-stage", tag, "Move a job along its way", 404), s.setStage)
	handle(s, operation("DELETE", "/api/jobs/{job}", "put-aside", tag, "Put a job aside; it can be fetched back", 404), s.setAside(true))
	handle(s, operation("POST", "/api/jobs/{job}/restore", "fetch-back", tag, "Fetch a job back that was put aside", 404), s.setAside(false))
	handle(s, operation("GET", "/api/templates", "list-templates", tag, "Template houses to start from, all invented"), s.listTemplates)
}

func (s *Server) listJobs(ctx context.Context, in *jobListIn) (*jobListOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	jobs, err := s.store.Jobs(ctx, w.Shop, store.Query{Search: in.Search, Stage: in.Stage, Aside: in.Aside, Limit: in.Limit, After: in.After})
	if err != nil {
		return nil, err
	}
	out := &jobListOut{}
	out.Body.Jobs = []JobLine{}
	for _, j := range jobs {
		out.Body.Jobs = append(out.Body.Jobs, lineOf(j))
	}
	if len(jobs) == in.Limit {
		out.Body.Next = jobs[len(jobs)-1].ID
	}
	return out, nil
}

func (s *Server) makeJob(ctx context.Context, in *newJobIn) (*lineOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	text, what, err := startOf(in.Body.Title, in.Body.Template, in.Body.Document)
	if err != nil {
		return nil, err
	}
	if in.Body.Document == nil {
		if text, err = s.onNewestBook(ctx, w.Shop, text); err != nil {
			return nil, err
		}
	}
	j, err := s.store.Create(ctx, w, text, what)
	if err != nil {
		return nil, err
	}
	return &lineOut{Status: http.StatusCreated, ETag: etag(j), Body: lineOf(j)}, nil
}

func (s *Server) getJob(ctx context.Context, in *struct {
	JobPath
	IfNoneMatch string `header:"If-None-Match"`
},
) (*kept, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	head, err := s.store.Head(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	tag := etag(head)
	if same(in.IfNoneMatch, tag) {
		return &kept{Status: http.StatusNotModified, ETag: tag}, nil
	}
	text, err := s.jobText(ctx, w.Shop, head)
	if err != nil {
		return nil, err
	}
	out := keptJSON(text)
	out.ETag = tag
	return out, nil
}

// jobText is a job's answer, kept as long as the job does not change.
func (s *Server) jobText(ctx context.Context, shop string, head store.Job) ([]byte, error) {
	key := fmt.Sprintf("job %s %d", head.ID, head.Revision)
	done := s.desk.have(deskKey(shop, head.Hash))
	if done == nil {
		full, err := s.store.Job(ctx, shop, head.ID)
		if err != nil {
			return nil, err
		}
		if full.Revision != head.Revision {
			head, key = full, fmt.Sprintf("job %s %d", full.ID, full.Revision)
		}
		if done, err = s.workOf(ctx, shop, full); err != nil {
			return nil, err
		}
	}
	return work(done, key, func() ([]byte, error) {
		full, err := s.store.Job(ctx, shop, head.ID)
		if err != nil {
			return nil, err
		}
		return encoded(JobAnswer{lineOf(head), full.Document, done.view, done.view.Problems})
	})
}

// encoded is v as JSON, which a page takes apart itself: nothing in it is HTML.
func encoded(v any) ([]byte, error) { return json.Marshal(v) }

// worked gives the job as it stands, and what was worked out of it.
func (s *Server) worked(ctx context.Context, id string) (store.Job, *worked, error) {
	w, err := who(ctx)
	if err != nil {
		return store.Job{}, nil, err
	}
	return s.workedOf(ctx, w.Shop, id)
}

// workedOf is the same for a shop, whoever asks.
func (s *Server) workedOf(ctx context.Context, shop, id string) (store.Job, *worked, error) {
	head, err := s.store.Head(ctx, shop, id)
	if err != nil {
		return store.Job{}, nil, err
	}
	if done := s.desk.have(deskKey(shop, head.Hash)); done != nil {
		return head, done, nil
	}
	full, err := s.store.Job(ctx, shop, id)
	if err != nil {
		return store.Job{}, nil, err
	}
	done, err := s.workOf(ctx, shop, full)
	return full, done, err
}

type problemsOut struct {
	Body struct {
		Problems []Finding `json:"problems"`
	}
}

func (s *Server) getProblems(ctx context.Context, in *JobPath) (*problemsOut, error) {
	_, done, err := s.worked(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	found := done.found
	if !found.Fatal() {
		seen, photos, err := s.withPhotos(ctx, done, in.Job)
		if err != nil {
			return nil, err
		}
		more, err := slow(ctx, done, "check", func() (problem.List, error) { return append(photos[:len(photos):len(photos)], seen.Check()...), nil })
		if err != nil {
			return nil, err
		}
		for _, p := range more {
			if !slices.Contains(found, p) {
				found = append(found[:len(found):len(found)], p)
			}
		}
	}
	out := &problemsOut{}
	out.Body.Problems = findings(&done.job, found)
	return out, nil
}

type stageIn struct {
	JobPath
	Body struct {
		Stage string `json:"stage" enum:"visit,design,offer,signed,remeasured,forming,hanging,done"`
	}
}

func (s *Server) setStage(ctx context.Context, in *stageIn) (*lineOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	j, err := s.store.SetStage(ctx, w, in.Job, in.Body.Stage)
	if err != nil {
		return nil, err
	}
	s.news.look()
	return &lineOut{Status: http.StatusOK, ETag: etag(j), Body: lineOf(j)}, nil
}

func (s *Server) setAside(aside bool) func(context.Context, *JobPath) (*lineOut, error) {
	return func(ctx context.Context, in *JobPath) (*lineOut, error) {
		w, err := who(ctx)
		if err != nil {
			return nil, err
		}
		j, err := s.store.SetAside(ctx, w, in.Job, aside)
		if err != nil {
			return nil, err
		}
		s.news.look()
		return &lineOut{Status: http.StatusOK, ETag: etag(j), Body: lineOf(j)}, nil
	}
}

// Read is what lists show of a job's document, or why it may not be kept: it must be
// JSON within the format's limits that calls itself a job. What is wrong within it
// is said elsewhere, not refused: work in progress must not be lost.
func Read(text []byte) (store.Description, error) {
	file, err := document.Parse("job", text)
	if err != nil {
		return store.Description{}, err
	}
	v := file.Read(&document.Findings{})
	if !v.IsObject() || !v.Peek("format").IsText() || v.Peek("format").Text() != job.Format {
		return store.Description{}, errNoJob
	}
	d := store.Description{}
	if title := v.Peek("title"); title.IsText() {
		d.Title = title.Text()
	}
	if house := v.Peek("house"); house.IsObject() {
		if walls := house.Peek("walls"); walls.IsList() {
			d.Walls = len(walls.List())
		}
	}
	return d, nil
}

var errNoJob = errors.New(`it is no job file: a job is a JSON object with "format": "` + job.Format + `"`)

// Settled says that a patch leaves alone what Read looks at, and brings in nothing
// that Read could refuse: a few small values, deep inside the house or a scheme.
func Settled(done change.Patch) bool {
	for _, op := range done {
		depth := strings.Count(op.Path, "/")
		inside := strings.HasPrefix(op.Path, "/house/walls/") && depth > 3 || strings.HasPrefix(op.Path, "/schemes/") && depth > 2
		if !inside || depth > 12 || len(op.Value) > 200 || bytes.ContainsAny(op.Value, "{[") || !utf8.Valid(op.Value) {
			return false
		}
	}
	return len(done) <= 20
}
