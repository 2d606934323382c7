package job

import (
	"encoding/json"
	"time"

	"coilwright/document"
)

// photos reads the photos' own fields; marks are kept as read.
func (r *reader) photos(v document.Value) {
	seen := newIDs("photo")
	for i, p := range v.List() {
		o := p.Object(photoFields)
		photo := Photo{ID: seen.take(o, i, true), File: o.Need("file").ID(), Raw: json.RawMessage(p.JSON())}
		photo.Mask = o.Get("mask").Text()
		if m := o.Get("marks"); !m.IsObject() {
			m.Text()
		}
		r.sun(o.Get("sun"))
		r.old(o.Get("old"))
		r.strokes(o.Get("strokes"))
		for _, k := range o.Get("references").List() {
			known := k.Object(knownFields)
			for _, at := range known.Need("pixels").List() {
				x, y := at.Pair()
				x.Number(-1e6, 1e6)
				y.Number(-1e6, 1e6)
			}
			for _, c := range known.Need("linear").Tuple(3) {
				c.Number(0, 1)
			}
		}
		r.out.Photos = append(r.out.Photos, photo)
	}
}

// mostPoints bounds the points of a photo's strokes.
const mostPoints = 20_000

// strokes checks what a person drew over a photo: what is wall, what stands in front.
func (r *reader) strokes(v document.Value) {
	n := 0
	for _, s := range v.List() {
		o := s.Object(strokeFields)
		o.Need("kind").OneOf("kind of stroke", strokeNames)
		o.Need("width_px").Number(0.1, 10_000)
		points := o.Need("points").List()
		if n += len(points); n > mostPoints {
			v.Errorf("take some strokes away, or draw them coarser", "the strokes have more than %d points", mostPoints)
			return
		}
		for _, at := range points {
			x, y := at.Pair()
			x.Number(-1e5, 1e5)
			y.Number(-1e5, 1e5)
		}
	}
}

// old checks what is known of the cladding that a photo shows: the height of a lap,
// how far its butt stands out, where its courses start, its reflectance.
func (r *reader) old(v document.Value) {
	o := v.Object(oldFields)
	if !o.Present() {
		return
	}
	o.Get("exposure").Length(document.Size)
	o.Get("butt").Length(document.Depth)
	o.Get("datum").Length(document.Anywhere)
	for _, c := range o.Get("linear").Tuple(3) {
		c.Number(0, 1)
	}
}

// sun checks the three ways to say where the sun stood.
func (r *reader) sun(v document.Value) {
	if v.IsText() {
		v.OneOf("word for the sun", []string{"overcast"})
		return
	}
	o := v.Object(sunFields)
	switch {
	case !o.Present():
	case o.Has("at"):
		at := o.Get("at")
		if _, err := time.Parse(time.RFC3339, at.Text()); at.IsText() && err != nil {
			at.Errorf("write it like 2026-06-21T15:04:05-05:00", "the time is not one of RFC 3339")
		}
		o.Need("lat").Number(-90, 90)
		o.Need("lon").Number(-180, 180)
	default:
		o.Need("azimuth_deg").Number(-360, 360)
		o.Need("elevation_deg").Number(-90, 90)
	}
}
