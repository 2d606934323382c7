package server

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"time"

	"coilwright/store"
	"coilwright/tally"
)

// photoName is a photo's name, drawn at random by the phone that took it.
var photoName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,90}$`)

// MarkPhotoPath names a photo that is pinned to a mark.
type MarkPhotoPath struct {
	JobPath
	Name string `path:"name" maxLength:"91" pattern:"^[A-Za-z0-9][A-Za-z0-9._-]{0,90}$"`
}

// MarkPhotoView is a photo that is kept.
type MarkPhotoView struct {
	Name  string `json:"name"`
	Bytes int64  `json:"bytes"`
	Hash  string `json:"hash"`
}

// markPhotos is where they stand among a job's files.
const markPhotos = "marks/"

func (s *Server) registerMarkPhotos() {
	const tag, at = "site", "/api/jobs/{job}/marks/photos/{name}"
	put := operation("PUT", at, "put-mark-photo", tag, "Keep a photo that a mark names; the same again does no harm", 404, 409, 413, 415)
	put.MaxBodyBytes, put.BodyReadTimeout, put.DefaultStatus = mostFile, time.Minute, http.StatusOK
	handle(s, put, s.putMarkPhoto)
	get := operation("GET", at, "get-mark-photo", tag, "A photo that a mark names", 404)
	get.Responses = binary("The photo as it was taken")
	handle(s, get, s.getMarkPhoto)
}

// kindOf says by its first bytes whether a file is a photo that is kept.
func kindOf(data []byte) string {
	switch media := http.DetectContentType(data); media {
	case "image/jpeg", "image/png", "image/webp":
		return media
	}
	return ""
}

func (s *Server) putMarkPhoto(ctx context.Context, in *struct {
	MarkPhotoPath
	RawBody []byte `contentType:"application/octet-stream" required:"true"`
},
) (*struct{ Body MarkPhotoView }, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	media := kindOf(in.RawBody)
	if media == "" {
		return nil, refuse(http.StatusUnsupportedMediaType, "This is no photo that can be kept: take it as JPEG, PNG or WebP.")
	}
	out := &struct{ Body MarkPhotoView }{MarkPhotoView{in.Name, int64(len(in.RawBody)), store.Hash(in.RawBody)}}
	had, err := s.store.Files(ctx, w.Shop, in.Job, markPhotos+in.Name)
	if err != nil {
		return nil, err
	}
	for _, f := range had {
		switch {
		case f.Name != markPhotos+in.Name: // one whose name begins alike
		case f.Hash == out.Body.Hash:
			return out, nil
		default:
			return nil, refuse(http.StatusConflict, "Another photo has this name, and photos of a site are never replaced. Keep yours under a new name and mark it again.")
		}
	}
	c := store.Content{Name: markPhotos + in.Name, Media: media, Bytes: bytes.Clone(in.RawBody)}
	return out, s.store.PutFiles(ctx, w.Shop, in.Job, "", []store.Content{c})
}

func (s *Server) getMarkPhoto(ctx context.Context, in *MarkPhotoPath) (*fileOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	return s.sendFile(ctx, w.Shop, in.Job, markPhotos+in.Name, in.Name, false)
}

// photosHere are the names of the photos that are kept.
func (s *Server) photosHere(ctx context.Context, shop, job string) (map[string]bool, error) {
	files, err := s.store.Files(ctx, shop, job, markPhotos)
	out := map[string]bool{}
	for _, f := range files {
		out[strings.TrimPrefix(f.Name, markPhotos)] = true
	}
	return out, err
}

// photosWanted are those that marks name and that are not here.
func (s *Server) photosWanted(ctx context.Context, shop, job string, marks []tally.Mark) ([]string, error) {
	out := []string{}
	if !slices.ContainsFunc(marks, func(m tally.Mark) bool { return m.Photo != "" }) {
		return out, nil
	}
	here, err := s.photosHere(ctx, shop, job)
	for _, m := range marks {
		if m.Photo != "" && !here[m.Photo] && !slices.Contains(out, m.Photo) {
			out = append(out, m.Photo)
		}
	}
	return out, err
}

func isNotFound(err error) bool { return errors.Is(err, store.ErrNotFound) }
