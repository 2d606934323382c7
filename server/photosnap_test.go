package server_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
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

// TestLinesHold: the level lines that a photo shows by itself, taken as marks of their
// wall, make its sizes surer, and the truth stays within what is stated.
func TestLinesHold(t *testing.T) {
	s := here(t)
	for _, name := range []string{"alder", "birch"} {
		job, file := s.scene(name)
		marks := sceneMarks(t, name, file, 0.8)
		doubt := func() (sum float64, out, all int) {
			got := s.want(200, "POST", job+"/photos/measure", measured(text(t, marks)))
			for _, z := range got["sizes"].([]any) {
				if opening, _ := at(z, "opening").(string); opening != "" {
					continue
				}
				pm := at(z, "plus_minus_in").(float64)
				sum, all = sum+pm, all+1
				if math.Abs(at(z, "length_in").(float64)-edgeOf(t, name, at(z, "wall").(string), int(at(z, "edge").(float64)))) > pm {
					out++
				}
			}
			return sum, out, all
		}
		before, _, _ := doubt()
		lines := at(s.want(200, "GET", job+"/photos/P1/proposals", nil), "level").([]any)
		taken := takeLevel(marks, lines, truthOf(t, name).Walls[0].Corners_px)
		after, out, all := doubt()
		t.Logf("%s: %d lines, plus-minus of the edges together %.1f in before, %.1f in after, %d of %d out", name, taken, before, after, out, all)
		if taken < 3 || after > 0.98*before || out > 0 {
			t.Errorf("%s: %d lines, %.2f before, %.2f after, %d out", name, taken, before, after, out)
		}
	}
}

func edgeOf(t testing.TB, scene, wall string, k int) float64 {
	for _, w := range truthOf(t, scene).Walls {
		if w.ID == wall {
			a, b := w.Outline_in[k], w.Outline_in[(k+1)%len(w.Outline_in)]
			return math.Hypot(b[0]-a[0], b[1]-a[1])
		}
	}
	t.Fatalf("no wall %s", wall)
	return 0
}

// takeLevel marks up to five of the lines that keep their height on a scene's first wall,
// between its lower and upper edges as corners have them, a tenth of it apart.
func takeLevel(marks map[string]any, groups []any, corners [][2]float64) int {
	up := func(p any) (float64, bool) {
		u, v := at(p, 0).(float64), at(p, 1).(float64)
		along := (u - corners[0][0]) / (corners[1][0] - corners[0][0])
		low := corners[0][1] + along*(corners[1][1]-corners[0][1])
		left, right := corners[len(corners)-1], corners[2]
		high := left[1] + along*(right[1]-left[1])
		h := (low - v) / (low - high)
		return h, along > 0.02 && along < 0.98 && h > 0.02 && h < 0.98
	}
	points, level, heights := marks["points"].(map[string]any), []any{}, []float64{}
	for _, g := range groups {
		for _, l := range at(g, "lines").([]any) {
			a, in := up(at(l, 0))
			b, in2 := up(at(l, 1))
			near := slices.ContainsFunc(heights, func(h float64) bool { return math.Abs(h-a) < 0.1 })
			if !in || !in2 || near || math.Abs(a-b) > 0.01 || len(level) == 5 {
				continue
			}
			names := []any{fmt.Sprintf("line %d a", len(level)), fmt.Sprintf("line %d b", len(level))}
			points[names[0].(string)], points[names[1].(string)] = at(l, 0), at(l, 1)
			level, heights = append(level, names), append(heights, a)
		}
	}
	at(marks, "walls", 0).(map[string]any)["level"] = level
	return len(level)
}
