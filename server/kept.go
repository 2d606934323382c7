package server

import (
	"context"
	"fmt"
	"io"
	"strings"

	"coilwright/job"
	"coilwright/store"
)

// open serves the files that somebody added to a job by the names that its document
// gives: house.photos[].file, marks, masks. What is worked out of such a file must be
// kept under the file's hash too (keptFile), for a file may be put in another's place
// while the document stays as it is. The desk itself reads jobs without files: a
// job here holds its book, and photos are read where one is asked for.
func (s *Server) open(ctx context.Context, shop, id string) job.Open {
	return func(relative string) ([]byte, error) {
		_, data, err := s.keptBytes(ctx, shop, id, relative)
		return data, err
	}
}

// keptFile finds a job's added file without reading it.
func (s *Server) keptFile(ctx context.Context, shop, id, name string) (store.File, error) {
	f, r, err := s.openKept(ctx, shop, id, name)
	if err == nil {
		r.Close() //nolint:errcheck // read only
	}
	return f, err
}

// keptBytes reads a job's added file whole.
func (s *Server) keptBytes(ctx context.Context, shop, id, name string) (store.File, []byte, error) {
	f, r, err := s.openKept(ctx, shop, id, name)
	if err != nil {
		return f, nil, err
	}
	defer r.Close() //nolint:errcheck // read only
	data, err := io.ReadAll(io.LimitReader(r, mostFile+1))
	if err != nil {
		return f, nil, fmt.Errorf("%w: %w", store.ErrNoFiles, err)
	}
	return f, data, nil
}

func (s *Server) openKept(ctx context.Context, shop, id, name string) (store.File, io.ReadCloser, error) {
	name = strings.TrimPrefix(name, "./")
	if !fileName.MatchString(name) {
		return store.File{}, nil, store.ErrNotFound
	}
	return s.store.OpenFile(ctx, shop, id, added+name)
}
