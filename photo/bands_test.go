package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"

	"coilwright/opendata"

	"pgregory.net/rapid"
)

// shaded is a picture with smooth areas, edges and noise, so that codes of all kinds come.
func shaded(size image.Rectangle, seed uint32) *image.RGBA {
	im := image.NewRGBA(size)
	for y := range size.Dy() {
		for x := range size.Dx() {
			seed = seed*1664525 + 1013904223
			c := color.RGBA{uint8(x * 3), uint8(y), uint8(x + y), 255}
			if x/50%2 == 1 {
				c.R, c.G = c.R+uint8(seed>>24), 255-c.G
			}
			if y/40%3 == 2 {
				c = color.RGBA{uint8(30 * (y / 40)), 200, 10, 255}
			}
			im.SetRGBA(x, y, c)
		}
	}
	return im
}

func coded(t rapid.TB, im image.Image, quality int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, im, &jpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// inBands fails where a file is not read in bands, or not as the library reads it whole,
// to the last bit.
func inBands(t rapid.TB, file []byte) {
	t.Helper()
	want, err := jpeg.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	s := newScan(file)
	if s == nil {
		t.Fatal("its scan is not found")
	}
	bands := 0
	s.cut(func(entry, int, int) { bands++ })
	if most := (s.down + bandRows - 1) / bandRows; bands < 2 || bands > most {
		t.Errorf("%d bands, want 2 to %d", bands, most)
	}
	got := s.pixels()
	if got == nil {
		t.Fatal("not read in bands")
	}
	if w := flat(want); got.Rect != w.Rect || !bytes.Equal(got.Pix, w.Pix) {
		t.Error("the pixels differ from those read in one go")
	}
}

func TestDecodedInBands(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 300).Draw(t, "width"), rapid.IntRange(130, 600).Draw(t, "height")
		im := image.Image(shaded(image.Rect(0, 0, w, h), rapid.Uint32().Draw(t, "seed")))
		if rapid.Bool().Draw(t, "grey") {
			grey := image.NewGray(im.Bounds())
			for i := range grey.Pix {
				grey.Pix[i] = im.(*image.RGBA).Pix[4*i]
			}
			im = grey
		}
		inBands(t, coded(t, im, rapid.IntRange(1, 100).Draw(t, "quality")))
	})
}

// The last band is left uncut for as much of the picture as one of few processors reads
// while the others read the rest.
func TestLastBandUncut(t *testing.T) {
	s := newScan(coded(t, shaded(image.Rect(0, 0, 40, 16*240), 3), 90))
	for processors, want := range map[int]int{2: 160, 4: 224, 6: 232, 64: 232} {
		before := runtime.GOMAXPROCS(processors)
		last := -1
		s.cut(func(from entry, _, to int) {
			if last = from.row; to > s.size {
				t.Errorf("a band ends behind the codes")
			}
		})
		runtime.GOMAXPROCS(before)
		if last != want {
			t.Errorf("%d processors: the last band starts in row %d of 240, want %d", processors, last, want)
		}
	}
}

// Files by libjpeg-turbo, through OpenCV: with restarts, which go on where rows begin
// (a row of the picture has 21 units) or elsewhere, and with codes made for the picture,
// in which a mean may have none of its own.
func TestDecodedInBandsByOthers(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import cv2").Run(); err != nil {
		t.Skip("OpenCV (python3-opencv) is not installed: nobody else to write the files")
	}
	dir := t.TempDir()
	name := filepath.Join(dir, "in.jpg")
	if err := os.WriteFile(name, coded(t, shaded(image.Rect(0, 0, 333, 777), 1), 95), 0o600); err != nil {
		t.Fatal(err)
	}
	script := `import cv2,sys
im=cv2.imread(sys.argv[1])
def put(name,im,*settings): cv2.imwrite(sys.argv[2]+"/"+name+".jpg",im,list(settings))
best,restart=cv2.IMWRITE_JPEG_OPTIMIZE,cv2.IMWRITE_JPEG_RST_INTERVAL
put("colour",im); put("colour-best",im,best,1,cv2.IMWRITE_JPEG_QUALITY,70)
grey=im[:,:,1]
put("grey",grey); put("grey-best",grey,best,1)
put("restarts",im,restart,21); put("restarts-best",im,restart,3,best,1)
put("odd-restarts",im,restart,5)
plain=im.copy(); plain[:]=180; plain[::3]+=3
put("plain",plain,best,1)
put("steps",im,cv2.IMWRITE_JPEG_PROGRESSIVE,1)`
	if out, err := exec.Command(python, "-c", script, name, dir).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, name := range []string{"colour", "colour-best", "grey", "grey-best", "restarts", "restarts-best"} {
		t.Run(name, func(t *testing.T) { inBands(t, read(t, dir, name)) })
	}
	for _, name := range []string{"odd-restarts", "plain", "steps"} {
		t.Run(name, func(t *testing.T) { asLibrary(t, read(t, dir, name)) })
	}
}

func read(t *testing.T, dir, name string) []byte {
	t.Helper()
	file, err := os.ReadFile(filepath.Join(dir, name+".jpg"))
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// asLibrary fails where a file is read, or refused, otherwise than by the library.
func asLibrary(t *testing.T, file []byte) {
	t.Helper()
	want, mistake := jpeg.Decode(bytes.NewReader(file))
	got, err := decodeJPEG(file)
	switch {
	case (err == nil) != (mistake == nil):
		t.Errorf("%v, want %v", err, mistake)
	case err == nil && !bytes.Equal(got.Pix, flat(want).Pix):
		t.Error("the pixels differ from those read in one go")
	}
}

// Real cameras' photos.
func TestPhotosDecodedInBands(t *testing.T) {
	names, err := filepath.Glob(filepath.Join(opendata.Need(t, "real photos", "photos"), "*.jpg"))
	if err != nil || len(names) == 0 {
		t.Fatal("no photos", err)
	}
	n := 0
	for _, name := range names {
		file, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		asLibrary(t, file)
		if newScan(file) != nil {
			n++
		}
	}
	t.Logf("%d of %d photos are read in bands", n, len(names))
}

// Whatever is wrong with a file, it is read or refused as by the library alone.
func FuzzDecodeJPEG(f *testing.F) {
	for _, size := range []image.Point{{24, 150}, {1, 140}} {
		f.Add(coded(f, shaded(image.Rectangle{Max: size}, 7), 60))
	}
	grey := coded(f, image.NewGray(image.Rect(0, 0, 9, 99)), 90)
	f.Add(grey)
	f.Add(append([]byte{0xff, 0xae}, grey[2:]...))             // begins as no picture does
	f.Add(append([]byte{0xff, 0xd8, 0xff, 0xf8}, grey[4:]...)) // has a segment that nobody knows
	f.Fuzz(func(t *testing.T, file []byte) {
		if c, err := jpeg.DecodeConfig(bytes.NewReader(file)); err == nil && c.Width*c.Height > 1<<20 {
			t.Skip("too large to try often")
		}
		asLibrary(t, file)
	})
}
