package photo_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"coilwright/opendata"
	"coilwright/photo"

	"pgregory.net/rapid"
)

// tag is one EXIF entry of a test picture.
type tag struct {
	id, kind uint16 // 3 short, 5 rational, 2 text
	value    []uint32
}

// exif writes an APP1 segment: IFD0 with the tags, an EXIF IFD, a GPS IFD, and a
// thumbnail's IFD1 that says it lies on its side.
func exif(main, sub, gps []tag) []byte {
	le := binary.LittleEndian
	thumbAt := 0
	ifd := func(at int, tags []tag) []byte {
		head := le.AppendUint16(nil, uint16(len(tags)))
		extra := []byte{}
		dataAt := at + 2 + 12*len(tags) + 4
		for _, t := range tags {
			head = le.AppendUint16(le.AppendUint16(head, t.id), t.kind)
			switch t.kind {
			case 5:
				head = le.AppendUint32(le.AppendUint32(head, uint32(len(t.value)/2)), uint32(dataAt+len(extra)))
				for _, v := range t.value {
					extra = le.AppendUint32(extra, v)
				}
			case 3:
				head = le.AppendUint32(le.AppendUint32(head, 1), t.value[0])
			default:
				head = le.AppendUint32(le.AppendUint32(head, 1), t.value[0])
			}
		}
		next := uint32(0)
		if at == 8 {
			next = uint32(thumbAt)
		}
		return append(le.AppendUint32(head, next), extra...)
	}
	size := func(tags []tag) int { return len(ifd(0, tags)) }
	main = append(main, tag{0x8769, 4, []uint32{0}}, tag{0x8825, 4, []uint32{0}})
	subAt := 8 + size(main)
	gpsAt := subAt + size(sub)
	thumbAt = gpsAt + size(gps)
	main[len(main)-2].value[0], main[len(main)-1].value[0] = uint32(subAt), uint32(gpsAt)
	body := append([]byte("Exif\x00\x00II*\x00"), le.AppendUint32(nil, 8)...)
	body = append(body, ifd(8, main)...)
	body = append(body, ifd(subAt, sub)...)
	body = append(body, ifd(gpsAt, gps)...)
	body = append(body, ifd(thumbAt, []tag{{0x0112, 3, []uint32{8}}})...)
	return append([]byte{0xff, 0xe1, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
}

// withEXIF puts a segment behind a JPEG's first marker.
func withEXIF(plain, segment []byte) []byte {
	return append(append(append([]byte{}, plain[:2]...), segment...), plain[2:]...)
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 100}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// quarters is 64 x 32, one colour in each quarter: red, green over blue, white.
func quarters() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 64, 32))
	for y := range 32 {
		for x := range 64 {
			c := [4]color.RGBA{{200, 0, 0, 255}, {0, 180, 0, 255}, {0, 0, 200, 255}, {250, 250, 250, 255}}[x/32+2*(y/16)]
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

// corners names the colours at the four corners: upper left, upper right, lower
// left, lower right.
func corners(img *image.RGBA) string {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	out := ""
	for _, p := range [][2]int{{3, 3}, {w - 4, 3}, {3, h - 4}, {w - 4, h - 4}} {
		c := img.RGBAAt(p[0], p[1])
		switch {
		case c.R > 150 && c.G > 150:
			out += "w"
		case c.R > 150:
			out += "r"
		case c.G > 130:
			out += "g"
		default:
			out += "b"
		}
	}
	return out
}

// TestOrientations: what each of the eight values says about row 0 and column 0
// of what is stored (EXIF 2.32, tag 0x0112), spelt out for the four quarters.
func TestOrientations(t *testing.T) {
	plain := jpegOf(t, quarters())
	for o, want := range []string{1: "rgbw", 2: "grwb", 3: "wbgr", 4: "bwrg", 5: "rbgw", 6: "brwg", 7: "wgbr", 8: "gwrb"} {
		if o == 0 {
			continue
		}
		p, err := photo.Decode(withEXIF(plain, exif([]tag{{0x0112, 3, []uint32{uint32(o)}}}, nil, nil)))
		if err != nil {
			t.Fatal(err)
		}
		wide := p.Image.Rect.Dx() == 64
		if w, h, _, err := photo.Describe(withEXIF(plain, exif([]tag{{0x0112, 3, []uint32{uint32(o)}}}, nil, nil))); err != nil || w != p.Image.Rect.Dx() || h != p.Image.Rect.Dy() {
			t.Errorf("orientation %d: described as %d x %d, %v", o, w, h, err)
		}
		if got := corners(p.Image); got != want || wide != (o < 5) || p.Meta.Orientation != o {
			t.Errorf("orientation %d: corners %s, want %s; %v", o, got, want, p.Image.Rect)
		}
	}
}

func TestMetadata(t *testing.T) {
	plain := jpegOf(t, quarters())
	diagonal := math.Hypot(64, 32)
	place := []tag{{1, 2, []uint32{'N'}}, {2, 5, []uint32{41, 1, 30, 1, 0, 1}}}
	for name, c := range map[string]struct {
		main, sub, gps []tag
		focal          float64
		orientation    int
		note           string
	}{
		"35 mm equivalent":   {sub: []tag{{0xa405, 3, []uint32{27}}}, focal: 27 / math.Hypot(36, 24) * diagonal, orientation: 1},
		"focal plane":        {sub: []tag{{0x920a, 5, []uint32{10, 1}}, {0xa002, 3, []uint32{64}}, {0xa20e, 5, []uint32{254, 1}}, {0xa210, 3, []uint32{2}}}, focal: 100, orientation: 1},
		"made smaller since": {sub: []tag{{0x920a, 5, []uint32{10, 1}}, {0xa002, 3, []uint32{640}}, {0xa20e, 5, []uint32{2540, 1}}, {0xa210, 3, []uint32{2}}}, focal: 100, orientation: 1},
		"absurd equivalent":  {sub: []tag{{0xa405, 3, []uint32{60000}}}, orientation: 1, note: "35 mm equivalent"},
		"absurd orientation": {main: []tag{{0x0112, 3, []uint32{77}}}, orientation: 1, note: "orientation 77"},
		"division by zero":   {sub: []tag{{0x920a, 5, []uint32{10, 0}}, {0xa20e, 5, []uint32{0, 0}}, {0xa210, 3, []uint32{2}}}, orientation: 1},
		"place":              {gps: place, orientation: 1},
	} {
		p, err := photo.Decode(withEXIF(plain, exif(c.main, c.sub, c.gps)))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		m := p.Meta
		if math.Abs(m.Focal-c.focal) > 1e-9 || m.Orientation != c.orientation || m.HasPlace != (c.gps != nil) || !strings.Contains(strings.Join(m.Notes, "; "), c.note) {
			t.Errorf("%s: %+v", name, m)
		}
		if c.focal > 0 && !(m.FocalSigma > 0.005*c.focal && m.FocalSigma < 0.05*c.focal) {
			t.Errorf("%s: sigma %g of %g", name, m.FocalSigma, c.focal)
		}
	}
}

// TestRealEXIF reads pictures of real cameras: 10.3125 mm at 512000/139 pixels an
// inch, and 35 mm equivalent; and the scenes' rounded 27 mm, whose truth is 1225.
func TestRealEXIF(t *testing.T) {
	for _, c := range []struct {
		path  []string
		focal float64
	}{
		{[]string{"photos", "house_siding_garage_1024.jpg"}, 10.3125 / 25.4 * 512000 / 139},
		{[]string{"photos", "masonry_facade_window_grid_2560.jpg"}, 35 / math.Hypot(36, 24) * math.Hypot(2560, 1920)},
		{[]string{"scenes", "alder", "before.jpg"}, 27 / math.Hypot(36, 24) * 2000},
	} {
		p, err := photo.Decode(read(t, opendata.Need(t, "truth scenes and photos", c.path...)))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p.Meta.Focal-c.focal) > 0.03*c.focal {
			t.Errorf("%s: focal %g, want %g", c.path[1], p.Meta.Focal, c.focal)
		}
	}
	alder, _ := photo.Decode(read(t, opendata.Need(t, "truth scenes and photos", "scenes", "alder", "before.jpg")))
	if off := math.Abs(alder.Meta.Focal - 1225); off > 2*alder.Meta.FocalSigma {
		t.Errorf("alder: focal %g +- %g, truth 1225", alder.Meta.Focal, alder.Meta.FocalSigma)
	}
}

// TestSharedWithoutPlace: nothing of the camera's writing is left.
func TestSharedWithoutPlace(t *testing.T) {
	data := withEXIF(jpegOf(t, quarters()), exif([]tag{{0x0112, 3, []uint32{6}}}, nil, []tag{{1, 2, []uint32{'N'}}, {2, 5, []uint32{41, 1, 30, 1, 0, 1}}}))
	p, err := photo.Decode(data)
	if err != nil || !p.Meta.HasPlace {
		t.Fatalf("%+v %v", p.Meta, err)
	}
	shared, err := p.ForSharing()
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(shared, []byte("Exif")) || bytes.Contains(shared, []byte{0xff, 0xe1}) {
		t.Error("the shared picture still holds metadata")
	}
	q, err := photo.Decode(shared)
	if err != nil || q.Meta.HasPlace || corners(q.Image) != "brwg" {
		t.Errorf("shared: %+v %v, corners %s", q.Meta, err, corners(q.Image))
	}
}

func TestCMYKAnd16Bits(t *testing.T) {
	data, err := os.ReadFile("testdata/cmyk.jpg")
	if err != nil {
		t.Fatal(err)
	}
	p, err := photo.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	// (255 - ink) (255 - black) / 255 of ink 0, 200, 180 and black 30.
	if c := p.Image.RGBAAt(5, 5); math.Abs(float64(c.R)-225) > 4 || math.Abs(float64(c.G)-48.5) > 4 || math.Abs(float64(c.B)-66) > 4 {
		t.Errorf("CMYK: %v", c)
	}
	deep := image.NewNRGBA64(image.Rect(0, 0, 8, 8))
	for i := range 64 {
		deep.SetNRGBA64(i%8, i/8, color.NRGBA64{0x8000, 0x4000, 0xffff, 0xffff})
	}
	deep.SetNRGBA64(0, 0, color.NRGBA64{})
	var b bytes.Buffer
	if err := png.Encode(&b, deep); err != nil {
		t.Fatal(err)
	}
	if p, err = photo.Decode(b.Bytes()); err != nil {
		t.Fatal(err)
	}
	if c := p.Image.RGBAAt(3, 3); c != (color.RGBA{0x80, 0x40, 0xff, 0xff}) {
		t.Errorf("16 bits: %v", c)
	}
	if c := p.Image.RGBAAt(0, 0); c != (color.RGBA{0xff, 0xff, 0xff, 0xff}) {
		t.Errorf("transparent: %v", c)
	}
}

// bomb is a PNG that declares a huge picture in a few bytes.
func bomb(w, h uint32) []byte {
	var b bytes.Buffer
	png.Encode(&b, image.NewGray(image.Rect(0, 0, 1, 1)))
	data := b.Bytes()
	binary.BigEndian.PutUint32(data[16:], w)
	binary.BigEndian.PutUint32(data[20:], h)
	binary.BigEndian.PutUint32(data[29:], crc(data[12:29]))
	return data
}

func crc(data []byte) uint32 { // PNG's, ISO 3309
	c := ^uint32(0)
	for _, x := range data {
		c ^= uint32(x)
		for range 8 {
			c = c>>1 ^ 0xedb88320*(c&1)
		}
	}
	return ^c
}

// unsized is a JPEG whose head gives no size.
func unsized(whole []byte) []byte {
	out := bytes.Clone(whole)
	frame := bytes.Index(out, []byte{0xff, 0xc0})
	copy(out[frame+5:], []byte{0, 0, 0, 0})
	return out
}

func TestBadPictures(t *testing.T) {
	whole := jpegOf(t, quarters())
	for name, c := range map[string]struct {
		data []byte
		says string
	}{
		"empty":          {nil, "empty"},
		"text":           {[]byte("hello, this is not a picture at all"), "not a picture"},
		"bomb":           {bomb(50_000, 50_000), "50000 x 50000"},
		"wide":           {bomb(60_000_000, 1), "60000000 x 1"},
		"small bomb":     {bomb(7_000, 7_000), "too small for"},
		"no size":        {unsized(whole), "0 x 0 pixels"},
		"truncated JPEG": {whole[:len(whole)*2/3], "breaks off"},
		"JPEG head only": {whole[:20], "breaks off"},
		"truncated PNG":  {bomb(1, 1)[:40], "breaks off"},
		"damaged PNG":    {append(bomb(4, 4)[:50], make([]byte, 40)...), "damaged"},
		"HEIC":           {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "HEIC"},
		"AVIF":           {[]byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00mif1"), "AVIF"},
		"WebP":           {[]byte("RIFF\x10\x00\x00\x00WEBPVP8 "), "not read"},
		"TIFF":           {[]byte("II*\x00\x08\x00\x00\x00"), "not read"},
		"PDF":            {[]byte("%PDF-1.7"), "PDF"},
	} {
		_, err := photo.Decode(c.data)
		var bad *photo.PictureError
		if !errors.As(err, &bad) || !errors.Is(err, photo.ErrPicture) || !strings.Contains(bad.What, c.says) || bad.Mend == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	broken := exif([]tag{{0x0112, 3, []uint32{6}}}, nil, nil)
	copy(broken[14:], bytes.Repeat([]byte{0xff}, 20)) // an IFD of 65,535 entries that is not there
	if _, err := photo.Decode(withEXIF(whole, broken)); err != nil {
		t.Errorf("a sound picture with damaged metadata: %v", err)
	}
}

// FuzzDecode: whatever the bytes, an answer or a *PictureError, never a panic.
func FuzzDecode(f *testing.F) {
	f.Add(jpegOf(f, quarters()))
	f.Add(withEXIF(jpegOf(f, quarters()), exif([]tag{{0x0112, 3, []uint32{6}}}, []tag{{0xa405, 3, []uint32{27}}}, nil)))
	f.Add(bomb(9, 9))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := photo.Decode(data)
		if err != nil && !errors.Is(err, photo.ErrPicture) {
			t.Fatal(err)
		}
		if err == nil && (p.Image == nil || p.Image.Rect.Dx() < 1) {
			t.Fatal("no picture and no error")
		}
	})
}

// Drawn in bands a picture is what it is drawn in one go, wherever halved colours fall.
func TestBands(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		noise := image.NewRGBA(image.Rect(0, 0, rapid.IntRange(1, 20).Draw(t, "width"), rapid.IntRange(1, 60).Draw(t, "height")))
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		for i := range noise.Pix {
			noise.Pix[i] = uint8(r.Uint32()) | 255*uint8(i%4/3)
		}
		var file bytes.Buffer
		if err := jpeg.Encode(&file, noise, nil); err != nil {
			t.Fatal(err)
		}
		got, err := photo.Decode(file.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		read, err := jpeg.Decode(&file)
		if err != nil {
			t.Fatal(err)
		}
		want := image.NewRGBA(noise.Rect)
		draw.Draw(want, want.Rect, read, image.Point{}, draw.Src)
		if !bytes.Equal(got.Image.Pix, want.Pix) {
			t.Fatalf("%v: the pixels differ", noise.Rect)
		}
	})
}
