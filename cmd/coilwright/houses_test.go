package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "rewrite what the stories and houses expect; read the difference")

// TestHouses holds the whole layout of three invented houses, with the warnings
// that a person sees: whoever changes a length sees it here, piece by piece.
func TestHouses(t *testing.T) {
	for _, name := range []string{"ranch", "cross-gable", "townhouses"} {
		var got bytes.Buffer
		code := run([]string{"layout", filepath.Join("../../examples", name+".json"), "--scheme", "A"}, nil, &got, &got)
		if code != done {
			t.Errorf("%s: exit %d\n%s", name, code, &got)
			continue
		}
		file := filepath.Join("testdata", "houses", name+".txt")
		if *update {
			if err := os.WriteFile(file, got.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if place := firstDifference(got.Bytes(), want); place >= 0 {
			t.Errorf("%s differs from line %d on; \"go test ./cmd/coilwright -update\" rewrites it", file, place)
		}
	}
}

// firstDifference gives the number of the first line that differs, -1 for none.
func firstDifference(got, want []byte) int {
	a, b := bytes.Split(got, []byte("\n")), bytes.Split(want, []byte("\n"))
	for i := range max(len(a), len(b)) {
		if i >= len(a) || i >= len(b) || !bytes.Equal(a[i], b[i]) {
			return i + 1
		}
	}
	return -1
}
