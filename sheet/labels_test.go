package sheet_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"coilwright/sheet"
	"coilwright/site"
)

// TestLabelsAreReadBack: every code of the printed pages, drawn by poppler at 200
// dots an inch, fewer than any office printer's, is read back by zbar (ISO/IEC 18004).
func TestLabelsAreReadBack(t *testing.T) {
	for _, tool := range []string{"pdftoppm", "zbarimg"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s is not here: %v", tool, err)
		}
	}
	var labels []site.Label
	var want []string
	for i := range 15 {
		code := site.CodeText("k3jq7zt5bpxw2m4a", fmt.Sprintf("abcdefgh%c%c77", 'a'+i, 'z'-i))
		want = append(want, code)
		labels = append(labels, site.Label{Code: code, Lines: []string{fmt.Sprintf("1-%d", i), `38' 11 15/16"`, "the-longest-name-of-a-wall · course 11 · field", "dutch-double-5 grain slate", "31.1 lb, 3 to carry"}})
	}
	for _, metric := range []bool{false, true} {
		pdf, err := sheet.Labels("Alder Row 7 (invented)", time.Date(2026, 5, 4, 0, 0, 0, 0, time.UTC), metric, labels)
		if err != nil {
			t.Fatal(err)
		}
		if got := codesOf(t, pdf); !slices.Equal(got, want) {
			t.Errorf("metric %t: read back %d of %d codes: %v", metric, len(got), len(want), got)
		}
	}
}

// codesOf draws a PDF's pages and reads their codes, sorted.
func codesOf(t *testing.T, pdf []byte) []string {
	t.Helper()
	dir := t.TempDir()
	file := filepath.Join(dir, "labels.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-r", "200", "-gray", "-png", file, filepath.Join(dir, "page")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	pages, _ := filepath.Glob(filepath.Join(dir, "page*.png"))
	out, err := exec.Command("zbarimg", append([]string{"--quiet", "--raw", "-Sdisable", "-Sqrcode.enable"}, pages...)...).Output()
	if err != nil {
		t.Fatalf("zbarimg: %v", err)
	}
	got := strings.Fields(string(out))
	slices.Sort(got)
	return got
}
