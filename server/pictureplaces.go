package server

import (
	"context"
	"encoding/json"
	"math"
	"net/http"
	"time"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/photo"
	"coilwright/picture"
)

// PlaceView is what a place of a photo shows.
type PlaceView struct {
	Wall    string  `json:"wall" doc:"Empty beside the walls"`
	Zone    string  `json:"zone" doc:"The scheme's zone there; empty where none hangs"`
	Opening string  `json:"opening"`
	Course  int     `json:"course" doc:"Counted from the datum; 0 where there is none"`
	XIn     float64 `json:"x_in"`
	YIn     float64 `json:"y_in"`
	Place   string  `json:"place" doc:"About where on the wall, in words"`
	Share   float64 `json:"share" doc:"How much of the place is cladding, 0 to 1; the rest stands in front"`
}

// SunPlace is where the sun stands at a time.
type SunPlace struct {
	At           time.Time `json:"at"`
	Clock        string    `json:"clock"`
	AzimuthDeg   float64   `json:"azimuth_deg"`
	ElevationDeg float64   `json:"elevation_deg"`
}

// SunView is what is known of a photo's sun, and of the sun through a day.
type SunView struct {
	Known    bool       `json:"known" doc:"Somebody said where the sun stood"`
	Overcast bool       `json:"overcast"`
	Azimuth  float64    `json:"azimuth_deg"`
	Over     float64    `json:"elevation_deg"`
	Bearing  bool       `json:"bearing" doc:"A wall says where it faces, so that another sun can be placed"`
	Place    bool       `json:"place" doc:"It is known where the house stands, so that the hours are those of a day there"`
	Date     string     `json:"date"`
	Day      []SunPlace `json:"day" doc:"Every 20 minutes that the sun is up; empty where the place is not known"`
	Notes    []string   `json:"notes" doc:"What is assumed of the photo"`
	Width    int        `json:"width" doc:"Of the upright photo in pixels, in which strokes and references count"`
	Height   int        `json:"height"`
}

func (s *Server) registerPlaces() {
	const tag, at = "pictures", "/api/jobs/{job}/photos/{photo}"
	handle(s, operation("GET", at+"/zone", "get-photo-zone", tag, "What a place of a photo shows in a scheme", 404), s.getZone)
	handle(s, operation("GET", at+"/sun", "get-photo-sun", tag, "The photo's sun, and the sun through a day", 404), s.getSun)
}

func (s *Server) getZone(ctx context.Context, in *struct {
	PhotoPath
	Scheme string  `query:"scheme" maxLength:"200" required:"true"`
	U      float64 `query:"u" minimum:"0" maximum:"1" required:"true" doc:"Share of the picture's width, from the left"`
	V      float64 `query:"v" minimum:"0" maximum:"1" required:"true" doc:"Share of its height, from the top"`
},
) (*struct{ Body PlaceView }, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	ask, err := s.askPicture(ctx, w.Shop, in.Job, in.Photo, in.Scheme)
	if err != nil {
		return nil, err
	}
	ask.width = usualWidth
	f, err := s.fitted(ctx, ask)
	if err != nil {
		return nil, err
	}
	size := f.Prepared.Bounds().Size()
	at := photo.Pixel{U: min(in.U*float64(size.X), float64(size.X)-0.5), V: min(in.V*float64(size.Y), float64(size.Y)-0.5)}
	found, ok, err := f.At(&ask.done.job, in.Scheme, at)
	if err != nil || !ok {
		return &struct{ Body PlaceView }{}, err
	}
	return &struct{ Body PlaceView }{placeView(ask.done, found)}, nil
}

func placeView(w *worked, found picture.Found) PlaceView {
	wall := w.job.House.Walls[found.Wall]
	v := PlaceView{Wall: wall.ID, Zone: found.Zone, Course: found.Course, XIn: found.X, YIn: found.Y, Share: found.Share}
	if o := openingAt(wall, found.X, found.Y); o != nil {
		v.Opening, v.Zone, v.Course = o.ID, "", 0
	}
	u := w.job.Units
	v.Place = about(found.X, u) + " from the left, " + about(found.Y, u) + " up"
	return v
}

// about is a length for finding a place again, not for cutting.
func about(inches float64, u measure.Units) string {
	step := measure.Inch
	if u == measure.Metric {
		step = measure.Inch * 50 / 127 // 1 cm
	}
	return measure.Length(math.Round(inches*float64(measure.Inch)/float64(step)) * float64(step)).Text(u)
}

