package picture

import (
	"encoding/json"
	"errors"
	"math"
	"testing"

	"coilwright/job"
	"coilwright/opendata"
	"coilwright/photo"
)

// TestMarkedWalls holds the marks of the real photos to the houses of their jobs: each wall
// comes out of the photo within a twentieth of its width as the job has it, so that what is
// painted lies where the wall is seen.
func TestMarkedWalls(t *testing.T) {
	for _, name := range Marked {
		j, open, err := MarkedJob(name)
		if errors.Is(err, opendata.ErrAbsent) {
			t.Skip(err)
		}
		if err != nil {
			t.Fatal(err)
		}
		var entry struct{ Marks json.RawMessage }
		if err := json.Unmarshal(j.Photos[0].Raw, &entry); err != nil {
			t.Fatal(err)
		}
		marks, wrong := job.ParseMarks(name, entry.Marks, open)
		if err := wrong.Err(); err != nil {
			t.Fatal(err)
		}
		s, err := photo.Solve(marks)
		if err != nil {
			t.Fatal(err)
		}
		for i, w := range j.House.Walls {
			wide := w.Outline[1].X.Inches()
			for k, p := range w.Outline {
				seen := s.Walls[i].Corners[k]
				if off := math.Hypot(seen[0].Value-p.X.Inches(), seen[1].Value-p.Y.Inches()); off > wide/20 {
					t.Errorf("%s, wall %s: corner %d comes out %.1f in off", name, w.ID, k, off)
				}
			}
		}
	}
}
