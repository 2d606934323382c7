package picture

import (
	"image"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"coilwright/bench"
	"coilwright/opendata"
)

// TestShown holds how files are shown against OpenCV, whose JPEG reader is that of most
// viewers: but for rounding the pixels are the same, and nearer than the standard library's.
func TestShown(t *testing.T) {
	file := opendata.Need(t, "truth scenes", "scenes", "birch", "after_lap4.jpg")
	name := filepath.Join(t.TempDir(), "shown.png")
	if err := exec.Command(bench.Python, "-c", "import cv2, sys; cv2.imwrite(sys.argv[2], cv2.imread(sys.argv[1]))", file, name).Run(); err != nil {
		t.Skip("OpenCV (python3-opencv) is not installed: nothing to compare with")
	}
	read := func(name string, decode func(*os.File) (image.Image, error)) image.Image {
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		im, err := decode(f)
		if err != nil {
			t.Fatal(err)
		}
		return im
	}
	raw := read(file, func(f *os.File) (image.Image, error) { return jpeg.Decode(f) })
	want := shown(read(name, func(f *os.File) (image.Image, error) { return png.Decode(f) }))
	off := func(got *image.RGBA) (mean float64) {
		for i, v := range got.Pix {
			d := float64(v) - float64(want.Pix[i])
			mean += max(d, -d) / float64(len(got.Pix))
		}
		return mean
	}
	smooth, steps := off(shown(raw)), off(flat(raw))
	t.Logf("off by %.3f levels in the mean, colours given to four pixels alike by %.3f", smooth, steps)
	if smooth > 0.3 || steps < 2*smooth {
		t.Errorf("off by %.3f levels in the mean, want what OpenCV shows", smooth)
	}
}
