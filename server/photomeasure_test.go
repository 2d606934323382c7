package server_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"coilwright/opendata"
)

// sceneTruth is a rendered house whose sizes are known (data/scenes/README.md).
type sceneTruth struct {
	Walls []struct {
		ID         string
		Outline_in [][2]float64
		Corners_px [][2]float64
		Openings   []struct {
			ID      string
			Rect_in struct{ X, Y, W, H float64 }
		}
	}
}

func fileOf(t testing.TB, path ...string) []byte {
	t.Helper()
	data, err := os.ReadFile(opendata.Need(t, "truth scenes and photos", path...))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func truthOf(t testing.TB, name string) (out sceneTruth) {
	t.Helper()
	if err := json.Unmarshal(fileOf(t, "scenes", name, "truth.json"), &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// sceneMarks gives a scene's true marks as a page would send them, each place moved by
// noise of so many pixels.
func sceneMarks(t testing.TB, name, file string, noise float64) map[string]any {
	t.Helper()
	var m map[string]any
	if err := json.Unmarshal(fileOf(t, "scenes", name, "marks.json"), &m); err != nil {
		t.Fatal(err)
	}
	m["photo"] = map[string]any{"file": file}
	r := rand.New(rand.NewPCG(5, 6))
	points := m["points"].(map[string]any)
	for _, n := range sortedKeys(points) {
		p := points[n].([]any)
		points[n] = []any{p[0].(float64) + noise*r.NormFloat64(), p[1].(float64) + noise*r.NormFloat64()}
	}
	return m
}

// scene is a job of its own with a scene's photo, not marked yet.
func (s *site) scene(name string) (job, file string) {
	s.t.Helper()
	made := s.want(201, "POST", "/api/jobs", map[string]string{"title": "Scene (invented)"})
	job = "/api/jobs/" + made["id"].(string)
	return job, s.withPhoto(job, "P1", fileOf(s.t, "scenes", name, "before.jpg"))
}

func text(t testing.TB, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func measured(marks string) string {
	return `{"photos":[{"photo":"P1","marks":` + marks + `}]}`
}

// TestMeasurePhoto: marks with a pixel of noise and one taped width give each size of
// the rendered houses within its plus-minus, but for the share that 95 % leaves.
func TestMeasurePhoto(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := here(t)
		job, file := s.scene(name)
		got := s.want(200, "POST", job+"/photos/measure", measured(text(t, sceneMarks(t, name, file, 0.8))))
		if at(got, "lacking", 0) != nil || got["focal_px"].(float64) < 1000 || at(got, "taken", 0) == nil {
			t.Fatalf("%s: lacking %v, focal %v", name, got["lacking"], got["focal_px"])
		}
		sizes := map[string][2]float64{}
		for _, z := range got["sizes"].([]any) {
			opening, _ := at(z, "opening").(string)
			sizes[fmt.Sprint(at(z, "wall"), opening, at(z, "what"), at(z, "edge"))] = [2]float64{at(z, "length_in").(float64), at(z, "plus_minus_in").(float64)}
			if at(z, "length") == "" || at(z, "plus_minus") == "" || at(z, "words") == "" {
				t.Errorf("%s: a size without words: %v", name, z)
			}
		}
		all, out := 0, []string{}
		check := func(key string, truth float64) {
			size, ok := sizes[key]
			if all++; !ok {
				t.Errorf("%s: no size %s", name, key)
			} else if math.Abs(size[0]-truth) > size[1] {
				out = append(out, fmt.Sprintf("%s %.2f ± %.2f, truth %.2f", key, size[0], size[1], truth))
			}
		}
		for _, w := range truthOf(t, name).Walls {
			for k, a := range w.Outline_in {
				b := w.Outline_in[(k+1)%len(w.Outline_in)]
				check(fmt.Sprint(w.ID, "edge", k), math.Hypot(b[0]-a[0], b[1]-a[1]))
			}
			for _, o := range w.Openings {
				check(fmt.Sprint(w.ID, o.ID, "width", -1), o.Rect_in.W)
				check(fmt.Sprint(w.ID, o.ID, "height", -1), o.Rect_in.H)
				check(fmt.Sprint(w.ID, o.ID, "left", -1), o.Rect_in.X)
				check(fmt.Sprint(w.ID, o.ID, "sill", -1), o.Rect_in.Y)
			}
		}
		if len(out) > 1+all/8 {
			t.Errorf("%s: %d of %d sizes outside their 95 %%: %v", name, len(out), all, out)
		}
	}
}

// TestMeasureLacking: marks that do not suffice yet are no mistake of the page: the
// answer says what is missing, in the trade's words, with its place.
func TestMeasureLacking(t *testing.T) {
	s := here(t)
	job, file := s.scene("alder")
	for name, c := range map[string]struct {
		spoil func(m map[string]any)
		where string
		says  string
	}{
		"no tape number": {func(m map[string]any) { delete(m, "lengths") }, "walls.front", "no known length"},
		"two corners": {func(m map[string]any) {
			w := at(m, "walls", 0).(map[string]any)
			w["outline"] = w["outline"].([]any)[:2]
		}, "walls.front", "three corners"},
		"on one line": {func(m map[string]any) {
			p := m["points"].(map[string]any)
			for k := range 4 {
				p[fmt.Sprint("S1_", k)] = []any{300.0 + 40*float64(k), 500.0 + 20*float64(k)}
			}
		}, "walls.front.S1", "no area"},
		"clockwise": {func(m map[string]any) {
			o := at(m, "walls", 0, "outline").([]any)
			slices.Reverse(o)
		}, "walls.front", "clockwise"},
		"no wall":     {func(m map[string]any) { m["walls"] = []any{} }, "walls", "no wall"},
		"far outside": {func(m map[string]any) { m["points"].(map[string]any)["S1_0"] = []any{99999.0, 3.0} }, "points.S1_0", "far outside"},
		"no format":   {func(m map[string]any) { delete(m, "format") }, "$", "format"},
		"a wrong length": {func(m map[string]any) {
			at(m, "lengths", 0).(map[string]any)["length"] = "7.5' 3"
		}, "$.lengths[0].length", ""},
	} {
		m := sceneMarks(t, "alder", file, 0)
		c.spoil(m)
		got := s.want(200, "POST", job+"/photos/measure", measured(text(t, m)))
		lack, _ := at(got, "lacking", 0).(map[string]any)
		where, _ := lack["where"].(string)
		if what, _ := lack["what"].(string); !strings.HasPrefix(where, c.where) || !strings.Contains(what, c.says) || lack["mend"] == "" || lack["photo"] != "P1" {
			t.Errorf("%s: %v", name, got["lacking"])
		}
		if len(got["sizes"].([]any)) > 0 {
			t.Errorf("%s: sizes all the same: %v", name, got["sizes"])
		}
	}
	if got := s.want(200, "POST", job+"/photos/measure", "{}"); len(got["lacking"].([]any)) != 0 || len(got["walls"].([]any)) != 0 {
		t.Errorf("a photo that nobody marked yet: %v", got)
	}
	s.want(404, "POST", job+"/photos/measure", `{"photos":[{"photo":"P9"}]}`)
	many := map[string]any{}
	for i := range 5000 {
		many[fmt.Sprint("p", i)] = []any{i % 100, i / 100}
	}
	m := sceneMarks(t, "alder", file, 0)
	m["points"] = many
	s.want(422, "POST", job+"/photos/measure", measured(text(t, m)))
}

// TestMeasureContradictions: a corner marked 25 px off and a tape five inches short
// are named.
func TestMeasureContradictions(t *testing.T) {
	s := here(t)
	job, file := s.scene("alder")
	m := sceneMarks(t, "alder", file, 0)
	p := m["points"].(map[string]any)
	p["S3_2"] = []any{p["S3_2"].([]any)[0].(float64) + 25, p["S3_2"].([]any)[1]}
	got := s.want(200, "POST", job+"/photos/measure", measured(text(t, m)))
	if where, _ := at(got, "doubts", 0, "where").(string); !strings.HasPrefix(where, "points.S3_") || at(got, "doubts", 0, "photo") != "P1" {
		t.Errorf("a corner 25 px off: %v", got["doubts"])
	}
	large := 0
	for _, r := range got["residuals"].([]any) {
		if at(r, "large") == true {
			large++
		}
	}
	if large == 0 || got["widened"].(float64) <= 1 {
		t.Errorf("%d large residuals, widened %v", large, got["widened"])
	}
	m = sceneMarks(t, "alder", file, 0)
	m["lengths"] = append(m["lengths"].([]any), map[string]any{"between": []any{"S2_3", "S2_2"}, "length": "3' 2\"", "plus_minus": "1/8 in"})
	got = s.want(200, "POST", job+"/photos/measure", measured(text(t, m)))
	if !strings.Contains(text(t, got["doubts"]), "3' 2\\\" does not fit the rest; about 3' 7\\\" would") {
		t.Errorf("a tape five inches short: %v lacking %v widened %v", got["doubts"], got["lacking"], got["widened"])
	}
}

// TestMeasureUnchecked: one tape number alone is checked by nothing, and that is said
// with the number that would; a second says how much of an error would still pass.
func TestMeasureUnchecked(t *testing.T) {
	s := here(t)
	job, file := s.scene("birch")
	m := sceneMarks(t, "birch", file, 0.5)
	m["lengths"] = m["lengths"].([]any)[:1]
	got := s.want(200, "POST", job+"/photos/measure", measured(text(t, m)))
	if what := fmt.Sprint(at(got, "unchecked", "what")); what != "nothing checks it: misread, it would pass unseen" || at(got, "unchecked", "where") != "lengths[0]" {
		t.Errorf("one tape number: %v", got["unchecked"])
	}
	if mend := fmt.Sprint(at(got, "unchecked", "mend")); !strings.HasPrefix(mend, "read it twice; with front, base, taped too, ") {
		t.Errorf("one tape number: %v", mend)
	}
	outline := at(m, "walls", 0, "outline").([]any)
	m["lengths"] = append(m["lengths"].([]any), map[string]any{"between": outline[:2], "length": "32'", "plus_minus": "1/8 in"})
	got = s.want(200, "POST", job+"/photos/measure", measured(text(t, m)))
	if what := fmt.Sprint(at(got, "unchecked", "what")); !strings.HasPrefix(what, "misread by less than ") {
		t.Errorf("two tape numbers: %v", got["unchecked"])
	}
}

// TestMeasureNext: with one width taped, the tape number that would help most is
// named, with how to take it safely.
func TestMeasureNext(t *testing.T) {
	s := here(t)
	job, file := s.scene("birch")
	got := s.want(200, "POST", job+"/photos/measure", measured(text(t, sceneMarks(t, "birch", file, 0.5))))
	size := int(at(got, "next", "size").(float64))
	if size < 0 || !strings.Contains(fmt.Sprint(at(got, "next", "advice")), "clear of power lines") || !strings.Contains(fmt.Sprint(at(got, "next", "advice")), "from the ground") {
		t.Fatalf("next: %v", got["next"])
	}
	// The judge: a tape there does make the plus-minus smaller.
	before := at(got, "sizes", 0, "plus_minus_in").(float64)
	z := at(got, "sizes", size)
	m := sceneMarks(t, "birch", file, 0.5)
	between := []any{}
	for k := range 2 {
		c := int(at(z, "corners", k).(float64))
		for _, w := range m["walls"].([]any) {
			if at(w, "id") != at(z, "wall") {
				continue
			}
			if at(z, "opening") == nil {
				between = append(between, at(w, "outline", c))
			}
			for _, o := range w.(map[string]any)["openings"].([]any) {
				if at(o, "id") == at(z, "opening") {
					between = append(between, at(o, "corners", c))
				}
			}
		}
	}
	m["lengths"] = append(m["lengths"].([]any), map[string]any{"between": between, "length": fmt.Sprintf("%.4f in", at(z, "length_in")), "plus_minus": "1/8 in"})
	again := s.want(200, "POST", job+"/photos/measure", measured(text(t, m)))
	if after := at(again, "sizes", 0, "plus_minus_in").(float64); after >= before {
		t.Errorf("taping %v: plus-minus of the base %.3f, was %.3f", between, after, before)
	}
}
