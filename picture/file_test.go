package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"coilwright/colour"
	"coilwright/mask"
	"coilwright/opendata"
	"coilwright/photo"
)

// exifWith is a small TIFF structure as a phone writes one: orientation 6, the make,
// a sub-directory with the size and a maker's note, a place, and a small picture.
func exifWith(order binary.AppendByteOrder) []byte {
	out := []byte("II*\x00")
	if order.String() == "BigEndian" {
		out = []byte("MM\x00*")
	}
	u16 := func(v ...uint16) {
		for _, x := range v {
			out = order.AppendUint16(out, x)
		}
	}
	u32 := func(v ...uint32) {
		for _, x := range v {
			out = order.AppendUint32(out, x)
		}
	}
	entry := func(tag, kind uint16, count, value uint32) { u16(tag, kind); u32(count, value) }
	u32(8)
	u16(4) // directory at 8: 4 entries, ends at 62
	entry(0x010f, 2, 9, 62)
	u16(0x0112, 3)
	u32(1)
	u16(6, 0)
	entry(0x8769, 4, 1, 72)
	entry(0x8825, 4, 1, 126)
	u32(180)
	out = append(out, "invented\x00\x00"...) // 62
	u16(3)                                   // 72: the camera's own directory
	entry(0xa002, 4, 1, 4000)
	entry(0xa003, 4, 1, 3000)
	entry(0x927c, 7, 10, 114)
	u32(0)
	out = append(out, "NOTEsecret12"...) // 114
	u16(2)                               // 126: the place
	entry(2, 5, 3, 156)
	entry(29, 2, 4, 0x41414141)
	u32(0)
	for range 3 { // 156: three rationals
		u32(41, 77)
	}
	u16(2) // 180: the small picture's directory
	entry(0x0201, 4, 1, 210)
	entry(0x0202, 4, 1, 9)
	u32(0)
	return append(out, "THUMBNAIL"...) // 210
}

func TestWithoutPlace(t *testing.T) {
	for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
		before := exifWith(order)
		got, ok := WithoutPlace(before, 3000, 4000)
		if !ok {
			t.Fatal("refused")
		}
		for _, gone := range []string{"secret", "AAAA", "THUMBNAIL", string(order.AppendUint32(order.AppendUint32(nil, 41), 77))} {
			if !bytes.Contains(before, []byte(gone)) || bytes.Contains(got, []byte(gone)) {
				t.Errorf("%q is still there, or never was", gone)
			}
		}
		if !bytes.Contains(got, []byte("invented")) {
			t.Error("the camera's name is lost")
		}
	}
}

// Whatever bytes stand there: an answer, no panic.
func TestWithoutPlaceTakesAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data := exifWith(binary.LittleEndian)
		for range rapid.IntRange(1, 12).Draw(t, "changes") {
			data[rapid.IntRange(4, len(data)-1).Draw(t, "at")] = rapid.Byte().Draw(t, "byte")
		}
		WithoutPlace(data[:rapid.IntRange(0, len(data)).Draw(t, "length")], 10, 10)
	})
}

// The written file as other code reads it: the photo package's library finds the
// picture upright and without a place, the standard decoder finds the pixels, and the
// profile's primaries are those published for sRGB under D50.
func TestEncodeJPEG(t *testing.T) {
	im := image.NewRGBA(image.Rect(0, 0, 40, 30))
	for i := range im.Pix {
		im.Pix[i] = 200
	}
	var plain bytes.Buffer
	if err := jpeg.Encode(&plain, im, nil); err != nil {
		t.Fatal(err)
	}
	original := append([]byte{0xff, 0xd8}, appendSegment(nil, 0xe1, append([]byte(exifMark), exifWith(binary.BigEndian)...))...)
	original = append(original, plain.Bytes()[2:]...)
	if _, _, meta, err := photo.Describe(original); err != nil || meta.Orientation != 6 {
		t.Fatalf("the original: %+v %v", meta, err)
	}
	got, err := EncodeJPEG(im, original)
	if err != nil {
		t.Fatal(err)
	}
	w, h, meta, err := photo.Describe(got)
	if err != nil || w != 40 || h != 30 || meta.Orientation != 1 || meta.HasPlace {
		t.Errorf("%d x %d, %+v, %v", w, h, meta, err)
	}
	profile := ProfileOf(got)
	if !bytes.Equal(profile, SRGBProfile()) || int(binary.BigEndian.Uint32(profile)) != len(profile) {
		t.Error("the profile is not whole")
	}
	for tag, want := range map[string][3]float64{"rXYZ": {0.4361, 0.2225, 0.0139}, "gXYZ": {0.3851, 0.7169, 0.0971}, "bXYZ": {0.1431, 0.0606, 0.7141}} {
		for i, v := range tagXYZ(profile, tag) {
			if math.Abs(v-want[i]) > 3e-4 {
				t.Errorf("%s: %.4f, published %.4f", tag, v, want[i])
			}
		}
	}
	kept, _ := EncodeJPEG(im, got)
	if !bytes.Equal(ProfileOf(kept), profile) {
		t.Error("the photo's own profile is not kept")
	}
}

