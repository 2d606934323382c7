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
