package picture

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"testing"

	"coilwright/job"
	"coilwright/photo"
)

// drawnJob is a grey wall of 10 by 8 ft with a window, drawn at 800 x 600, its lower
// half a zone of its own.
const drawnJob = `{ "format": "coilwright/job@1", "title": "A drawn wall (invented)",
  "house": {
    "walls": [ { "id": "south", "faces_deg": 180, "outline": [["0","0"],["10'","0"],["10'","8'"],["0","8'"]],
      "edges": ["base","outside-corner","eave","outside-corner"], "overhang": ["0", "0", "1'", "0"],
      "openings": [ { "id": "W", "kind": "window", "at": ["4'","3'"], "size": ["2'","3'"] } ] } ],
    "photos": [
      { "id": "front", "file": "front.png", "sun": "overcast", "marks": {
        "format": "coilwright/marks@1", "photo": { "file": "front.png", "focal_px": 900 },
        "points": { "a": [100,540], "b": [700,540], "c": [700,60], "d": [100,60],
          "e": [340,360], "f": [460,360], "g": [460,180], "h": [340,180] },
        "walls": [ { "id": "south", "outline": ["a","b","c","d"],
          "openings": [ { "id": "W", "kind": "window", "corners": ["e","f","g","h"] } ] } ],
        "lengths": [ { "between": ["e","f"], "length": "2'", "plus_minus": "1/8 in" } ] } } ] },
  "schemes": [
    { "id": "A", "zones": [ { "id": "all", "walls": "all", "where": "rest", "panel": "dutch-double-4", "texture": "smooth", "colour": "barn" } ] },
    { "id": "B", "zones": [
      { "id": "skirt", "walls": "all", "where": { "below": "3'" }, "panel": "lap-double-4", "texture": "smooth", "colour": "bone" },
      { "id": "field", "walls": "all", "where": "rest", "panel": "dutch-double-4", "texture": "smooth", "colour": "barn" } ] } ],
  "shop": { "use": "demo" } }`

