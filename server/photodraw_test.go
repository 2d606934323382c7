package server_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// patched sends a patch as the page does.
func (s *site) patched(job, what string, patch any) map[string]any {
	s.t.Helper()
	head := s.want(200, "GET", job, nil)
	body := map[string]any{"what": what, "patch": patch}
	return s.want(200, "POST", job+"/changes?scheme=A", body, "If-Match", fmt.Sprintf(`"%v"`, head["revision"]))
}

// drawn marks a scene's photo in a job and draws its walls.
func (s *site) drawn(job string, marks map[string]any) (drawing, changed map[string]any) {
	s.t.Helper()
	s.patched(job, "marked", []any{op("/house/photos/0/marks", marks)})
	drawing = s.want(200, "POST", job+"/photos/walls", "{}")
	return drawing, s.patched(job, drawing["what"].(string), drawing["patch"])
}

// TestDrawWalls: a marked photo and one tape number make walls with openings that are
// laid out at once, each number within its plus-minus of the truth and by photo, but
// the taped one, which is by tape.
func TestDrawWalls(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := here(t)
		job, file := s.scene(name)
		drawing, changed := s.drawn(job, sceneMarks(t, name, file, 0.5))
		if len(drawing["kept"].([]any)) > 0 || len(drawing["lacking"].([]any)) > 0 {
			t.Errorf("%s: %v", name, drawing)
		}
		if pieces, _ := at(changed, "layout", "pieces").([]any); len(pieces) < 10 {
			t.Fatalf("%s: %d pieces, problems %v", name, len(pieces), changed["problems"])
		}
		truth := truthOf(t, name)
		out, all := []string{}, 0
		for i, w := range truth.Walls {
			got := at(changed, "view", "walls", i)
			if at(got, "id") != w.ID || at(got, "over") != "old-cladding" || len(at(got, "edges").([]any)) != len(w.Outline_in) {
				t.Errorf("%s: wall %v", name, got)
			}
			box := w.Outline_in[0]
			for k, p := range w.Outline_in {
				for axis := range 2 {
					all++
					if off := at(got, "outline_in", k, axis).(float64) - p[axis]; math.Abs(off) > within(at(got, "readings", k, axis)) {
						out = append(out, fmt.Sprintf("%s corner %d: %.2f off", w.ID, k, off))
					}
					box[axis] = math.Max(box[axis], p[axis])
				}
			}
			for k, o := range w.Openings {
				for axis, want := range [][2]float64{{o.Rect_in.X, o.Rect_in.W}, {o.Rect_in.Y, o.Rect_in.H}} {
					all += 2
					opening := at(got, "openings", k)
					may := within(at(opening, "readings", 0, axis))
					if off := at(opening, "at_in", axis).(float64) - want[0]; math.Abs(off) > may {
						out = append(out, fmt.Sprintf("%s at %d: %.2f off, ± %.2f", o.ID, axis, off, may))
					}
					if off := at(opening, "size_in", axis).(float64) - want[1]; math.Abs(off) > 2*within(at(opening, "readings", 2, axis)) {
						out = append(out, fmt.Sprintf("%s size %d: %.2f off", o.ID, axis, off))
					}
				}
			}
		}
		if len(out) > 1+all/8 {
			t.Errorf("%s: %d of %d numbers outside: %v", name, len(out), all, out)
		}
		door := text(t, at(s.want(200, "GET", job, nil), "document", "house"))
		if want := `{"length":"3' 7\"","measured":{"by":"tape","plus_minus":"1/8\""}}`; !strings.Contains(door, want) {
			t.Errorf("%s: the taped width is not there by tape: %s", name, door)
		}
		if name == "birch" && !strings.Contains(door, `"corners":[{"between":["front.right","right.left"],"kind":"outside"}]`) {
			t.Errorf("the corner of the two walls: %s", door)
		}
	}
}

// within is a view's plus-minus in inches, with the half step that numbers are written to.
func within(reading any) float64 {
	pm, _ := at(reading, "plus_minus_in").(float64)
	return pm + 0.1
}