// openingAt is the opening at a place of a wall, nil for none.
func openingAt(w house.Wall, x, y float64) *house.Opening {
	for i := range w.Openings {
		box := w.Openings[i].Outline.Box()
		if x > box.Min.X.Inches() && x < box.Max.X.Inches() && y > box.Min.Y.Inches() && y < box.Max.Y.Inches() {
			return &w.Openings[i]
		}
	}
	return nil
}

type sunIn struct {
	PhotoPath
	Date string `query:"date" format:"date" doc:"Which day, like 2026-06-21; the photo's own where it is left out"`
}

type sunOut struct{ Body SunView }

func (s *Server) getSun(ctx context.Context, in *sunIn) (*sunOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	ask, err := s.askPhoto(ctx, w.Shop, in.Job, in.Photo)
	if err != nil {
		return nil, err
	}
	facts, err := picture.FactsOf(ask.entry.Raw)
	if err != nil {
		return nil, fitRefusal(err)
	}
	v := SunView{Known: facts.Sun != nil || facts.Overcast, Overcast: facts.Overcast, Day: []SunPlace{}, Notes: []string{}}
	if facts.Sun != nil {
		v.Azimuth, v.Over = facts.Sun.Azimuth, facts.Sun.Elevation
	}
	for _, wall := range ask.done.job.House.Walls {
		v.Bearing = v.Bearing || wall.FacesDeg != nil
	}
	if err := v.through(ask.entry.Raw, in.Date, s.now()); err != nil {
		return nil, err
	}
	if v.Width, v.Height, err = s.sizeOf(ctx, ask); err != nil {
		return nil, err
	}
	ask.width = usualWidth
	if f, err := s.fitted(ctx, ask); err == nil { // what stands in the way is said with the picture
		v.Notes = append(v.Notes, f.Notes...)
	}
	return &sunOut{v}, nil
}

// sizeOf is the size of a photo, upright.
func (s *Server) sizeOf(ctx context.Context, a *pictureAsk) (width, height int, err error) {
	_, data, err := s.keptBytes(ctx, a.shop, a.job, a.entry.File)
	if err != nil {
		return 0, 0, err
	}
	width, height, _, err = photo.Describe(data)
	return width, height, unusable(err)
}

// through fills in the day, by the clock that the photo's time was written in.
func (v *SunView) through(entry json.RawMessage, date string, now time.Time) error {
	lat, lon, taken, ok := standsAt(entry)
	day := now
	if v.Place = ok; ok {
		day = taken
	}
	if date != "" {
		d, err := time.ParseInLocation(time.DateOnly, date, day.Location())
		if err != nil {
			return refuse(http.StatusUnprocessableEntity, "Write the date like 2026-06-21.")
		}
		day = d
	}
	v.Date = day.Format(time.DateOnly)
	if !v.Place {
		return nil
	}
	start := time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, day.Location())
	for n := range 72 {
		at := start.Add(time.Duration(n) * 20 * time.Minute)
		p, err := picture.SunAt(at, lat, lon)
		if err != nil {
			return fitRefusal(err)
		}
		if p.Elevation > 2 {
			v.Day = append(v.Day, SunPlace{at, at.Format("15:04"), p.Azimuth, p.Elevation})
		}
	}
	return nil
}

// standsAt is where and when a photo was taken, as far as its entry says.
func standsAt(entry json.RawMessage) (lat, lon float64, taken time.Time, ok bool) {
	var e struct {
		Sun json.RawMessage
	}
	var sun struct {
		At       *time.Time
		Lat, Lon float64
	}
	if json.Unmarshal(entry, &e) != nil || json.Unmarshal(e.Sun, &sun) != nil || sun.At == nil {
		return 0, 0, taken, false // a word, angles, or left out: no place
	}
	return sun.Lat, sun.Lon, *sun.At, true
}

// sunOn is the sun on a photo's house at a time.
func sunOn(entry json.RawMessage, at string) (*picture.Sun, error) {
	when, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return nil, refuse(http.StatusUnprocessableEntity, "Write the time like 2026-06-21T15:04:05-05:00.")
	}
	lat, lon, _, ok := standsAt(entry)
	if !ok {
		return nil, refuse(http.StatusUnprocessableEntity, "Nobody said when and where this photo was taken: tell it in the photo's sun, or give sun_azimuth_deg and sun_elevation_deg.")
	}
	sun, err := picture.SunAt(when, lat, lon)
	if err == nil && sun.Elevation <= 0 {
		err = refuse(http.StatusUnprocessableEntity, "The sun is down at that time there: give a time of the day.")
	}
	return &sun, err
}
