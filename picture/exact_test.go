package picture_test

import (
	"errors"
	"image"
	"testing"

	bench "coilwright/bench/picture"
	"coilwright/opendata"
	"coilwright/picture"
)

// The quick ways of painting a stretch give what the slow one gives, to one level.
func TestQuickIsExact(t *testing.T) {
	for name, schemes := range map[string][]string{"alder": {"dutch5", "lap4"}, "birch": {"dutch5", "lap4", "vert12_dutch5"}} {
		s, err := bench.Load(name)
		if errors.Is(err, opendata.ErrAbsent) {
			t.Skipf("%v", err)
		}
		if err != nil {
			t.Fatal(err)
		}
		ready := picture.Prepare(s.Photo())
		for _, id := range schemes {
			dress := s.Dress(id)
			quick, err := ready.Render(dress)
			if err != nil {
				t.Fatal(err)
			}
			off, n := levels(quick, ready.RenderExactly(dress))
			more := 0
			for _, count := range off[2:] {
				more += count
			}
			t.Logf("%s %s: of %d pixels %d are a level off and %d more", name, id, n, off[1], more)
			if n < 200_000 || more > 0 {
				t.Errorf("%s %s: of %d pixels %d are more than a level off", name, id, n, more)
			}
		}
	}
}

// levels counts the opaque pixels of exact by how far another picture is off there, in
// the channel that is off most.
func levels(quick, exact *image.RGBA) (off [256]int, n int) {
	for i := 0; i < len(exact.Pix); i += 4 {
		if exact.Pix[i+3] == 0 {
			continue
		}
		n++
		most := 0
		for c := range 3 {
			d := int(quick.Pix[i+c]) - int(exact.Pix[i+c])
			most = max(most, d, -d)
		}
		off[most]++
	}
	return off, n
}
