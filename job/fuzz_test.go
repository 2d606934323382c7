package job_test

import (
	"io/fs"
	"testing"

	"coilwright/examples"
	"coilwright/job"
)

// No text makes the reader panic, and a job that has no errors keeps its promises.
func FuzzParse(f *testing.F) {
	all, err := fs.Glob(examples.Files, "*.json")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range all {
		data, _ := examples.Files.ReadFile(name)
		f.Add(data)
	}
	f.Add([]byte(good))
	f.Add([]byte(bare))
	f.Fuzz(func(t *testing.T, data []byte) {
		j, found := job.Parse("fuzz.json", data, func(string) ([]byte, error) { return data, nil })
		if found.Fatal() {
			return
		}
		for _, w := range j.House.Walls {
			if len(w.Outline) < 3 || len(w.Edges) != len(w.Outline) || len(w.Readings) != len(w.Outline) || len(w.Overhang) != len(w.Edges) {
				t.Errorf("wall %q: %d corners, %d edges", w.ID, len(w.Outline), len(w.Edges))
			}
			for _, o := range w.Openings {
				if len(o.Outline) < 3 || len(o.Readings) != len(o.Outline) {
					t.Errorf("opening %q has %d corners", o.ID, len(o.Outline))
				}
			}
		}
		for _, s := range j.Schemes {
			for _, z := range s.Zones {
				if _, ok := j.Book.Panel(z.Panel); !ok {
					t.Errorf("panel %q is not in the book", z.Panel)
				}
			}
		}
	})
}
