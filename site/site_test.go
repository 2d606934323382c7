package site_test

import (
	"testing"

	"coilwright/job"
	"coilwright/site"
)

// packed is a pack of an example's scheme, and what it was made of.
func packed(t testing.TB, text []byte, scheme string) (site.Pack, *job.Job, *job.RunResult) {
	t.Helper()
	j, found := job.Parse("job", text, nil)
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	r, err := j.RunWithin(scheme, 1)
	if err != nil {
		t.Fatal(err)
	}
	p, err := site.Of("k3jq7zt5bpxw2m4a", 3, &j, r)
	if err != nil {
		t.Fatal(err)
	}
	return p, &j, r
}
