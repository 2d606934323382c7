package picture

import (
	"bytes"
	"errors"
	"image"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"
	"testing"
	"time"

	"coilwright/colour"
	"coilwright/photo"
	"coilwright/picture"
)

func load(t testing.TB, name string) *Scene {
	t.Helper()
	s, err := Load(name)
	if errors.Is(err, ErrNoData) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestBaseline(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := load(t, name)
		cam := s.Truth.Camera()
		for id, after := range s.After {
			plain := Recoloured(s, s.albedoAt(cam, id))
			t.Logf("%s %s: alone %+v recoloured %+v", name, id, Compare(s.Before, after, s.Mask), Compare(plain, after, s.Mask))
		}
	}
}

func TestPaint(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := load(t, name)
		t0 := time.Now()
		p := picture.Prepare(s.Photo())
		t.Log("prepare", time.Since(t0))
		for id, after := range s.After {
			t0 := time.Now()
			painted, err := p.Render(s.Dress(id))
			if err != nil {
				t.Fatal(err)
			}
			t.Log(time.Since(t0))
			got := asFile(t, painted)
			t.Logf("%s %s: %+v", name, id, Compare(got, after, s.Mask))
			if dir := os.Getenv("PICTURES"); dir != "" {
				f, _ := os.Create(dir + "/" + name + "_" + id + ".png")
				png.Encode(f, got)
				f.Close()
			}
		}
	}
}

// asFile takes a picture through the file that it becomes: the truth is one too.
func asFile(t testing.TB, im *image.RGBA) *image.RGBA {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, im, &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	got, err := jpeg.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	out := image.NewRGBA(got.Bounds())
	draw.Draw(out, out.Rect, got, image.Point{}, draw.Src)
	return out
}

// albedoAt gives the new colour at a pixel of the mask.
func (s *Scene) albedoAt(cam photo.Camera, id string) func(x, y int) colour.Linear {
	zones := s.Truth.After[id].Zones
	return func(x, y int) colour.Linear {
		at := photo.Pixel{U: float64(x) + .5, V: float64(y) + .5}
		for _, w := range s.Truth.Walls {
			if s.Walls[w.ID].GrayAt(x, y).Y < 128 {
				continue
			}
			_, wy, _ := cam.OnPlane(at, w.Plane())
			if len(zones) > 1 && wy < 60 {
				return s.Truth.Albedo[zones[0].Albedo].Linear
			}
		}
		return s.Truth.Albedo[zones[len(zones)-1].Albedo].Linear
	}
}
