package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"coilwright/job"
)

// The README's table of the demo against box siding holds the figures that the
// command beside it gives.
func TestReadmeComparison(t *testing.T) {
	var out, err bytes.Buffer
	if code := run([]string{"compare", "../../examples/alder.json", "--scheme", "A", "--json"}, nil, &out, &err); code != done {
		t.Fatalf("exit %d\n%s", code, &err)
	}
	var a job.CompareAnswer
	if err := json.Unmarshal(out.Bytes(), &a); err != nil {
		t.Fatal(err)
	}
	readme, e := os.ReadFile("../../README.md")
	if e != nil {
		t.Fatal(e)
	}
	rows := []string{fmt.Sprintf("| formed from coil | %.0f ft of coil | %d | %d | %.1f | %.1f | |", a.Formed.CoilFt, a.Formed.Pieces, a.Formed.Joints,
		a.Formed.WasteFt2, a.Formed.WastePct)}
	for _, b := range a.Box {
		rows = append(rows, fmt.Sprintf("| box, %g ft | %d sections | %d | %d | %.1f | %.1f | %d |", b.SectionFt, b.Sections, b.Pieces, b.Joints,
			b.WasteFt2, b.WastePct, b.BoundSections))
	}
	for _, row := range rows {
		if !strings.Contains(string(readme), row) {
			t.Errorf("the README lacks %q", row)
		}
	}
}
