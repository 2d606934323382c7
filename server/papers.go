package server

import (
	"context"
	"fmt"
	"io"
	"net/url"
	"path"
	"strconv"
	"strings"
	"sync"

	"github.com/danielgtaylor/huma/v2"

	"coilwright/sheet"
	"coilwright/store"
)

// paperDesk draws papers. They are kept in the file store under the content that
// they show and the day, so that any server hands the same ones out.
type paperDesk struct {
	s  *Server
	mu sync.Mutex // one set at a time: each takes a processor for a while
}

// PaperView is one paper of a scheme.
type PaperView struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	Kind  string `json:"kind" enum:"pdf,svg,csv,xlsx"`
	Bytes int64  `json:"bytes"`
}

type papersOut struct {
	Body struct {
		Files []PaperView `json:"files"`
	}
}

// prefix is where the papers of a scheme stand; stamp tells one content and day
// from another.
func prefix(scheme string) string { return "papers/" + url.PathEscape(scheme) + "/" }

// stamp tells a content, a day, a release and who answers for the run from others.
func (p *paperDesk) stamp(j store.Job, release, word string) string {
	more := ""
	if release+word != "" {
		more = "-" + store.Hash([]byte(release + "\x00" + word))[:12]
	}
	return fmt.Sprintf("%s-r%d-%s%s/", j.Hash, j.Revision, p.s.now().Format("20060102"), more)
}

// set gives the papers of a scheme as the job stands, drawing them if need be; word
// is who answers for cutting what is not fit to cut.
func (p *paperDesk) set(ctx context.Context, job, scheme, word string) (at string, files []store.File, err error) {
	w, err := who(ctx)
	if err != nil {
		return "", nil, err
	}
	j, done, err := p.s.worked(ctx, job)
	if err == nil {
		err = done.sound()
	}
	if err != nil {
		return "", nil, err
	}
	if _, err := done.job.Scheme(scheme); err != nil {
		return "", nil, refuse(404, "The job has no scheme of that id.")
	}
	release, _, err := p.s.releaseOf(ctx, w.Shop, job, scheme)
	if err != nil {
		return "", nil, err
	}
	by, err := p.s.spoken(ctx, w.Shop, job, scheme, word)
	if err != nil {
		return "", nil, err
	}
	at = prefix(scheme) + p.stamp(j, release.Says, by.digest)
	if files, err = p.s.store.Files(ctx, w.Shop, job, at); err != nil || len(files) > 0 {
		return at, files, err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if files, err = p.s.store.Files(ctx, w.Shop, job, at); err != nil || len(files) > 0 {
		return at, files, err
	}
	if err := p.draw(ctx, w.Shop, j, done, scheme, by, at, release.Says); err != nil {
		return "", nil, err
	}
	files, err = p.s.store.Files(ctx, w.Shop, job, at)
	return at, files, err
}

// draw makes a set of papers in place of the scheme's older ones.
func (p *paperDesk) draw(ctx context.Context, shop string, j store.Job, w *worked, scheme string, by spoken, at, released string) error {
	r, err := p.s.run(ctx, w, scheme, by)
	if err != nil {
		return err
	}
	slitting, err := p.s.slitting(ctx, w, scheme, r.Layout)
	if err != nil {
		return err
	}
	seen, _, err := p.s.withPhotos(ctx, w, j.ID)
	if err != nil {
		return err
	}
	in, err := sheet.Of(seen, scheme, r, slitting)
	if err != nil {
		return err
	}
	in.Date, in.Revision, in.Release = p.s.now(), fmt.Sprint(j.Revision), released
	made, err := papersInTurn(ctx, w, in)
	if err != nil {
		return err
	}
	contents := make([]store.Content, len(made))
	for i, f := range made {
		contents[i] = store.Content{Name: at + f.Name, Media: mediaOf(f.Name), Bytes: f.Bytes}
	}
	return p.s.store.PutFiles(ctx, shop, j.ID, prefix(scheme), contents)
}

func papersInTurn(ctx context.Context, w *worked, in sheet.Input) ([]sheet.File, error) {
	release, err := turn(ctx, w.desk.slow)
	if err != nil {
		return nil, err
	}
	defer release()
	return sheet.Papers(in)
}

func (s *Server) registerPapers() {
	const tag, at = "papers", "/api/jobs/{job}/schemes/{scheme}/papers"
	handle(s, operation("GET", at, "list-papers", tag, "The papers of a scheme, in reading order", 404), s.listPapers)
	one := operation("GET", at+"/{name}", "get-paper", tag, "One paper", 404)
	one.Responses = binary("The paper: PDF, SVG, CSV or XLSX")
	handle(s, one, s.getPaper)
}

// binary describes an answer of any bytes.
func binary(what string) map[string]*huma.Response {
	return map[string]*huma.Response{"200": {Description: what, Content: map[string]*huma.MediaType{
		"application/octet-stream": {Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}},
	}}}
}

