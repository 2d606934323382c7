package picture

import (
	"errors"
	"image"
	"image/color"

	"coilwright/colour"
	"coilwright/cores"
	"coilwright/job"
	"coilwright/photo"
)

// CloseUp is a place of a wall seen as at arm's length, without a photo: the same
// layout and the same shading as in one, under a clear sky.
type CloseUp struct {
	Wall          int     // index in the house
	At            XY      // the middle, in the wall's inches
	Width, Height int     // of the picture in pixels
	Pixel         float64 // inches of wall for a pixel in the middle
	Sun           *Sun    // nil: half way up, to the left of whoever looks
}

// OutfitOf lays a scheme of a job out, to be shown.
func OutfitOf(j *job.Job, scheme string) (Outfit, error) { return outfitOf(j, scheme) }

// armsLength is how far off the eye stands, in inches.
const armsLength = 30.0

// ErrCloseUp is matched where a close-up is of no wall or of no size.
var ErrCloseUp = errors.New("a close-up needs a wall of the house, and a size from 16 to 4000 pixels")

// lit is the light that a white wall in full sun sends back in a close-up: just below
// the screen's white, so that highlights still show.
const lit = 0.92

// CloseUp paints the outfit at one place of a wall. Errors match ErrCloseUp and
// ErrNoBearing, where a sun is given and the wall does not say where it faces.
func (o Outfit) CloseUp(c CloseUp) (*image.RGBA, error) {
	if c.Wall < 0 || c.Wall >= len(o.House.Walls) || c.Width < 16 || c.Height < 16 || c.Width > 4000 || c.Height > 4000 || c.Pixel <= 0 {
		return nil, ErrCloseUp
	}
	wall := o.House.Walls[c.Wall]
	p := c.photo(wall.ID)
	w := &p.Walls[0]
	p.Sun = w.assumedSun()
	if c.Sun != nil {
		if wall.FacesDeg == nil {
			return nil, ErrNoBearing
		}
		p.Sun = w.world(c.Sun.Towards(*wall.FacesDeg))
	}
	field := []Ring{ringOf(wall.Outline)}
	for _, h := range wall.Openings {
		field = append(field, ringOf(h.Outline))
	}
	p.shape(field)
	return Prepare(p).Render(o.Wear([]int{c.Wall}))
}

// photo is an even photo of a piece of wall, and the camera that would take it: a
// little to the right, so that the courses' relief is seen.
func (c CloseUp) photo(id string) Photo {
	const side = 0.34 // of the distance
	focal := armsLength / c.Pixel
	eye := photo.Vec{X: c.At.X + side*armsLength, Y: -armsLength, Z: c.At.Y}
	ahead := photo.Vec{X: c.At.X - eye.X, Y: -eye.Y}.Unit()
	right := photo.Vec{X: ahead.Y, Y: -ahead.X}
	r := photo.Rotation{right, {Z: -1}, ahead}
	// What the corners see, and a margin for the rows beyond the edge.
	wide, high := 1.1*float64(c.Width)*c.Pixel, 0.75*float64(c.Height)*c.Pixel
	box := Ring{{c.At.X - wide, c.At.Y - high}, {c.At.X + wide, c.At.Y - high}, {c.At.X + wide, c.At.Y + high}, {c.At.X - wide, c.At.Y + high}}
	return Photo{
		Image: image.NewRGBA(image.Rect(0, 0, c.Width, c.Height)),
		Camera: photo.Camera{
			Lens: photo.Lens{Focal: focal, CX: float64(c.Width) / 2, CY: float64(c.Height) / 2}, R: r, T: r.Apply(eye).Scale(-1),
		},
		Walls: []Wall{{ID: id, Plane: photo.Plane{X: photo.Vec{X: 1}, Y: photo.Vec{Z: 1}}, Standoff: standoff, Outline: box, Field: []Ring{box}}},
		Old:   Old{Face: Flat(0.4), Colour: colour.Linear{0.5, 0.5, 0.5}},
	}
}

// shape fills the photo in: even cladding within the field, and beside it what is not
// drawn, with soft edges.
func (p *Photo) shape(field []Ring) {
	b := p.Image.Rect
	clad, beside := colour.Linear{lit / 2, lit / 2, lit / 2}, colour.Linear{0.045, 0.055, 0.06}
	var shades [10]color.RGBA
	for n := range shades {
		s := clad.Scale(float64(n) / 9).Plus(beside.Scale(1 - float64(n)/9)).SRGB()
		shades[n] = color.RGBA{s[0], s[1], s[2], 255}
	}
	middle := make([]bool, b.Dx()*b.Dy())
	cores.Each(b.Dy(), func(v int) {
		for u := range b.Dx() {
			middle[v*b.Dx()+u] = p.within(field, float64(u)+0.5, float64(v)+0.5)
		}
	})
	p.Mask = image.NewGray(b)
	cores.Each(b.Dy(), func(v int) {
		for u := range b.Dx() {
			n := p.covered(field, middle, u, v)
			p.Mask.Pix[v*p.Mask.Stride+u] = uint8((255*n + 4) / 9)
			p.Image.SetRGBA(u, v, shades[n])
		}
	})
}

// covered is how many ninths of a pixel show the field: all or none where its
// neighbours' middles say the same.
func (p *Photo) covered(field []Ring, middle []bool, u, v int) (n int) {
	b := p.Image.Rect
	here, same := middle[v*b.Dx()+u], true
	for y := max(0, v-1); y <= min(b.Dy()-1, v+1); y++ {
		for x := max(0, u-1); x <= min(b.Dx()-1, u+1); x++ {
			same = same && middle[y*b.Dx()+x] == here
		}
	}
	switch {
	case same && here:
		return 9
	case same:
		return 0
	}
	for k := range 9 {
		if p.within(field, float64(u)+(float64(k%3)+0.5)/3, float64(v)+(float64(k/3)+0.5)/3) {
			n++
		}
	}
	return n
}

// within says whether a place of the photo shows the field of its wall.
func (p *Photo) within(field []Ring, u, v float64) bool {
	x, y, ok := p.Camera.OnPlane(photo.Pixel{U: u, V: v}, p.Walls[0].Plane)
	return ok && inside(field, x, y)
}
