package main

import (
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// TestReadme follows the README: its commands are ones that the program knows, its drawing
// is what sheets draws of the demo job but for the date. -update draws it anew.
func TestReadme(t *testing.T) {
	page, err := filepath.Abs("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	t.Chdir(t.TempDir())
	for _, line := range []string{"demo", "sheets demo.json --scheme A --out papers"} {
		var said strings.Builder
		if code := run(strings.Fields(line), strings.NewReader(""), io.Discard, &said); code != done {
			t.Fatalf("coilwright %s: %d\n%s", line, code, &said)
		}
	}
	t.Run("commands", func(t *testing.T) { readmeCommands(t, text) })
	t.Run("drawing", func(t *testing.T) {
		readmeDrawing(t, filepath.Join(filepath.Dir(page), "docs/wall-south.svg"), "papers/wall-01-south.svg")
	})
}

func readmeCommands(t *testing.T, text string) {
	parser := kong.Must(&app{}, kong.Writers(io.Discard, io.Discard), kong.Exit(func(int) {}))
	var known []string
	for _, c := range parser.Model.Children {
		known = append(known, c.Name)
	}
	n := 0
	for line := range strings.Lines(text) {
		if rest, ok := strings.CutPrefix(line, "coilwright "); ok { // in a block of its own
			n++
			args, _, _ := strings.Cut(rest, "#")
			if _, err := parser.Parse(strings.Fields(args)); err != nil {
				t.Errorf("coilwright %s: %v", args, err)
			}
		}
	}
	for _, m := range regexp.MustCompile("`coilwright ([a-z]+)").FindAllStringSubmatch(text, -1) {
		if n++; !slices.Contains(known, m[1]) {
			t.Errorf("there is no command %s", m[1])
		}
	}
	if n < 12 {
		t.Errorf("only %d commands were found", n)
	}
}

func readmeDrawing(t *testing.T, kept, drawn string) {
	day := regexp.MustCompile(`>\d{4}-\d\d-\d\d<`)
	var texts [2]string
	for i, name := range [2]string{kept, drawn} {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		texts[i] = string(data)
	}
	if n := len(day.FindAllString(texts[1], -1)); n != 1 {
		t.Errorf("%s has %d dates", drawn, n)
	}
	if day.ReplaceAllString(texts[0], "") == day.ReplaceAllString(texts[1], "") {
		return
	}
	if !*update {
		t.Fatalf("%s is not what is drawn; \"go test ./cmd/coilwright -run Readme -update\" draws it anew", kept)
	}
	if err := os.WriteFile(kept, []byte(texts[1]), 0o666); err != nil {
		t.Fatal(err)
	}
}
