package server

import (
	"context"
	"encoding/json"
	"time"

	"github.com/danielgtaylor/huma/v2"
)

// EventView is one change in the history.
type EventView struct {
	Revision int64     `json:"revision"`
	At       time.Time `json:"at"`
	By       string    `json:"by"`
	Kind     string    `json:"kind" enum:"created,change,undo,redo,stage,aside,restored"`
	What     string    `json:"what"`
	About    int64     `json:"about,omitempty" doc:"For undo and redo: the revision that was taken back"`
	Paths    []string  `json:"paths"`
}

type historyOut struct {
	Body struct {
		Events []EventView `json:"events"`
		Next   int64       `json:"next" doc:"Give this as after for older ones; 0 at the end"`
	}
}

type historyIn struct {
	JobPath
	After int64 `query:"after" minimum:"0" doc:"Go on below this revision"`
	Limit int   `query:"limit" minimum:"1" maximum:"500" default:"50"`
}

// DifferenceView is one place at which two revisions differ; a missing value is null.
type DifferenceView struct {
	Path   string          `json:"path"`
	Before json.RawMessage `json:"before"`
	After  json.RawMessage `json:"after"`
}

type differenceOut struct {
	Body struct {
		Changes []DifferenceView `json:"changes"`
	}
}

func (s *Server) registerHistory() {
	const tag = "history"
	handle(s, operation("GET", "/api/jobs/{job}/history", "get-history", tag, "Every change, the newest first", 404), s.history)
	op := operation("GET", "/api/jobs/{job}/revisions/{revision}", "get-revision", tag, "The document as it was", 404)
	op.Responses = map[string]*huma.Response{"200": {Description: "The job file", Content: map[string]*huma.MediaType{"application/json": {Schema: &huma.Schema{Type: huma.TypeObject}}}}}
	handle(s, op, s.revision)
	handle(s, operation("GET", "/api/jobs/{job}/difference", "get-difference", tag, "Where two revisions differ", 404), s.difference)
}

func (s *Server) history(ctx context.Context, in *historyIn) (*historyOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	events, err := s.store.History(ctx, w.Shop, in.Job, in.After, in.Limit)
	if err != nil {
		return nil, err
	}
	out := &historyOut{}
	out.Body.Events = []EventView{}
	for _, e := range events {
		out.Body.Events = append(out.Body.Events, EventView{e.Revision, e.At, e.By, string(e.Kind), e.What, e.About, e.Patch.Paths()})
	}
	if n := len(events); n == in.Limit && events[n-1].Revision > 1 {
		out.Body.Next = events[n-1].Revision
	}
	return out, nil
}

func (s *Server) revision(ctx context.Context, in *struct {
	JobPath
	Revision int64 `path:"revision" minimum:"1"`
},
) (*kept, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	text, err := s.store.Revision(ctx, w.Shop, in.Job, in.Revision)
	return keptJSON(text), err
}

func (s *Server) difference(ctx context.Context, in *struct {
	JobPath
	From int64 `query:"from" minimum:"1" required:"true"`
	To   int64 `query:"to" minimum:"1" required:"true"`
},
) (*differenceOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	found, err := s.store.Difference(ctx, w.Shop, in.Job, in.From, in.To)
	if err != nil {
		return nil, err
	}
	out := &differenceOut{}
	out.Body.Changes = []DifferenceView{}
	for _, d := range found {
		out.Body.Changes = append(out.Body.Changes, DifferenceView{d.Path, orNull(d.Before), orNull(d.After)})
	}
	return out, nil
}

func orNull(text json.RawMessage) json.RawMessage {
	if text == nil {
		return json.RawMessage("null")
	}
	return text
}