// TestDrawKeepsTape: a wall measured by tape stays as it is, only guesses give way;
// what does not agree is said; drawing twice is drawing once; undo takes all back.
func TestDrawKeepsTape(t *testing.T) {
	s := here(t)
	job, file := s.scene("alder")
	taped := func(l string) any {
		return map[string]any{"length": l, "measured": map[string]any{"by": "tape", "plus_minus": "1/8 in"}}
	}
	// As it stood before the photo: the width by tape (ten inches short), S1's sill by tape, a guessed
	// door in the place of S2, a vent by tape, a light that is a guess.
	wall := map[string]any{
		"id": "front", "outline": []any{[]any{"0", "0"}, []any{taped(`33' 8"`), "0"}, []any{taped(`33' 8"`), "9'"}, []any{"0", "9'"}},
		"edges": []any{"base", "outside-corner", "eave", "outside-corner"}, "faces_deg": 182,
		"openings": []any{
			map[string]any{"id": "S1", "kind": "window", "at": []any{"40 in", taped("32 1/8 in")}, "size": []any{"40 in", "60 in"}},
			map[string]any{"id": "D", "kind": "other", "at": []any{"140 in", "0"}, "size": []any{"40 in", "80 in"}},
			map[string]any{"id": "V", "kind": "vent", "at": []any{"10 in", "100 in"}, "size": []any{"6 in", "4 in"}, "measured": map[string]any{"by": "tape"}},
			map[string]any{"id": "L", "kind": "light", "at": []any{"20 in", "60 in"}, "size": []any{"6 in", "10 in"}},
		},
	}
	s.patched(job, "wall", []any{op("/house/walls/-", wall)})
	before := text(t, at(s.want(200, "GET", job, nil), "document", "house", "walls"))
	drawing, changed := s.drawn(job, sceneMarks(t, "alder", file, 0.3))
	got := at(changed, "view", "walls", 0)
	if w := at(got, "width"); w != `33' 8"` {
		t.Errorf("the taped width became %v", w)
	}
	ids := []string{}
	for _, o := range at(got, "openings").([]any) {
		ids = append(ids, at(o, "id").(string))
	}
	if strings.Join(ids, " ") != "S1 D V S3 S4" {
		t.Errorf("openings %v", ids)
	}
	if sill := at(got, "openings", 0, "at", 1); sill != `2' 8 1/8"` {
		t.Errorf("the taped sill became %v", sill)
	}
	if kind, width := at(got, "openings", 1, "kind"), at(got, "openings", 1, "size_in", 0).(float64); kind != "door" || math.Abs(width-43) > 0.2 {
		t.Errorf("the guessed door is %v, %v in wide", kind, width)
	}
	kept := text(t, drawing["kept"])
	if !strings.Contains(kept, `"agrees":false`) || !strings.Contains(kept, `"kept":"33' 8\""`) || !strings.Contains(text(t, drawing["notes"]), "taken off: L") {
		t.Errorf("kept %s, notes %v", kept, drawing["notes"])
	}
	again := s.want(200, "POST", job+"/photos/walls", `{"walls":["front"]}`)
	twice := s.patched(job, "again", again["patch"])
	if text(t, at(twice, "view", "walls")) != text(t, at(changed, "view", "walls")) {
		t.Errorf("drawn twice: %v\nonce: %v", at(twice, "view", "walls"), at(changed, "view", "walls"))
	}
	for range 2 {
		head := s.want(200, "GET", job, nil)
		s.want(200, "POST", job+"/undo", nil, "If-Match", fmt.Sprintf(`"%v"`, head["revision"]))
	}
	if now := text(t, at(s.want(200, "GET", job, nil), "document", "house", "walls")); now != before {
		t.Errorf("undone: %s\nbefore: %s", now, before)
	}
	if none := s.want(200, "POST", job+"/photos/walls", `{"walls":["attic"]}`); len(none["patch"].([]any)) != 0 {
		t.Errorf("a wall of no photo: %v", none)
	}
}

// TestDrawMetric: a job in metric gets metric text, and the same house.
func TestDrawMetric(t *testing.T) {
	s := here(t)
	job, file := s.scene("alder")
	s.patched(job, "metric", []any{op("/units", "metric")})
	_, changed := s.drawn(job, sceneMarks(t, "alder", file, 0))
	if w, in := at(changed, "view", "walls", 0, "width").(string), at(changed, "view", "walls", 0, "width_in").(float64); !strings.HasSuffix(w, " mm") || math.Abs(in-truthOf(t, "alder").Walls[0].Outline_in[1][0]) > 5 {
		t.Errorf("width %s (%v in)", w, in)
	}
}

// TestDrawAnotherShape: where the job's outline has other corners than the photo's, a
// guess gives way and a tape stays.
func TestDrawAnotherShape(t *testing.T) {
	for by, corners := range map[string]int{"assumed": 4, "tape": 5} {
		s := here(t)
		job, file := s.scene("alder")
		s.patched(job, "wall", []any{op("/house/walls/-", map[string]any{
			"id": "front", "outline": []any{[]any{"0", "0"}, []any{"30'", "0"}, []any{"30'", "9'"}, []any{"15'", "14'"}, []any{"0", "9'"}},
			"edges": []any{"base", "outside-corner", "rake", "rake", "outside-corner"}, "measured": map[string]any{"by": by},
		})})
		drawing, changed := s.drawn(job, sceneMarks(t, "alder", file, 0))
		if got := len(at(changed, "view", "walls", 0, "outline").([]any)); got != corners || (by == "tape") != strings.Contains(text(t, drawing["notes"]), "stays as it is") {
			t.Errorf("%s: %d corners, notes %v", by, got, drawing["notes"])
		}
	}
}