// A profile of other colours than the picture's is not the picture's: grey and CMYK photos
// are written as sRGB. A PNG's own profile is kept, be its data sound or not.
func TestProfileOfOtherFiles(t *testing.T) {
	im := image.NewRGBA(image.Rect(0, 0, 8, 8))
	body, err := JPEG(im, Quality)
	if err != nil {
		t.Fatal(err)
	}
	for _, space := range []string{"GRAY", "CMYK"} {
		other := SRGBProfile()
		copy(other[16:], space)
		got, err := EncodeJPEG(im, slices.Concat(appendProfile(body[:2:2], other), body[2:]))
		if err != nil || !bytes.Equal(ProfileOf(got), SRGBProfile()) {
			t.Errorf("%s: the profile is not sRGB's (%v)", space, err)
		}
	}
	own := SRGBProfile()
	own[4] = 'o'
	var plain bytes.Buffer
	if err := png.Encode(&plain, im); err != nil {
		t.Fatal(err)
	}
	const head = 8 + 25 // signature and IHDR
	file := slices.Concat(plain.Bytes()[:head], chunk("iCCP", append([]byte("own\x00\x00"), zipped(own)...)), plain.Bytes()[head:])
	if _, err := png.Decode(bytes.NewReader(file)); err != nil {
		t.Fatal(err)
	}
	got, err := EncodeJPEG(im, file)
	if err != nil || !bytes.Equal(ProfileOf(got), own) {
		t.Errorf("the PNG's profile is not kept (%v)", err)
	}
	rapid.Check(t, func(t *rapid.T) {
		data := slices.Clone(file)
		for range rapid.IntRange(1, 12).Draw(t, "changes") {
			data[rapid.IntRange(8, len(data)-1).Draw(t, "at")] = rapid.Byte().Draw(t, "byte")
		}
		ProfileOf(data[:rapid.IntRange(0, len(data)).Draw(t, "length")])
	})
}

// chunk is a chunk of a PNG.
func chunk(kind string, data []byte) []byte {
	out := append(binary.BigEndian.AppendUint32(nil, uint32(len(data))), kind...)
	out = append(out, data...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

func zipped(data []byte) []byte {
	var out bytes.Buffer
	w := zlib.NewWriter(&out)
	w.Write(data)
	w.Close()
	return out.Bytes()
}

func tagXYZ(profile []byte, tag string) (out [3]float64) {
	at := bytes.Index(profile[:300], []byte(tag))
	from := binary.BigEndian.Uint32(profile[at+4:])
	for i := range out {
		out[i] = float64(int32(binary.BigEndian.Uint32(profile[int(from)+8+4*i:]))) / 65536
	}
	return out
}

// A photo from a real camera keeps its focal length and loses nothing that measuring
// needs.
func TestCamerasPhoto(t *testing.T) {
	file, err := os.ReadFile(opendata.Need(t, "real photos", "photos", "masonry_facade_window_grid_2560.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	shot, err := photo.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	got, err := EncodeJPEG(shot.Image, file)
	if err != nil {
		t.Fatal(err)
	}
	w, h, meta, err := photo.Describe(got)
	if err != nil || w != shot.Image.Rect.Dx() || h != shot.Image.Rect.Dy() || meta.Orientation != 1 || math.Abs(meta.Focal-shot.Meta.Focal) > 1 {
		t.Errorf("%d x %d %+v, the original %+v (%v)", w, h, meta, shot.Meta, err)
	}
}

// What a person may say of a photo, as a job's entry says it.
func TestFacts(t *testing.T) {
	f, err := FactsOf([]byte(`{"id":"p","file":"p.jpg","sun":{"at":"2026-06-18T14:40:00-05:00","lat":41.6,"lon":-93.6},
		"references":[{"pixels":[[10,20.5]],"linear":[0.8,0.8,0.7]}],"old":{"exposure":"8\"","butt":0.55,"datum":"-1 in"},
		"strokes":[{"kind":"front","width_px":5,"points":[[1,2],[3,4]]},{"kind":"wall","width_px":2,"points":[[7,8]]}]}`))
	if err != nil || f.Sun == nil || math.Abs(f.Sun.Elevation-64.7) > 0.1 || f.Exposure != 8 || f.Butt != 0.55 || f.Datum == nil || *f.Datum != -1 ||
		len(f.References) != 1 || f.References[0].Known != (colour.Linear{0.8, 0.8, 0.7}) {
		t.Errorf("%+v %v", f, err)
	}
	if s := f.scaled(0.5).Strokes; len(s) != 2 || !s[0].Front || s[1].Front || s[0].Width != 2.5 || s[0].Points[1] != (mask.Point{U: 1.5, V: 2}) || f.Strokes[0].Width != 5 {
		t.Errorf("strokes %+v", s)
	}
	if f, err = FactsOf([]byte(`{"sun":"overcast"}`)); err != nil || !f.Overcast {
		t.Errorf("%+v %v", f, err)
	}
	if f, err = FactsOf([]byte(`{"sun":{"azimuth_deg":200,"elevation_deg":40}}`)); err != nil || f.Sun == nil || *f.Sun != (Sun{200, 40}) {
		t.Errorf("%+v %v", f, err)
	}
}
