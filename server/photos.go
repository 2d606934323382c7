package server

import (
	"context"
	"errors"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"coilwright/photo"
	"coilwright/store"
)

// PhotoView is a photo that was added: the page puts it on the job's list
// (house.photos) by the name of its file, which tells one content from another.
type PhotoView struct {
	File        string   `json:"file" doc:"For house.photos[].file"`
	Width       int      `json:"width" doc:"Pixels, upright"`
	Height      int      `json:"height"`
	FocalPx     *float64 `json:"focal_px" doc:"Focal length in pixels, as far as the camera wrote one"`
	Taken       string   `json:"taken,omitempty" doc:"When, by the camera's clock"`
	Orientation int      `json:"orientation" doc:"As stored (EXIF); width and height are upright already"`
	HasPlace    bool     `json:"has_place" doc:"The file says where it was taken; that stays in the shop"`
	Notes       []string `json:"notes"`
}

// PhotoPath names a photo of a job.
type PhotoPath struct {
	JobPath
	Photo string `path:"photo" maxLength:"200" doc:"The photo's id in house.photos"`
}

type addPhotoIn struct {
	JobPath
	RawBody []byte `contentType:"application/octet-stream" required:"true"`
}

type addPhotoOut struct{ Body PhotoView }

type viewPhotoIn struct {
	PhotoPath
	Width       int    `query:"width" minimum:"16" maximum:"8192" default:"2048" doc:"At most so many pixels wide"`
	IfNoneMatch string `header:"If-None-Match"`
}

func (s *Server) registerPhotos() {
	const tag, at = "photos", "/api/jobs/{job}/photos"
	add := operation("POST", at, "add-photo", tag, "Add a photo (JPEG or PNG): it is looked through, and kept as it is", 404, 413)
	add.MaxBodyBytes, add.BodyReadTimeout = mostFile, time.Minute
	add.DefaultStatus = http.StatusCreated
	handle(s, add, s.addPhoto)
	view := operation("GET", at+"/{photo}/view", "view-photo", tag, "A photo upright, made smaller, telling nothing but what is seen", 404)
	view.Responses = map[string]*huma.Response{"200": {Description: "The photo", Content: map[string]*huma.MediaType{
		"image/jpeg": {Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}},
	}}, "304": notModified}
	handle(s, view, s.viewPhoto)
	s.registerPhotoMeasure()
	s.registerPhotoSnap()
	s.registerPhotoDraw()
}

// addPhoto keeps a photo that can be used. Its file is named by its content, so
// that nothing worked out of one photo is ever taken for another's.
func (s *Server) addPhoto(ctx context.Context, in *addPhotoIn) (*addPhotoOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	if _, err := s.store.Head(ctx, w.Shop, in.Job); err != nil {
		return nil, err
	}
	hash := store.Hash(in.RawBody)
	shown, err := s.lookThrough(ctx, hash, in.RawBody)
	if err != nil {
		return nil, unusable(err)
	}
	media, ending := "image/jpeg", ".jpg"
	if in.RawBody[0] == 0x89 { // PNG's first byte
		media, ending = "image/png", ".png"
	}
	shown.File = photoFile + hash[:16] + ending
	c := store.Content{Name: added + shown.File, Media: media, Bytes: in.RawBody}
	if err := s.store.PutFiles(ctx, w.Shop, in.Job, "", []store.Content{c}); err != nil {
		return nil, err
	}
	return &addPhotoOut{shown}, nil
}

// lookThrough decodes a photo to its last row, for one that breaks off shows only
// there, and tells what its camera wrote.
func (s *Server) lookThrough(ctx context.Context, hash string, data []byte) (PhotoView, error) {
	width, height, meta, err := photo.Describe(data)
	if err != nil {
		return PhotoView{}, err
	}
	if _, err := s.photos.decoded.get(hash, func() (photo.Picture, error) {
		release, err := turn(context.WithoutCancel(ctx), s.photos.turns)
		if err != nil {
			return photo.Picture{}, err
		}
		defer release()
		return photo.Decode(data)
	}); err != nil {
		return PhotoView{}, err
	}
	v := PhotoView{Width: width, Height: height, Taken: meta.Taken, Orientation: meta.Orientation, HasPlace: meta.HasPlace, Notes: meta.Notes}
	if meta.Focal > 0 {
		v.FocalPx = &meta.Focal
	}
	if v.Notes == nil {
		v.Notes = []string{}
	}
	return v, nil
}

// unusable says why a file is no photo.
func unusable(err error) error {
	var bad *photo.PictureError
	if errors.As(err, &bad) {
		return refuse(http.StatusUnprocessableEntity, capital(bad.What)+": "+bad.Mend+".")
	}
	return err
}

type pictureOut struct {
	Status  int
	Type    string `header:"Content-Type"`
	ETag    string `header:"ETag"`
	Control string `header:"Cache-Control"`
	Body    []byte
}

func (s *Server) viewPhoto(ctx context.Context, in *viewPhotoIn) (*pictureOut, error) {
	p, err := s.shot(ctx, in.Job, in.Photo)
	if err != nil {
		return nil, err
	}
	out := &pictureOut{Status: http.StatusOK, ETag: `"` + p.file.Hash + `"`, Control: "private, no-cache"}
	if same(in.IfNoneMatch, out.ETag) {
		out.Status = http.StatusNotModified
		return out, nil
	}
	out.Type = "image/jpeg"
	out.Body, err = p.view(ctx, in.Width)
	return out, unusable(err)
}
