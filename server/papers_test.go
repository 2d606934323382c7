package server

import "testing"

// A wall's file is called by the wall, and by its part only where it has several.
func TestPaperTitle(t *testing.T) {
	for name, want := range map[string]string{
		"run-sheet.pdf": "Run sheet", "wall-01-south.pdf": "Wall south", "wall-01-south-part1.svg": "Wall south, part 2", "wall-01-part1.svg": "Wall, part 2",
		"wall-02-party.svg": "Wall party", "wall-02-partition-part2.svg": "Wall partition, part 3", "parts.csv": "Parts",
	} {
		if got := paperTitle(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}
