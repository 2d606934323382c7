package picture

import (
	"slices"
	"testing"

	"coilwright/photo"
)

// Of two walls of one cladding in one light each, the darker lies in the shade where it is
// darker than the sun's slant on it can make it: a tenth as bright, not half; nor where the
// sun cannot reach the brighter one better. A wall that shows sun and shade keeps both.
func TestShadeWhole(t *testing.T) {
	for _, c := range []struct {
		what             string
		slant, light     float64 // of the sun on the second wall, the first's being 0.7; its light beside the first's
		class, wantClass float32
	}{
		{"a tenth as bright", 0.25, 0.1, 1, 0},
		{"half as bright, the sun aslant", 0.25, 0.5, 1, 1},
		{"half as bright, the sun more square on", 0.9, 0.5, 1, 0},
		{"brighter", 0.9, 1.2, 1, 1},
		{"unsure", 0.25, 0.1, -1, -1},
	} {
		var out []*daylight
		var read []*samples
		var classes [][]float32
		for i, light := range []float32{0.8, 0.8 * float32(c.light)} {
			v, n := slices.Repeat([]float32{light}, 9), slices.Repeat([]float32{1}, 9)
			out = append(out, &daylight{towards: photo.Vec{Z: []float64{0.7, c.slant}[i]}})
			read = append(read, &samples{n: n, value: [3][]float32{v, v, v}})
			classes = append(classes, slices.Repeat([]float32{[]float32{1, c.class}[i]}, 9))
		}
		shadeWhole(out, read, classes)
		if classes[0][4] != 1 && c.light < 1 || classes[1][4] != c.wantClass {
			t.Errorf("%s: classes %v and %v, want %v", c.what, classes[0][4], classes[1][4], c.wantClass)
		}
		classes[1][0] = 0
		for i := 1; i < 9; i++ {
			classes[1][i] = 1
		}
		if shadeWhole(out, read, classes); classes[1][4] != 1 {
			t.Errorf("%s: a wall that shows some shade is put into the shade", c.what)
		}
	}
}
