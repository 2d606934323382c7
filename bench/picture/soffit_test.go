package picture

import (
	"testing"

	"coilwright/picture"
)

// TestSoffits holds what new siding does to the light of the soffits over it, whose paint
// stays, to the truth: they come nearer to it than the photo's own.
func TestSoffits(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		s := load(t, name)
		p := picture.Prepare(s.Photo())
		for id, after := range s.After {
			painted, err := p.Render(s.Dress(id))
			if err != nil {
				t.Fatal(err)
			}
			var n, off, left float64
			for i, v := range painted.Pix {
				if was := s.Before.Pix[i]; s.Soft.Pix[i/4] == 0 && v != was { // no cladding, and yet changed
					a, b := float64(v)-float64(after.Pix[i]), float64(was)-float64(after.Pix[i])
					n, off, left = n+1, off+max(a, -a), left+max(b, -b)
				}
			}
			t.Logf("%s %s: soffits off by %.2f levels, left as they were by %.2f", name, id, off/n, left/n)
			if n < 20_000 || off > 0.95*left {
				t.Errorf("%s %s: %.0f values of soffits are off by %.2f levels, left as they were by %.2f", name, id, n, off/n, left/n)
			}
		}
	}
}
