// Package picture scores the renderer on scenes of which everything is known: the
// photo with the old cladding, and the path-traced photo with the new one.
package picture

import (
	"encoding/json"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"

	"coilwright/opendata"
	"coilwright/photo"
)

// Scene is one truth scene (see the scenes' own README for the conventions).
type Scene struct {
	Name   string
	Truth  Truth
	Before *image.RGBA
	Mask   *image.Gray            // 255 where the cladding is seen
	Soft   *image.Gray            // covered share
	After  map[string]*image.RGBA // as shown
	Walls  map[string]*image.Gray
	dir    string
}

// Truth is the part of truth.json that serves here. Lengths in inches.
type Truth struct {
	Image struct {
		Width, Height int
		Files         map[string]string
		WallMasks     map[string]string `json:"wall_masks"`
	}
	Intrinsics struct{ Fx, Cx, Cy, K1 float64 }
	Pose       struct {
		R [3][3]float64
		T [3]float64
	}
	House struct {
		CornerBoard float64 `json:"corner_board_in"`
		Frieze      float64 `json:"frieze_in"`
		Eave        float64 `json:"eave_overhang_in"`
		Rake        float64 `json:"rake_overhang_in"`
	}
	Walls []Wall
	Light struct {
		Sun       [3]float64 `json:"sun_direction_world"`
		Azimuth   float64    `json:"sun_azimuth_deg"`
		Elevation float64    `json:"sun_elevation_deg"`
		Bearing   float64    `json:"front_wall_bearing_deg"`
	}
	Old struct {
		Exposure float64      `json:"exposure_in"`
		Datum    float64      `json:"datum_in"`
		Profile  [][2]float64 `json:"profile_y_depth_in"`
		Albedo   [3]float64   `json:"mean_albedo_linear_rgb"`
	} `json:"old_cladding"`
	Trim   [3]float64 `json:"trim_albedo_linear_rgb"`
	After  map[string]struct{ Zones []Zone }
	Albedo map[string]struct {
		Linear [3]float64 `json:"linear_rgb"`
	} `json:"albedos"`
	Profiles map[string]json.RawMessage
}

// Wall is one wall with truth.
type Wall struct {
	ID       string
	Origin   [3]float64
	XAxis    [3]float64   `json:"x_axis"`
	YAxis    [3]float64   `json:"y_axis"`
	Outline  [][2]float64 `json:"outline_in"`
	Edges    []string
	Openings []struct {
		ID   string
		Rect struct{ X, Y, W, H float64 } `json:"rect_in"`
	}
}

// Zone is one part of a new cladding.
type Zone struct {
	Where    json.RawMessage
	Panel    string
	Exposure float64 `json:"exposure_in"`
	Datum    float64 `json:"datum_in"`
	Cover    float64 `json:"cover_in"`
	Albedo   string
	Trim     float64 `json:"transition_trim_in"`
}

// Camera is the scene's own camera.
func (t Truth) Camera() photo.Camera {
	row := func(r [3]float64) photo.Vec { return photo.Vec{X: r[0], Y: r[1], Z: r[2]} }
	return photo.Camera{
		Lens: photo.Lens{Focal: t.Intrinsics.Fx, CX: t.Intrinsics.Cx, CY: t.Intrinsics.Cy, K1: t.Intrinsics.K1},
		R:    photo.Rotation{row(t.Pose.R[0]), row(t.Pose.R[1]), row(t.Pose.R[2])},
		T:    row(t.Pose.T),
	}
}

// Plane is the wall's face plane.
func (w Wall) Plane() photo.Plane {
	v := func(r [3]float64) photo.Vec { return photo.Vec{X: r[0], Y: r[1], Z: r[2]} }
	return photo.Plane{Origin: v(w.Origin), X: v(w.XAxis), Y: v(w.YAxis)}
}

// Load reads a scene from the open data, found by walking up from the working
// folder. Errors match opendata.ErrAbsent where it is not there.
func Load(name string) (*Scene, error) {
	dir, err := opendata.Find("scenes", name)
	if err != nil {
		return nil, err
	}
	s := &Scene{Name: name, dir: dir, After: map[string]*image.RGBA{}, Walls: map[string]*image.Gray{}}
	text, err := os.ReadFile(filepath.Join(dir, "truth.json"))
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(text, &s.Truth); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	r := &reader{dir: dir}
	s.Before, s.Mask, s.Soft = r.photo("before.jpg"), r.mask("mask.png"), r.mask("mask_soft.png")
	for id, file := range s.Truth.Image.WallMasks {
		s.Walls[id] = r.mask(file)
	}
	for id := range s.Truth.After {
		s.After[id] = shown(r.jpeg("after_" + id + ".jpg"))
	}
	return s, r.err
}

// reader reads pictures until one fails.
type reader struct {
	dir string
	err error
}

func (r *reader) read(name string, decode func(*os.File) (image.Image, error)) image.Image {
	if r.err != nil {
		return image.NewRGBA(image.Rectangle{})
	}
	f, err := os.Open(filepath.Join(r.dir, name))
	if err != nil {
		r.err = err
		return image.NewRGBA(image.Rectangle{})
	}
	defer f.Close()
	im, err := decode(f)
	if err != nil {
		r.err = fmt.Errorf("%s: %w", name, err)
		return image.NewRGBA(image.Rectangle{})
	}
	return im
}

func (r *reader) jpeg(name string) image.Image {
	return r.read(name, func(f *os.File) (image.Image, error) { return jpeg.Decode(f) })
}

// photo is a picture as the program reads it.
func (r *reader) photo(name string) *image.RGBA {
	return flat(r.jpeg(name))
}

// flat is a picture in red, green and blue, as the standard library reads its pixels.
func flat(im image.Image) *image.RGBA {
	out := image.NewRGBA(im.Bounds())
	draw.Draw(out, out.Rect, im, out.Rect.Min, draw.Src)
	return out
}

func (r *reader) mask(name string) *image.Gray {
	im := r.read(name, func(f *os.File) (image.Image, error) { return png.Decode(f) })
	out := image.NewGray(im.Bounds())
	draw.Draw(out, out.Rect, im, im.Bounds().Min, draw.Src)
	return out
}
