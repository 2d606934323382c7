package solid

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"

	"coilwright/picture"
)

// Repeat is the width of a relief's texture along the courses, in inches.
const Repeat = 64.0

// Rows of a texture for one period of a cross-section, and its columns where the panel
// is smooth or embossed: powers of two, as smaller copies for the distance need.
const (
	rows    = 128
	smooth  = 4
	grained = 256
)

// normals draws the relief as a normal map in tangent space, as glTF 2.0 (3.9.3) has
// it: red along the courses, green up, blue outwards, each from -1 to 1.
func (r Relief) normals() ([]byte, error) {
	shades := r.Face.Shades(rows)
	return r.drawn(func(x, y int) color.Color {
		s := shades[rows-1-y]
		n := Vec{0, s.Up, s.Out}
		if r.Grain {
			n[1] += tilt(x, y)
			n = n.unit()
		}
		code := func(v float64) uint8 { return uint8(math.Round((v + 1) / 2 * 255)) }
		return color.RGBA{code(n[0]), code(n[1]), code(n[2]), 255}
	})
}

// occlusion draws how much of an even light reaches the relief: glTF takes it from red.
func (r Relief) occlusion() ([]byte, error) {
	shades := r.Face.Shades(rows)
	return r.drawn(func(_, y int) color.Color {
		v := uint8(math.Round(255 * shades[rows-1-y].Open))
		return color.RGBA{v, v, v, 255}
	})
}

func (r Relief) drawn(at func(x, y int) color.Color) ([]byte, error) {
	columns := smooth
	if r.Grain {
		columns = grained
	}
	im := image.NewRGBA(image.Rect(0, 0, columns, rows))
	for y := range rows {
		for x := range columns {
			im.Set(x, y, at(x, y))
		}
	}
	var b bytes.Buffer
	err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, im)
	return b.Bytes(), err
}

// tilt is how embossed wood grain tilts the surface at a pixel: shallow streaks along
// the panel, some inches long, that meet themselves where the texture repeats
// (depth assumed).
func tilt(x, y int) float64 {
	const streaks, depth = 9, 0.12 // streaks in a row of the texture: 7 in each
	u := float64(x)/grained*streaks + 7.31*math.Mod(float64(y)*0.618034, 1)
	i := math.Floor(u)
	t := u - i
	t = t * t * (3 - 2*t)
	at := func(k float64) float64 { return picture.Chance(int64(math.Mod(k+10*streaks, streaks))+1, int64(y)+1) }
	return depth * ((1-t)*at(i) + t*at(i+1))
}
