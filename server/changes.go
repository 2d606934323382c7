package server

import (
	"context"
	"encoding/json"

	"github.com/danielgtaylor/huma/v2"

	"coilwright/change"
	"coilwright/problem"
	"coilwright/store"
)

// PatchOp is one operation of RFC 6902.
type PatchOp struct {
	Op    string          `json:"op" enum:"add,remove,replace,move,copy,test"`
	Path  string          `json:"path" maxLength:"1000" doc:"JSON pointer (RFC 6901)"`
	From  string          `json:"from,omitempty" maxLength:"1000" doc:"For move and copy"`
	Value json.RawMessage `json:"value,omitempty" doc:"For add, replace and test"`
}

// ChangeBody is a change somebody made.
type ChangeBody struct {
	What   string    `json:"what" minLength:"1" maxLength:"300" doc:"The change in words, for the history"`
	Patch  []PatchOp `json:"patch" nullable:"false" minItems:"1" maxItems:"2000"`
	Device string    `json:"device,omitempty" maxLength:"80" doc:"Tells two pages of one person apart"`
}

// ChangeAnswer is a job after a change.
type ChangeAnswer struct {
	JobLine
	Merged   bool            `json:"merged" doc:"The job holds others' changes that the sender had not seen; document is the whole"`
	View     *View           `json:"view"`
	Problems []Finding       `json:"problems"`
	Layout   *SchemeLayout   `json:"layout,omitempty" doc:"Of the scheme that was asked for; absent while the job has errors"`
	Document json.RawMessage `json:"document,omitempty" doc:"Where merged, and after undo and redo"`
	Same     []string        `json:"same,omitempty" doc:"Walls that stayed as they were in the revision that the sender holds: view and layout leave them out"`
}

type ChangeParams struct {
	JobPath
	Scheme  string `query:"scheme" maxLength:"200" doc:"Lay this scheme out in the answer"`
	Holds   int64  `query:"holds" minimum:"0" doc:"The revision whose view and layout of the scheme the sender has: walls that stay as they were are left out of the answer, and named in it"`
	IfMatch string `header:"If-Match" doc:"The tag of the job that the change was made for; its revision alone where that can be no other's"`
}

type changeIn struct {
	ChangeParams
	Body ChangeBody
}

type undoIn struct {
	ChangeParams
	Body *struct {
		Device string `json:"device,omitempty" maxLength:"80"`
	}
}

func (s *Server) registerChanges() {
	const tag = "changes"
	for _, o := range []struct{ path, id, summary string }{
		{"changes", "change-job", "Change a job: merged with others' changes, or a conflict with both values"},
		{"undo", "undo", "Take back your own last change"},
		{"redo", "redo", "Do again what you took back"},
	} {
		op := operation("POST", "/api/jobs/{job}/"+o.path, o.id, tag, o.summary, 404, 409, 412, 413, 428)
		answers[ChangeAnswer](s, &op, "ChangeAnswer")
		switch o.path {
		case "changes":
			handle(s, op, s.change)
		case "undo":
			handle(s, op, s.reverse((*store.Store).Undo))
		default:
			handle(s, op, s.reverse((*store.Store).Redo))
		}
	}
}

func (s *Server) change(ctx context.Context, in *changeIn) (*kept, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	base, of, err := ifMatch(in.IfMatch)
	if err != nil {
		return nil, err
	}
	edit := store.Edit{Base: base, Of: of, What: in.Body.What}
	for _, op := range in.Body.Patch {
		edit.Patch = append(edit.Patch, change.Op{Op: op.Op, Path: op.Path, From: op.From, Value: op.Value})
	}
	w.Device = in.Body.Device
	saved, err := s.store.Change(ctx, w, in.Job, edit)
	if err != nil {
		return nil, err
	}
	return s.changed(ctx, w.Shop, saved, in.ChangeParams, saved.Merged)
}

func (s *Server) reverse(do func(*store.Store, context.Context, store.Who, string, int64, string) (store.Saved, error)) func(context.Context, *undoIn) (*kept, error) {
	return func(ctx context.Context, in *undoIn) (*kept, error) {
		w, err := who(ctx)
		if err != nil {
			return nil, err
		}
		base, of, err := ifMatch(in.IfMatch)
		if err != nil {
			return nil, err
		}
		if in.Body != nil {
			w.Device = in.Body.Device
		}
		saved, err := do(s.store, ctx, w, in.Job, base, of)
		if err != nil {
			return nil, err
		}
		return s.changed(ctx, w.Shop, saved, in.ChangeParams, true)
	}
}

// changed answers with what follows from a change. The change is saved by then:
// whatever cannot be worked out is left out, never an error.
func (s *Server) changed(ctx context.Context, shop string, saved store.Saved, in ChangeParams, whole bool) (*kept, error) {
	s.news.look()
	a := ChangeAnswer{JobLine: lineOf(saved.Job), Merged: saved.Merged}
	was := deskKey(shop, saved.Was)
	before := s.before(was, in.Scheme)
	if whole {
		a.Document = saved.Job.Document
	}
	if done, err := s.workOf(ctx, shop, saved.Job); err == nil {
		a.View, a.Problems = done.view, done.view.Problems
		if in.Scheme != "" && !done.found.Fatal() {
			l, err := s.schemeLayoutAfter(ctx, done, in.Scheme, before.layout)
			if err == nil {
				a.Layout, a.Problems = l, l.Warnings
			} else {
				a.Problems = append(a.Problems[:len(a.Problems):len(a.Problems)], unlaid(err))
			}
		}
	}
	// Where nothing was done the sender came twice, and has not what the first answer held.
	if saved.Was != saved.Job.Hash && before.by(in.Holds, saved.Job.Revision) {
		before.spare(&a)
	}
	s.desk.moved(was, deskKey(shop, saved.Job.Hash))
	text, err := encoded(a)
	out := keptJSON(text)
	out.ETag = etag(saved.Job)
	return out, err
}

var notModified = &huma.Response{Description: "The job is still what you have"}

// unlaid says why a scheme could not be laid out.
func unlaid(err error) Finding {
	return Finding{Problem: problem.Problem{Severity: problem.Error, Where: "$.schemes", What: err.Error(), Mend: "choose another scheme, or mend this one"}, Pointer: "/schemes"}
}
