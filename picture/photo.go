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
