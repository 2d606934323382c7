package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"net/http"
	"reflect"

	"github.com/danielgtaylor/huma/v2"

	"coilwright/job"
	"coilwright/picture"
	"coilwright/store"
)

// illustration is said beside every picture, and goes with it as a header.
const illustration = "An illustration; approve a physical sample."

// usualWidth is how wide in pixels a picture is for a screen. Whatever is not wider
// is painted on a photo of this width, and made smaller from there.
const usualWidth = 1600

// given is a query's value that may be left out.
type given[T any] struct {
	Value T
	Is    bool
}

// Schema is that of the value.
func (given[T]) Schema(r huma.Registry) *huma.Schema {
	return huma.SchemaFromType(r, reflect.TypeFor[T]())
}

// Receiver is where the value goes.
func (g *given[T]) Receiver() reflect.Value { return reflect.ValueOf(g).Elem().Field(0) }

// OnParamSet hears whether there is one.
func (g *given[T]) OnParamSet(is bool, _ any) { g.Is = is }

// SunQuery asks for another sun than the photo's.
type SunQuery struct {
	Azimuth   given[float64] `query:"sun_azimuth_deg" minimum:"-360" maximum:"360" doc:"Another sun than the photo's, clockwise from north; with sun_elevation_deg"`
	Elevation given[float64] `query:"sun_elevation_deg" minimum:"-90" maximum:"90" doc:"Over the horizon"`
}

func (q SunQuery) sun() (*picture.Sun, error) {
	switch {
	case !q.Azimuth.Is && !q.Elevation.Is:
		return nil, nil
	case q.Azimuth.Is != q.Elevation.Is:
		return nil, refuse(http.StatusUnprocessableEntity, "A sun is given by both sun_azimuth_deg and sun_elevation_deg: give both or neither.")
	case q.Elevation.Value <= 0:
		return nil, refuse(http.StatusUnprocessableEntity, "The sun is down at that height: give a sun_elevation_deg above 0.")
	}
	return &picture.Sun{Azimuth: q.Azimuth.Value, Elevation: q.Elevation.Value}, nil
}

type pictureIn struct {
	PhotoPath
	SunQuery
	Scheme      string `query:"scheme" maxLength:"200" required:"true" doc:"The scheme's id"`
	At          string `query:"at" format:"date-time" doc:"The sun of that time instead, where the photo's own sun says where the house stands"`
	Width       int    `query:"width" minimum:"0" maximum:"16000" default:"1600" doc:"Pixels; 0 for the photo's own size. Never wider than the photo"`
	Download    bool   `query:"download" doc:"Save it instead of showing it"`
	IfNoneMatch string `header:"If-None-Match"`
}

type paintedOut struct {
	Status      int
	Type        string `header:"Content-Type"`
	Disposition string `header:"Content-Disposition"`
	Cache       string `header:"Cache-Control"`
	ETag        string `header:"ETag"`
	Note        string `header:"X-Coilwright-Picture"`
	Body        []byte
}

// again is for pictures: a browser may keep one, but asks each time whether it is
// still right.
const again = "private, no-cache"

func jpegOut(body []byte, tag, name string) *paintedOut {
	return &paintedOut{Status: http.StatusOK, Type: "image/jpeg", Cache: again, ETag: tag, Note: illustration, Disposition: "inline; filename=" + name, Body: body}
}

func (s *Server) registerPictures() {
	const tag, at = "pictures", "/api/jobs/{job}/photos/{photo}"
	get := operation("GET", at+"/picture", "get-picture", tag, "A photo of the house wearing a scheme, as JPEG. "+illustration, 404)
	get.Responses = jpegAnswer()
	handle(s, get, s.getPicture)
	s.registerPlaces()
	s.registerCloseUp()
	s.registerChip()
}

// jpegAnswer describes a JPEG that may still be what the asker has.
func jpegAnswer() map[string]*huma.Response {
	return map[string]*huma.Response{
		"200": {Description: "The picture: " + illustration, Content: map[string]*huma.MediaType{
			"image/jpeg": {Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}},
		}},
		"304": notModified,
	}
}

func (s *Server) getPicture(ctx context.Context, in *pictureIn) (*paintedOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	sun, err := in.sun()
	if err != nil {
		return nil, err
	}
	ask, err := s.askPicture(ctx, w.Shop, in.Job, in.Photo, in.Scheme)
	if err != nil {
		return nil, err
	}
	if in.At != "" && sun != nil {
		return nil, refuse(http.StatusUnprocessableEntity, "Give the sun by its place or by a time, not by both.")
	}
	if in.At != "" {
		if sun, err = sunOn(ask.entry.Raw, in.At); err != nil {
			return nil, err
		}
	}
	ask.width, ask.sun = in.Width, sun
	tag := `"` + store.Hash([]byte(ask.key()))[:24] + `"`
	if same(in.IfNoneMatch, tag) {
		return &paintedOut{Status: http.StatusNotModified, ETag: tag, Cache: again, Note: illustration}, nil
	}
	body, err := s.paintedJPEG(ctx, ask)
	if err != nil {
		return nil, err
	}
	out := jpegOut(body, tag, "picture.jpg")
	if in.Download {
		out.Disposition = `attachment; filename="` + fileWord(in.Photo) + "-" + fileWord(in.Scheme) + `.jpg"`
	}
	return out, nil
}

// pictureOf is a photo of a job wearing a scheme, as a JPEG of at most width pixels
// across; 0 is the photo's own size. It asks nobody who they are.
func (s *Server) pictureOf(ctx context.Context, shop, jobID, photoID, scheme string, width int) ([]byte, error) {
	ask, err := s.askPicture(ctx, shop, jobID, photoID, scheme)
	if err != nil {
		return nil, err
	}
	ask.width = width
	return s.paintedJPEG(ctx, ask)
}

