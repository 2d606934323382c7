package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"github.com/uptrace/bun"

	"coilwright/change"
)

// Edit is a change that somebody wants to make.
type Edit struct {
	Base  int64  // the revision that it was made for
	Of    string // the hash of its document, where the sender says it
	What  string
	Patch change.Patch
}

// Saved is a job after a change. Merged says that it holds others' changes which
// the sender had not seen. Was is the hash of the document before.
type Saved struct {
	Job    Job
	Merged bool
	Was    string
}

// snapshotEvery is how many revisions lie between whole documents.
const snapshotEvery = 64

// errMoved says that the job changed between reading and writing it; it is tried
// again with what is there then.
var errMoved = errors.New("the job moved on meanwhile")

// Change saves an edit. One that was made for an older revision is laid over what
// others did since; where both touched one place it is a *ConflictError. Errors of
// the patch itself match change.ErrPatch. One that comes again because its answer was
// lost is not done again.
func (s *Store) Change(ctx context.Context, who Who, id string, e Edit) (Saved, error) {
	return s.save(ctx, who, id, e.Base, func(db bun.IDB, at jobRow) (step, error) {
		if err := s.stands(ctx, db, at, e.Base, e.Of); err != nil {
			return step{}, err
		}
		patch, err := s.brought(ctx, db, at, who, e)
		return step{kind: Changed, what: e.What, patch: patch}, err
	})
}

// step is what one event does to a job.
type step struct {
	kind  Kind
	what  string
	about int64
	patch change.Patch
	row   func(*jobRow) // beside the document
	aside bool          // it may be done to a job that was put aside
}

// plan works out the step that a save takes from the job as it stands, reading
// from db.
type plan func(db bun.IDB, at jobRow) (step, error)

// save reads a job, works out the step and writes it if the job is still what was
// read. Where somebody was quicker, all of it is done again within the writing, so
// that many who change one job do not wait for one another's disk.
func (s *Store) save(ctx context.Context, who Who, id string, base int64, p plan) (Saved, error) {
	defer s.writer.expect()()
	at, next, ev, err := s.known(who, id, base, p)
	if err != nil || ev == nil {
		at, next, ev, err = s.next(ctx, s.read, who, id, base, p)
	}
	if err != nil {
		return Saved{}, err
	}
	if ev == nil {
		return saved(base, at, at), nil
	}
	err = s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) error { return s.writeStep(ctx, tx, at, next, *ev) })
	for range tries {
		if !errors.Is(err, errMoved) {
			break
		}
		err = s.writer.write(ctx, func(ctx context.Context, tx bun.Tx) (err error) {
			if at, next, ev, err = s.next(ctx, tx, who, id, base, p); err != nil || ev == nil {
				return turnBack(err)
			}
			return s.writeStep(ctx, tx, at, next, *ev)
		})
	}
	if err != nil {
		return Saved{}, err
	}
	s.lately.keep(next)
	return saved(base, at, next), nil
}

// known is next for a job whose row this process wrote last; none where it did not, or
// where the edit cannot be done to that row.
func (s *Store) known(who Who, id string, base int64, p plan) (at, next jobRow, ev *eventRow, err error) {
	at, ok := s.lately.at(who.Shop, id, base)
	if !ok {
		return at, at, nil, nil
	}
	return s.after(s.read, who, at, p)
}

func saved(base int64, at, next jobRow) Saved {
	return Saved{Job: next.job(), Merged: base > 0 && base < at.Revision, Was: at.Hash}
}

// next works out the job's next row and its event; none where there is nothing to do.
func (s *Store) next(ctx context.Context, db bun.IDB, who Who, id string, base int64, p plan) (at, next jobRow, ev *eventRow, err error) {
	if at, err = s.whole(ctx, db, who.Shop, id); err != nil {
		return at, at, nil, err
	}
	if base > at.Revision {
		return at, at, nil, fmt.Errorf("%w: revision %d was never saved, the newest is %d", ErrStale, base, at.Revision)
	}
	return s.after(db, who, at, p)
}

// after is next for a job's row at hand.
func (s *Store) after(db bun.IDB, who Who, at jobRow, p plan) (_, next jobRow, ev *eventRow, err error) {
	st, err := p(db, at)
	if err != nil {
		return at, at, nil, err
	}
	next, ev, err = s.take(who, at, st)
	return at, next, ev, err
}

// take carries a step out on the job as it was read.
func (s *Store) take(who Who, at jobRow, st step) (jobRow, *eventRow, error) {
	if at.AsideAt != 0 && !st.aside {
		return at, nil, fmt.Errorf("%w: the job was put aside; fetch it back first", ErrNotFound)
	}
	done, err := change.Apply(at.Document, st.patch)
	if err != nil {
		return at, nil, err
	}
	if st.row == nil && len(done.Done) == 0 {
		return at, nil, nil // what others did already
	}
	now := s.now()
	next := at
	next.Revision++
	if err := s.fill(&next, done.Document, done.Done, who, now); err != nil {
		return at, nil, err
	}
	if st.row != nil {
		st.row(&next)
	}
	ev := s.eventRow(next, who, st.kind, st.what, now)
	ev.About, ev.Patch, ev.Inverse = st.about, done.Done.Text(), done.Inverse.Text()
	return next, &ev, nil
}

