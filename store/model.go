package store

import (
	"encoding/json"
	"strings"
	"time"

	"github.com/uptrace/bun"

	"coilwright/change"
)

// The stages of a job, in order.
var Stages = [...]string{"visit", "design", "offer", "signed", "remeasured", "forming", "hanging", "done"}

// Job is one job as it stands. Document is nil where only its head was asked for; it is
// not to be written into.
type Job struct {
	ID, Title, Stage string
	Revision         int64
	Hash             string // of the document
	Document         []byte
	Walls            int
	Changed          time.Time
	ChangedBy        string
	Aside            bool
}

// Event is one change: what turned revision-1 into Revision.
type Event struct {
	Revision int64
	At       time.Time
	By       string
	Kind     Kind
	What     string
	About    int64 // for undo and redo: the event that was taken back or done again
	Patch    change.Patch
}

// Kind of event.
type Kind string

// The kinds. A stage and putting aside leave the document as it is.
const (
	Created Kind = "created"
	Changed Kind = "change"
	Undone  Kind = "undo"
	Redone  Kind = "redo"
	Staged  Kind = "stage"
	PutBy   Kind = "aside"
	Fetched Kind = "restored"
)

type shopRow struct {
	bun.BaseModel `bun:"table:shops"`
	ID            string `bun:"id,pk"`
	Title         string
	CreatedAt     int64
}

type jobRow struct {
	bun.BaseModel `bun:"table:jobs"`
	ID            string `bun:"id,pk"`
	Shop          string
	Title         string
	Search        string
	Stage         string
	Revision      int64
	Document      []byte `bun:"-"` // put together by whole; nobody writes into it
	Hash          string
	Walls         int
	CreatedAt     int64
	ChangedAt     int64
	ChangedBy     string
	AsideAt       int64
}

// headColumns is a job without its document.
var headColumns = []string{"id", "shop", "title", "stage", "revision", "hash", "walls", "created_at", "changed_at", "changed_by", "aside_at"}

func (r jobRow) job() Job {
	return Job{
		ID: r.ID, Title: r.Title, Stage: r.Stage, Revision: r.Revision, Hash: r.Hash, Document: r.Document, Walls: r.Walls,
		Changed: moment(r.ChangedAt), ChangedBy: r.ChangedBy, Aside: r.AsideAt != 0,
	}
}

type eventRow struct {
	bun.BaseModel `bun:"table:events"`
	Job           string `bun:"job,pk"`
	Revision      int64  `bun:"revision,pk"`
	At            int64
	Account       string
	ByName        string
	Device        string
	Kind          Kind
	What          string
	About         int64
	Patch         string
	Inverse       string
}

func (r eventRow) event() Event {
	return Event{Revision: r.Revision, At: moment(r.At), By: r.ByName, Kind: r.Kind, What: r.What, About: r.About, Patch: unpacked(r.Patch)}
}

type snapshotRow struct {
	bun.BaseModel `bun:"table:snapshots"`
	Job           string `bun:"job,pk"`
	Revision      int64  `bun:"revision,pk"`
	Document      string
}

func unpacked(text string) change.Patch {
	var p change.Patch
	if json.Unmarshal([]byte(text), &p) != nil {
		return nil
	}
	return p
}

// plain makes one line of words of any text: no control characters (PostgreSQL
// cannot keep NUL), valid, at most n letters.
func plain(s string, n int) string {
	s = strings.Join(strings.FieldsFunc(strings.ToValidUTF8(s, "�"), func(r rune) bool {
		return r < ' ' || r == 0x7f
	}), " ")
	if letters := []rune(s); len(letters) > n {
		return string(letters[:n-1]) + "…"
	}
	return s
}

// Limits of what people write beside the document, in letters.
const (
	mostTitle = 200
	mostWhat  = 300
	mostName  = 80
)
