package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"

	"coilwright/coil"
	"coilwright/job"
	"coilwright/sheet"
	"coilwright/site"
	"coilwright/store"
	"coilwright/tally"
)

func (s *Server) registerSite() {
	const tag, at = "site", "/api/jobs/{job}/schemes/{scheme}/site"
	pack := operation("GET", at, "get-site", tag, "All that a crew takes along of a scheme", 404)
	answers[site.Pack](s, &pack, "Pack")
	pack.Responses["304"] = notModified
	handle(s, pack, s.getSite)
	handle(s, operation("GET", at+"/progress", "get-progress", tag, "What is formed and hung, feet on the coils, the finish to be expected", 404), s.getProgress)
	handle(s, operation("GET", at+"/difference", "get-site-difference", tag, "Which pieces a re-lay changed since an older revision", 404), s.getSiteDifference)
	recut := operation("POST", at+"/recut", "recut", tag, "What spoiled pieces and short reels do to the rest of the run", 404)
	recut.DefaultStatus = http.StatusOK
	handle(s, recut, s.recut)
	labels := operation("GET", at+"/labels", "get-labels", tag, "Labels with QR codes, one for each piece, bundle or coil, as PDF", 404)
	labels.Responses = binary("PDF")
	handle(s, labels, s.getLabels)
}

