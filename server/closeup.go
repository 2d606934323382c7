package server

import (
	"context"
	"fmt"
	"net/http"
	"slices"

	"coilwright/job"
	"coilwright/picture"
	"coilwright/store"
)

// closeUpPixel is how many inches of wall a pixel of a close-up shows: a millimetre.
const closeUpPixel = 1 / 25.4

type closeUpIn struct {
	SchemePath
	SunQuery
	Wall        string         `query:"wall" maxLength:"200" doc:"The wall's id; with x_in and y_in. Left out: where the zone hangs"`
	X           given[float64] `query:"x_in" minimum:"-1000" maximum:"20000" doc:"Inches from the wall's left"`
	Y           given[float64] `query:"y_in" minimum:"-1000" maximum:"20000" doc:"Inches up"`
	Zone        string         `query:"zone" maxLength:"200" doc:"A zone of the scheme"`
	Panel       string         `query:"panel" maxLength:"200" doc:"Another panel on that zone, to try"`
	Texture     string         `query:"texture" maxLength:"200" doc:"Another texture, to try"`
	Colour      string         `query:"colour" maxLength:"200" doc:"Another colour, to try"`
	Width       int            `query:"width" minimum:"160" maximum:"2400" default:"1000" doc:"Pixels; the height is three quarters of it"`
	IfNoneMatch string         `header:"If-None-Match"`
}

func (s *Server) registerCloseUp() {
	const tag = "pictures"
	op := operation("GET", "/api/jobs/{job}/schemes/{scheme}/closeup", "get-closeup", tag, "A place of a wall as at arm's length, about a millimetre a pixel, as JPEG. "+illustration, 404)
	op.Responses = jpegAnswer()
	handle(s, op, s.getCloseUp)
}

func (s *Server) getCloseUp(ctx context.Context, in *closeUpIn) (*paintedOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	sun, err := in.sun()
	if err != nil {
		return nil, err
	}
	head, done, err := s.workedOf(ctx, w.Shop, in.Job)
	if err == nil {
		err = done.sound()
	}
	if err != nil {
		return nil, err
	}
	key := fmt.Sprintf("closeup %s %q %q %v %v %q %q %q %q %d %v", head.Hash, in.Scheme, in.Wall, in.X, in.Y, in.Zone, in.Panel, in.Texture, in.Colour, in.Width, in.SunQuery)
	tag := `"` + store.Hash([]byte(key))[:24] + `"`
	if same(in.IfNoneMatch, tag) {
		return &paintedOut{Status: http.StatusNotModified, ETag: tag, Cache: again, Note: illustration}, nil
	}
	body, err := s.pictured.files.get(key, func() ([]byte, error) {
		release, err := turn(context.WithoutCancel(ctx), done.desk.turns)
		if err != nil {
			return nil, err
		}
		defer release()
		return in.paint(&done.job, sun)
	})
	if err != nil {
		return nil, err
	}
	return jpegOut(body, tag, "closeup.jpg"), nil
}

// paint lays the scheme out, with what is to be tried, and paints the place.
func (in *closeUpIn) paint(j *job.Job, sun *picture.Sun) ([]byte, error) {
	tried, err := in.tried(j)
	if err != nil {
		return nil, err
	}
	outfit, err := picture.OutfitOf(tried, in.Scheme)
	if err != nil {
		return nil, fitRefusal(err)
	}
	c := picture.CloseUp{Width: in.Width, Height: in.Width * 3 / 4, Pixel: closeUpPixel, Sun: sun}
	if c.Wall, c.At, err = in.place(tried, outfit); err != nil {
		return nil, err
	}
	im, err := outfit.CloseUp(c)
	if err != nil {
		return nil, fitRefusal(err)
	}
	return encodeJPEG(im, nil, false)
}

// tried is the job with another panel, texture or colour on the zone.
func (in *closeUpIn) tried(j *job.Job) (*job.Job, error) {
	n, err := j.Scheme(in.Scheme)
	if err != nil {
		return nil, refuse(http.StatusNotFound, "The job has no scheme of that id.")
	}
	if in.Panel == "" && in.Texture == "" && in.Colour == "" {
		return j, nil
	}
	out := *j
	out.Schemes = slices.Clone(j.Schemes)
	out.Schemes[n].Zones = slices.Clone(j.Schemes[n].Zones)
	for i := range out.Schemes[n].Zones {
		z := &out.Schemes[n].Zones[i]
		if z.ID != in.Zone {
			continue
		}
		if _, ok := j.Book.Panel(in.Panel); !ok && in.Panel != "" {
			return nil, refuse(http.StatusNotFound, "The shop's book has no panel of that id.")
		}
		z.Panel = either(in.Panel, z.Panel)
		z.Texture = either(in.Texture, z.Texture)
		z.Colour = either(in.Colour, z.Colour)
		return &out, nil
	}
	return nil, refuse(http.StatusUnprocessableEntity, "To try a panel, a texture or a colour, name the zone that it is tried on.")
}

func either(first, second string) string {
	if first != "" {
		return first
	}
	return second
}

// place is the wall and the place that are asked for; else the middle of the largest
// part of the zone, or of the scheme.
func (in *closeUpIn) place(j *job.Job, o picture.Outfit) (int, picture.XY, error) {
	if in.Wall != "" {
		for i, w := range j.House.Walls {
			if w.ID == in.Wall {
				box := w.Outline.Box()
				at := picture.XY{X: (box.Min.X + box.Max.X).Inches() / 2, Y: (box.Min.Y + box.Max.Y).Inches() / 2}
				if in.X.Is {
					at.X = in.X.Value
				}
				if in.Y.Is {
					at.Y = in.Y.Value
				}
				return i, at, nil
			}
		}
		return 0, picture.XY{}, refuse(http.StatusNotFound, "The house has no wall of that id.")
	}
	wall, at, most := -1, picture.XY{}, 0.0
	for _, z := range o.Layout.Zones {
		if in.Zone != "" && o.Scheme.Zones[z.Zone].ID != in.Zone || len(z.Region) == 0 {
			continue
		}
		box := z.Region.Box()
		if size := (box.Max.X - box.Min.X).Inches() * (box.Max.Y - box.Min.Y).Inches(); size > most {
			wall, most = z.Wall, size
			at = picture.XY{X: box.Min.X.Inches() + 24, Y: box.Min.Y.Inches() + min(30, (box.Max.Y-box.Min.Y).Inches()/2)}
		}
	}
	if wall < 0 {
		return 0, at, refuse(http.StatusNotFound, "The zone hangs on no wall: name another.")
	}
	return wall, at, nil
}
