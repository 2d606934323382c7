package job_test

import (
	"io/fs"
	"testing"

	"coilwright/examples"
	"coilwright/job"
)

// read reads an example, which must have no findings at all.
func read(t *testing.T, name string) job.Job {
	t.Helper()
	data, err := examples.Files.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	j, found := job.Parse(name, data, nil)
	for _, p := range found {
		t.Errorf("%s", p)
	}
	return j
}

func TestExamplesRead(t *testing.T) {
	all, err := fs.Glob(examples.Files, "*.json")
	if err != nil || len(all) == 0 {
		t.Fatal("no examples", err)
	}
	for _, name := range all {
		t.Run(name, func(t *testing.T) {
			if j := read(t, name); len(j.House.Walls) == 0 || len(j.Schemes) == 0 || j.Title == "" {
				t.Errorf("walls %d, schemes %d, title %q", len(j.House.Walls), len(j.Schemes), j.Title)
			}
		})
	}
}
