package picture

import (
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"math"
	"testing"

	"coilwright/colour"
)

// displayP3 is a profile of the primaries that many phones write: those of SMPTE
// RP 431-2 with D65, adapted to D50 (columns as published in CSS Color 4 by way of the
// linear Bradford transform).
func displayP3() []byte {
	p := SRGBProfile()
	put := func(tag string, v [3]float64) {
		for i := 0; ; i++ {
			e := p[132+12*i:]
			if string(e[:4]) != tag {
				continue
			}
			at := binary.BigEndian.Uint32(e[4:])
			for k, x := range v {
				binary.BigEndian.PutUint32(p[int(at)+8+4*k:], uint32(int32(math.Round(x*65536))))
			}
			return
		}
	}
	put("rXYZ", [3]float64{0.51512, 0.24120, -0.00105})
	put("gXYZ", [3]float64{0.29198, 0.69225, 0.04189})
	put("bXYZ", [3]float64{0.15710, 0.06657, 0.78407})
	return p
}

// A photo with a phone's wide primaries is read through its profile. Display P3's red
// (1, 0, 0) is 1.0930, -0.2267, -0.1501 in sRGB's curve (CSS Color 4, sample
// conversions, from memory): out of sRGB, and quite another colour than sRGB's red.
func TestPrimaries(t *testing.T) {
	to, known := primaries(displayP3())
	if !known {
		t.Fatal("the profile is not read")
	}
	got := to(colour.Linear{1, 0, 0})
	for k, want := range []float64{1.0930, -0.2267, -0.1501} {
		linear := math.Copysign(colour.Decode(math.Abs(want)), want)
		if math.Abs(got[k]-linear) > 0.004 {
			t.Errorf("channel %d: %.4f, published %.4f", k, got[k], linear)
		}
	}
	same, _ := primaries(SRGBProfile())
	for k, v := range same(colour.Linear{0.2, 0.5, 0.7}) {
		if math.Abs(v-[]float64{0.2, 0.5, 0.7}[k]) > 2e-3 {
			t.Errorf("sRGB's own profile moves channel %d to %.4f", k, v)
		}
	}
	for _, bad := range [][]byte{{}, make([]byte, 40), make([]byte, 200), SRGBProfile()[:180]} {
		if _, known := primaries(bad); known {
			t.Errorf("a broken profile of %d bytes is taken", len(bad))
		}
	}
}

// Uneven light and clipped pixels are noticed; what is marked outside is refused.
func TestReadChip(t *testing.T) {
	im := image.NewRGBA(image.Rect(0, 0, 200, 100))
	for y := range 100 {
		for x := range 200 {
			v := uint8(120)
			if x < 100 {
				v = uint8(80 + x) // a gradient over the chip
			}
			im.SetRGBA(x, y, color.RGBA{v, v, v, 255})
		}
	}
	ask := ChipAsk{Chip: image.Rect(10, 10, 90, 90), Reference: image.Rect(110, 10, 190, 90), Known: colour.Linear{0.18, 0.18, 0.18}, Doubt: 0.12}
	got, err := ReadChip(im, nil, ask)
	if err != nil || len(got.Notes) != 2 || math.Abs(got.Sample.Lab.A) > 0.1 {
		t.Errorf("%+v %v", got, err)
	}
	ask.Chip.Max.X = 300
	if _, err := ReadChip(im, nil, ask); !errors.Is(err, ErrChip) {
		t.Errorf("outside: %v", err)
	}
}
