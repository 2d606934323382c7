package server_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"testing"

	"coilwright/opendata"
	"coilwright/photo"
	"coilwright/picture"
)

// pictured is the demo job with a photo of a truth scene, whose wall has the very
// sizes of the job's south wall.
type pictured struct {
	*site
	job  string
	file string
}

// halved is a picture at half its size, every pixel the mean of four.
func halved(t testing.TB, file []byte) image.Image {
	t.Helper()
	from, _, err := image.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	size := from.Bounds().Size().Div(2)
	out := image.NewRGBA(image.Rectangle{Max: size})
	for y := range size.Y {
		for x := range size.X {
			var sum [3]uint32
			for k := range 4 {
				r, g, b, _ := from.At(2*x+k%2, 2*y+k/2).RGBA()
				sum[0], sum[1], sum[2] = sum[0]+r, sum[1]+g, sum[2]+b
			}
			out.SetRGBA(x, y, color.RGBA{uint8(sum[0] >> 10), uint8(sum[1] >> 10), uint8(sum[2] >> 10), 255})
		}
	}
	return out
}

// alder adds the scene's photo, at half its size, with its marks, its mask and its sun.
func (s *site) alder() *pictured {
	s.t.Helper()
	dir := opendata.Need(s.t, "pictures", "scenes", "alder")
	p := &pictured{site: s, job: "/api/jobs/" + s.demo()}
	read := func(name string) []byte {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			s.t.Fatal(err)
		}
		return data
	}
	shot := asTaken(jpegOf(s.t, halved(s.t, read("before.jpg"))), 1, 27)
	p.file = s.want(201, "POST", p.job+"/photos", shot, "Content-Type", "image/jpeg")["file"].(string)
	s.want(200, "PUT", p.job+"/files/mask.png", pngOf(s.t, halved(s.t, read("mask_soft.png"))), "Content-Type", "image/png")
	var marks map[string]any
	if err := json.Unmarshal(read("marks.json"), &marks); err != nil {
		s.t.Fatal(err)
	}
	for _, p := range at(marks, "points").(map[string]any) {
		for k, v := range p.([]any) {
			p.([]any)[k] = v.(float64) / 2
		}
	}
	at(marks, "photo").(map[string]any)["focal_px"] = at(marks, "photo", "focal_px").(float64) / 2
	at(marks, "walls", 0).(map[string]any)["id"] = "south"
	at(marks, "photo").(map[string]any)["file"] = p.file
	p.change("add", "/house/photos", []any{map[string]any{
		"id": "P1", "file": p.file, "mask": "mask.png", "marks": marks,
		"sun": map[string]any{"at": "2026-06-18T14:40:00-05:00", "lat": 41.6, "lon": -93.6},
	}})
	return p
}

func (p *pictured) change(op, path string, value any) {
	p.t.Helper()
	head := p.want(200, "GET", p.job, nil)
	body := map[string]any{"what": "edit", "patch": []any{map[string]any{"op": op, "path": path, "value": value}}}
	if op == "remove" {
		delete(at(body, "patch", 0).(map[string]any), "value")
	}
	p.want(200, "POST", p.job+"/changes", body, "If-Match", fmt.Sprintf(`"%v"`, head["revision"]))
}

// picture asks for a picture and decodes it.
func (p *pictured) picture(query string) (*reply, image.Image) {
	p.t.Helper()
	got := p.do("GET", p.job+"/photos/P1/picture?"+query, nil)
	if got.Status != 200 || got.Header.Get("Content-Type") != "image/jpeg" {
		p.t.Fatalf("%s: %d %.400s\n%s", query, got.Status, got.Body, p.log)
	}
	im, err := jpeg.Decode(bytes.NewReader(got.Body))
	if err != nil {
		p.t.Fatal(err)
	}
	return &got, im
}

// mean is a picture's mean colour around a place, in shares.
func mean(im image.Image, u, v float64) (out [3]float64) {
	size := im.Bounds().Size()
	x, y := int(u*float64(size.X)), int(v*float64(size.Y))
	const r = 3
	for j := -r; j <= r; j++ {
		for i := -r; i <= r; i++ {
			c := color.RGBAModel.Convert(im.At(x+i, y+j)).(color.RGBA)
			for k, n := range [3]uint8{c.R, c.G, c.B} {
				out[k] += float64(n) / ((2*r + 1) * (2*r + 1))
			}
		}
	}
	return out
}

func apart(a, b [3]float64) float64 {
	return math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2])
}

