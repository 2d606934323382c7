package draw

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

func TestPhoto(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 400, 100))
	for x := range 400 {
		for y := range 100 {
			img.Set(x, y, color.RGBA{200, 30, 30, 255})
		}
	}
	data, w, h, err := Photo(img, 200)
	if err != nil || w != 200 || h != 50 {
		t.Fatal(w, h, err)
	}
	c, err := jpeg.DecodeConfig(bytes.NewReader(data))
	if err != nil || c.Width != 200 || c.Height != 50 {
		t.Error(c, err)
	}
	if _, _, _, err := Photo(image.NewRGBA(image.Rectangle{}), 200); err == nil {
		t.Error("a picture of nothing was taken")
	}
	if r := (Rect{0, 0, 100, 100}).Within(4, 1); r != (Rect{0, 37.5, 100, 25}) {
		t.Errorf("%+v", r)
	}
	twice := &Document{Title: "twice", Pages: []*Page{{W: 100, H: 100}}}
	for _, at := range []Rect{{0, 0, 40, 10}, {0, 20, 40, 10}} {
		twice.Pages[0].Add(Image{At: at, JPEG: data, Alt: "red <wall>"})
	}
	pdf, err := twice.PDFBytes()
	if err != nil || bytes.Count(pdf, []byte("/Subtype /Image")) != 1 {
		t.Errorf("%v: an equal picture is embedded %d times", err, bytes.Count(pdf, []byte("/Subtype /Image")))
	}
	if svg := string(twice.Pages[0].SVG()); strings.Count(svg, "data:image/jpeg") != 2 || !strings.Contains(svg, "red &lt;wall&gt;") {
		t.Error("the SVG lacks the picture or its words")
	}
	qpdf, err := exec.LookPath("qpdf")
	if err != nil {
		t.Skip("qpdf is not installed")
	}
	at := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(at, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(qpdf, "--check", at).CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
}
