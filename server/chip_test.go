package server_test

import (
	"bytes"
	"image"
	"image/color"
	"math"
	"testing"

	"coilwright/colour"
)

// chipPhoto is a photo under a warm, dim light: a chip of an sRGB colour in the left
// half, a card of 18 % in the right.
func chipPhoto(chip colour.SRGB) *image.RGBA {
	im := image.NewRGBA(image.Rect(0, 0, 640, 400))
	light := colour.Linear{0.9, 0.75, 0.5}
	for y := range 400 {
		for x := range 640 {
			c := chip.Linear()
			if x >= 320 {
				c = colour.Linear{0.18, 0.18, 0.18}
			}
			s := c.Times(light).SRGB()
			im.SetRGBA(x, y, color.RGBA{s[0], s[1], s[2], 255})
		}
	}
	return im
}

func (s *site) chip(job, file, kind string) map[string]any {
	return map[string]any{
		"file": file, "kind": kind, "name": "Grandmother's door",
		"chip": map[string]any{"u": 0.1, "v": 0.2, "w": 0.3, "h": 0.5}, "reference": map[string]any{"u": 0.6, "v": 0.2, "w": 0.3, "h": 0.5},
	}
}

// TestChip: a chip of a stock colour's own sRGB under a cast of light is that stock
// colour, near and with its doubt; what cannot be told is refused with the mend.
func TestChip(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	book := s.want(200, "GET", job+"/book", nil)
	barn := colour.SRGB{}
	for _, c := range book["colours"].([]any) {
		if at(c, "id") == "barn" {
			for k := range barn {
				barn[k] = uint8(at(c, "srgb", k).(float64))
			}
		}
	}
	file := s.want(201, "POST", job+"/photos", jpegOf(t, chipPhoto(barn)), "Content-Type", "image/jpeg")["file"].(string)
	got := s.want(200, "POST", job+"/chip", s.chip(job, file, "grey-card"))
	if at(got, "matches", 0, "id") != "barn" || at(got, "matches", 0, "off").(float64) > 3 || got["uncertainty"].(float64) < 3 {
		t.Errorf("%v", got)
	}
	want := barn.Linear().Lab()
	if d := math.Hypot(math.Hypot(at(got, "lab", "l").(float64)-want.L, at(got, "lab", "a").(float64)-want.A), at(got, "lab", "b").(float64)-want.B); d > 5 {
		t.Errorf("read as %v, is %v", got["lab"], want)
	}
	has(t, "what a phone is", []byte(at(got, "notes", 0).(string)), "no spectrophotometer")
	trim := s.want(200, "POST", job+"/chip", s.chip(job, file, "white-trim"))
	if trim["uncertainty"].(float64) <= got["uncertainty"].(float64) {
		t.Error("white trim is as sure as a grey card")
	}
	pdf := s.do("POST", job+"/chip/request", s.chip(job, file, "grey-card"))
	if pdf.Status != 200 || !bytes.HasPrefix(pdf.Body, []byte("%PDF-")) {
		t.Errorf("request: %d %.100s", pdf.Status, pdf.Body)
	}
	text := s.do("POST", job+"/chip/request?kind=txt", s.chip(job, file, "grey-card"))
	has(t, "request", text.Body, "custom colour match", "Grandmother's door", "spectrophotometer", "CIEDE2000", "Nearest stock colours")
}

func TestChipRefuses(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	file := s.want(201, "POST", job+"/photos", jpegOf(t, chipPhoto(colour.SRGB{255, 255, 255})), "Content-Type", "image/jpeg")["file"].(string)
	white := image.NewRGBA(image.Rect(0, 0, 64, 64))
	for i := range white.Pix {
		white.Pix[i] = 255
	}
	burnt := s.want(201, "POST", job+"/photos", jpegOf(t, white), "Content-Type", "image/jpeg")["file"].(string)
	refuse := func(status int, say string, change func(map[string]any)) {
		t.Helper()
		b := s.chip(job, file, "grey-card")
		change(b)
		got := s.do("POST", job+"/chip", b)
		if got.Status != status || !bytes.Contains(got.Body, []byte(say)) {
			t.Errorf("%d %.300s; want %d %s", got.Status, got.Body, status, say)
		}
	}
	refuse(404, "add it again", func(b map[string]any) { b["file"] = "none.jpg" })
	refuse(422, "burnt out", func(b map[string]any) { b["file"] = burnt })
	refuse(422, "apart", func(b map[string]any) { b["reference"] = b["chip"] })
	refuse(422, "8 by 8", func(b map[string]any) { b["chip"] = map[string]any{"u": 0.1, "v": 0.1, "w": 0.001, "h": 0.1} })
	refuse(422, "8 by 8", func(b map[string]any) { b["chip"] = map[string]any{"u": 0.9, "v": 0.1, "w": 0.5, "h": 0.1} })
	refuse(422, "reflectance", func(b map[string]any) { b["kind"] = "other" })
	refuse(422, "kind", func(b map[string]any) { b["kind"] = "gold" })
	refuse(422, "", func(b map[string]any) { b["chip"] = map[string]any{"u": -1, "v": 0, "w": 1, "h": 1} })
}
