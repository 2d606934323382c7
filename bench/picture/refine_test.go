package picture

import (
	"testing"

	"coilwright/mask"
	"coilwright/picture"
)

// BenchmarkStrokes refines a preview's mask by three strokes.
func BenchmarkStrokes(b *testing.B) {
	s := load(b, "birch")
	p := s.Photo()
	p.Mask = nil
	field := asked(s.Before.Rect, fieldOf(&p))
	guess := picture.GuessMask(&p)
	var strokes []mask.Stroke
	for _, at := range [][4]float64{{1180, 460, 1190, 800}, {640, 610, 900, 630}, {1100, 420, 1240, 400}} {
		strokes = append(strokes, mask.Stroke{Front: at[0] == 1180, Width: 6, Points: []mask.Point{{U: at[0], V: at[1]}, {U: at[2], V: at[3]}}})
	}
	for b.Loop() {
		if _, err := mask.Refine(s.Before, guess, field, strokes); err != nil {
			b.Fatal(err)
		}
	}
}
