package server

import (
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"runtime/debug"
	"strings"
)

// Policy for what the page may load: nothing from elsewhere, no script in the
// document itself, nor style.
const policy = "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; " +
	"font-src 'self'; connect-src 'self'; worker-src 'self'; frame-src 'self' blob:; object-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'self'"

// headers sets what every answer carries.
func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "SAMEORIGIN")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "geolocation=(), microphone=(), payment=()")
		if strings.HasPrefix(r.URL.Path, "/api/") {
			h.Set("Cache-Control", "no-store")
		}
		next.ServeHTTP(w, r)
	})
}

// ownHeader is what only our own page sends: a browser does not let another site
// add it without asking first, and we never allow it.
const ownHeader, ownValue = "X-Coilwright", "page"

// crossSite refuses requests that another site made a browser send.
func crossSite(next http.Handler) http.Handler {
	origin := http.NewCrossOriginProtection()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodGet || r.Method == http.MethodHead {
			next.ServeHTTP(w, r)
			return
		}
		if err := origin.Check(r); err != nil {
			refuse(http.StatusForbidden, "This request came from another site.").write(w)
			return
		}
		if r.Header.Get(ownHeader) != ownValue {
			refuse(http.StatusForbidden, "A request that changes something needs the header "+ownHeader+": "+ownValue+".").write(w)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// personHeader names whose change a request carries, percent-encoded: a page may have
// waited with it while somebody else signed in, and nobody's change goes under another's
// name. Who asks is read in the same request, so that nothing can come between.
const personHeader = "X-Coilwright-Person"

// otherPerson is the title of that refusal, by which a page knows it.
const otherPerson = "Somebody else is signed in"

// isOf refuses a change that is another person's than who asks.
func (a asker) isOf(header string) error {
	whose, err := url.PathUnescape(header)
	switch {
	case header == "" || a.ID == "" || err == nil && whose == a.Name:
		return nil // where nobody is signed in, who refuses
	case err != nil:
		return refuse(http.StatusBadRequest, "The header "+personHeader+" is a name, percent-encoded.")
	}
	p := refuse(http.StatusUnauthorized, fmt.Sprintf("%s is signed in now, and what waits here is %s’s.", a.Name, whose))
	p.Title = otherPerson
	return p
}

// fromHere refuses names that are not this machine's while nobody has to sign in:
// else a foreign site could point its own name at this machine and read along.
func (s *Server) fromHere(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if s.unlocked && !isHere(r.Host) {
			refuse(http.StatusMisdirectedRequest, "This server answers only to localhost and to this machine's own number.").write(w)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// isHere says whether a Host header names this machine.
func isHere(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	if host = strings.ToLower(strings.Trim(host, "[]")); host == "localhost" || strings.HasSuffix(host, ".localhost") {
		return true
	}
	at, err := netip.ParseAddr(host)
	return err == nil && at.IsLoopback()
}

// recovered turns a mistake of the program into an answer.
func (s *Server) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			switch wrong := recover(); wrong {
			case nil:
			case http.ErrAbortHandler:
				panic(wrong)
			default:
				s.log.Error("panic", "error", wrong, "path", r.URL.Path, "stack", string(debug.Stack()))
				refuse(http.StatusInternalServerError, "This program made a mistake. What was saved before is safe.").write(w)
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// orProblem says in our way what the mux says in words: that there is no such path,
// or not by this method.
func orProblem(mux *http.ServeMux) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h, pattern := mux.Handler(r)
		if pattern != "" {
			mux.ServeHTTP(w, r)
			return
		}
		said := &statusOnly{header: http.Header{}}
		h.ServeHTTP(said, r)
		detail := "There is no such place in the API; see /openapi.json."
		switch {
		case said.status == http.StatusMethodNotAllowed:
			w.Header().Set("Allow", said.header.Get("Allow"))
			detail = "This is not done by " + r.Method + "; " + said.header.Get("Allow") + " is."
		case said.status < http.StatusBadRequest: // a path that the mux would tidy up
			said.status = http.StatusNotFound
		}
		refuse(said.status, detail).write(w)
	})
}

// statusOnly hears what a handler would answer.
type statusOnly struct {
	header http.Header
	status int
}

func (s *statusOnly) Header() http.Header         { return s.header }
func (s *statusOnly) WriteHeader(status int)      { s.status = status }
func (s *statusOnly) Write(b []byte) (int, error) { return len(b), nil }
