package job

import (
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"coilwright/measure"
	"coilwright/opendata"
	"coilwright/photo"
	"coilwright/problem"
)

// marked is an invented front, 24 by 9 ft, seen square on: 50 pixels to the foot.
const marked = `{"format": "coilwright/marks@1", PHOTO
  "points": {"a": [200, 787.5], "b": [1400, 787.5], "c": [1400, 337.5], "d": [200, 337.5],
             "e": [450, 787.5], "f": [600, 787.5], "g": [600, 454.17], "h": [450, 454.17]},
  "walls": [{"id": "front", "outline": ["a", "b", "c", "d"], "openings": [{"id": "D1", "kind": "door", "corners": ["e", "f", "g", "h"]}]}],
  "lengths": [{"between": ["e", "f"], "length": "36 in", "plus_minus": "1/8 in"}]}`

func nothing(string) ([]byte, error) {
	return nil, &fs.PathError{Op: "open", Path: "/secret/place", Err: fs.ErrNotExist}
}

func withPhoto(p string) string { return strings.Replace(marked, "PHOTO", p, 1) }

const sized = `"photo": {"file": "front.jpg", "width": 1600, "height": 1200, "focal_px": 1250},`

func TestMarksOfAJob(t *testing.T) {
	text := withPhoto(sized)
	files := func(name string) ([]byte, error) {
		if name == "front.marks.json" {
			return []byte(text), nil
		}
		return nothing(name)
	}
	for what, raw := range map[string]string{
		"in place":     `{"id": "p", "file": "front.jpg", "marks": ` + text + `}`,
		"in a file":    `{"id": "p", "file": "front.jpg", "marks": "front.marks.json"}`,
		"photo's file": `{"id": "p", "file": "front.jpg", "marks": ` + withPhoto(`"photo": {"width": 1600, "height": 1200, "focal_px": 1250},`) + `}`,
	} {
		m, found := Photo{ID: "p", File: "front.jpg", Raw: json.RawMessage(raw)}.Marks(files)
		if found.Fatal() {
			t.Errorf("%s: %v", what, found)
			continue
		}
		a, err := Measure(measure.Imperial, m)
		if err != nil || a.Walls[0].Openings[0].W < 35.9 || a.Walls[0].Openings[0].W > 36.1 {
			t.Errorf("%s: %+v %v", what, a, err)
		}
	}
	m, found := Photo{ID: "p", File: "front.jpg", Raw: json.RawMessage(`{"id": "p", "file": "front.jpg"}`)}.Marks(files)
	if len(m.Walls) != 0 || len(found) != 0 {
		t.Errorf("no marks: %v %v", m, found)
	}
}

func TestBadMarks(t *testing.T) {
	good := withPhoto(sized)
	for what, c := range map[string]struct{ text, where, says string }{
		"no photo there": {withPhoto(`"photo": {"file": "front.jpg"},`), "$.photo.file", "cannot be opened"},
		"no photo named": {withPhoto(""), "$", `"photo" is missing`},
		"other format":   {strings.Replace(good, "marks@1", "marks@9", 1), "$.format", "another format"},
		"list":           {"[]", "$", "a JSON object"},
		"length":         {strings.Replace(good, "36 in", "36", 1), "$.lengths[0].length", "not a length"},
		"kind":           {strings.Replace(good, `"door"`, `"hole"`, 1), "$.walls[0].openings[0].kind", "kind of opening"},
		"pixel":          {strings.Replace(good, "[200, 787.5]", "[200]", 1), "$.points.a", "2 values"},
		"field":          {strings.Replace(good, `"lengths"`, `"lenghts"`, 1), "$.lenghts", "no field"},
		"huge":           {strings.Replace(good, "1600", "1600000", 1), "$.photo.width", "out of range"},
	} {
		_, found := ParseMarks("m.json", []byte(c.text), nothing)
		if !found.Fatal() || found[0].Where != c.where || !strings.Contains(found[0].What, c.says) || found[0].Mend == "" {
			t.Errorf("%s: %v", what, found)
		}
		if strings.Contains(found.Err().Error(), "secret") {
			t.Errorf("%s: a path of this machine is told: %v", what, found)
		}
	}
	m, _ := ParseMarks("m.json", []byte(strings.Replace(good, `"outline": ["a", "b", "c", "d"]`, `"outline": ["a", "d", "c", "b"]`, 1)), nothing)
	_, err := Measure(measure.Imperial, m)
	var failed *problem.Failure
	if !errors.As(err, &failed) || failed.Problems[0].Where != "$.walls.front" {
		t.Errorf("clockwise: %v", err)
	}
	if _, err = Measure(measure.Imperial, m, m); !errors.As(err, &failed) || failed.Problems[0].Where != "$.photos[0].marks.walls.front" {
		t.Errorf("clockwise, two photos: %v", err)
	}
}

