package picture

import (
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"coilwright/job"
	"coilwright/opendata"
)

//go:embed testdata/*.json
var marked embed.FS

// Marked are jobs whose photo stands among the open data: real photos marked by hand,
// all their sizes assumed.
var Marked = []string{"rowhouse", "gable", "corner"}

// MarkedJob reads one of them, with what opens its photo. Errors match
// opendata.ErrAbsent where the photos are not there.
func MarkedJob(name string) (*job.Job, job.Open, error) {
	folder, err := opendata.Find("photos")
	if err != nil {
		return nil, nil, err
	}
	open := func(pattern string) ([]byte, error) {
		found, err := filepath.Glob(filepath.Join(folder, pattern))
		if err != nil || len(found) != 1 {
			return nil, fmt.Errorf("%s: %d photos of that name (%v)", pattern, len(found), err)
		}
		return os.ReadFile(found[0])
	}
	text, err := marked.ReadFile("testdata/" + name + ".json")
	if err != nil {
		return nil, nil, err
	}
	j, wrong := job.Parse(name, text, open)
	return &j, open, wrong.Err()
}

// Job is a scene as a person would hold it: the house from the truth, the scene's own
// marks, the sun by its time, and some schemes.
func (s *Scene) Job(schemes string) (*job.Job, job.Open, error) {
	open := func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(s.dir, name)) }
	text, err := s.document(schemes, 1)
	if err != nil {
		return nil, nil, err
	}
	j, wrong := job.Parse(s.Name, text, open)
	return &j, open, wrong.Err()
}

// strokes are what a person would draw over the scene's photo, most of them over what
// stands in front, in pixels of that photo blown up k times.
func (s *Scene) strokes(k float64) (out []any) {
	draw := func(kind string, width float64, points [][2]float64) {
		for i, at := range points {
			points[i] = [2]float64{k * at[0], k * at[1]}
		}
		out = append(out, map[string]any{"kind": kind, "width_px": width * k, "points": points})
	}
	front := map[string][][][2]float64{
		"alder": {{{1482, 470}, {1482, 640}, {1486, 830}}, {{1482, 470}, {1494, 440}}, {{560, 568}, {560, 596}}},
		"birch": {{{1191, 480}, {1194, 600}, {1196, 820}}, {{918, 465}, {945, 505}, {955, 520}}, {{955, 520}, {958, 700}, {957, 845}},
			{{634, 600}, {644, 622}}, {{1344, 590}, {1344, 640}, {1347, 670}}, {{1188, 484}, {1156, 430}, {1120, 368}}, {{1186, 470}, {1167, 418}, {1154, 368}, {1147, 335}},
			{{1192, 470}, {1191, 346}}, {{1204, 455}, {1216, 383}}, {{1207, 455}, {1241, 380}, {1254, 350}}, {{1202, 480}, {1241, 433}, {1275, 388}}, {{1216, 782}, {1240, 765}, {1290, 782}}},
	}[s.Name]
	for _, points := range front {
		draw("front", 6, points)
	}
	if s.Name == "alder" { // a board that the lawn lights
		draw("wall", 10, [][2]float64{{1070, 797}, {1150, 799}})
	}
	return out
}

// document is such a job's file, the photo blown up k times.
func (s *Scene) document(schemes string, k float64) ([]byte, error) {
	marks, err := s.marks(k)
	if err != nil {
		return nil, err
	}
	var walls []map[string]any
	for i, w := range s.Truth.Walls {
		walls = append(walls, s.wallOf(w, s.Truth.Light.Bearing-90*float64(i)))
	}
	return json.Marshal(map[string]any{
		"format": "coilwright/job@1", "title": s.Name + " (a scene of our own)",
		"house": map[string]any{"walls": walls, "photos": []any{map[string]any{
			"id": "front", "file": "before.jpg", "marks": marks,
			"sun": map[string]any{"azimuth_deg": s.Truth.Light.Azimuth, "elevation_deg": s.Truth.Light.Elevation}, "strokes": s.strokes(k),
		}}},
		"schemes": json.RawMessage(schemes), "shop": map[string]any{"use": "demo"},
	})
}

// marks are the scene's own, its photo blown up k times.
func (s *Scene) marks(k float64) (map[string]any, error) {
	text, err := os.ReadFile(filepath.Join(s.dir, "marks.json"))
	if err != nil {
		return nil, err
	}
	var out map[string]any
	var of struct {
		Photo struct {
			Focal float64 `json:"focal_px"`
		}
		Points map[string][2]float64
	}
	if err := errors.Join(json.Unmarshal(text, &out), json.Unmarshal(text, &of)); err != nil {
		return nil, err
	}
	for id, at := range of.Points {
		of.Points[id] = [2]float64{k * at[0], k * at[1]}
	}
	out["points"] = of.Points
	out["photo"].(map[string]any)["focal_px"] = k * of.Photo.Focal
	return out, nil
}

// wallOf is a wall of the truth in the job's words.
func (s *Scene) wallOf(w Wall, faces float64) map[string]any {
	inches := func(v float64) string { return fmt.Sprintf("%.4f in", v) }
	var ring [][2]string
	for _, p := range w.Outline {
		ring = append(ring, [2]string{inches(p[0]), inches(p[1])})
	}
	var openings []any
	for _, o := range w.Openings {
		openings = append(openings, map[string]any{"id": o.ID, "kind": "window",
			"at": [2]string{inches(o.Rect.X), inches(o.Rect.Y)}, "size": [2]string{inches(o.Rect.W), inches(o.Rect.H)}})
	}
	depth := s.Truth.House.Eave
	if len(w.Outline) > 4 {
		depth = s.Truth.House.Rake
	}
	return map[string]any{"id": w.ID, "outline": ring, "edges": w.Edges, "openings": openings, "faces_deg": faces, "overhang": inches(depth)}
}
