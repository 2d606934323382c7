package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestExitCodes holds the contract: 0 done, 1 the job is wrong, 2 the line is.
func TestExitCodes(t *testing.T) {
	broken := filepath.Join(t.TempDir(), "broken.json")
	if err := os.WriteFile(broken, []byte("{"), 0o666); err != nil {
		t.Fatal(err)
	}
	const demo = "../../examples/alder.json"
	for _, c := range []struct {
		line string
		want int
	}{
		{"version", done},
		{"--help", done},
		{"schema", done},
		{"check --help", done},
		{"check " + broken, jobWrong},
		{"check " + broken + " --json", jobWrong},
		{"check " + broken + ".gone", jobWrong},
		{"check " + demo, done},
		{"layout " + demo + " --scheme A", done},
		{"run " + demo + " --scheme A --json", done},
		{"layout " + broken, jobWrong},
		{"run " + broken + " --scheme A", jobWrong},
		{"sheets " + demo + " --scheme A --out " + broken, jobWrong},
		{"layout " + demo, lineWrong}, // it has several schemes
		{"layout " + demo + " --scheme Z", lineWrong},
		{"sheets " + demo + " --scheme A", lineWrong},
		{"", lineWrong},
		{"check", lineWrong},
		{"check a b", lineWrong},
		{"check --jsno a", lineWrong},
		{"chekc", lineWrong},
	} {
		var out, err bytes.Buffer
		if got := run(strings.Fields(c.line), nil, &out, &err); got != c.want {
			t.Errorf("coilwright %s: exit %d, want %d\n%s%s", c.line, got, c.want, &out, &err)
		}
	}
}
