package picture

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"coilwright/colour"
	"coilwright/opendata"
	"coilwright/photo"
	"coilwright/picture"
)

func load(t testing.TB, name string) *Scene {
	t.Helper()
	s, err := Load(name)
	if errors.Is(err, opendata.ErrAbsent) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestScenes holds every picture to what a stranger would take for a photograph:
// mean CIEDE2000 under 3 over the visible cladding, 95 % under 8, SSIM over 0.9, and
// at least twice as good as plain recolouring in the mean and at 95 %. Pictures are
// compared as viewers show their files.
func TestScenes(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := load(t, name)
		p := picture.Prepare(s.Photo())
		for id, after := range s.After {
			painted, err := p.Render(s.Dress(id))
			if err != nil {
				t.Fatal(err)
			}
			keep(t, painted, name+"_"+id)
			got := Compare(asFile(t, painted), after, s.Mask)
			plain := Compare(asFile(t, Recoloured(s, s.albedoAt(s.Truth.Camera(), id))), after, s.Mask)
			t.Logf("%s %s: mean %.2f, 95 %% %.2f, SSIM %.3f; plain recolouring %.2f, %.2f, %.3f",
				name, id, got.Mean, got.P95, got.SSIM, plain.Mean, plain.P95, plain.SSIM)
			if got.Mean >= 3 || got.P95 >= 8 || got.SSIM <= 0.9 || got.Mean > plain.Mean/2 || got.P95 > plain.P95/2 {
				t.Errorf("%s %s misses its mark", name, id)
			}
		}
	}
}

// keep writes a picture into the folder that PICTURES names, to be looked at.
func keep(t *testing.T, im image.Image, name string) {
	dir := os.Getenv("PICTURES")
	if dir == "" {
		return
	}
	f, err := os.Create(filepath.Join(dir, name+".png"))
	if err == nil {
		err = errors.Join(png.Encode(f, im), f.Close())
	}
	if err != nil {
		t.Error(err)
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
	return shown(got)
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

// TestLaps takes the scenes' photos with nothing
// said of the old cladding: the laps that are found are the true ones.
func TestLaps(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := load(t, name)
		p := s.Photo()
		e, datum, ok := picture.FindLaps(&p)
		off := math.Abs(datum - math.Round(datum/8)*8)
		if !ok || math.Abs(e-8) > 0.1 || off > 0.7 {
			t.Errorf("%s: laps of %.3f in from %.2f (%v), want 8 from 0", name, e, datum, ok)
		}
	}
}
