// Package server serves jobs over HTTP: the API described by OpenAPI 3.1, sessions,
// live news of changes, and the page. Layouts, runs and papers are worked out here
// through package job; the page works nothing out. Nothing is kept in a process
// that another process on the same database would miss.
package server

import (
	"log/slog"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/danielgtaylor/huma/v2"

	"coilwright/store"
	"coilwright/web"
)

// Config is what a server needs.
type Config struct {
	Store *store.Store
	// Open says that only this machine can reach the server: until there is an
	// account, whoever uses the machine may use it.
	Open bool
	// HTTPS says that the page is reached over HTTPS, through a proxy.
	HTTPS   bool
	Version string
	Log     *slog.Logger
	Now     func() time.Time
}

// CollectAt is the heap's growth in per cent at which a program that serves should
// collect its garbage (runtime/debug.SetGCPercent): what is kept is small beside what
// an edit throws away, and a collection takes a processor from whoever waits.
const CollectAt = 400

// Server answers requests. Make it with New and Close it at the end.
type Server struct {
	store    *store.Store
	unlocked bool // only this machine reaches it: see Config.Open
	version  string
	log      *slog.Logger
	now      func() time.Time
	sessions *scs.SessionManager
	accounts accountsKnown
	desk     *desk
	photos   *photoDesk
	news     *hub
	papers   *paperDesk
	pictured *pictureDesk
	hashing  chan struct{} // each password check takes 64 MiB
	api      huma.API
	handler  http.Handler
}

// New makes a server.
func New(c Config) *Server {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	s := &Server{
		store: c.Store, unlocked: c.Open, version: c.Version, log: c.Log, now: c.Now,
		desk: newDesk(), pictured: newPictureDesk(), hashing: make(chan struct{}, 2),
	}
	s.news = newHub(s)
	s.papers = &paperDesk{s: s}
	s.photos = newPhotoDesk()
	s.sessions = newSessions(c.Store, c.HTTPS)
	mux := http.NewServeMux()
	s.api = newAPI(mux, c.Version)
	s.register()
	s.handler = s.routes(mux)
	return s
}

// Close ends the live answers.
func (s *Server) Close() { s.news.close() }

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// routes puts the guards before the API and the page behind it.
func (s *Server) routes(api *http.ServeMux) http.Handler {
	var paper http.Handler = http.HandlerFunc(serveNotBuilt)
	if page, built := web.Page(); built {
		paper = servePage(page)
	}
	guarded := s.sessions.LoadAndSave(s.known(orProblem(api)))
	all := http.NewServeMux()
	all.Handle("/api/", guarded)
	all.Handle("GET /openapi.json", api)
	all.Handle("/", paper)
	return s.recovered(headers(s.fromHere(crossSite(squeezed(all)))))
}

// HasPage says whether the program was built with its page.
func HasPage() bool {
	_, built := web.Page()
	return built
}
