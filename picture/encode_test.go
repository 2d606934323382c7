package picture

import (
	"bytes"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// noisy is a picture of the size in which no two blocks are alike.
func noisy(size image.Rectangle, seed uint64) *image.RGBA {
	r := rand.New(rand.NewPCG(seed, 1))
	out := image.NewRGBA(size)
	for i := range out.Pix {
		out.Pix[i] = uint8(r.Uint32())
		if i%4 == 3 {
			out.Pix[i] = 255
		}
	}
	return out
}

// Whatever its size and wherever it begins, a picture coded in intervals is read as the
// same picture coded by the standard library in one go.
func TestJPEGInIntervals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := rapid.IntRange(-9, 9).Draw(t, "x"), rapid.IntRange(-9, 9).Draw(t, "y")
		w, h := rapid.IntRange(1, 60).Draw(t, "width"), rapid.IntRange(1, 420).Draw(t, "height")
		im := noisy(image.Rect(x, y, x+w, y+h), rapid.Uint64().Draw(t, "seed"))
		quality := rapid.IntRange(1, 100).Draw(t, "quality")
		got, err := JPEG(im, quality)
		if err != nil {
			t.Fatal(err)
		}
		var whole bytes.Buffer
		if err := jpeg.Encode(&whole, im, &jpeg.Options{Quality: quality}); err != nil {
			t.Fatal(err)
		}
		a, b := pixelsOf(t, got), pixelsOf(t, whole.Bytes())
		if !bytes.Equal(a.Y, b.Y) || !bytes.Equal(a.Cb, b.Cb) || !bytes.Equal(a.Cr, b.Cr) || a.Rect != b.Rect {
			t.Fatalf("%v at quality %d: the pixels differ", im.Rect, quality)
		}
	})
}

// OpenCV, whose codec is libjpeg-turbo, reads such a file without a warning.
func TestJPEGReadByOthers(t *testing.T) {
	if err := exec.Command("/usr/bin/python3", "-c", "import cv2").Run(); err != nil {
		t.Skip("OpenCV (python3-opencv) is not installed: nothing to compare with")
	}
	im := image.NewRGBA(image.Rect(0, 0, 333, 777))
	for i := range im.Pix { // smooth, since decoders may differ in how they widen colour
		x, y := i/4%333, i/4/333
		im.Pix[i] = [4]uint8{uint8(x / 2), uint8(y / 4), uint8((x + y) / 8), 255}[i%4]
	}
	file, err := JPEG(im, 92)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "a.jpg")
	if err := os.WriteFile(name, file, 0o600); err != nil {
		t.Fatal(err)
	}
	c := exec.Command("/usr/bin/python3", "-c", "import cv2,sys;sys.stdout.buffer.write(cv2.imread(sys.argv[1])[:,:,::-1].tobytes())", name)
	var said strings.Builder
	c.Stderr = &said
	got, err := c.Output()
	if err != nil || said.Len() > 0 || len(got) != 3*333*777 {
		t.Fatalf("%v, %d bytes, %s", err, len(got), said.String())
	}
	for i, v := range got {
		if d := int(v) - int(im.Pix[i/3*4+i%3]); d < -6 || d > 6 {
			t.Fatalf("pixel %d, %d: %d, want %d", i/3%333, i/3/333, v, im.Pix[i/3*4+i%3])
		}
	}
}

func TestJPEGTooHigh(t *testing.T) {
	if _, err := JPEG(image.NewRGBA(image.Rect(0, 0, 1, 1<<16)), 92); err == nil {
		t.Error("a picture higher than a JPEG says was written")
	}
}

func pixelsOf(t *rapid.T, file []byte) *image.YCbCr {
	im, err := jpeg.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	return im.(*image.YCbCr)
}
