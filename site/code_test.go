package site

import (
	"image"
	"image/draw"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestCode: drawn as a picture, run by run, zbar reads the text.
func TestCode(t *testing.T) {
	if _, err := exec.LookPath("zbarimg"); err != nil {
		t.Skipf("zbarimg is not here: %v", err)
	}
	for _, text := range []string{CodeText("k3jq7zt5bpxw2m4a", "mbugkyzundft"), "http://127.0.0.1:8017/#/site/k3jq7zt5bpxw2m4a"} {
		c, err := CodeOf(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := readBack(t, c); got != text {
			t.Errorf("%q is read back as %q", text, got)
		}
	}
	if _, err := CodeOf(strings.Repeat("x", 5000)); err == nil {
		t.Error("5,000 letters fit on a label")
	}
}

func readBack(t *testing.T, c Code) string {
	t.Helper()
	const scale = 6
	img := image.NewGray(image.Rect(0, 0, c.Side()*scale, c.Side()*scale))
	draw.Draw(img, img.Bounds(), image.White, image.Point{}, draw.Src)
	for r := range c.Runs() {
		draw.Draw(img, image.Rect(r.X*scale, r.Y*scale, (r.X+r.Long)*scale, (r.Y+1)*scale), image.Black, image.Point{}, draw.Src)
	}
	file := filepath.Join(t.TempDir(), "code.png")
	f, err := os.Create(file)
	if err == nil {
		err = png.Encode(f, img)
	}
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	out, err := exec.Command("zbarimg", "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", file).Output()
	if err != nil {
		t.Fatalf("zbarimg: %v", err)
	}
	return strings.TrimSuffix(string(out), "\n")
}
