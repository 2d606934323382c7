package photo_test

import (
	"encoding/json"
	"os"
	"testing"

	"coilwright/opendata"
	"coilwright/photo"
)

func read(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// truth is what a truth scene knows of itself (see its README).
type truth struct {
	Scene      string
	Image      struct{ Width, Height int }
	Intrinsics struct {
		Fx, Fy, Cx, Cy, K1 float64
	}
	Pose struct {
		R [3][3]float64
		T [3]float64
	}
	Walls []struct {
		ID          string
		Origin      [3]float64
		XAxis       [3]float64   `json:"x_axis"`
		YAxis       [3]float64   `json:"y_axis"`
		Outline     [][2]float64 `json:"outline_in"`
		Corners     [][2]float64 `json:"corners_px"`
		Undistorted [][2]float64 `json:"corners_px_undistorted"`
		Seen        []bool       `json:"corners_seen"`
		Openings    []struct {
			ID      string
			Rect    struct{ X, Y, W, H float64 } `json:"rect_in"`
			Corners [][2]float64                 `json:"corners_px"`
			Seen    []bool                       `json:"corners_seen"`
		}
	}
}

func scene(t testing.TB, name string) truth {
	t.Helper()
	var s truth
	if err := json.Unmarshal(read(t, opendata.Need(t, "truth scenes and photos", "scenes", name, "truth.json")), &s); err != nil {
		t.Fatal(err)
	}
	return s
}

func vec(a [3]float64) photo.Vec { return photo.Vec{X: a[0], Y: a[1], Z: a[2]} }

func (s truth) camera() photo.Camera {
	i := s.Intrinsics
	return photo.Camera{
		Lens: photo.Lens{Focal: i.Fx, CX: i.Cx, CY: i.Cy, K1: i.K1},
		R:    photo.Rotation{vec(s.Pose.R[0]), vec(s.Pose.R[1]), vec(s.Pose.R[2])},
		T:    vec(s.Pose.T),
	}
}

func (s truth) plane(wall int) photo.Plane {
	w := s.Walls[wall]
	return photo.Plane{Origin: vec(w.Origin), X: vec(w.XAxis), Y: vec(w.YAxis)}
}
