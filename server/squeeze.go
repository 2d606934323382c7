package server

import (
	"compress/gzip"
	"io"
	"net/http"
	"strings"
	"sync"
)

// worthSqueezing is the size in bytes from which an answer is compressed.
const worthSqueezing = 2048

// squeezed compresses answers of text for those who take gzip. Who asks from this
// machine waits longer for the squeezing than for the wire; a proxy here squeezes
// by itself.
func squeezed(next http.Handler) http.Handler {
	writers := &sync.Pool{New: func() any {
		z, _ := gzip.NewWriterLevel(io.Discard, gzip.BestSpeed)
		return z
	}}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") || r.Header.Get("Range") != "" || isHere(r.RemoteAddr) {
			next.ServeHTTP(w, r)
			return
		}
		q := &squeezer{ResponseWriter: w, pool: writers}
		defer q.finish()
		next.ServeHTTP(q, r)
	})
}

// squeezer decides at the first write: one piece of JSON, text or SVG that is large
// enough is compressed; anything else passes.
type squeezer struct {
	http.ResponseWriter
	pool    *sync.Pool
	z       *gzip.Writer
	status  int
	decided bool
}

// Unwrap serves http.ResponseController.
func (q *squeezer) Unwrap() http.ResponseWriter { return q.ResponseWriter }

func (q *squeezer) WriteHeader(status int) {
	if q.status == 0 {
		q.status = status
	}
}

func (q *squeezer) Write(b []byte) (int, error) {
	q.decide(b)
	if q.z != nil {
		return q.z.Write(b)
	}
	return q.ResponseWriter.Write(b)
}

func (q *squeezer) decide(b []byte) {
	if q.decided {
		return
	}
	q.decided = true
	h := q.Header()
	if textual(h.Get("Content-Type")) && h.Get("Content-Encoding") == "" {
		h.Add("Vary", "Accept-Encoding")
		if len(b) >= worthSqueezing {
			h.Set("Content-Encoding", "gzip")
			h.Del("Content-Length")
			q.z = q.pool.Get().(*gzip.Writer)
			q.z.Reset(q.ResponseWriter)
		}
	}
	if q.status != 0 {
		q.ResponseWriter.WriteHeader(q.status)
	}
}

// FlushError sends what is written so far.
func (q *squeezer) FlushError() error {
	q.decide(nil)
	return http.NewResponseController(q.ResponseWriter).Flush()
}

func (q *squeezer) finish() {
	q.decide(nil)
	if q.z != nil {
		q.z.Close() //nolint:errcheck // the asker has gone
		q.z.Reset(io.Discard)
		q.pool.Put(q.z)
	}
}

func textual(media string) bool {
	media, _, _ = strings.Cut(media, ";")
	switch media {
	case "application/json", "application/problem+json", "image/svg+xml", "application/javascript", "application/manifest+json", "application/wasm":
		return true
	}
	return strings.HasPrefix(media, "text/") && media != "text/event-stream"
}
