package sheet_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"coilwright/sheet"
)

func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

func TestWriteIsWholeOrNotAtAll(t *testing.T) {
	dir := t.TempDir()
	out := filepath.Join(dir, "a", "b")
	two := []sheet.File{{Name: "one.txt", Bytes: []byte("1")}, {Name: "two.txt", Bytes: []byte("2")}}
	paths, err := sheet.Write(out, two)
	if err != nil || len(paths) != 2 || len(names(t, out)) != 2 {
		t.Fatal(paths, err)
	}
	two[0].Bytes = []byte("new")
	if _, err := sheet.Write(out, two); err != nil {
		t.Fatal(err)
	}
	if b, _ := os.ReadFile(paths[0]); string(b) != "new" {
		t.Errorf("a second writing left %q", b)
	}
	// A folder stands where the second file should go: the first is put back.
	blocked := filepath.Join(dir, "blocked")
	if err := os.MkdirAll(filepath.Join(blocked, "two.txt"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(blocked, "one.txt"), []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := sheet.Write(blocked, two); !errors.Is(err, sheet.ErrFolder) {
		t.Errorf("error %v", err)
	}
	if b, _ := os.ReadFile(filepath.Join(blocked, "one.txt")); string(b) != "old" || len(names(t, blocked)) != 2 {
		t.Errorf("a failed writing left %q in %v", b, names(t, blocked))
	}
}

func TestWriteIntoWhatIsNoFolder(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, to := range []string{file, filepath.Join(file, "below"), "/proc/no/such"} {
		if _, err := sheet.Write(to, []sheet.File{{Name: "x"}}); !errors.Is(err, sheet.ErrFolder) {
			t.Errorf("%s: %v", to, err)
		}
	}
	fresh := filepath.Join(dir, "fresh")
	if _, err := sheet.Write(fresh, []sheet.File{{Name: "../escape"}}); !errors.Is(err, sheet.ErrFolder) {
		t.Errorf("a name with a way out: %v", err)
	}
	if _, err := os.Stat(fresh); !os.IsNotExist(err) {
		t.Error("a folder was left behind")
	}
}
