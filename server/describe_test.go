package server_test

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"coilwright/server"
)

var update = flag.Bool("update", false, "rewrite openapi.json; read the difference")

// described is the API's description, which the page's types are made from.
func described(t testing.TB) []byte {
	t.Helper()
	text, err := server.Description("")
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// TestDescription holds openapi.json to the code.
func TestDescription(t *testing.T) {
	text := described(t)
	if *update {
		if err := os.WriteFile("openapi.json", text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("openapi.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(text, want) {
		t.Error(`openapi.json is not what the code says; "go test ./server -update" rewrites it`)
	}
}

// TestLint holds the description to the strict rules of an independent linter
// (@redocly/openapi-core).
func TestLint(t *testing.T) {
	dir, err := filepath.Abs("../.ci/openapi")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules")); err != nil {
		t.Skip("the linter is not installed (make tools installs it, which needs npm)")
	}
	x := exec.Command("node", "lint.mjs")
	x.Dir, x.Stdin = dir, bytes.NewReader(described(t))
	if out, err := x.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
