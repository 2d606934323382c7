package photo_test

import (
	"bytes"
	"image"
	"image/draw"
	"image/jpeg"
	"math/rand/v2"
	"testing"

	"coilwright/photo"
)

func rgba(t testing.TB, path string) *image.RGBA {
	img, err := jpeg.Decode(bytes.NewReader(read(t, path)))
	if err != nil {
		t.Fatal(err)
	}
	out := image.NewRGBA(image.Rect(0, 0, img.Bounds().Dx(), img.Bounds().Dy()))
	draw.Draw(out, out.Rect, img, img.Bounds().Min, draw.Src)
	return out
}

// clicked is one corner of a scene as a person clicks it.
type clicked struct {
	what   string
	truth  [2]float64
	at     photo.Pixel
	toward [2]photo.Pixel
}

// clicks clicks every corner of a scene up to two pixels off in each direction,
// and gives those that are not hidden.
func (s truth) clicks(r *rand.Rand) []clicked {
	var out []clicked
	ring := func(what string, corners [][2]float64, seen []bool) {
		var marks []photo.Pixel
		for _, c := range corners {
			marks = append(marks, photo.Pixel{U: c[0] + 4*r.Float64() - 2, V: c[1] + 4*r.Float64() - 2})
		}
		for k, n := 0, len(corners); k < n; k++ {
			if seen[k] {
				out = append(out, clicked{what, corners[k], marks[k], [2]photo.Pixel{marks[(k+1)%n], marks[(k+n-1)%n]}})
			}
		}
	}
	for _, w := range s.Walls {
		ring(w.ID, w.Corners, w.Seen)
		for _, o := range w.Openings {
			ring(o.ID, o.Corners, o.Seen)
		}
	}
	return out
}

// TestSnapping clicks every corner that is not hidden, and its neighbours, several
// times and snaps it. Nine in ten must land within 0.7 px of the truth. (What is
// left: eaves where the soffit and the wall are equally dark, a door's foot on a
// step, a vent behind branches.)
func TestSnapping(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	good, all := 0, 0
	for _, name := range []string{"alder", "birch"} {
		s := scene(t, name)
		img := rgba(t, sharedData(t, "scenes", name, "before.jpg"))
		for range 6 {
			for _, c := range s.clicks(r) {
				got, _ := photo.SnapCorner(img, c.at, c.toward[0], c.toward[1], 4)
				all++
				if far(got, c.truth) <= 0.7 {
					good++
				}
			}
		}
	}
	t.Logf("%d of %d corners within 0.7 px", good, all)
	if good*10 < all*9 {
		t.Errorf("only %d of %d corners within 0.7 px", good, all)
	}
}
