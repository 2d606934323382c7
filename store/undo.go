package store

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"github.com/uptrace/bun"

	"coilwright/change"
)

// Undo takes back the person's own last change that still stands. What others did
// since stays; where they touched the same place it is a *ConflictError. One that was
// made for a revision after which the same person already took something back is that
// one come twice, because its answer was lost or because two pages of the person showed
// the same change: nothing is done, since nobody asked for what lay beneath it. The same
// holds for Redo. of is as Edit.Of.
func (s *Store) Undo(ctx context.Context, who Who, id string, base int64, of string) (Saved, error) {
	return s.reverse(ctx, who, id, base, of, Undone, "Taken back: ")
}

// Redo does again what the person took back last, unless they changed something since.
func (s *Store) Redo(ctx context.Context, who Who, id string, base int64, of string) (Saved, error) {
	return s.reverse(ctx, who, id, base, of, Redone, "Done again: ")
}

func (s *Store) reverse(ctx context.Context, who Who, id string, base int64, of string, k Kind, prefix string) (Saved, error) {
	return s.save(ctx, who, id, base, func(db bun.IDB, at jobRow) (step, error) {
		if err := s.stands(ctx, db, at, base, of); err != nil {
			return step{}, err
		}
		if twice, err := s.cameTwice(ctx, db, at, who, base, k); twice || err != nil {
			return step{}, err
		}
		undo, redo, err := s.stacks(ctx, db, at.ID, who.Account)
		if err != nil {
			return step{}, err
		}
		from := undo
		if k == Redone {
			from = redo
		}
		if len(from) == 0 {
			return step{}, ErrNothing
		}
		return s.takenBack(ctx, db, at, from[len(from)-1], k, prefix)
	})
}

// cameTwice says whether the person did the same since a revision, with something that
// stood in it: what was changed and taken back again since is another matter.
func (s *Store) cameTwice(ctx context.Context, db bun.IDB, at jobRow, who Who, base int64, k Kind) (bool, error) {
	if base <= 0 || base >= at.Revision {
		return false, nil
	}
	since, err := s.events(ctx, db, at.ID, base, at.Revision)
	return slices.ContainsFunc(since, func(ev eventRow) bool { return ev.Kind == k && ev.Account == who.Account && ev.About <= base }), err
}

// takenBack is the step that takes an event back.
func (s *Store) takenBack(ctx context.Context, db bun.IDB, at jobRow, revision int64, k Kind, prefix string) (step, error) {
	since, err := s.events(ctx, db, at.ID, revision-1, at.Revision)
	if err != nil {
		return step{}, err
	}
	if len(since) == 0 {
		return step{}, fmt.Errorf("event %d: %w", revision, ErrNotFound)
	}
	ev, since := since[0], since[1:]
	patch, err := over(at, unpacked(ev.Inverse), standing(since))
	what := ev.What
	for _, p := range []string{"Taken back: ", "Done again: "} {
		if len(what) > len(p) && what[:len(p)] == p {
			what = what[len(p):]
		}
	}
	return step{kind: k, what: prefix + what, about: revision, patch: patch}, err
}

// mostUndo is how many of a person's last changes are looked through.
const mostUndo = 1000

// stacks gives the events of a person that can be taken back, and those undo events
// that can be taken back in turn, the next one last.
func (s *Store) stacks(ctx context.Context, db bun.IDB, job, account string) (undo, redo []int64, err error) {
	var rows []eventRow
	err = db.NewSelect().Model(&rows).Column("revision", "kind", "about").Where("job = ?", job).Where("account = ?", account).
		Where("kind IN ('change', 'undo', 'redo')").OrderExpr("revision DESC").Limit(mostUndo).Scan(ctx)
	if err != nil {
		return nil, nil, explain(err)
	}
	without := func(list []int64, r int64) []int64 {
		return slices.DeleteFunc(list, func(x int64) bool { return x == r })
	}
	for _, ev := range slices.Backward(rows) {
		switch ev.Kind {
		case Changed:
			undo, redo = append(undo, ev.Revision), nil
		case Undone:
			undo, redo = without(undo, ev.About), append(redo, ev.Revision)
		case Redone:
			undo, redo = append(undo, ev.Revision), without(redo, ev.About)
		}
	}
	return undo, redo, nil
}

// standing leaves out of a run of events those that were taken back within it,
// with what took them back: together they are nothing. Events between are carried
// over to the document without them.
func standing(events []eventRow) []eventRow {
	out := slices.Clone(events)
	for j := 0; j < len(out); j++ {
		i := slices.IndexFunc(out[:j], func(ev eventRow) bool { return out[j].About == ev.Revision })
		if out[j].About == 0 || i < 0 {
			continue
		}
		between, ok := without(out[i], out[i+1:j])
		if !ok {
			continue
		}
		out = slices.Concat(out[:i], between, out[j+1:])
		j -= 2
	}
	return out
}

