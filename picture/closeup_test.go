package picture

import (
	"errors"
	"image"
	"image/png"
	"math"
	"os"
	"testing"

	"coilwright/examples"
	"coilwright/job"
)

// demo is the demo house, dressed.
func demo(t *testing.T, scheme string) (*job.Job, Outfit) {
	t.Helper()
	j, found := job.Parse("demo", examples.Demo, nil)
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	o, err := outfitOf(&j, scheme)
	if err != nil {
		t.Fatal(err)
	}
	return &j, o
}

// The courses of a close-up are those of the layout: the dark line under each butt
// stands where the layout puts a course's lower edge, and nowhere else.
func TestCloseUpShowsTheLayout(t *testing.T) {
	_, o := demo(t, "A")
	z := o.Layout.Zones[0]
	box := z.Region.Box()
	c := CloseUp{Wall: z.Wall, Width: 600, Height: 900, Pixel: 0.04, At: XY{box.Min.X.Inches() + 30, box.Min.Y.Inches() + 24}}
	im, err := o.CloseUp(c)
	if err != nil {
		t.Fatal(err)
	}
	keep(t, im, "closeup")
	dark := make([]float64, 900) // by row, near the picture's middle column
	for v := range dark {
		for u := 280; u < 320; u++ {
			dark[v] += float64(im.RGBAAt(u, v).G) / 40
		}
	}
	p := c.photo("w")
	hit, n := 0, 0
	for _, b := range z.Bands {
		at, ok := p.Camera.Project(p.Walls[0].Plane.Off(c.At.X, b.Low.Inches(), -standoff+0.5))
		if v := int(at.V); ok && v > 40 && v < 860 {
			n++
			near, around := 255.0, 0.0
			for k := -8; k <= 8; k++ {
				near = math.Min(near, dark[v+k])
			}
			for k := -40; k <= 40; k++ {
				around += dark[v+k] / 81
			}
			if near < around-8 {
				hit++
			}
		}
	}
	if n < 2 || hit != n {
		t.Errorf("%d of %d courses show their shadow line", hit, n)
	}
}

// keep writes a picture for people to look at, where COILWRIGHT_LOOK names a folder.
func keep(t *testing.T, im image.Image, name string) {
	folder := os.Getenv("COILWRIGHT_LOOK")
	if folder == "" {
		return
	}
	f, err := os.Create(folder + "/" + name + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, im); err != nil {
		t.Fatal(err)
	}
}

func TestCloseUpRefuses(t *testing.T) {
	_, o := demo(t, "A")
	for _, c := range []CloseUp{{Wall: -1, Width: 100, Height: 100, Pixel: 1}, {Wall: 99, Width: 100, Height: 100, Pixel: 1}, {Width: 5, Height: 100, Pixel: 1}, {Width: 100, Height: 90000, Pixel: 1}, {Width: 100, Height: 100}} {
		if _, err := o.CloseUp(c); !errors.Is(err, ErrCloseUp) {
			t.Errorf("%+v: %v", c, err)
		}
	}
	for i := range o.House.Walls {
		o.House.Walls[i].FacesDeg = nil
	}
	if _, err := o.CloseUp(CloseUp{Width: 100, Height: 100, Pixel: 0.1, Sun: &Sun{180, 40}}); !errors.Is(err, ErrNoBearing) {
		t.Errorf("no bearing: %v", err)
	}
}
