package server

import (
	"context"
	"fmt"

	"coilwright/job"
	"coilwright/photo"
	"coilwright/store"
)

// photoDesk holds photos as they were decoded and what was made of them, by the
// hash of the file: a file put in another's place is another photo here.
type photoDesk struct {
	decoded  *shelf[photo.Picture]
	views    *shelf[[]byte] // JPEG, smaller
	proposed *shelf[*ProposalsView]
	turns    chan struct{} // a picture of 64 million pixels takes half a gigabyte for a while
}

// Bounds of the desk of photos: a picture of 12 megapixels takes 48 MB.
const (
	mostDecodedBytes = 256 << 20
	mostDecoded      = 3
	mostViewBytes    = 24 << 20
	mostViews        = 60
	mostProposed     = 50 // some 20 kB each
)

func newPhotoDesk() *photoDesk {
	return &photoDesk{
		decoded:  newShelf(mostDecodedBytes, mostDecoded, func(p photo.Picture) int { return len(p.Image.Pix) }),
		views:    newShelf(mostViewBytes, mostViews, func(b []byte) int { return len(b) }),
		proposed: newShelf(mostProposed, mostProposed, func(*ProposalsView) int { return 1 }),
		turns:    make(chan struct{}, 1),
	}
}

// shot is one photo of a job: its entry and its file as it stands now.
type shot struct {
	s         *Server
	shop, job string
	entry     job.Photo
	file      store.File
}

// shot finds a photo of a job by its id.
func (s *Server) shot(ctx context.Context, id, photoID string) (shot, error) {
	w, err := who(ctx)
	if err != nil {
		return shot{}, err
	}
	_, done, err := s.worked(ctx, id)
	if err != nil {
		return shot{}, err
	}
	for _, p := range done.job.Photos {
		if p.ID == photoID {
			f, err := s.keptFile(ctx, w.Shop, id, p.File)
			return shot{s, w.Shop, id, p, f}, err
		}
	}
	return shot{}, refuse(404, "The job has no photo of that id.")
}

// picture gives the photo decoded and upright.
func (p shot) picture(ctx context.Context) (photo.Picture, error) {
	return p.s.photos.decoded.get(p.file.Hash, func() (photo.Picture, error) {
		ctx := context.WithoutCancel(ctx) // others wait for the same
		_, data, err := p.s.keptBytes(ctx, p.shop, p.job, p.entry.File)
		if err != nil {
			return photo.Picture{}, err
		}
		release, err := turn(ctx, p.s.photos.turns)
		if err != nil {
			return photo.Picture{}, err
		}
		defer release()
		return photo.Decode(data)
	})
}

// view gives the photo as a JPEG of at most so many pixels' width, which tells
// nothing but what is seen.
func (p shot) view(ctx context.Context, width int) ([]byte, error) {
	return p.s.photos.views.get(fmt.Sprintf("%s %d", p.file.Hash, width), func() ([]byte, error) {
		whole, err := p.picture(ctx)
		if err != nil {
			return nil, err
		}
		return whole.Smaller(width).ForSharing()
	})
}