func (s *Server) listPapers(ctx context.Context, in *struct {
	SchemePath
	OnWordIn
},
) (*papersOut, error) {
	at, files, err := s.papers.set(ctx, in.Job, in.Scheme, in.OnMyWord)
	if err != nil {
		return nil, err
	}
	out := &papersOut{}
	out.Body.Files = []PaperView{}
	for _, f := range files {
		name := strings.TrimPrefix(f.Name, at)
		out.Body.Files = append(out.Body.Files, PaperView{name, paperTitle(name), strings.TrimPrefix(path.Ext(name), "."), f.Size})
	}
	return out, nil
}

// paperTitle turns a file's name into words.
func paperTitle(name string) string {
	words := strings.Fields(strings.ReplaceAll(strings.TrimSuffix(name, path.Ext(name)), "-", " "))
	if len(words) > 2 && words[0] == "wall" {
		words = append(words[:1], words[2:]...)
	}
	last := len(words) - 1
	if part, ok := strings.CutPrefix(words[last], "part"); ok && last > 0 {
		if n, err := strconv.Atoi(part); err == nil { // the first part has no number
			words[last-1] += ","
			words = append(words[:last], "part", strconv.Itoa(n+1))
		}
	}
	title := strings.Join(words, " ")
	return strings.ToUpper(title[:1]) + title[1:]
}

type fileOut struct {
	Type        string `header:"Content-Type"`
	Disposition string `header:"Content-Disposition"`
	Policy      string `header:"Content-Security-Policy"`
	ETag        string `header:"ETag"`
	Body        []byte
}

type paperIn struct {
	SchemePath
	OnWordIn
	Name     string `path:"name" maxLength:"200"`
	Download bool   `query:"download" doc:"Save it instead of showing it"`
}

func (s *Server) getPaper(ctx context.Context, in *paperIn) (*fileOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	at, _, err := s.papers.set(ctx, in.Job, in.Scheme, in.OnMyWord)
	if err != nil {
		return nil, err
	}
	return s.sendFile(ctx, w.Shop, in.Job, at+in.Name, in.Name, in.Download)
}

// drawingPolicy is for files that a browser shows by themselves: they run nothing
// and load nothing.
const drawingPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src 'self' data: blob:; font-src data:; object-src 'self'; frame-ancestors 'self'"

func (s *Server) sendFile(ctx context.Context, shop, job, name, called string, download bool) (*fileOut, error) {
	f, r, err := s.store.OpenFile(ctx, shop, job, name)
	if err != nil {
		return nil, err
	}
	defer r.Close() //nolint:errcheck // read only
	body, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", store.ErrNoFiles, err)
	}
	how := "inline"
	if download {
		how = "attachment"
	}
	return &fileOut{
		Type: f.Media, Policy: drawingPolicy, ETag: `"` + f.Hash + `"`, Body: body,
		Disposition: how + `; filename*=UTF-8''` + url.PathEscape(called),
	}, nil
}