// writeStep turns back before it has written anything where the job has moved on.
func (s *Store) writeStep(ctx context.Context, tx bun.Tx, at, next jobRow, ev eventRow) error {
	result, err := s.put(ctx, tx, setJob, next.Title, next.Search, next.Stage, next.Revision, next.Hash, next.Walls,
		next.ChangedAt, next.ChangedBy, next.AsideAt, at.ID, at.Revision, at.Hash)
	if err != nil {
		return err
	}
	n, err := result.RowsAffected()
	if err == nil && n == 0 {
		err = turnBack(errMoved)
	}
	if err != nil {
		return err
	}
	if next.Revision%snapshotEvery == 0 {
		if _, err := s.put(ctx, tx, addSnapshot, next.ID, next.Revision, string(next.Document)); err != nil {
			return err
		}
	}
	_, err = s.put(ctx, tx, addEvent, ev.Job, ev.Revision, ev.At, ev.Account, ev.ByName, ev.Device, string(ev.Kind), ev.What, ev.About, ev.Patch, ev.Inverse)
	return err
}

// stands says with ErrStale where a revision has not the document of that hash, which what is
// done was made for: older data were put back and others saved on, so that its number is
// another's. Without a hash nothing is said.
func (s *Store) stands(ctx context.Context, db bun.IDB, at jobRow, base int64, of string) error {
	if of == "" {
		return nil
	}
	hash := at.Hash
	if base < at.Revision {
		document, err := s.assembled(ctx, db, at.ID, base)
		if err != nil {
			return explain(err)
		}
		hash = Hash(document)
	}
	if hash != of {
		return fmt.Errorf("%w: revision %d is another than this was made for, since older data were put back", ErrStale, base)
	}
	return nil
}

// brought lays an edit over what was done since its base.
func (s *Store) brought(ctx context.Context, db bun.IDB, at jobRow, who Who, e Edit) (change.Patch, error) {
	if e.Base == at.Revision {
		return e.Patch, nil
	}
	since, err := s.events(ctx, db, at.ID, e.Base, at.Revision)
	if err != nil {
		return nil, err
	}
	base, err := s.back(at.Document, since)
	if err != nil {
		return nil, err
	}
	made, err := change.Apply(base, e.Patch)
	if err != nil {
		return nil, err
	}
	left, since := unsaved(made.Asked(), since, who)
	if len(left) == 0 {
		return nil, nil
	}
	return over(at, left, standing(since))
}

// unsaved leaves out of a patch what the same person saved already since its base: an
// edit whose answer was lost comes again, alone or with those that were made after it.
// What is left is for the job as it was before the events that it gives.
func unsaved(p change.Patch, since []eventRow, who Who) (change.Patch, []eventRow) {
	at := p
	for k, ev := range since {
		done := unpacked(ev.Patch)
		if ev.Kind == Changed && ev.Account == who.Account {
			if left, ok := begunWith(at, done); ok {
				return unsaved(left, since[k+1:], who)
			}
		}
		moved, clashes := at.Over(done)
		if len(clashes) > 0 {
			break
		}
		at = moved
	}
	return p, since
}

// begunWith gives what comes after a run of operations that a patch begins with, its
// tests passed over.
func begunWith(p, run change.Patch) (change.Patch, bool) {
	i := 0
	for _, op := range run {
		for i < len(p) && p[i].Op == change.Test {
			i++
		}
		if i == len(p) || p[i].Op != op.Op || p[i].Path != op.Path || !bytes.Equal(compact(p[i].Value), compact(op.Value)) {
			return nil, false
		}
		i++
	}
	return p[i:], len(run) > 0
}

// mostBehind bounds how old a revision an edit may be made for.
const mostBehind = 2000

// events gives the events after one revision up to another, in order.
func (s *Store) events(ctx context.Context, db bun.IDB, job string, after, to int64) ([]eventRow, error) {
	if to-after > mostBehind {
		return nil, fmt.Errorf("%w: revision %d is %d changes old; open the job again", ErrStale, after, to-after)
	}
	var rows []eventRow
	err := db.NewSelect().Model(&rows).Where("job = ?", job).Where("revision > ?", after).Where("revision <= ?", to).
		OrderExpr("revision").Scan(ctx)
	return rows, explain(err)
}

// back takes events back from a document, the last first.
func (s *Store) back(document []byte, since []eventRow) ([]byte, error) {
	var inverses []change.Patch
	for _, ev := range slices.Backward(since) {
		inverses = append(inverses, unpacked(ev.Inverse))
	}
	before, err := change.Again(document, inverses...)
	if err != nil {
		return nil, fmt.Errorf("what was done since cannot be taken back: %w", err)
	}
	return before, nil
}

// over lays a patch over events and names the places where it clashes with them.
func over(at jobRow, p change.Patch, since []eventRow) (change.Patch, error) {
	var theirs []change.Patch
	for _, ev := range since {
		theirs = append(theirs, unpacked(ev.Patch))
	}
	moved, clashes := p.Over(theirs...)
	if len(clashes) == 0 {
		return moved, nil
	}
	conflict := &ConflictError{Revision: at.Revision}
	for _, c := range clashes {
		conflict.add(Place{c.Path, c.Yours, change.Get(at.Document, c.Path), lastBy(c.Path, since)})
	}
	return nil, conflict
}

func (e *ConflictError) add(p Place) {
	if !slices.ContainsFunc(e.Places, func(q Place) bool { return q.Path == p.Path }) {
		e.Places = append(e.Places, p)
	}
}

// lastBy names who touched a place last, or else who changed the job last.
func lastBy(path string, since []eventRow) string {
	for _, ev := range slices.Backward(since) {
		for _, p := range unpacked(ev.Patch).Paths() {
			if change.Within(p, path) || change.Within(path, p) {
				return ev.ByName
			}
		}
	}
	return since[len(since)-1].ByName
}

func compact(text []byte) []byte {
	var b bytes.Buffer
	if json.Compact(&b, text) != nil {
		return text
	}
	return b.Bytes()
}
