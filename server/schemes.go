package server

import (
	"context"
	"net/http"
	"slices"
	"strings"

	"coilwright/course"
	"coilwright/job"
	"coilwright/price"
	"coilwright/store"
	"coilwright/trim"
)

type trimOut struct {
	Body struct {
		Walls  []TrimView `json:"walls"`
		Totals []TrimView `json:"totals"`
	}
}

func (s *Server) registerSchemes() {
	const tag, at = "schemes", "/api/jobs/{job}/schemes/{scheme}"
	lay := operation("GET", at+"/layout", "get-layout", tag, "A scheme laid out: every piece, and what to draw", 404)
	answers[SchemeLayout](s, &lay, "SchemeLayout")
	lay.Responses["304"] = notModified
	handle(s, lay, s.getLayout)
	run := operation("GET", at+"/run", "get-run", tag, "The machine's run: set-ups, coils, what to buy", 404)
	answers[RunView](s, &run, "RunView")
	run.Responses["304"] = notModified
	handle(s, run, s.getRun)
	compare := operation("GET", at+"/compare", "get-comparison", tag, "The scheme from coil beside box siding on the same walls", 404)
	answers[job.CompareAnswer](s, &compare, "CompareAnswer")
	compare.Responses["304"] = notModified
	handle(s, compare, s.getComparison)
	prices := operation("GET", "/api/jobs/{job}/price", "get-price", tag, "Quantities and price of every scheme", 404)
	answers[job.PriceAnswer](s, &prices, "PriceAnswer")
	prices.Responses["304"] = notModified
	handle(s, prices, s.getPrice)
	handle(s, operation("GET", at+"/trim", "get-trim", tag, "Trim, wall by wall and in all", 404), s.getTrim)
}

type SchemeIn struct {
	SchemePath
	IfNoneMatch string `header:"If-None-Match"`
}