// without carries events over to a document on which gone was never done.
func without(gone eventRow, events []eventRow) ([]eventRow, bool) {
	out := slices.Clone(events)
	inverse := unpacked(gone.Inverse)
	for k, ev := range out {
		patch := unpacked(ev.Patch)
		moved, clash := patch.Over(inverse)
		if len(clash) > 0 {
			return nil, false
		}
		if inverse, clash = inverse.Over(patch); len(clash) > 0 {
			return nil, false
		}
		out[k].Patch = moved.Text()
	}
	return out, true
}

// History lists a job's events, the newest first; before is a revision to go on
// from, 0 for the newest.
func (s *Store) History(ctx context.Context, shop, id string, before int64, most int) ([]Event, error) {
	if _, err := s.Head(ctx, shop, id); err != nil {
		return nil, err
	}
	var rows []eventRow
	sel := s.read.NewSelect().Model(&rows).ExcludeColumn("inverse").Where("job = ?", id).OrderExpr("revision DESC").Limit(limit(most, 50, 500))
	if before > 0 {
		sel = sel.Where("revision < ?", before)
	}
	if err := sel.Scan(ctx); err != nil {
		return nil, explain(err)
	}
	out := make([]Event, len(rows))
	for i, r := range rows {
		out[i] = r.event()
	}
	return out, nil
}

// Revision gives the document as it was.
func (s *Store) Revision(ctx context.Context, shop, id string, revision int64) ([]byte, error) {
	at, err := s.whole(ctx, s.read, shop, id)
	if err != nil {
		return nil, err
	}
	if revision < 1 || revision > at.Revision {
		return nil, fmt.Errorf("revision %d: %w", revision, ErrNotFound)
	}
	document, from, err := s.nearest(ctx, at, revision)
	if err != nil {
		return nil, err
	}
	since, err := s.events(ctx, s.read, id, revision, from)
	if err != nil {
		return nil, err
	}
	return s.back(document, since)
}

// nearest gives the first whole document at or after a revision.
func (s *Store) nearest(ctx context.Context, at jobRow, revision int64) ([]byte, int64, error) {
	var rows []snapshotRow
	err := s.read.NewSelect().Model(&rows).Where("job = ?", at.ID).Where("revision >= ?", revision).Where("revision <= ?", at.Revision).
		OrderExpr("revision").Limit(1).Scan(ctx)
	if err != nil {
		return nil, 0, explain(err)
	}
	if len(rows) == 0 {
		return at.Document, at.Revision, nil
	}
	return []byte(rows[0].Document), rows[0].Revision, nil
}

// Difference lists where two revisions of a job differ.
func (s *Store) Difference(ctx context.Context, shop, id string, from, to int64) ([]change.Difference, error) {
	a, err := s.Revision(ctx, shop, id, from)
	if err != nil {
		return nil, err
	}
	b, err := s.Revision(ctx, shop, id, to)
	if err != nil {
		return nil, err
	}
	return change.Between(a, b), nil
}

// SetStage moves a job along its way.
func (s *Store) SetStage(ctx context.Context, who Who, id, stage string) (Job, error) {
	if !slices.Contains(Stages[:], stage) {
		return Job{}, fmt.Errorf("%w: there is no stage %q; there are %v", ErrRefused, plain(stage, mostName), Stages)
	}
	saved, err := s.save(ctx, who, id, 0, func(bun.IDB, jobRow) (step, error) {
		return step{kind: Staged, what: "Stage: " + stage, row: func(r *jobRow) { r.Stage = stage }}, nil
	})
	return saved.Job, err
}

// SetAside puts a job aside, or fetches it back.
func (s *Store) SetAside(ctx context.Context, who Who, id string, aside bool) (Job, error) {
	saved, err := s.save(ctx, who, id, 0, func(bun.IDB, jobRow) (step, error) {
		st := step{kind: Fetched, what: "Fetched back", aside: true, row: func(r *jobRow) { r.AsideAt = 0 }}
		if aside {
			st.kind, st.what, st.row = PutBy, "Put aside", func(r *jobRow) { r.AsideAt = r.ChangedAt }
		}
		return st, nil
	})
	return saved.Job, err
}

// News gives, for each job of which a revision is known, the events since, in
// order and without their patches. It asks only for what has moved.
func (s *Store) News(ctx context.Context, known map[string]int64) (map[string][]Event, error) {
	if len(known) == 0 {
		return nil, nil
	}
	var heads []jobRow
	if err := s.read.NewSelect().Model(&heads).Column("id", "revision").Where("id IN (?)", bun.List(slices.Collect(maps.Keys(known)))).Scan(ctx); err != nil {
		return nil, explain(err)
	}
	out := map[string][]Event{}
	for _, h := range heads {
		if h.Revision <= known[h.ID] {
			continue
		}
		var rows []eventRow
		err := s.read.NewSelect().Model(&rows).Column("job", "revision", "at", "by_name", "device", "kind", "what", "about").
			Where("job = ?", h.ID).Where("revision > ?", known[h.ID]).OrderExpr("revision").Limit(500).Scan(ctx)
		if err != nil {
			return nil, explain(err)
		}
		for _, r := range rows {
			out[h.ID] = append(out[h.ID], r.event())
		}
	}
	return out, nil
}
