package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"net/http"

	"coilwright/picture"
	"coilwright/store"
)

// pictureDesk keeps photos made ready and pictures painted, each within bounds: all
// of it can be worked out again.
type pictureDesk struct {
	ready *shelf[*picture.Fitted]
	files *shelf[[]byte]
}

// Bounds of the picture desk, in bytes and in number: two photos of 12 megapixels made
// ready, or a dozen for a screen; pictures for a screen take about 400 kB.
const (
	mostReady      = 320 << 20
	mostReadyCount = 12
	mostPainted    = 48 << 20
	mostPaintedAll = 400
)

func newPictureDesk() *pictureDesk {
	return &pictureDesk{
		ready: newShelf(mostReady, mostReadyCount, bytesOfFitted),
		files: newShelf(mostPainted, mostPaintedAll, func(b []byte) int { return len(b) }),
	}
}

// bytesOfFitted is about what a photo made ready holds: four bytes a pixel of the
// photo, one of the mask, and up to five of what was found of its walls (measured:
// 96 MB for 12 megapixels of wall, with something in front in every strip).
func bytesOfFitted(f *picture.Fitted) int {
	b := f.Prepared.Bounds()
	return 10*b.Dx()*b.Dy() + len(f.Original)
}

// fitted is the photo made ready at the width that is asked for, once for what it
// follows from: its files, its entry, and the house. A scheme is not part of that.
func (s *Server) fitted(ctx context.Context, a *pictureAsk) (*picture.Fitted, error) {
	house, err := work(a.done, "house text", func() ([]byte, error) { return json.Marshal(a.done.job.House) })
	if err != nil {
		return nil, err
	}
	width, err := s.fitWidth(ctx, a)
	if err != nil {
		return nil, err
	}
	key := store.Hash(fmt.Appendf(nil, "%d %s\n%s\n%s", width, a.file, a.entry.Raw, house))
	return shelvedFor(ctx, s.pictured.ready, key, func() (*picture.Fitted, error) {
		return unlessGone(ctx, a.done.desk.slow, func() (*picture.Fitted, error) {
			f, err := picture.FitAt(&a.done.job, a.entry, s.open(context.WithoutCancel(ctx), a.shop, a.job), width)
			return f, fitRefusal(err)
		})
	})
}

// fitWidth is the width that a photo is made ready at: a screen's, which for a small
// photo is its own, or 0 for its own.
func (s *Server) fitWidth(ctx context.Context, a *pictureAsk) (int, error) {
	if a.width > 0 && a.width <= usualWidth {
		return usualWidth, nil
	}
	own, _, err := s.sizeOf(ctx, a)
	if err == nil && own <= usualWidth {
		return usualWidth, nil
	}
	return 0, err
}

// fitRefusal says why a photo cannot wear anything: all that Fit finds wrong is in
// what a person gave, but for files that do not come.
func fitRefusal(err error) error {
	if err == nil || errors.Is(err, store.ErrNotFound) || store.Trouble(err) != nil {
		return err
	}
	return refuse(http.StatusUnprocessableEntity, capital(err.Error())+".")
}

// paint paints the scheme that is asked for, as large as is asked for.
func paint(f *picture.Fitted, a *pictureAsk) (*image.RGBA, error) {
	im, err := f.PaintAs(&a.done.job, picture.Look{Scheme: a.scheme, Sun: a.sun})
	if err != nil {
		return nil, fitRefusal(err)
	}
	if size := im.Rect.Size(); a.width > 0 && a.width < size.X {
		return picture.Photo{Image: im}.Scaled(a.width).Image, nil
	}
	return im, nil
}
