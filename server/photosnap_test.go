package server_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// TestSnapOnTheScene: corners clicked up to two pixels off, with the next corners
// known, come within 0.7 px of the truth for most of those that are seen.
func TestSnapOnTheScene(t *testing.T) {
	s := here(t)
	job, file := s.scene("birch")
	m := sceneMarks(t, "birch", file, 0)
	points := m["points"].(map[string]any)
	xy := func(name any) [2]float64 {
		p := points[name.(string)].([]any)
		return [2]float64{p[0].(float64), p[1].(float64)}
	}
	r := rand.New(rand.NewPCG(3, 4))
	var places []string
	var truth [][2]float64
	for _, w := range m["walls"].([]any) {
		for _, o := range w.(map[string]any)["openings"].([]any) {
			c := o.(map[string]any)["corners"].([]any)
			for k := range 4 {
				p, a, b := xy(c[k]), xy(c[(k+1)%4]), xy(c[(k+3)%4])
				off := func(v float64) float64 { return v + 2*(2*r.Float64()-1) }
				places = append(places, fmt.Sprintf(`{"at":[%f,%f],"toward":[[%f,%f],[%f,%f]]}`, off(p[0]), off(p[1]), a[0], a[1], b[0], b[1]))
				truth = append(truth, p)
			}
		}
	}
	got := s.want(200, "POST", job+"/photos/P1/snap", `{"reach":4,"places":[`+strings.Join(places, ",")+`]}`)
	near := 0
	for i, p := range truth {
		if math.Hypot(at(got, "places", i, "at", 0).(float64)-p[0], at(got, "places", i, "at", 1).(float64)-p[1]) < 0.7 {
			near++
		}
	}
	if near < len(truth)*8/10 {
		t.Errorf("%d of %d corners within 0.7 px", near, len(truth))
	}
	t.Logf("%d of %d corners within 0.7 px", near, len(truth))
}

// TestSnapNowhere: on a plain picture, outside it, and with absurd places, a mark
// stays where it is; what is no place at all is refused.
func TestSnapNowhere(t *testing.T) {
	s := here(t)
	job := "/api/jobs/" + s.demo()
	s.withPhoto(job, "P1", jpegOf(t, painted(200, 100)))
	got := s.want(200, "POST", job+"/photos/P1/snap", `{"reach":5,"places":[{"at":[50,25]},{"at":[-70,20]},{"at":[1e300,20]},{"at":[50,25],"toward":[[1e300,1],[2,-1e300]]},{"at":[101.5,49]},{"at":[103,20]}]}`)
	for i, want := range []string{"nowhere", "nowhere", "nowhere", "nowhere", "corner", "edge"} {
		if how := at(got, "places", i, "how"); how != want {
			t.Errorf("place %d: %v, want %s: %v", i, how, want, at(got, "places", i, "at"))
		}
	}
	if u := at(got, "places", 4, "at", 0).(float64); math.Abs(u-100) > 0.6 {
		t.Errorf("the corner lies at %v, want (100, 50)", at(got, "places", 4, "at"))
	}
	for _, bad := range []string{`{"reach":5,"places":[{"at":[1]}]}`, `{"reach":500,"places":[]}`, `{"reach":5,"places":[{"at":["a","b"]}]}`, `{"places":[]}`} {
		s.want(422, "POST", job+"/photos/P1/snap", bad)
	}
	s.want(404, "POST", job+"/photos/P7/snap", `{"reach":5,"places":[]}`)
}

// TestProposals: on a rendered house the windows' places are among what is proposed,
// and the lines that meet are upright and level.
func TestProposals(t *testing.T) {
	s := here(t)
	job, _ := s.scene("alder")
	got := s.want(200, "GET", job+"/photos/P1/proposals", nil)
	if lines := at(got, "upright", "lines").([]any); len(lines) < 5 {
		t.Errorf("%d upright lines", len(lines))
	}
	for _, l := range at(got, "upright", "lines").([]any) {
		du, dv := at(l, 0, 0).(float64)-at(l, 1, 0).(float64), at(l, 0, 1).(float64)-at(l, 1, 1).(float64)
		if math.Abs(du) > math.Abs(dv) {
			t.Errorf("an upright line that lies: %v", l)
		}
	}
	found := 0
	for _, o := range truthScenePx(t, "alder") {
		for _, w := range got["windows"].([]any) {
			if common(o, at(w, "corners").([]any)) > 0.6 {
				found++
				break
			}
		}
	}
	if found < 3 {
		t.Errorf("%d of 4 openings proposed: %v", found, got["windows"])
	}
	t.Logf("%d of 4 openings among %d proposals", found, len(got["windows"].([]any)))
	plain := "/api/jobs/" + s.want(201, "POST", "/api/jobs", map[string]string{"title": "Plain (invented)"})["id"].(string)
	s.withPhoto(plain, "P1", jpegOf(t, painted(8, 8)))
	if got := s.want(200, "GET", plain+"/photos/P1/proposals", nil); len(got["windows"].([]any)) != 0 || at(got, "upright", "meet_px") != nil {
		t.Errorf("eight pixels: %v", got["windows"])
	}
}

// truthScenePx gives the corners of a scene's openings in pixels.
func truthScenePx(t testing.TB, name string) (out [][4][2]float64) {
	m := sceneMarks(t, name, "", 0)
	for _, w := range m["walls"].([]any) {
		for _, o := range w.(map[string]any)["openings"].([]any) {
			var c [4][2]float64
			for k := range 4 {
				p := at(m, "points", at(o, "corners", k).(string)).([]any)
				c[k] = [2]float64{p[0].(float64), p[1].(float64)}
			}
			out = append(out, c)
		}
	}
	return out
}

// common is the common area of two upright boxes over that of both together.
func common(a [4][2]float64, b []any) float64 {
	box := func(at func(k, axis int) float64) [4]float64 {
		out := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
		for k := range 4 {
			for axis := range 2 {
				out[axis], out[2+axis] = min(out[axis], at(k, axis)), max(out[2+axis], at(k, axis))
			}
		}
		return out
	}
	p := box(func(k, axis int) float64 { return a[k][axis] })
	q := box(func(k, axis int) float64 { return at(b, k, axis).(float64) })
	area := func(b [4]float64) float64 { return max(0, b[2]-b[0]) * max(0, b[3]-b[1]) }
	both := area([4]float64{max(p[0], q[0]), max(p[1], q[1]), min(p[2], q[2]), min(p[3], q[3])})
	return both / (area(p) + area(q) - both)
}
