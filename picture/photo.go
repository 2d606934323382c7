package picture

import (
	"image"
	"math"

	"coilwright/colour"
	"coilwright/photo"
)

// Photo is what was taken and what is known of it.
type Photo struct {
	Image  *image.RGBA
	Camera photo.Camera
	// Mask is white where a wall's cladding is seen, black where something stands
	// in front or other things are seen, grey where both share a pixel. Nil: the
	// whole field of every wall.
	Mask *image.Gray
	// Boards is the share of each pixel that old boards along the walls' edges take:
	// new trim covers them. Nil: none.
	Boards *image.Gray
	// Own is as Mask, but for what somebody called wall although it has another colour,
	// such as a lintel: light is read where Own is. Nil: Mask.
	Own *image.Gray
	// Sun is the direction to the sun in the camera's world; zero under an overcast
	// sky.
	Sun photo.Vec
	// References are places whose reflectance is known, such as white trim.
	References []Reference
	Walls      []Wall
	Old        Old
}

// Reference is a place in the wall's plane whose reflectance is known.
type Reference struct {
	Pixels []photo.Pixel
	Known  colour.Linear
}

// Old is the cladding that the photo shows. Its courses start at Datum on every
// wall. Colour is its reflectance, as well as it is known.
type Old struct {
	Face   Face
	Datum  float64
	Colour colour.Linear
}

// light is the photo's pixel as linear light.
type decoded struct {
	im    *image.RGBA
	table [256]float64
}

func decode(im *image.RGBA) *decoded {
	d := &decoded{im: im}
	for i := range d.table {
		d.table[i] = colour.Decode(float64(i) / 255)
	}
	return d
}

func (d *decoded) at(x, y int) colour.Linear {
	p := d.im.Pix[d.im.PixOffset(x, y):]
	return colour.Linear{d.table[p[0]], d.table[p[1]], d.table[p[2]]}
}

// pixelOf is the pixel that a place lies in.
func pixelOf(at photo.Pixel) image.Point {
	return image.Pt(int(math.Floor(at.U)), int(math.Floor(at.V)))
}

// between interpolates between the four pixels around a place inside the photo.
func (d *decoded) between(at photo.Pixel) (out colour.Linear) {
	u, v := int(at.U-0.5), int(at.V-0.5)
	s, t := at.U-0.5-float64(u), at.V-0.5-float64(v)
	k := d.im.PixOffset(u, v)
	a, b := d.im.Pix[k:k+8], d.im.Pix[k+d.im.Stride:k+d.im.Stride+8]
	for c := range out {
		out[c] = (d.table[a[c]]*(1-s)+d.table[a[c+4]]*s)*(1-t) + (d.table[b[c]]*(1-s)+d.table[b[c+4]]*s)*t
	}
	return out
}

// sharply interpolates between the sixteen pixels around a place inside the photo, by
// the cubic of Keys (IEEE Transactions on Acoustics, Speech, and Signal Processing 29
// (1981), 1153-1160): fine shadows keep their contrast. Where fewer lie around it, as between.
func (d *decoded) sharply(at photo.Pixel) (out colour.Linear) {
	u, v := int(math.Floor(at.U-0.5)), int(math.Floor(at.V-0.5))
	if !image.Rect(u-1, v-1, u+3, v+3).In(d.im.Rect) {
		return d.between(at)
	}
	across, down := keys(at.U-0.5-float64(u)), keys(at.V-0.5-float64(v))
	for j, w := range down {
		k := d.im.PixOffset(u-1, v-1+j)
		row := d.im.Pix[k : k+16]
		for c := range out {
			out[c] += w * (across[0]*d.table[row[c]] + across[1]*d.table[row[c+4]] + across[2]*d.table[row[c+8]] + across[3]*d.table[row[c+12]])
		}
	}
	return out
}

// keys are the weights of four neighbours at a share t of the way between the middle two.
func keys(t float64) [4]float64 {
	return [4]float64{
		t * (-0.5 + t*(1-0.5*t)),
		1 + t*t*(-2.5+1.5*t),
		t * (0.5 + t*(2-1.5*t)),
		t * t * (-0.5 + 0.5*t),
	}
}
