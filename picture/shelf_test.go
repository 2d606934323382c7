package picture

import (
	"bytes"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

// Several schemes painted over and over, some at once, on memory that others used before:
// each picture is the one that a photo made ready for it alone gives.
func TestPaintedAtOnce(t *testing.T) {
	p := shot(320, 240, 260, 0.5)
	field := p.Walls[0].Field
	schemes := [][]Dressing{
		{{{Region: field, Face: dutch, Finish: slate}}},
		{{{Region: field, Face: dutch, Finish: slate, Vertical: true}}},
		{{{Region: []Ring{{{0, 0}, {120, 0}, {120, 30}, {0, 30}}}, Face: Flat(0.5), Finish: slate}, {Region: field, Face: Bevel(4, 0.5, 0.05), Finish: slate, Grain: true}}},
	}
	want := make([][]byte, len(schemes))
	for k, d := range schemes {
		im, err := Prepare(p).Render(d)
		if err != nil {
			t.Fatal(err)
		}
		want[k] = im.Pix
	}
	ready := Prepare(p)
	for range 3 {
		var wait sync.WaitGroup
		for k := range 2 * len(schemes) {
			k %= len(schemes)
			wait.Go(func() {
				if im, err := ready.Render(schemes[k]); err != nil || !bytes.Equal(im.Pix, want[k]) {
					t.Errorf("scheme %d is painted otherwise beside others (%v)", k, err)
				}
			})
		}
		wait.Wait()
	}
}

// What a shelf gives is as long as asked for and nobody else's.
func TestShelf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s shelfOf[int]
		for range rapid.IntRange(1, 4).Draw(t, "paintings") {
			var all [][]int
			for n := range rapid.IntRange(0, 9).Draw(t, "slices") {
				a := s.take(rapid.IntRange(0, 20).Draw(t, "long"))
				for i := range a {
					a[i] = n
				}
				all = append(all, a)
			}
			for n, a := range all {
				if cap(a) != len(a) {
					t.Fatalf("slice %d could grow into another", n)
				}
				for _, v := range a {
					if v != n {
						t.Fatalf("slice %d holds what was written to slice %d", n, v)
					}
				}
			}
			s.clear()
		}
	})
}