// drawn is that job, what opens its files, and the drawing.
func drawn(t testing.TB) (*job.Job, job.Open) {
	t.Helper()
	im := image.NewRGBA(image.Rect(0, 0, 800, 600))
	for y := range 600 {
		for x := range 800 {
			c := color.RGBA{200, 210, 220, 255}
			if at := (image.Point{x, y}); at.In(image.Rect(340, 180, 460, 360)) {
				c = color.RGBA{40, 40, 50, 255}
			} else if at.In(image.Rect(100, 60, 700, 540)) {
				c = color.RGBA{150, 150, 145, 255}
			}
			im.SetRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, im); err != nil {
		t.Fatal(err)
	}
	open := func(name string) ([]byte, error) {
		if name != "front.png" {
			return nil, os.ErrNotExist
		}
		return b.Bytes(), nil
	}
	j, found := job.Parse("job.json", []byte(drawnJob), open)
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	return &j, open
}

// A preview is the full picture made small: the same but for filtering, half as wide.
func TestPreviewIsTheSmallPicture(t *testing.T) {
	j, open := drawn(t)
	full, err := Fit(j, j.Photos[0], open)
	if err != nil {
		t.Fatal(err)
	}
	half, err := FitAt(j, j.Photos[0], open, 400)
	if err != nil || half.Scale != 0.5 || half.Prepared.Bounds() != image.Rect(0, 0, 400, 300) {
		t.Fatalf("scale %v, %v (%v)", half.Scale, half.Prepared.Bounds(), err)
	}
	big, err := full.Paint(j, "B")
	if err != nil {
		t.Fatal(err)
	}
	small, err := half.Paint(j, "B")
	if err != nil {
		t.Fatal(err)
	}
	want := shrunk(big, 400)
	var sum, n float64
	for y := 40; y < 260; y++ {
		for x := 60; x < 340; x++ {
			sum += math.Abs(float64(want.RGBAAt(x, y).G) - float64(small.RGBAAt(x, y).G))
			n++
		}
	}
	if sum/n > 2.5 {
		t.Errorf("%.2f levels apart in the mean", sum/n)
	}
}

// Shrinking keeps the light: a board of black and white squares becomes the grey that
// sends as much, and what is even stays as it is.
func TestShrunkKeepsLight(t *testing.T) {
	im := image.NewRGBA(image.Rect(0, 0, 90, 60))
	for y := range 60 {
		for x := range 90 {
			v := uint8(255 * ((x + y) % 2))
			im.SetRGBA(x, y, color.RGBA{v, 100, v, 255})
		}
	}
	for _, width := range []int{45, 15, 9} {
		got := shrunk(im, width)
		c := got.RGBAAt(width/2, got.Rect.Dy()/2)
		if math.Abs(float64(c.R)-188) > 1 || c.G != 100 { // 0.5 of the light is level 188 of IEC 61966-2-1
			t.Errorf("at %d: %v", width, c)
		}
	}
}

// Only the zone asked for is painted; the zone under a pixel is the one that is
// painted there.
func TestZoneByZone(t *testing.T) {
	j, open := drawn(t)
	f, err := Fit(j, j.Photos[0], open)
	if err != nil {
		t.Fatal(err)
	}
	whole, err := f.Paint(j, "B")
	if err != nil {
		t.Fatal(err)
	}
	only, err := f.PaintAs(j, Look{Scheme: "B", Zones: []string{"skirt"}})
	if err != nil {
		t.Fatal(err)
	}
	zones, err := f.Map(j, "B")
	if err != nil || len(zones.Zones) != 2 {
		t.Fatal(zones.Zones, err)
	}
	for _, at := range []image.Point{{200, 500}, {600, 400}, {200, 300}, {400, 100}, {400, 300}, {20, 20}} {
		found, ok, err := f.At(j, "B", photo.Pixel{U: float64(at.X) + 0.5, V: float64(at.Y) + 0.5})
		if err != nil {
			t.Fatal(err)
		}
		mapped := ""
		if k := zones.Image.GrayAt(at.X, at.Y).Y; k > 0 {
			mapped = zones.Zones[k-1].Zone
		}
		if mapped != found.Zone || ok != at.In(image.Rect(100, 60, 700, 540)) {
			t.Errorf("%v: the map says %q, the look-up %+v %v", at, mapped, found, ok)
		}
		before, now := f.Prepared.photo.Image.RGBAAt(at.X, at.Y), only.RGBAAt(at.X, at.Y)
		if found.Zone == "skirt" && (now != whole.RGBAAt(at.X, at.Y) || now == before) || found.Zone != "skirt" && now != before {
			t.Errorf("%v in %q: %v, before %v", at, found.Zone, now, before)
		}
	}
	found, _, _ := f.At(j, "B", photo.Pixel{U: 200, V: 500})
	if math.Abs(found.X-20) > 0.5 || math.Abs(found.Y-8) > 0.5 || found.Course != 2 && found.Course != 1 {
		t.Errorf("%+v, want 20 in along, 8 in up", found)
	}
	var unknown *UnknownZoneError
	if _, err := f.PaintAs(j, Look{Scheme: "B", Zones: []string{"nowhere"}}); !errors.As(err, &unknown) {
		t.Error(err)
	}
}

// The sun walks over a wall that a cloudy photo shows: brighter where it strikes more
// squarely, the laps' shadows longer as it rises, no light from behind.
func TestUnderAnotherSun(t *testing.T) {
	j, open := drawn(t)
	f, err := Fit(j, j.Photos[0], open)
	if err != nil {
		t.Fatal(err)
	}
	own, err := f.Paint(j, "A")
	if err != nil {
		t.Fatal(err)
	}
	spread := func(s Sun) float64 {
		im, err := f.PaintAs(j, Look{Scheme: "A", Sun: &s})
		if err != nil {
			t.Fatal(err)
		}
		low, high := 255.0, 0.0
		for y := 400; y < 480; y++ {
			v := float64(im.RGBAAt(200, y).R)
			low, high = min(low, v), max(high, v)
		}
		return high - low
	}
	if behind, high := spread(Sun{0, 40}), spread(Sun{180, 55}); high < 1.5*behind {
		t.Errorf("the shadows under a high sun differ by %.0f levels, with the sun behind by %.0f", high, behind)
	}
	again, err := f.Paint(j, "A")
	if err != nil || !bytes.Equal(own.Pix, again.Pix) {
		t.Error("another sun left something behind")
	}
	j.House.Walls[0].FacesDeg = nil
	if _, err := f.PaintAs(j, Look{Scheme: "A", Sun: &Sun{180, 45}}); !errors.Is(err, ErrNoBearing) {
		t.Error(err)
	}
}

// The photo's own sun asked for again gives the photo's own picture.
func TestUnderTheSameSun(t *testing.T) {
	p := shot(400, 300, 300, 0.2)
	ready := Prepare(p)
	z := Zone{Region: p.Walls[0].Field, Face: dutch, Finish: slate}
	a, err := ready.Render([]Dressing{{z}})
	if err != nil {
		t.Fatal(err)
	}
	b, err := ready.Under(p.Sun).Render([]Dressing{{z}})
	if err != nil || !bytes.Equal(a.Pix, b.Pix) {
		t.Errorf("the picture differs (%v)", err)
	}
}

// A stroke keeps what lies under it as it is in the photo; a wall stroke over that
// paints it again; without strokes nothing of it stays.
func TestStrokesOnAPhoto(t *testing.T) {
	j, open := drawn(t)
	entry := j.Photos[0]
	at := image.Pt(200, 150)
	paint := func(strokes string) color.RGBA {
		entry.Raw = bytes.Replace(j.Photos[0].Raw, []byte(`"sun"`), []byte(`"strokes": [`+strokes+`], "sun"`), 1)
		f, err := FitAt(j, entry, open, 400)
		if err != nil {
			t.Fatal(err)
		}
		im, err := f.Paint(j, "A")
		if err != nil {
			t.Fatal(err)
		}
		return im.RGBAAt(at.X/2, at.Y/2)
	}
	const front, wall = `{"kind":"front","width_px":12,"points":[[180,150],[220,150]]}`, `{"kind":"wall","width_px":14,"points":[[170,150],[230,150]]}`
	if c := paint(front); c.R != 150 || c.B != 145 {
		t.Errorf("under a stroke: %v", c)
	}
	if bare, over := paint(""), paint(front+","+wall); bare.R == 150 || over != bare {
		t.Errorf("without strokes %v, painted over %v", bare, over)
	}
	entry.Raw = bytes.Replace(j.Photos[0].Raw, []byte(`"sun"`), []byte(`"strokes": [{"kind":"front","width_px":9000,"points":[[1,1],[2,2]]}], "sun"`), 1)
	if _, err := Fit(j, entry, open); err == nil {
		t.Error("a stroke as wide as a house is taken")
	}
}