// pictureAsk is one picture that is asked for.
type pictureAsk struct {
	shop, job string
	hash      string // of the document
	entry     job.Photo
	file      string // hashes of the files that the entry names
	scheme    string
	done      *worked
	width     int
	sun       *picture.Sun
}

// key tells one picture from another, whatever it is made from.
func (a *pictureAsk) key() string {
	sun := "own"
	if a.sun != nil {
		sun = fmt.Sprint(*a.sun)
	}
	return fmt.Sprintf("%s %s %s %q %q %d %s", a.shop, a.hash, a.file, a.entry.ID, a.scheme, a.width, sun)
}

// askPicture finds the job, its photo and its scheme.
func (s *Server) askPicture(ctx context.Context, shop, jobID, photoID, scheme string) (*pictureAsk, error) {
	a, err := s.askPhoto(ctx, shop, jobID, photoID)
	if err != nil {
		return nil, err
	}
	if _, err := a.done.job.Scheme(scheme); err != nil {
		return nil, refuse(http.StatusNotFound, "The job has no scheme of that id.")
	}
	a.scheme = scheme
	return a, nil
}

// askPhoto finds a job that is sound, and its photo.
func (s *Server) askPhoto(ctx context.Context, shop, jobID, photoID string) (*pictureAsk, error) {
	head, done, err := s.workedOf(ctx, shop, jobID)
	if err != nil {
		return nil, err
	}
	if err := done.sound(); err != nil {
		return nil, err
	}
	a := &pictureAsk{shop: shop, job: jobID, hash: head.Hash, done: done}
	for _, p := range done.job.Photos {
		if p.ID == photoID {
			a.entry = p
			a.file, err = s.hashesOf(ctx, shop, jobID, p)
			return a, err
		}
	}
	return nil, refuse(http.StatusNotFound, "The job has no photo of that id: add it in the Walls area.")
}

// hashesOf names what stands in the files of a photo's entry.
func (s *Server) hashesOf(ctx context.Context, shop, jobID string, p job.Photo) (string, error) {
	names := []string{p.File, p.Mask}
	var e struct{ Marks json.RawMessage }
	var marks string
	if json.Unmarshal(p.Raw, &e) == nil && json.Unmarshal(e.Marks, &marks) == nil {
		names = append(names, marks)
	}
	out := ""
	for _, n := range names {
		if n == "" {
			continue
		}
		f, err := s.keptFile(ctx, shop, jobID, n)
		if errors.Is(err, store.ErrNotFound) {
			return "", refuse(http.StatusNotFound, fmt.Sprintf("The file %q of photo %s is not kept with this job: add the photo again.", n, p.ID))
		}
		if err != nil {
			return "", err
		}
		out += f.Hash + " "
	}
	return out, nil
}

// errGone says that whoever asked for a picture has gone before it was made.
var errGone = errors.New("whoever asked has gone")

// unlessGone does a piece of work in its turn; not where whoever asked has gone by then.
func unlessGone[T any](ctx context.Context, places chan struct{}, do func() (T, error)) (out T, err error) {
	release, err := turn(ctx, places)
	if err != nil {
		return out, err
	}
	defer release()
	if err := ctx.Err(); err != nil {
		return out, err
	}
	return do()
}

// shelvedFor gets a thing from a shelf, asking again where another asker went away: what
// fails once its asker has gone, for whatever reason, says nothing to those who wait.
func shelvedFor[T any](ctx context.Context, on *shelf[T], key string, do func() (T, error)) (T, error) {
	unlessLeft := func() (T, error) {
		out, err := do()
		if err != nil && ctx.Err() != nil {
			err = errGone
		}
		return out, err
	}
	for {
		out, err := on.get(key, unlessLeft)
		if !errors.Is(err, errGone) {
			return out, err
		}
		if ctx.Err() != nil {
			return out, errors.Join(errGone, refuse(http.StatusServiceUnavailable, "Nobody waits for this picture any more."))
		}
	}
}

// paintedJPEG gives the picture's file, from the shelf where it stands there.
func (s *Server) paintedJPEG(ctx context.Context, a *pictureAsk) ([]byte, error) {
	return shelvedFor(ctx, s.pictured.files, a.key(), func() ([]byte, error) {
		f, err := s.fitted(ctx, a)
		if err != nil {
			return nil, err
		}
		places := a.done.desk.turns
		if a.width == 0 || a.width > usualWidth {
			places = a.done.desk.slow
		}
		return unlessGone(ctx, places, func() ([]byte, error) {
			im, err := paint(f, a)
			if err != nil {
				return nil, err
			}
			return encodeJPEG(im, f.Original, a.width == 0)
		})
	})
}

// screenQuality is the JPEG quality of pictures for a screen.
const screenQuality = 88

// encodeJPEG writes a picture: whole with profile and what the camera wrote but the
// place; for a screen just as it is, where the photo's profile is that of a screen.
func encodeJPEG(im *image.RGBA, original []byte, whole bool) ([]byte, error) {
	if whole || picture.ProfileOf(original) != nil {
		return picture.EncodeJPEG(im, original)
	}
	return picture.JPEG(im, screenQuality)
}

// fileWord keeps of an id what a file's name takes anywhere.
func fileWord(id string) string {
	out := []rune{}
	for _, r := range id {
		if r == '-' || r == '_' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			out = append(out, r)
		}
	}
	if len(out) == 0 {
		return "picture"
	}
	return string(out)
}