// getSite answers with the pack and, in it, whether the scheme is released: that may
// change while the job does not, so it stands in the tag too.
func (s *Server) getSite(ctx context.Context, in *SchemeIn) (*kept, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	k, err := s.packed(ctx, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	v, _, err := s.releaseOf(ctx, w.Shop, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	whole := *k.pack
	whole.Release = site.PackRelease{State: v.State, Says: v.Says, Why: v.Why}
	state, err := json.Marshal([]any{whole.Release, k.words})
	if err != nil {
		return nil, err
	}
	tag := fmt.Sprintf(`"%d-%s"`, whole.Revision, store.Hash(state)[:12])
	if same(in.IfNoneMatch, tag) {
		return &kept{Status: http.StatusNotModified, ETag: tag}, nil
	}
	text, err := work(k.done, fmt.Sprintf("text site %s %s %s", in.Job, tag, in.Scheme), func() ([]byte, error) { return encoded(whole) })
	out := keptJSON(text)
	out.ETag = tag
	return out, err
}

// pack gives the pack of a scheme as the job stands.
func (s *Server) pack(ctx context.Context, id, scheme string) (*worked, *site.Pack, error) {
	k, err := s.packed(ctx, id, scheme)
	return k.done, k.pack, err
}

// packed is a scheme's pack with what it was made of. Words tells what is cut on
// somebody's word from other words, see [spoken].
type packed struct {
	done  *worked
	pack  *site.Pack
	run   *job.RunResult
	words string
}

// packed packs a scheme once for each revision and what is cut on somebody's word.
func (s *Server) packed(ctx context.Context, id, scheme string) (packed, error) {
	w, err := who(ctx)
	if err != nil {
		return packed{}, err
	}
	j, done, err := s.workedOf(ctx, w.Shop, id)
	if err == nil {
		err = done.sound()
	}
	if err != nil {
		return packed{}, err
	}
	if _, err := done.job.Scheme(scheme); err != nil {
		return packed{}, refuse(http.StatusNotFound, "The job has no scheme of that id.")
	}
	by, err := s.spoken(ctx, w.Shop, id, scheme, "")
	if err != nil {
		return packed{}, err
	}
	r, err := s.run(ctx, done, scheme, by)
	if err != nil {
		return packed{}, err
	}
	p, err := heavy(ctx, done, fmt.Sprintf("site %s %d %s %s", id, j.Revision, scheme, by.digest), func() (*site.Pack, error) {
		p, err := site.Of(id, j.Revision, &done.job, r)
		return &p, err
	})
	return packed{done, p, r, by.digest}, err
}

// seen gives all marks of a job, and the cursor after them.
func (s *Server) seen(ctx context.Context, shop, id string) (out []site.Seen, cursor string, err error) {
	for after := int64(0); ; {
		rows, err := s.store.Marks(ctx, shop, id, after, 20*mostGiven)
		if err != nil || len(rows) == 0 {
			return out, cursor, err
		}
		for _, r := range rows {
			m := site.Seen{Received: r.Received}
			if err := json.Unmarshal([]byte(r.Body), &m.Mark); err != nil {
				return nil, "", fmt.Errorf("mark %d of job %s cannot be read: %w", r.Seq, id, err)
			}
			out, after = append(out, m), r.Seq
			cursor = cursorOf(store.MarkHead{Seq: r.Seq, Chain: r.Chain})
		}
	}
}

func plainMarks(seen []site.Seen) []tally.Mark {
	out := make([]tally.Mark, len(seen))
	for i, m := range seen {
		out[i] = m.Mark
	}
	return out
}

func (s *Server) getProgress(ctx context.Context, in *SchemePath) (*struct{ Body site.Progress }, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	done, p, err := s.pack(ctx, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	seen, cursor, err := s.seen(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	here, err := s.photosHere(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	out := &struct{ Body site.Progress }{site.ProgressOf(p, &done.job, seen, here, s.now())}
	out.Body.Cursor = cursor
	return out, nil
}

// getSiteDifference lays the older revision out again; nothing of it need be kept.
func (s *Server) getSiteDifference(ctx context.Context, in *struct {
	SchemePath
	From int64 `query:"from" minimum:"1" required:"true" doc:"Revision of the pack that the crew has"`
},
) (*struct{ Body site.Relay }, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	done, now, err := s.pack(ctx, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	was, err := heavy(ctx, done, fmt.Sprintf("site %s was %d %s", in.Job, in.From, in.Scheme), func() (*site.Pack, error) {
		return s.packAt(ctx, w.Shop, in.SchemePath, in.From)
	})
	if err != nil {
		return nil, err
	}
	seen, _, err := s.seen(ctx, w.Shop, in.Job)
	return &struct{ Body site.Relay }{site.Differ(was, now, plainMarks(seen))}, err
}

// packAt is the pack of an older revision, without its coils.
func (s *Server) packAt(ctx context.Context, shop string, in SchemePath, revision int64) (*site.Pack, error) {
	text, err := s.store.Revision(ctx, shop, in.Job, revision)
	if err != nil {
		return nil, err
	}
	j, found := job.Parse("job", text, nil)
	if err := found.Err(); err != nil {
		return nil, refuse(http.StatusConflict, "The job could not be laid out at that revision: take the whole scheme along anew.")
	}
	l, err := j.Layout(in.Scheme, false)
	if err != nil {
		return nil, refuse(http.StatusConflict, "The scheme could not be laid out at that revision: take the whole scheme along anew.")
	}
	p, err := site.Of(in.Job, revision, &j, &job.RunResult{Layout: l})
	return &p, err
}

func (s *Server) recut(ctx context.Context, in *struct {
	SchemePath
	Body struct {
		Spoiled []string `json:"spoiled,omitempty" maxItems:"500" doc:"Keys of pieces spoiled just now, beside those that marks say"`
	}
},
) (*struct{ Body site.Recut }, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	k, err := s.packed(ctx, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	done, p, r := k.done, k.pack, k.run
	seen, _, err := s.seen(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	release, err := turn(ctx, done.desk.turns)
	if err != nil {
		return nil, err
	}
	defer release()
	out, err := site.RecutOf(&done.job, r, p, plainMarks(seen), in.Body.Spoiled)
	var bad *coil.SpoiledError
	if errors.As(err, &bad) {
		return nil, refuse(http.StatusUnprocessableEntity, capital(bad.Error())+".")
	}
	return &struct{ Body site.Recut }{out}, err
}

func (s *Server) getLabels(ctx context.Context, in *struct {
	SchemePath
	Per   string `query:"per" enum:"piece,bundle,coil" default:"piece"`
	Wall  string `query:"wall" maxLength:"200"`
	Setup string `query:"setup" maxLength:"40"`
},
) (*fileOut, error) {
	_, p, err := s.pack(ctx, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	var labels []site.Label
	if in.Per == "coil" {
		labels = p.CoilLabels()
	} else {
		labels = p.Labels(in.Per == "bundle", in.Wall, in.Setup)
	}
	if len(labels) == 0 {
		return nil, refuse(http.StatusNotFound, "No piece that is to be cut is of that wall and set-up.")
	}
	text, err := sheet.Labels(p.Title, s.now(), p.Units == "metric", labels)
	return pdfOut(text, "labels.pdf", false), err
}
