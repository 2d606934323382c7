package server

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"coilwright/store"
)

// hub tells open pages what was changed. It looks into the database, so that a
// change made through any other server is told as well; a change made through this
// one makes it look at once.
type hub struct {
	s      *Server
	mu     sync.Mutex
	seats  map[*seat]bool
	kick   chan struct{}
	closed chan struct{}
	once   sync.Once
}

// seat is one page that listens to a job. last is the newest revision it was told of.
type seat struct {
	job    string
	last   int64
	marked string // cursor of the marks it was told of
	news   chan store.Event
	marks  chan string
}

// How often the database is looked into, how often a silent line is kept alive, and
// how many pages may listen to one server.
const (
	lookEvery = 300 * time.Millisecond
	beatEvery = 15 * time.Second
	mostSeats = 2000
)

func newHub(s *Server) *hub {
	h := &hub{s: s, seats: map[*seat]bool{}, kick: make(chan struct{}, 1), closed: make(chan struct{})}
	go h.run()
	return h
}

func (h *hub) close() { h.once.Do(func() { close(h.closed) }) }

// look asks for a look at once.
func (h *hub) look() {
	select {
	case h.kick <- struct{}{}:
	default:
	}
}

func (h *hub) run() {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-h.closed:
			return
		case <-tick.C:
		case <-h.kick:
		}
		h.tell()
	}
}

// tell hands each listener what it has not heard.
func (h *hub) tell() {
	known := h.known()
	if len(known) == 0 {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	news, err := h.s.store.News(ctx, known)
	if err != nil {
		h.s.log.Warn("looking for news", "error", err)
		return
	}
	heads, err := h.s.store.MarkHeads(ctx, slices.Collect(maps.Keys(known)))
	if err != nil {
		h.s.log.Warn("looking for marks", "error", err)
		return
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	for at := range h.seats {
		at.hear(news[at.job])
		at.hearMarks(cursorOf(heads[at.job]))
	}
}

// hearMarks hands the newest cursor over, once.
func (at *seat) hearMarks(cursor string) {
	if cursor == at.marked {
		return
	}
	select {
	case at.marks <- cursor:
		at.marked = cursor
	default: // the page has not read the one before; next time
	}
}

// hear hands events over until the page's queue is full; the rest comes next time.
func (at *seat) hear(events []store.Event) {
	for _, e := range events {
		if e.Revision <= at.last {
			continue
		}
		select {
		case at.news <- e:
			at.last = e.Revision
		default:
			return
		}
	}
}

// known gives for each job the oldest revision that a listener was told of.
func (h *hub) known() map[string]int64 {
	h.mu.Lock()
	defer h.mu.Unlock()
	out := map[string]int64{}
	for at := range h.seats {
		if r, ok := out[at.job]; !ok || at.last < r {
			out[at.job] = at.last
		}
	}
	return out
}

func (h *hub) sit(job string, last int64, marked string) (*seat, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(h.seats) >= mostSeats {
		return nil, false
	}
	at := &seat{job: job, last: last, marked: marked, news: make(chan store.Event, 64), marks: make(chan string, 1)}
	h.seats[at] = true
	return at, true
}

func (h *hub) leave(at *seat) {
	h.mu.Lock()
	delete(h.seats, at)
	h.mu.Unlock()
}

// NewsView is one event on the wire.
type NewsView struct {
	Revision int64  `json:"revision"`
	Tag      string `json:"tag,omitempty"` // with hello
	By       string `json:"by"`
	What     string `json:"what"`
	Kind     string `json:"kind"`
	Marks    string `json:"marks,omitempty"` // with hello: the cursor of the crews' marks
}

// MarksView says that crews marked something; cursor is where their marks stand.
type MarksView struct {
	Cursor string `json:"cursor"`
}

func (s *Server) registerLive() {
	op := operation("GET", "/api/jobs/{job}/live", "live", "changes", "Changes as they are made: events hello, revision and marks", 404)
	op.Responses = map[string]*huma.Response{"200": {Description: "Server-sent events; data is JSON", Content: map[string]*huma.MediaType{
		"text/event-stream": {Schema: &huma.Schema{Type: huma.TypeString}},
	}}}
	handle(s, op, s.live)
}

type liveIn struct {
	JobPath
	Last string `header:"Last-Event-ID" doc:"The last event's id, after a break"`
}

func (s *Server) live(ctx context.Context, in *liveIn) (*huma.StreamResponse, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	head, err := s.store.Head(ctx, w.Shop, in.Job)
	if err != nil {
		return nil, err
	}
	last := head.Revision
	if n, err := strconv.ParseInt(in.Last, 10, 64); err == nil && n > 0 && n < last {
		last = n
	}
	marks, err := s.store.MarkAt(ctx, w.Shop, in.Job, -1)
	if err != nil {
		return nil, err
	}
	at, ok := s.news.sit(in.Job, last, cursorOf(marks))
	if !ok {
		return nil, refuse(http.StatusServiceUnavailable, "Too many pages listen to this server.")
	}
	return &huma.StreamResponse{Body: func(hc huma.Context) {
		defer s.news.leave(at)
		_, rw := humago.Unwrap(hc)
		s.stream(hc.Context(), rw, at, head)
	}}, nil
}

// stream writes events until the page goes or the server stops.
func (s *Server) stream(ctx context.Context, w http.ResponseWriter, at *seat, head store.Job) {
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("X-Accel-Buffering", "no")
	http.NewResponseController(w).SetReadDeadline(time.Time{}) //nolint:errcheck // else the line ends with the server's patience, and the page comes again
	send := sender(w)
	if send("hello", head.Revision, NewsView{Revision: head.Revision, Tag: tagOf(head), By: head.ChangedBy, Marks: at.marked}) != nil {
		return
	}
	beat := time.NewTicker(beatEvery)
	defer beat.Stop()
	for {
		var err error
		select {
		case <-ctx.Done():
			return
		case <-s.news.closed:
			return
		case e := <-at.news:
			err = send("revision", e.Revision, NewsView{Revision: e.Revision, By: e.By, What: e.What, Kind: string(e.Kind)})
		case c := <-at.marks:
			err = send("marks", 0, MarksView{c})
		case <-beat.C:
			err = send("", 0, nil)
		}
		if err != nil {
			return
		}
	}
}

// sender writes one event at a time and sends it off; an empty name is a comment
// that keeps the line open. Without an id an event is nothing to go on from.
func sender(w http.ResponseWriter) func(name string, id int64, v any) error {
	control := http.NewResponseController(w)
	return func(name string, id int64, v any) error {
		control.SetWriteDeadline(time.Now().Add(2 * beatEvery)) //nolint:errcheck // where it is not to be had, the server's own holds
		text := ": here\n\n"
		if name != "" {
			data, err := json.Marshal(v)
			if err != nil {
				return err
			}
			text = fmt.Sprintf("event: %s\ndata: %s\n\n", name, data)
			if id > 0 {
				text = fmt.Sprintf("id: %d\n%s", id, text)
			}
		}
		if _, err := w.Write([]byte(text)); err != nil {
			return err
		}
		return control.Flush()
	}
}
