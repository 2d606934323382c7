package server

import (
	"context"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"time"

	"coilwright/store"
)

// FileView is a file that somebody added to a job.
type FileView struct {
	Name  string    `json:"name"`
	Media string    `json:"media"`
	Bytes int64     `json:"bytes"`
	Hash  string    `json:"hash"`
	At    time.Time `json:"at"`
}

type filesOut struct {
	Body struct {
		Files []FileView `json:"files"`
	}
}

type FilePath struct {
	JobPath
	Name string `path:"name" maxLength:"100" pattern:"^[A-Za-z0-9][A-Za-z0-9._ -]*$" doc:"Letters, digits, points, hyphens and blanks"`
}

// mostFile is the size of one photo.
const mostFile = 40 << 20

// added is where files that people add stand.
const added = "added/"

// taken are the kinds of files that may be added: none of them runs in a browser.
var taken = []string{"image/jpeg", "image/png", "image/webp", "image/heic", "image/heif", "application/pdf", "text/csv", "application/json"}

func (s *Server) registerFiles() {
	const tag, at = "files", "/api/jobs/{job}/files"
	handle(s, operation("GET", at, "list-files", tag, "Photos and other files of a job", 404), s.listFiles)
	put := operation("PUT", at+"/{name}", "put-file", tag, "Add a file, or put another in its place", 404, 413, 415)
	put.MaxBodyBytes, put.BodyReadTimeout = mostFile, time.Minute
	put.DefaultStatus = http.StatusOK
	handle(s, put, s.putFile)
	get := operation("GET", at+"/{name}", "get-file", tag, "One file", 404)
	get.Responses = binary("The file as it was added")
	handle(s, get, s.getFile)
	handle(s, operation("DELETE", at+"/{name}", "remove-file", tag, "Take a file away", 404), s.removeFile)
}

func (s *Server) listFiles(ctx context.Context, in *JobPath) (*filesOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	files, err := s.store.Files(ctx, w.Shop, in.Job, added)
	if err != nil {
		return nil, err
	}
	out := &filesOut{}
	out.Body.Files = []FileView{}
	for _, f := range files {
		out.Body.Files = append(out.Body.Files, FileView{strings.TrimPrefix(f.Name, added), f.Media, f.Size, f.Hash, f.At})
	}
	return out, nil
}

type putFileIn struct {
	FilePath
	ContentType string `header:"Content-Type"`
	RawBody     []byte `contentType:"application/octet-stream" required:"true"`
}

type putFileOut struct{ Body FileView }

func (s *Server) putFile(ctx context.Context, in *putFileIn) (*putFileOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	media, _, _ := strings.Cut(strings.ToLower(in.ContentType), ";")
	if media = strings.TrimSpace(media); !slices.Contains(taken, media) {
		return nil, refuse(http.StatusUnsupportedMediaType, "Files of this kind are not kept; these are: "+strings.Join(taken, ", ")+".")
	}
	c := store.Content{Name: added + in.Name, Media: media, Bytes: in.RawBody}
	if err := s.store.PutFiles(ctx, w.Shop, in.Job, "", []store.Content{c}); err != nil {
		return nil, err
	}
	return &putFileOut{FileView{in.Name, media, int64(len(c.Bytes)), store.Hash(c.Bytes), s.now()}}, nil
}

var fileName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._ -]*$`)

func (s *Server) getFile(ctx context.Context, in *struct {
	FilePath
	Download bool `query:"download"`
},
) (*fileOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	if !fileName.MatchString(in.Name) {
		return nil, store.ErrNotFound
	}
	return s.sendFile(ctx, w.Shop, in.Job, added+in.Name, in.Name, in.Download)
}

func (s *Server) removeFile(ctx context.Context, in *FilePath) (*struct{}, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	return &struct{}{}, s.store.RemoveFile(ctx, w.Shop, in.Job, added+in.Name)
}