// ofScheme answers with something worked out of a job that is sound.
func (s *Server) ofScheme(ctx context.Context, in *SchemeIn, key string, do func(*worked) (any, error)) (*kept, error) {
	j, done, err := s.worked(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	if same(in.IfNoneMatch, etag(j)) {
		return &kept{Status: 304, ETag: etag(j)}, nil
	}
	if err := done.sound(); err != nil {
		return nil, err
	}
	text, err := work(done, "text "+key+" "+in.Scheme, func() ([]byte, error) {
		v, err := do(done)
		if err != nil {
			return nil, err
		}
		return encoded(v)
	})
	out := keptJSON(text)
	out.ETag = etag(j)
	return out, err
}

func (s *Server) getLayout(ctx context.Context, in *SchemeIn) (*kept, error) {
	return s.ofScheme(ctx, in, "layout", func(w *worked) (any, error) { return s.schemeLayout(ctx, w, in.Scheme) })
}

// OnWordIn names who answers for cutting what is not fit to cut.
type OnWordIn struct {
	OnMyWord string `query:"on_my_word" maxLength:"200" doc:"Cut the pieces that are not fit to cut too; the name of who answers for that is recorded and printed"`
}

type runIn struct {
	SchemeIn
	OnWordIn
}

// getRun answers with the run and, before it, whether it is released: that may
// change while the job does not, so it stands in the tag too.
func (s *Server) getRun(ctx context.Context, in *runIn) (*kept, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	whole := *in
	whole.IfNoneMatch = ""
	by, err := s.spoken(ctx, w.Shop, in.Job, in.Scheme, in.OnMyWord)
	if err != nil {
		return nil, err
	}
	out, err := s.runText(ctx, &whole, by)
	if err != nil {
		return nil, err
	}
	v, _, err := s.releaseOf(ctx, w.Shop, in.Job, in.Scheme)
	if err != nil {
		return nil, err
	}
	text, err := encoded(v)
	if err != nil {
		return nil, err
	}
	if v.State != "unsigned" || by.digest != "" {
		out.ETag = strings.TrimSuffix(out.ETag, `"`) + "-" + store.Hash(append(text, by.digest...))[:12] + `"`
	}
	if same(in.IfNoneMatch, out.ETag) {
		return &kept{Status: http.StatusNotModified, ETag: out.ETag}, nil
	}
	out.Body = slices.Concat([]byte(`{"release":`), text, []byte(","), out.Body[1:])
	return out, nil
}

func (s *Server) runText(ctx context.Context, in *runIn, by spoken) (*kept, error) {
	return s.ofScheme(ctx, &in.SchemeIn, "run of "+by.digest+" of", func(w *worked) (any, error) {
		if _, err := w.job.Scheme(in.Scheme); err != nil {
			return nil, refuse(404, "The job has no scheme of that id.")
		}
		r, err := s.run(ctx, w, in.Scheme, by)
		if err != nil {
			return nil, err
		}
		slitting, err := s.slitting(ctx, w, in.Scheme, r.Layout)
		if err != nil {
			return nil, err
		}
		return w.job.RunAnswer(r, slitting), nil
	})
}

func (s *Server) getComparison(ctx context.Context, in *SchemeIn) (*kept, error) {
	return s.ofScheme(ctx, in, "compare", func(w *worked) (any, error) {
		if _, err := w.job.Scheme(in.Scheme); err != nil {
			return nil, refuse(404, "The job has no scheme of that id.")
		}
		return slow(ctx, w, "comparison "+in.Scheme, func() (job.CompareAnswer, error) {
			c, _, err := w.job.Compare(in.Scheme)
			if err != nil {
				return job.CompareAnswer{}, err
			}
			return w.job.CompareAnswer(c, false), nil
		})
	})
}

type jobIn struct {
	JobPath
	IfNoneMatch string `header:"If-None-Match"`
}

func (s *Server) getPrice(ctx context.Context, in *jobIn) (*kept, error) {
	whole := &SchemeIn{SchemePath: SchemePath{JobPath: in.JobPath}, IfNoneMatch: in.IfNoneMatch}
	return s.ofScheme(ctx, whole, "price", func(w *worked) (any, error) {
		return slow(ctx, w, "price", func() (job.PriceAnswer, error) { return priceOf(&w.job) })
	})
}

// priceOf prices every scheme of a job.
func priceOf(j *job.Job) (job.PriceAnswer, error) {
	var all []price.Estimate
	for _, sc := range j.Schemes {
		e, err := j.Price(sc.ID)
		if err != nil {
			return job.PriceAnswer{}, err
		}
		all = append(all, e)
	}
	return j.PriceAnswer(all)
}

// run plans the machine's run, once for each content. What it must know of the slitting
// it is given: it takes no turn while it waits for that, so that nobody waits for it.
func (s *Server) run(ctx context.Context, w *worked, id string, by spoken) (*job.RunResult, error) {
	l, err := s.schemeLayout(ctx, w, id)
	if err != nil {
		return nil, err
	}
	var flats []trim.Slitting
	if w.job.RunsFlats() {
		if flats, err = s.slitting(ctx, w, id, l.laid); err != nil {
			return nil, err
		}
	}
	return slow(ctx, w, "run "+id+" "+by.digest, func() (*job.RunResult, error) { return w.job.RunOf(l.laid, by.words, flats) })
}

// slitting plans the flat coil that a layout's trim is bent from, once for each content and
// once for all contents whose trim is the same, as long as somebody waits for it.
func (s *Server) slitting(ctx context.Context, w *worked, id string, l *course.Layout) ([]trim.Slitting, error) {
	return work(w, "slitting "+id, func() ([]trim.Slitting, error) { return w.job.SlitBy(ctx, l, w.desk.slits.ask) })
}

func (s *Server) getTrim(ctx context.Context, in *SchemePath) (*trimOut, error) {
	_, done, err := s.worked(ctx, in.Job)
	if err == nil {
		err = done.sound()
	}
	if err != nil {
		return nil, err
	}
	l, err := s.schemeLayout(ctx, done, in.Scheme)
	if err != nil {
		return nil, err
	}
	out := &trimOut{}
	out.Body.Walls, out.Body.Totals = l.Trim, l.totals
	return out, nil
}