// TestPlusMinusText: a size is not told finer than it is known, and its
// plus-minus is never told smaller.
func TestPlusMinusText(t *testing.T) {
	for _, c := range []struct {
		value, sigma float64
		u            measure.Units
		want         string
	}{
		{36.03, 0.06, measure.Imperial, `3' ± 1/8"`},
		{382.2, 4.6, measure.Imperial, `31' 10" ± 10"`},
		{84.4, 0.5, measure.Imperial, `7' 1/2" ± 1"`},
		{36, 0.06, measure.Metric, "914 mm ± 3 mm"},
		{12, 0, measure.Imperial, `1' ± 0"`},
	} {
		size, plusMinus := PlusMinusText(photo.Size{Value: c.value, Sigma: c.sigma}, c.u)
		if got := size + " ± " + plusMinus; got != c.want {
			t.Errorf("%g +- %g: %s, want %s", c.value, c.sigma, got, c.want)
		}
	}
}

// FuzzMarks: whatever the text, findings or marks that solve or say why not.
func FuzzMarks(f *testing.F) {
	f.Add(withPhoto(sized))
	f.Add(strings.ReplaceAll(withPhoto(sized), "787.5", "100"))
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 20_000 {
			t.Skip("large inputs only slow the search down")
		}
		m, found := ParseMarks("m.json", []byte(text), nothing)
		if found.Fatal() || len(m.Walls) > 20 || len(m.Points) > 100 {
			return
		}
		if _, err := Measure(measure.Imperial, m); err != nil {
			var failed *problem.Failure
			if !errors.As(err, &failed) {
				t.Fatal(err)
			}
		}
	})
}

// TestScenesFromFiles reads the truth scenes' own marks and photo, as a person
// would: with the stated focal length, and with what the camera wrote instead. The
// openings' sizes are those of the scenes' truth (a sample, in inches).
func TestScenesFromFiles(t *testing.T) {
	truth := map[string]map[string][2]float64{
		"alder": {"S1": {43.25, 61.5}, "S2": {43, 0}},
		"birch": {"F1": {39.5, 57.875}, "F3": {43, 0}, "R1": {39.5, 0}},
	}
	for name, want := range truth {
		dir := opendata.Need(t, "truth scenes", "scenes", name)
		text, err := os.ReadFile(filepath.Join(dir, "marks.json"))
		if err != nil {
			t.Fatal(err)
		}
		open := func(file string) ([]byte, error) { return os.ReadFile(filepath.Join(dir, file)) }
		for _, drop := range []string{"", `"focal_px"`} {
			if drop != "" {
				text = regexp.MustCompile(`,\s*"focal_px": [\d.]+`).ReplaceAll(text, nil)
			}
			m, found := ParseMarks("marks.json", text, open)
			if found.Fatal() || len(found) > 0 {
				t.Fatalf("%s: %v", name, found)
			}
			a, err := Measure(measure.Imperial, m)
			if err != nil {
				t.Fatal(err)
			}
			for _, w := range a.Walls {
				for _, o := range w.Openings {
					if size := want[o.ID]; size[0] > 0 && math.Abs(o.W-size[0]) > 1.96*o.Sigma.W+1e-3 || size[1] > 0 && math.Abs(o.H-size[1]) > 1.96*o.Sigma.H {
						t.Errorf("%s %s without %q: %.2f by %.2f, truth %v", name, o.ID, drop, o.W, o.H, size)
					}
				}
			}
		}
	}
}
