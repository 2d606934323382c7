package picture

import (
	"image"
	"slices"
	"testing"

	"coilwright/mask"
)

// A pipe of 12 pixels with a bracket and a patch of wall beside it that the stroke took
// along: the bracket stays, the patch becomes wall again, but for what somebody drew over
// and what has another colour. A pole with a long arm loses nothing, mirrored or not.
func TestTrimBulges(t *testing.T) {
	for _, mirrored := range []bool{false, true} {
		covered, seen := even(600, 400, 255), even(600, 400, 255)
		held := make([]bool, 600*400)
		x := func(u int) int {
			if mirrored {
				return 599 - u
			}
			return u
		}
		fill := func(m *image.Gray, r image.Rectangle, v uint8) {
			for y := r.Min.Y; y < r.Max.Y; y++ {
				for u := r.Min.X; u < r.Max.X; u++ {
					m.Pix[y*600+x(u)] = v
				}
			}
		}
		fill(covered, image.Rect(294, 50, 306, 350), 0)  // the pipe
		fill(covered, image.Rect(290, 100, 310, 106), 0) // its bracket
		fill(covered, image.Rect(306, 200, 322, 212), 0) // wall
		fill(seen, image.Rect(318, 204, 322, 208), 0)    // in which something has another colour
		fill(covered, image.Rect(94, 50, 106, 350), 0)   // a pole
		fill(covered, image.Rect(106, 120, 122, 200), 0) // with a broad arm
		held[210*600+x(320)] = true
		pole := func(u float64) mask.Stroke {
			if mirrored {
				u = 600 - u
			}
			return mask.Stroke{Front: true, Width: 3, Points: []mask.Point{{U: u, V: 55}, {U: u, V: 345}}}
		}
		trimBulges(covered, seen, []mask.Stroke{pole(300), pole(100)}, held)
		for _, c := range []struct {
			what string
			u, v int
			want uint8
		}{{"pipe", 305, 205, 0}, {"bracket", 309, 103, 0}, {"wall", 312, 206, 255}, {"another colour", 320, 206, 0}, {"drawn over", 320, 210, 0}, {"arm", 120, 160, 0}} {
			if got := covered.Pix[c.v*600+x(c.u)]; got != c.want {
				t.Errorf("mirrored %v: %s is %d, want %d", mirrored, c.what, got, c.want)
			}
		}
	}
}

func even(w, h int, v uint8) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = v
	}
	return m
}

// What strokes only thinned is wall again where it was wall; what they took, what was no
// wall before and what somebody drew over stay as they are.
func TestGiveBack(t *testing.T) {
	covered, seen := image.NewGray(image.Rect(0, 0, 5, 1)), image.NewGray(image.Rect(0, 0, 5, 1))
	copy(covered.Pix, []uint8{140, 100, 200, 128, 255})
	copy(seen.Pix, []uint8{255, 255, 180, 250, 240})
	giveBack(covered, seen, []bool{false, false, false, true, false})
	if want := []uint8{255, 100, 200, 128, 255}; !slices.Equal(covered.Pix, want) {
		t.Errorf("the matte became %v, want %v", covered.Pix, want)
	}
}