// places finds spots in the scene: between the first window and the door the wall is
// bare, and the window's own middle.
func places(t testing.TB) (clad, window, sky [2]float64) {
	t.Helper()
	text, err := os.ReadFile(opendata.Need(t, "pictures", "scenes", "alder", "marks.json"))
	if err != nil {
		t.Fatal(err)
	}
	var m struct{ Points map[string][2]float64 }
	if err := json.Unmarshal(text, &m); err != nil {
		t.Fatal(err)
	}
	between := func(names ...string) (out [2]float64) {
		for _, n := range names {
			out[0] += m.Points[n][0] / 1600 / float64(len(names))
			out[1] += m.Points[n][1] / 1200 / float64(len(names))
		}
		return out
	}
	return between("S1_1", "S2_0"), between("S3_0", "S3_1", "S3_2", "S3_3"), [2]float64{0.5, 0.03}
}

// TestPicture: the cladding wears the scheme, what is no cladding stays as it was, and
// another scheme looks otherwise.
func TestPicture(t *testing.T) {
	p := here(t).alder()
	clad, window, sky := places(t)
	old := p.do("GET", p.job+"/photos/P1/view?width=800", nil)
	before, err := jpeg.Decode(bytes.NewReader(old.Body))
	if err != nil {
		t.Fatal(err)
	}
	if _, small := p.picture("scheme=A&width=400"); small.Bounds().Size() != image.Pt(400, 300) {
		t.Errorf("a small one is %v", small.Bounds())
	}
	head, a := p.picture("scheme=A&width=800")
	if size := a.Bounds().Size(); size != image.Pt(800, 600) {
		t.Errorf("the picture is %v", size)
	}
	if head.Header.Get("X-Coilwright-Picture") != "An illustration; approve a physical sample." {
		t.Errorf("it does not say what it is: %v", head.Header)
	}
	_, c := p.picture("scheme=C&width=800")
	if d := apart(mean(a, clad[0], clad[1]), mean(before, clad[0], clad[1])); d < 40 {
		t.Errorf("the cladding differs by %.0f from the old one's", d)
	}
	if d := apart(mean(a, clad[0], clad[1]), mean(c, clad[0], clad[1])); d < 40 {
		t.Errorf("two schemes differ by %.0f on the cladding", d)
	}
	for _, at := range [][2]float64{window, sky} {
		if d := apart(mean(a, at[0], at[1]), mean(before, at[0], at[1])); d > 8 {
			t.Errorf("at %v the photo is changed by %.0f", at, d)
		}
	}
	if again := p.do("GET", p.job+"/photos/P1/picture?scheme=A&width=800", nil, "If-None-Match", head.Header.Get("ETag")); again.Status != 304 || len(again.Body) > 0 {
		t.Errorf("asked again: %d", again.Status)
	}
	p.change("replace", "/schemes/0/zones/1/colour", "barn")
	after, barn := p.picture("scheme=A&width=800")
	if after.Header.Get("ETag") == head.Header.Get("ETag") || apart(mean(barn, clad[0], clad[1]), mean(a, clad[0], clad[1])) < 30 {
		t.Error("another colour gives the same picture")
	}
}

// TestPictureWhole: the download has the photo's own size, a colour profile, what the
// camera wrote, and no place.
func TestPictureWhole(t *testing.T) {
	p := here(t).alder()
	got, im := p.picture("scheme=B&width=0&download=true")
	if im.Bounds().Size() != image.Pt(800, 600) || got.Header.Get("Content-Disposition") != `attachment; filename="P1-B.jpg"` {
		t.Errorf("%v %v", im.Bounds(), got.Header)
	}
	_, _, meta, err := photo.Describe(got.Body)
	if err != nil || meta.HasPlace || meta.Focal == 0 || picture.ProfileOf(got.Body) == nil {
		t.Errorf("%+v %v, profile %d bytes", meta, err, len(picture.ProfileOf(got.Body)))
	}
}

