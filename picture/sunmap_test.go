package picture

import (
	"testing"

	"pgregory.net/rapid"

	"coilwright/photo"
)

// Where pixels are said to lie in the sun or in the shade, samples at any depth say so
// too; and where all samples do, it is mostly said.
func TestSunMap(t *testing.T) {
	p := shot(320, 240, 260, 0.5)
	p.Sun = photo.Vec{X: 0.6, Y: -1, Z: 1.2}
	ready := Prepare(p)
	d := ready.light[0]
	rapid.Check(t, func(t *rapid.T) {
		clear(d.shine)
		for range rapid.IntRange(1, 12).Draw(t, "patches") {
			i, j := rapid.IntRange(0, d.cells.w-1).Draw(t, "across"), rapid.IntRange(0, d.cells.h-1).Draw(t, "up")
			r, v := rapid.IntRange(1, 40).Draw(t, "wide"), rapid.Float32Range(0, 2).Draw(t, "bright")
			for y := max(0, j-r); y < min(d.cells.h, j+r); y++ {
				for x := max(0, i-r); x < min(d.cells.w, i+r); x++ {
					d.shine[y*d.cells.w+x] = min(1, v)
				}
			}
		}
		m := d.sunMap()
		said, even := 0, 0
		for i := 0; i < len(ready.strips); i += 3 {
			for k := 0; k < len(ready.strips[i].stretches); k += 7 {
				s := ready.strips[i].stretches[k]
				m.light(&s)
				for n := range 4 * depthBands {
					n, band := n/depthBands, n%depthBands
					q := s.quarter[n].at(1 << band)
					low, high := d.samples(&s, max(int(s.from), 8*n), min(int(s.to), 8*n+8), band)
					if q == shade && high > noSun || q == bright && low < allSun {
						t.Fatalf("quarter %d of row %d is said to be %d at band %d, shares go from %.3f to %.3f", n, s.row, q, band, low, high)
					}
					if high <= noSun || low >= allSun {
						even++
						if q != varied {
							said++
						}
					}
				}
			}
		}
		if said*10 < even*7 {
			t.Errorf("%d of %d even quarters are said to be so", said, even)
		}
	})
}

// samples are the least and the most share of the sun over pixels of a stretch, at all
// depths of a band.
func (d *daylight) samples(s *stretch, from, to, band int) (low, high float64) {
	low, high = 1, 0
	for k := from; k < to; k++ {
		bent := float64(k*(span-k)) - meanBow
		x, y := s.place(float64(k) / span)
		for i := range 5 {
			z := (float64(band) + float64(i)/4) * d.wall.Standoff / depthBands
			across, up := d.drawn(x, y, anchor, z)
			v := d.cells.sample(d.shine, x+bent*float64(s.bow[0])+across, y+bent*float64(s.bow[1])+up)
			low, high = min(low, v), max(high, v)
		}
	}
	return low, high
}
