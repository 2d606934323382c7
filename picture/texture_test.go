package picture

import (
	"image/color"
	"testing"
)

// bricked is the drawn wall built of brick: dark red with light joints, the upper part
// in shade.
func bricked() Photo {
	p := shot(1000, 750, 300, 0)
	p.Old.Face = Bevel(6, 0.6, 0.2) // as a search for laps might take it
	for v := range 750 {
		for u := range 1000 {
			c := color.RGBA{120, 60, 50, 255}
			if v%9 < 2 || (u+v/9%2*14)%28 < 2 {
				c = color.RGBA{215, 205, 190, 255}
			}
			if v < 300 {
				c.R, c.G, c.B = c.R/3, c.G/3, c.B/3
			}
			p.Image.SetRGBA(u, v, c)
		}
	}
	return p
}

// Joints of brick are no sunlight: the new wall is even in the sun and even in the
// shade, and the shadow is still there.
func TestBrickIsNoShadow(t *testing.T) {
	p := bricked()
	ready := Prepare(p)
	got, err := ready.Render([]Dressing{{Zone{Region: p.Walls[0].Outline.only(), Face: Flat(0.4), Finish: slate}}})
	if err != nil {
		t.Fatal(err)
	}
	look := func(v0, v1 int) (low, high uint8) {
		low = 255
		for v := v0; v < v1; v++ {
			for u := 300; u < 330; u++ {
				g := got.RGBAAt(u, v).G
				low, high = min(low, g), max(high, g)
			}
		}
		return low, high
	}
	dark, light := look(230, 270)
	shade, sun := look(400, 460)
	if light-dark > 12 || sun-shade > 12 || shade < light+20 {
		t.Errorf("in the shade %d to %d, in the sun %d to %d", dark, light, shade, sun)
	}
}

func (r Ring) only() []Ring { return []Ring{r} }
