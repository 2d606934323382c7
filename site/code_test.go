package site

import (
	"encoding/base64"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestPackedCode: the bits that a page draws from are the code: drawn as a picture from
// them alone, zbar reads the text.
func TestPackedCode(t *testing.T) {
	if _, err := exec.LookPath("zbarimg"); err != nil {
		t.Skipf("zbarimg is not here: %v", err)
	}
	for _, text := range []string{CodeText("k3jq7zt5bpxw2m4a", "mbugkyzundft"), "http://127.0.0.1:8017/#/site/k3jq7zt5bpxw2m4a"} {
		c, err := CodeOf(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := readBack(t, c.Packed(), len(c)); got != text {
			t.Errorf("%q is read back as %q", text, got)
		}
		if svg := c.SVG(`<"&`); strings.Count(svg, "<") != 6 || !strings.Contains(svg, "&lt;&quot;&amp;") {
			t.Errorf("%.200s", svg)
		}
	}
	if _, err := CodeOf(strings.Repeat("x", 5000)); err == nil {
		t.Error("5,000 letters fit on a label")
	}
}

func readBack(t *testing.T, packed string, size int) string {
	t.Helper()
	bits, err := base64.StdEncoding.DecodeString(packed)
	if err != nil {
		t.Fatal(err)
	}
	const scale, border = 6, 4
	side := (size + 2*border) * scale
	img := image.NewGray(image.Rect(0, 0, side, side))
	for y := range side {
		for x := range side {
			img.SetGray(x, y, color.Gray{255})
			cx, cy := x/scale-border, y/scale-border
			if cx >= 0 && cy >= 0 && cx < size && cy < size {
				if at := cy*size + cx; bits[at/8]&(0x80>>(at%8)) != 0 {
					img.SetGray(x, y, color.Gray{})
				}
			}
		}
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