// TestPictureSun: another sun changes the cladding and nothing else; the sun of the
// day is that of the scene's own truth (NOAA's equations), and goes up and down.
func TestPictureSun(t *testing.T) {
	p := here(t).alder()
	clad, _, sky := places(t)
	_, own := p.picture("scheme=A&width=800")
	_, low := p.picture("scheme=A&width=800&sun_azimuth_deg=120&sun_elevation_deg=10")
	if d := apart(mean(own, clad[0], clad[1]), mean(low, clad[0], clad[1])); d < 6 {
		t.Errorf("a low sun changes the cladding by %.1f", d)
	}
	if d := apart(mean(own, sky[0], sky[1]), mean(low, sky[0], sky[1])); d > 3 {
		t.Errorf("a low sun changes the photo's sky by %.1f", d)
	}
	for _, query := range []string{"sun_azimuth_deg=120", "sun_elevation_deg=20", "sun_azimuth_deg=120&sun_elevation_deg=-3", "sun_azimuth_deg=x&sun_elevation_deg=5", "sun_azimuth_deg=1e9&sun_elevation_deg=5"} {
		if got := p.do("GET", p.job+"/photos/P1/picture?scheme=A&"+query, nil); got.Status != 422 {
			t.Errorf("%s: %d", query, got.Status)
		}
	}
	// The hour of the scene is the photo's own sun; an hour of the night is refused.
	_, same := p.picture("scheme=A&width=800&at=2026-06-18T14:40:00-05:00")
	if d := apart(mean(own, clad[0], clad[1]), mean(same, clad[0], clad[1])); d > 2 {
		t.Errorf("the photo's own hour changes the cladding by %.1f", d)
	}
	for _, query := range []string{"at=2026-06-18T02:00:00-05:00", "at=noon", "at=2026-06-18T12:00:00Z&sun_azimuth_deg=1&sun_elevation_deg=5"} {
		if got := p.do("GET", p.job+"/photos/P1/picture?scheme=A&"+query, nil); got.Status != 422 {
			t.Errorf("%s: %d", query, got.Status)
		}
	}
	sun := p.want(200, "GET", p.job+"/photos/P1/sun", nil)
	if sun["place"] != true || sun["bearing"] != true || sun["known"] != true || sun["date"] != "2026-06-18" || math.Abs(sun["azimuth_deg"].(float64)-230.597) > 0.1 || math.Abs(sun["elevation_deg"].(float64)-64.702) > 0.1 {
		t.Errorf("%v", sun)
	}
	if sun["width"] != 800.0 || sun["height"] != 600.0 {
		t.Errorf("the photo is %v x %v", sun["width"], sun["height"])
	}
	day := sun["day"].([]any)
	if len(day) < 40 || len(day) > 48 {
		t.Errorf("%d thirds of an hour in June at 41.6 north", len(day))
	}
	winter := p.want(200, "GET", p.job+"/photos/P1/sun?date=2026-12-21", nil)["day"].([]any)
	if len(winter) < 22 || len(winter) > 28 {
		t.Errorf("%d in December", len(winter))
	}
	p.change("replace", "/house/photos/0/sun", "overcast")
	sun = p.want(200, "GET", p.job+"/photos/P1/sun", nil)
	if sun["overcast"] != true || sun["place"] != false || len(sun["day"].([]any)) != 0 {
		t.Errorf("overcast: %v", sun)
	}
	p.picture("scheme=A&width=400")
	if got := p.do("GET", p.job+"/photos/P1/picture?scheme=A&at=2026-06-18T14:40:00-05:00", nil); got.Status != 422 {
		t.Errorf("a time without a place: %d", got.Status)
	}
}

// TestPictureZone: a place of the photo names wall, zone and course; a window names
// the opening; the sky nothing.
func TestPictureZone(t *testing.T) {
	p := here(t).alder()
	clad, window, sky := places(t)
	ask := func(scheme string, at [2]float64) map[string]any {
		return p.want(200, "GET", fmt.Sprintf("%s/photos/P1/zone?scheme=%s&u=%f&v=%f", p.job, scheme, at[0], at[1]), nil)
	}
	if v := ask("A", clad); v["wall"] != "south" || v["zone"] != "field" || v["course"].(float64) < 1 || v["share"] != 1.0 {
		t.Errorf("cladding: %v", v)
	}
	// 46 + 43 1/4 and 142 1/2 in: half way between them, by the job's own sizes.
	if x := ask("A", clad)["x_in"].(float64); math.Abs(x-115.9) > 2 {
		t.Errorf("the place is %.1f in from the left", x)
	}
	if v := ask("A", window); v["opening"] != "S3" || v["zone"] != "" {
		t.Errorf("window: %v", v)
	}
	if v := ask("A", sky); v["wall"] != "" {
		t.Errorf("sky: %v", v)
	}
	low := p.want(200, "GET", p.job+"/photos/P1/zone?scheme=B&u=0.3&v=0.001", nil)
	if low["wall"] != "" {
		t.Errorf("above the house: %v", low)
	}
}

