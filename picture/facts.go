package picture

import (
	"encoding/json"
	"fmt"
	"time"

	"coilwright/colour"
	"coilwright/mask"
	"coilwright/measure"
	"coilwright/photo"
)

// Facts are what a person knows of a photo, as a job's entry of it tells: all may be
// missing.
type Facts struct {
	Overcast   bool
	Sun        *Sun
	References []Reference
	// Exposure is the height of a lap of the old cladding and Butt how far its lower
	// edge stands out, in inches; Datum where its courses start. 0 and nil: unknown.
	Exposure, Butt float64
	Datum          *float64
	Colour         *colour.Linear
	// Strokes say what is cladding and what stands in front, in the photo's pixels.
	Strokes []mask.Stroke
}

// FactsOf reads a photo's entry in a job, which the job's reader has checked.
func FactsOf(entry json.RawMessage) (f Facts, err error) {
	var e struct {
		Sun        json.RawMessage
		References []struct {
			Pixels [][2]float64
			Linear [3]float64
		}
		Strokes []struct {
			Kind   string
			Width  float64 `json:"width_px"`
			Points [][2]float64
		}
		Old struct {
			Exposure, Butt, Datum length
			Linear                *[3]float64
		}
	}
	if err := json.Unmarshal(entry, &e); err != nil {
		return Facts{}, fmt.Errorf("the photo's entry: %w", err)
	}
	for _, r := range e.References {
		k := Reference{Known: r.Linear}
		for _, p := range r.Pixels {
			k.Pixels = append(k.Pixels, photo.Pixel{U: p[0], V: p[1]})
		}
		f.References = append(f.References, k)
	}
	for _, s := range e.Strokes {
		k := mask.Stroke{Front: s.Kind == "front", Width: s.Width}
		for _, p := range s.Points {
			k.Points = append(k.Points, mask.Point{U: p[0], V: p[1]})
		}
		f.Strokes = append(f.Strokes, k)
	}
	f.Exposure, f.Butt = e.Old.Exposure.inches, e.Old.Butt.inches
	if e.Old.Datum.given {
		f.Datum = &e.Old.Datum.inches
	}
	f.Colour = (*colour.Linear)(e.Old.Linear)
	return f, f.sun(e.Sun)
}

// sun reads the three ways to say where the sun stood.
func (f *Facts) sun(text json.RawMessage) error {
	if len(text) == 0 || string(text) == "null" {
		return nil
	}
	if f.Overcast = string(text) == `"overcast"`; f.Overcast {
		return nil
	}
	var s struct {
		At                 *time.Time
		Lat, Lon           float64
		Azimuth, Elevation float64
		AzimuthDeg         float64 `json:"azimuth_deg"`
		ElevationDeg       float64 `json:"elevation_deg"`
	}
	if err := json.Unmarshal(text, &s); err != nil {
		return fmt.Errorf("the photo's sun: %w", err)
	}
	at := Sun{s.AzimuthDeg, s.ElevationDeg}
	if s.At != nil {
		var err error
		if at, err = SunAt(*s.At, s.Lat, s.Lon); err != nil {
			return err
		}
	}
	f.Sun = &at
	return nil
}

// length is a length of a job file, in inches.
type length struct {
	inches float64
	given  bool
}

// UnmarshalJSON reads a bare number of inches or a text with its unit.
func (l *length) UnmarshalJSON(text []byte) error {
	var s string
	var v measure.Length
	var err error
	if json.Unmarshal(text, &s) == nil {
		v, err = measure.ParseLength(s)
	} else {
		v, err = measure.LengthFromNumber(string(text))
	}
	if err != nil {
		return err
	}
	*l = length{v.Inches(), true}
	return nil
}
