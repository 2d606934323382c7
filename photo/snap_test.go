package photo_test

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"testing"

	"coilwright/opendata"
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
		img := rgba(t, opendata.Need(t, "truth scenes and photos", "scenes", name, "before.jpg"))
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

// drawnCorner is a dark quarter on light ground, its corner at a place between
// pixels: each pixel has the share of it that is dark.
func drawnCorner(u, v float64) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 60, 60))
	part := func(i int, edge float64) float64 { return math.Min(1, math.Max(0, float64(i)+1-edge)) }
	for y := range 60 {
		for x := range 60 {
			c := uint8(math.Round(200 - 150*part(x, u)*part(y, v)))
			img.SetRGBA(x, y, color.RGBA{c, c, c, 255})
		}
	}
	return img
}

// TestSnapAlone: a lone click snaps to a drawn corner and to a drawn edge, to a
// third of a pixel (edges sharper than any lens draws pull towards the pixels); on
// plain ground it stays.
func TestSnapAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 3))
	for range 50 {
		u, v := 25+10*r.Float64(), 25+10*r.Float64()
		img := drawnCorner(u, v)
		click := photo.Pixel{U: u + 3*r.Float64() - 1.5, V: v + 3*r.Float64() - 1.5}
		got, kind := photo.Snap(img, click, 4)
		if kind != photo.SnappedToCorner || far(got, [2]float64{u, v}) > 0.35 {
			t.Errorf("corner (%.2f %.2f) clicked at %v: %v at %v", u, v, click, kind, got)
		}
		got, kind = photo.Snap(img, photo.Pixel{U: u + 2*r.Float64() - 1, V: v + 16}, 4)
		if kind != photo.SnappedToEdge || math.Abs(got.U-u) > 0.3 || math.Abs(got.V-v-16) > 0.2 {
			t.Errorf("edge at %.2f: %v at %v", u, kind, got)
		}
		plain := photo.Pixel{U: 8, V: 8}
		if got, kind = photo.Snap(img, plain, 4); kind != photo.SnappedNowhere || got != plain {
			t.Errorf("plain ground: %v at %v", kind, got)
		}
	}
	for _, size := range []image.Point{{}, {1, 1}, {3, 3}} {
		img := image.NewRGBA(image.Rectangle{Max: size})
		photo.Snap(img, photo.Pixel{U: 1, V: 1}, 4)
		if size.X > 0 {
			photo.SnapCorner(img, photo.Pixel{U: 1, V: 1}, photo.Pixel{U: 30, V: 1}, photo.Pixel{U: 1, V: 30}, 4)
		}
	}
}