// TestPictureRefuses: each wrong question gets one answer that says what to do.
func TestPictureRefuses(t *testing.T) {
	p := here(t).alder()
	p.change("add", "/house/photos/-", map[string]any{"id": "bare", "file": p.file})
	p.change("add", "/house/photos/-", map[string]any{"id": "lost", "file": "gone.jpg"})
	p.change("add", "/house/photos/-", map[string]any{"id": "broken", "file": p.file, "marks": map[string]any{"format": "coilwright/marks@1", "photo": map[string]any{"file": p.file}, "points": map[string]any{}, "walls": []any{}}})
	for _, c := range []struct {
		status    int
		path, say string
	}{
		{404, "/photos/none/picture?scheme=A", "no photo"},
		{404, "/photos/P1/picture?scheme=none", "no scheme"},
		{422, "/photos/P1/picture", "scheme"},
		{422, "/photos/P1/picture?scheme=A&width=-1", "width"},
		{422, "/photos/P1/picture?scheme=A&width=1000000", "width"},
		{422, "/photos/P1/picture?scheme=A&width=abc", "width"},
		{422, "/photos/bare/picture?scheme=A", "mark"},
		{422, "/photos/broken/picture?scheme=A", ""},
		{404, "/photos/lost/picture?scheme=A", "add the photo again"},
		{422, "/photos/P1/zone?scheme=A&u=2&v=0", "u"},
		{422, "/photos/P1/zone?scheme=A&u=0.5", "v"},
		{422, "/photos/P1/sun?date=yesterday", "date"},
		{404, "/photos/none/sun", "no photo"},
		{404, "/photos/none/zone?scheme=A&u=0&v=0", "no photo"},
	} {
		got := p.do("GET", p.job+c.path, nil)
		if got.Status != c.status || !bytes.Contains(bytes.ToLower(got.Body), []byte(c.say)) {
			t.Errorf("%s: %d %.300s", c.path, got.Status, got.Body)
		}
	}
	if got := p.do("GET", "/api/jobs/0123456789abcdef/photos/P1/picture?scheme=A", nil); got.Status != 404 {
		t.Errorf("another job: %d", got.Status)
	}
}

// TestCloseUp: a place of a wall, with another colour tried on it.
func TestCloseUp(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo() + "/schemes/A/closeup"
	see := func(query string) image.Image {
		got := s.do("GET", job+query, nil)
		if got.Status != 200 || got.Header.Get("Content-Type") != "image/jpeg" {
			t.Fatalf("%s: %d %.300s\n%s", query, got.Status, got.Body, s.log)
		}
		im, err := jpeg.Decode(bytes.NewReader(got.Body))
		if err != nil {
			t.Fatal(err)
		}
		return im
	}
	slate, barn := see("?wall=south&x_in=20&y_in=40&width=320"), see("?wall=south&x_in=20&y_in=40&width=320&zone=field&colour=barn")
	if slate.Bounds().Size() != image.Pt(320, 240) {
		t.Errorf("%v", slate.Bounds())
	}
	if a, b := mean(slate, 0.5, 0.5), mean(barn, 0.5, 0.5); b[0] < 1.6*b[2] || a[0] > 1.2*a[2] {
		t.Errorf("slate is %v, barn %v", a, b)
	}
	see("?zone=gable&width=200")
	see("?wall=south&width=200&sun_azimuth_deg=200&sun_elevation_deg=30")
	for query, status := range map[string]int{"?wall=none": 404, "?zone=none": 404, "?colour=barn": 422, "?zone=field&panel=none": 404, "?width=99999": 422, "?x_in=abc": 422, "?sun_azimuth_deg=3": 422} {
		if got := s.do("GET", job+query, nil); got.Status != status {
			t.Errorf("%s: %d %.200s", query, got.Status, got.Body)
		}
	}
}

// TestOthersPictures: nobody sees another shop's pictures.
func TestOthersPictures(t *testing.T) {
	s := start(t, openStore(t), false)
	for _, path := range []string{"/photos/P1/picture?scheme=A", "/photos/P1/zone?scheme=A&u=0&v=0", "/photos/P1/sun", "/schemes/A/closeup"} {
		if got := s.do("GET", "/api/jobs/0123456789abcdef"+path, nil); got.Status != 401 {
			t.Errorf("%s: %d", path, got.Status)
		}
	}
}
