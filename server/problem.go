package server

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"coilwright/change"
	"coilwright/problem"
	"coilwright/store"
)

// Refusal is a problem as RFC 9457 shapes it. Problems and Conflicts are members of
// our own: what is wrong with a job, and the places that two people changed.
type Refusal struct {
	Type      string             `json:"type,omitempty" format:"uri-reference" doc:"What kind of problem, as a URI reference"`
	Title     string             `json:"title" doc:"The kind of problem in words"`
	Status    int                `json:"status" doc:"The HTTP status"`
	Detail    string             `json:"detail,omitempty" doc:"What is wrong here, and the mend"`
	Errors    []huma.ErrorDetail `json:"errors,omitempty" doc:"Fields of the request that are wrong"`
	Problems  []problem.Problem  `json:"problems,omitempty" doc:"What is wrong with the job, where, and the mend"`
	Conflicts []Conflict         `json:"conflicts,omitempty" doc:"Places that somebody else changed meanwhile"`
	Revision  int64              `json:"revision,omitempty" doc:"The job's revision now, where that is the trouble"`
}

// Conflict is one place that two people changed.
type Conflict struct {
	Path   string `json:"path" doc:"JSON pointer into the document as it is now"`
	Yours  any    `json:"yours" doc:"Your value; null where you take it away"`
	Theirs any    `json:"theirs" doc:"The value there now; null where it is gone"`
	By     string `json:"by" doc:"Who changed it"`
}

// Error is the detail.
func (p *Refusal) Error() string { return p.Detail }

// GetStatus is the HTTP status.
func (p *Refusal) GetStatus() int { return p.Status }

// ContentType is that of RFC 9457.
func (p *Refusal) ContentType(string) string { return problemType }

const problemType = "application/problem+json"

func refuse(status int, detail string) *Refusal {
	return &Refusal{Title: http.StatusText(status), Status: status, Detail: detail}
}

// write sends a problem where huma is not at hand.
func (p *Refusal) write(w http.ResponseWriter) {
	w.Header().Set("Content-Type", problemType)
	w.WriteHeader(p.Status)
	json.NewEncoder(w).Encode(p) //nolint:errcheck // the asker has gone
}

// statusOf gives the HTTP status of each sentinel.
var statusOf = []struct {
	err    error
	status int
}{
	{store.ErrDamaged, http.StatusInternalServerError},
	{change.ErrTest, http.StatusConflict},
	{change.ErrPatch, http.StatusUnprocessableEntity},
	{store.ErrNotFound, http.StatusNotFound},
	{store.ErrStale, http.StatusPreconditionFailed},
	{store.ErrNothing, http.StatusConflict},
	{store.ErrTaken, http.StatusConflict},
	{store.ErrOfferState, http.StatusConflict},
	{store.ErrOfferOther, http.StatusConflict},
	{store.ErrRefused, http.StatusUnprocessableEntity},
}

// said turns an error into what is sent. What is nobody's business is logged and
// left out.
func (s *Server) said(err error) error {
	var (
		own      *Refusal
		conflict *store.ConflictError
		failed   *problem.Failure
	)
	switch {
	case err == nil:
		return nil
	case errors.As(err, &own):
		return own
	case errors.As(err, &conflict):
		return conflictProblem(conflict)
	case errors.Is(err, context.Canceled): // nobody reads it, and nothing is amiss
		return refuse(http.StatusServiceUnavailable, "Whoever asked left before the answer was there; ask again.")
	case errors.As(err, &failed):
		p := refuse(http.StatusUnprocessableEntity, "The job has errors; mend those that are listed.")
		p.Problems = failed.Problems
		return p
	}
	for _, known := range statusOf {
		if errors.Is(err, known.err) {
			return refuse(known.status, sentence(err, known.err))
		}
	}
	switch trouble := store.Trouble(err); trouble {
	case nil:
	case store.ErrFull, store.ErrReadOnly:
		return refuse(http.StatusInsufficientStorage, sentence(trouble, trouble))
	case store.ErrTables:
		return refuse(http.StatusInternalServerError, sentence(trouble, trouble))
	default: // it passes
		return refuse(http.StatusServiceUnavailable, sentence(trouble, trouble))
	}
	s.log.Error("request failed", "error", err)
	return refuse(http.StatusInternalServerError, "This program made a mistake. Nothing of this was saved; what was saved before is safe.")
}

// sentence is what a person is told of an error, without the driver's words.
func sentence(err, known error) string {
	text := err.Error()
	switch known {
	case store.ErrTaken:
		text = known.Error()
	case store.ErrNotFound:
		text = "There is nothing of that name here"
	}
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

func conflictProblem(c *store.ConflictError) *Refusal {
	p := refuse(http.StatusConflict, "Somebody changed the same place meanwhile. Both values are listed: choose one and save again.")
	p.Revision = c.Revision
	for _, place := range c.Places {
		p.Conflicts = append(p.Conflicts, Conflict{place.Path, value(place.Yours), value(place.Theirs), place.By})
	}
	return p
}

// value is a JSON text as a member of an answer.
func value(text json.RawMessage) any {
	if text == nil {
		return nil
	}
	return text
}

// movedOn refuses to do something with a revision that is not the newest any more.
func movedOn(newest int64, do string) error {
	p := refuse(http.StatusPreconditionFailed, "The job has moved on since you looked at it; look again before you "+do+" it.")
	p.Revision = newest
	return p
}
