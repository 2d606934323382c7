package photo

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/bep/imagemeta"
)

// Meta is what a camera wrote into its picture, as far as measuring needs it.
type Meta struct {
	Orientation int     // 1 to 8 as in EXIF; 1 where missing or absurd
	Focal       float64 // focal length in pixels of the picture, 0 where unknown
	FocalSigma  float64 // its standard deviation
	HasPlace    bool    // it tells where it was taken
	// Taken is when, as 2006-01-02T15:04:05 by the camera's own clock, with its
	// distance from UTC where the camera wrote one; "" where unknown.
	Taken string
	Notes []string
}

// EXIF's usual ranges: a lens for full frame is 5 to 2000 mm long.
const leastLens, longestLens = 5, 2000

// fullDiagonal is the diagonal in mm of the 36 x 24 frame that a "35 mm
// equivalent" is about (CIPA DCG-001: compared by diagonals).
var fullDiagonal = math.Hypot(36, 24)

// readMeta reads a picture's metadata; width and height are its pixels as stored.
// What cannot be read counts as missing, with a note.
func readMeta(data []byte, format imagemeta.ImageFormat, width, height int) Meta {
	m := Meta{Orientation: 1}
	tags, texts := map[string]float64{}, map[string]string{}
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(data), ImageFormat: format, Sources: imagemeta.EXIF,
		LimitNumTags: 1000, LimitTagSize: 4096,
		ShouldHandleTag: func(imagemeta.TagInfo) bool { return true },
		HandleTag: func(t imagemeta.TagInfo) error {
			if t.Tag == "GPSLatitude" || t.Tag == "GPSLongitude" {
				m.HasPlace = true
			}
			if v, ok := number(t.Value); ok && !strings.HasPrefix(t.Namespace, "IFD1") { // IFD1 is the thumbnail's
				tags[t.Tag] = v
			}
			if text, ok := t.Value.(string); ok {
				texts[t.Tag] = text
			}
			return nil
		},
		Warnf: func(string, ...any) {},
	})
	if err != nil {
		m.note("what the camera wrote into the picture cannot be read whole")
	}
	if o, ok := tags["Orientation"]; ok {
		if o == math.Trunc(o) && o >= 1 && o <= 8 {
			m.Orientation = int(o)
		} else {
			m.note("the picture says orientation %g, which is none: taken as upright", o)
		}
	}
	m.focal(tags, float64(width), float64(height))
	m.Taken = taken(texts["DateTimeOriginal"], texts["OffsetTimeOriginal"])
	return m
}

// taken reads EXIF's time, which is local, and where it is there the distance from
// UTC (EXIF 2.32, tags 0x9003 and 0x9011).
func taken(at, offset string) string {
	when, err := time.Parse("2006:01:02 15:04:05", at)
	if err != nil {
		return ""
	}
	text := when.Format("2006-01-02T15:04:05")
	if _, err := time.Parse(time.RFC3339, text+offset); err == nil {
		text += offset
	}
	return text
}

func (m *Meta) note(text string, args ...any) { m.Notes = append(m.Notes, fmt.Sprintf(text, args...)) }

// number gives the value of a tag that is one number.
func number(v any) (float64, bool) {
	switch n := v.(type) {
	case uint8:
		return float64(n), true
	case uint16:
		return float64(n), true
	case uint32:
		return float64(n), true
	case int32:
		return float64(n), true
	case float64:
		return n, true
	case interface{ Float64() float64 }:
		return n.Float64(), true
	}
	return 0, false
}

// focal finds the focal length in pixels: from the 35 mm equivalent, or from the
// focal length and the sensor's resolution.
func (m *Meta) focal(tags map[string]float64, width, height float64) {
	diagonal := math.Hypot(width, height)
	if f := tags["FocalLengthIn35mmFormat"]; f != 0 {
		if f >= leastLens && f <= longestLens {
			m.Focal = f / fullDiagonal * diagonal
			// Whole millimetres, and cameras that compare by width instead.
			m.FocalSigma = m.Focal * math.Hypot(0.5/f/math.Sqrt(3), 0.015)
			return
		}
		m.note("the picture says a 35 mm equivalent of %g mm, which is none", f)
	}
	perMillimetre := map[float64]float64{2: 25.4, 3: 10, 4: 1, 5: 0.001}[tags["FocalPlaneResolutionUnit"]]
	f, resolution := tags["FocalLength"], tags["FocalPlaneXResolution"]
	if perMillimetre == 0 || f == 0 || resolution == 0 {
		return
	}
	scale := 1.0
	if w := tags["ExifImageWidth"]; w > 0 {
		scale = width / w // it may have been made smaller since
	}
	pixels := f / perMillimetre * resolution * scale
	if pixels < leastLens/fullDiagonal*diagonal || pixels > longestLens/fullDiagonal*diagonal {
		m.note("the picture's focal length comes to %.3g pixels, which is none", pixels)
		return
	}
	m.Focal, m.FocalSigma = pixels, 0.02*pixels
}
