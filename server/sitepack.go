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
	labels := operation("GET", at+"/labels", "get-labels", tag, "Labels with QR codes, one for each piece or bundle, as PDF", 404)
	labels.Responses = binary("PDF")
	handle(s, labels, s.getLabels)
	handle(s, operation("GET", "/api/qr", "get-qr", tag, "A text as a QR code (ISO/IEC 18004)"), s.getQR)
}

func (s *Server) getSite(ctx context.Context, in *SchemeIn) (*kept, error) {
	done, p, err := s.pack(ctx, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	tag := etag(p.Revision)
	if same(in.IfNoneMatch, tag) {
		return &kept{Status: http.StatusNotModified, ETag: tag}, nil
	}
	text, err := work(done, fmt.Sprintf("text site %s %d %s", in.Job, p.Revision, in.Scheme), func() ([]byte, error) { return encoded(p) })
	out := keptJSON(text)
	out.ETag = tag
	return out, err
}

// pack gives the pack of a scheme as the job stands, worked out once for each revision.
func (s *Server) pack(ctx context.Context, id, scheme string) (*worked, *site.Pack, error) {
	j, done, err := s.worked(ctx, id)
	if err == nil {
		err = done.sound()
	}
	if err != nil {
		return nil, nil, err
	}
	if _, err := done.job.Scheme(scheme); err != nil {
		return nil, nil, refuse(http.StatusNotFound, "The job has no scheme of that id.")
	}
	r, err := s.run(ctx, done, scheme, "")
	if err != nil {
		return nil, nil, err
	}
	p, err := heavy(ctx, done, fmt.Sprintf("site %s %d %s", id, j.Revision, scheme), func() (*site.Pack, error) {
		p, err := site.Of(id, j.Revision, &done.job, r, s.codes)
		return &p, err
	})
	return done, p, err
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
	p, err := site.Of(in.Job, revision, &j, &job.RunResult{Layout: l}, s.codes)
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
	done, p, err := s.pack(ctx, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	r, err := s.run(ctx, done, in.Scheme, "")
	if err != nil {
		return nil, err
	}
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
	Per   string `query:"per" enum:"piece,bundle" default:"piece"`
	Wall  string `query:"wall" maxLength:"200"`
	Setup string `query:"setup" maxLength:"40"`
},
) (*fileOut, error) {
	_, p, err := s.pack(ctx, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	labels := p.Labels(in.Per == "bundle", in.Wall, in.Setup)
	if len(labels) == 0 {
		return nil, refuse(http.StatusNotFound, "No piece that is to be cut is of that wall and set-up.")
	}
	text, err := sheet.Labels(p.Title, s.now(), p.Units == "metric", labels)
	return pdfOut(text, "labels.pdf", false), err
}

// QRView is a code's modules, as pieces carry them.
type QRView struct {
	Text string `json:"text"`
	Size int    `json:"size" doc:"Modules a side, without the quiet zone of four"`
	Bits string `json:"bits" doc:"Base64, row by row, 1 is dark"`
	SVG  string `json:"svg"`
}

func (s *Server) getQR(ctx context.Context, in *struct {
	Text string `query:"text" minLength:"1" maxLength:"300" required:"true"`
},
) (*struct{ Body QRView }, error) {
	if _, err := who(ctx); err != nil {
		return nil, err
	}
	c, err := site.CodeOf(in.Text)
	return &struct{ Body QRView }{QRView{in.Text, len(c), c.Packed(), c.SVG(in.Text)}}, err
}
