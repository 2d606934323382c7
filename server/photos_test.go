package server_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"strings"
	"testing"
)

// painted is a small picture, one colour in each quarter: red, green over blue,
// white.
func painted(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, [4]color.RGBA{{200, 0, 0, 255}, {0, 180, 0, 255}, {0, 0, 200, 255}, {250, 250, 250, 255}}[2*x/w+2*(2*y/h)])
		}
	}
	return img
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// asTaken writes what a camera would into a JPEG (EXIF 2.32): how it was held, a 35 mm
// equivalent, when, and where.
func asTaken(plain []byte, orientation, equivalent uint16) []byte {
	le := binary.LittleEndian
	entry := func(b []byte, id, kind uint16, count, value uint32) []byte {
		return le.AppendUint32(le.AppendUint32(le.AppendUint16(le.AppendUint16(b, id), kind), count), value)
	}
	// IFD0 at 8 (3 entries), EXIF's at 50 (2), its text at 80 (20), GPS's at 100 (2), its fraction at 130.
	b := append([]byte("II*\x00"), 8, 0, 0, 0)
	b = entry(entry(entry(le.AppendUint16(b, 3), 0x0112, 3, 1, uint32(orientation)), 0x8769, 4, 1, 50), 0x8825, 4, 1, 100)
	b = le.AppendUint32(b, 0)
	b = le.AppendUint32(entry(entry(le.AppendUint16(b, 2), 0x9003, 2, 20, 80), 0xa405, 3, 1, uint32(equivalent)), 0)
	b = append(b, "2026:05:04 10:20:30\x00"...)
	b = le.AppendUint32(entry(entry(le.AppendUint16(b, 2), 1, 2, 2, 'N'), 2, 5, 3, 130), 0)
	for _, v := range []uint32{41, 1, 30, 1, 0, 1} {
		b = le.AppendUint32(b, v)
	}
	body := append([]byte("Exif\x00\x00"), b...)
	segment := append([]byte{0xff, 0xe1, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
	return append(append(append([]byte{}, plain[:2]...), segment...), plain[2:]...)
}

// bomb is a PNG that declares a huge picture in a few bytes.
func bomb(t testing.TB, w, h uint32) []byte {
	data := pngOf(t, image.NewGray(image.Rect(0, 0, 1, 1)))
	binary.BigEndian.PutUint32(data[16:], w)
	binary.BigEndian.PutUint32(data[20:], h)
	c := ^uint32(0) // PNG's own sum, ISO 3309
	for _, x := range data[12:29] {
		c ^= uint32(x)
		for range 8 {
			c = c>>1 ^ 0xedb88320*(c&1)
		}
	}
	binary.BigEndian.PutUint32(data[29:], ^c)
	return data
}

// withPhoto adds a photo to the demo job under an id and gives its file's name.
func (s *site) withPhoto(job, id string, data []byte) string {
	s.t.Helper()
	file := s.want(201, "POST", job+"/photos", data, "Content-Type", "image/jpeg")["file"].(string)
	head := s.want(200, "GET", job, nil)
	patch := fmt.Sprintf(`{"what":"Photo added","patch":[{"op":"add","path":"/house/photos/-","value":{"id":%q,"file":%q}}]}`, id, file)
	s.want(200, "POST", job+"/changes", patch, "If-Match", fmt.Sprintf(`"%v"`, head["revision"]))
	return file
}

// TestPhotoKeepsItsPlace: a photo taken sideways is shown upright, smaller, and says
// nothing of where it was taken; the file itself stays as it was given.
func TestPhotoKeepsItsPlace(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	data := asTaken(jpegOf(t, painted(640, 320)), 6, 27)
	got := s.want(201, "POST", job+"/photos", data, "Content-Type", "image/jpeg")
	if got["width"] != 320.0 || got["height"] != 640.0 || got["has_place"] != true || got["taken"] != "2026-05-04T10:20:30" || got["focal_px"] == nil {
		t.Errorf("added: %v", got)
	}
	file := s.withPhoto(job, "P1", data)
	if file != got["file"] {
		t.Errorf("the same photo is called %s and %s", got["file"], file)
	}
	if kept := s.do("GET", job+"/files/"+file, nil); !bytes.Equal(kept.Body, data) {
		t.Error("the file is not as it was given")
	}
	view := s.do("GET", job+"/photos/P1/view?width=100", nil)
	if view.Status != 200 || view.Header.Get("Content-Type") != "image/jpeg" {
		t.Fatalf("view: %d %s", view.Status, view.Body)
	}
	img, err := jpeg.Decode(bytes.NewReader(view.Body))
	if err != nil || img.Bounds().Dx() != 100 || img.Bounds().Dy() != 200 {
		t.Fatalf("view: %v, %v", err, img.Bounds())
	}
	// Turned a quarter to the right: blue, red over white, green.
	if r, _, b, _ := img.At(10, 10).RGBA(); b < 0x8000 || r > 0x4000 {
		t.Errorf("upper left is %v, want blue", img.At(10, 10))
	}
	if bytes.Contains(view.Body, []byte("Exif")) || bytes.Contains(view.Body, []byte{0xff, 0xe1}) {
		t.Error("the view still tells what the camera wrote")
	}
	again := s.do("GET", job+"/photos/P1/view?width=100", nil, "If-None-Match", view.Header.Get("ETag"))
	if again.Status != 304 {
		t.Errorf("asked again: %d", again.Status)
	}
}

// TestPhotosThatAreNone: each bad file is refused with what is wrong and the mend,
// and nothing is kept of it.
func TestPhotosThatAreNone(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	whole := jpegOf(t, painted(64, 64))
	for name, c := range map[string]struct {
		data []byte
		says string
	}{
		"text":           {[]byte("hello, this is not a picture at all"), "not a picture"},
		"bomb":           {bomb(t, 50_000, 50_000), "50000 x 50000"},
		"small bomb":     {bomb(t, 7_000, 7_000), "too small for"},
		"truncated JPEG": {whole[:len(whole)*2/3], "breaks off"},
		"JPEG head only": {whole[:20], "breaks off"},
		"HEIC":           {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "set the phone's camera to store JPEG"},
		"AVIF":           {[]byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00mif1"), "save the picture as JPEG"},
		"WebP":           {[]byte("RIFF\x10\x00\x00\x00WEBPVP8 "), "save it as JPEG"},
		"PDF":            {[]byte("%PDF-1.7"), "PDF"},
	} {
		got := s.do("POST", job+"/photos", c.data, "Content-Type", "image/jpeg")
		if detail, _ := got.json(t)["detail"].(string); got.Status != 422 || !strings.Contains(detail, c.says) {
			t.Errorf("%s: %d %s", name, got.Status, got.Body)
		}
	}
	if got := s.do("POST", job+"/photos", "", "Content-Type", "image/jpeg"); got.Status != 400 && got.Status != 422 {
		t.Errorf("nothing at all: %d %s", got.Status, got.Body)
	}
	if got := s.do("POST", job+"/photos", make([]byte, 41<<20), "Content-Type", "image/jpeg"); got.Status != 413 {
		t.Errorf("41 MB: %d %s", got.Status, got.Body)
	}
	if files := s.want(200, "GET", job+"/files", nil)["files"].([]any); len(files) != 0 {
		t.Errorf("kept: %v", files)
	}
	s.want(404, "POST", "/api/jobs/0123456789abcdef/photos", whole, "Content-Type", "image/jpeg")
}

// TestPhotosThatAreOdd: what looks odd but is a photo is taken: CMYK, 16 bits a
// colour, each way to hold a camera, metadata that is absurd or broken.
func TestPhotosThatAreOdd(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	cmyk, err := os.ReadFile("../photo/testdata/cmyk.jpg")
	if err != nil {
		t.Fatal(err)
	}
	deep := image.NewNRGBA64(image.Rect(0, 0, 40, 30))
	for _, data := range [][]byte{cmyk, pngOf(t, deep)} {
		s.want(201, "POST", job+"/photos", data, "Content-Type", "image/jpeg")
	}
	plain := jpegOf(t, painted(60, 30))
	for o := uint16(1); o <= 8; o++ {
		got := s.want(201, "POST", job+"/photos", asTaken(plain, o, 27), "Content-Type", "image/jpeg")
		if wide := got["width"] == 60.0; wide != (o < 5) || got["orientation"] != float64(o) {
			t.Errorf("orientation %d: %v", o, got)
		}
	}
	absurd := s.want(201, "POST", job+"/photos", asTaken(plain, 77, 60000), "Content-Type", "image/jpeg")
	if notes := fmt.Sprint(absurd["notes"]); absurd["focal_px"] != nil || !strings.Contains(notes, "orientation 77") || !strings.Contains(notes, "35 mm equivalent") {
		t.Errorf("absurd metadata: %v", absurd)
	}
	broken := asTaken(plain, 6, 27)
	copy(broken[20:], bytes.Repeat([]byte{0xff}, 30))
	s.want(201, "POST", job+"/photos", broken, "Content-Type", "image/jpeg")
}

// TestPhotoPutInAnothersPlace: a file that is replaced or taken away is never shown
// as it was.
func TestPhotoPutInAnothersPlace(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	file := s.withPhoto(job, "P1", jpegOf(t, painted(64, 32)))
	first := s.do("GET", job+"/photos/P1/view", nil)
	s.want(200, "PUT", job+"/files/"+file, jpegOf(t, image.NewGray(image.Rect(0, 0, 48, 48))), "Content-Type", "image/jpeg")
	second := s.do("GET", job+"/photos/P1/view", nil, "If-None-Match", first.Header.Get("ETag"))
	if img, err := jpeg.Decode(bytes.NewReader(second.Body)); second.Status != 200 || err != nil || img.Bounds().Dx() != 48 {
		t.Errorf("replaced: %d, %v", second.Status, err)
	}
	s.want(200, "PUT", job+"/files/"+file, []byte("%PDF-1.7"), "Content-Type", "application/pdf")
	if got := s.want(422, "GET", job+"/photos/P1/view", nil); !strings.Contains(fmt.Sprint(got["detail"]), "PDF") {
		t.Errorf("no photo any more: %v", got)
	}
	if got := s.do("DELETE", job+"/files/"+file, nil); got.Status >= 300 {
		t.Fatalf("taken away: %d", got.Status)
	}
	s.want(404, "GET", job+"/photos/P1/view", nil)
	s.want(404, "GET", job+"/photos/P2/view", nil)
}
