package picture

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coilwright/colour"
)

// TestBounce judges what a side sends on to the cladding beside it by rays: the share of
// the half space, weighed by cosine, whose rays meet a strip of the side's height.
func TestBounce(t *testing.T) {
	d := Prepare(shot(400, 300, 260, 0.9)).light[0]
	at := XY{100, 20}
	plain := d.plain(at.X, at.Y)
	rapid.Check(t, func(t *rapid.T) {
		far := rapid.Float64Range(0.05, 3).Draw(t, "far")
		high := rapid.Float64Range(0.1, 1.5).Draw(t, "high")
		var seen, all float64
		const n = 120
		for i := range n {
			for j := range n {
				// Malley's way: an even raster of the disc is weighed by cosine.
				x, y := (float64(i)+0.5)/n*2-1, (float64(j)+0.5)/n*2-1
				if r := x*x + y*y; r < 1 {
					all++
					if x < 0 && math.Sqrt(1-r)*far < -x*high {
						seen++
					}
				}
			}
		}
		x := sidePixel{edge: &sideEdge{into: XY{1, 0}}, in: float32(far), wide: 0.01,
			lamp: sideLamp{plain: [3]float32{float32(plain[0]), float32(plain[1]), float32(plain[2])}}}
		var light [3]float32
		x.bounce(d, d.wall.Standoff-high, 1, colour.Linear{0.5, 0.5, 0.5}, 0, plain.Scale(3), &light)
		if got, want := float64(light[1])/plain[1], seen/all; math.Abs(got-want) > 0.01 {
			t.Errorf("%.2f in off a side %.2f in high: %.4f of its light, by rays %.4f", far, high, got, want)
		}
	})
}

// TestMirroredSide judges the share of a side in a dull mirror by rays: mirrored sights,
// spread by cos^8 around the true one within the cross-section, that meet the side.
func TestMirroredSide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		far := rapid.Float64Range(0.05, 3).Draw(t, "far")
		high := rapid.Float64Range(0.1, 1.5).Draw(t, "high")
		slant := rapid.Float64Range(0.1, 4).Draw(t, "slant")
		ray := math.Atan(1 / slant)
		var met, all float64
		const n = 2000
		for i := range n {
			angle := (float64(i) + 0.5) / n * math.Pi // over the wall, from the side up
			w := math.Pow(max(0, math.Cos(angle-ray)), 8)
			all += w
			if math.Tan(angle)*far < high && angle < math.Pi/2 {
				met += w
			}
		}
		x := sidePixel{edge: &sideEdge{into: XY{1, 0}}, slant: float32(slant)}
		if got := x.mirrored(far, high); math.Abs(got-met/all) > 0.04 {
			t.Errorf("%.2f in off a side %.2f in high, slant %.2f: %.3f of the mirror image, by rays %.3f", far, high, slant, got, met/all)
		}
	})
}

// TestSamePaintAgain paints a wall as it was: what the photo shows beside a window that
// stands out of it stays, where the window's side is seen too.
func TestSamePaintAgain(t *testing.T) {
	p, _ := sided(0.5, 0)
	ready := Prepare(p)
	again, err := ready.Render([]Dressing{{{Region: p.Walls[0].Field, Face: p.Old.Face, Finish: Finish{Colour: p.Old.Colour, Roughness: 0.5}}}})
	if err != nil {
		t.Fatal(err)
	}
	sum, n := 0.0, 0
	for i := range ready.strips {
		s := &ready.strips[i]
		for _, x := range s.sides {
			at := again.PixOffset(s.left+int(x.pixel), int(s.stretches[x.stretch].row))
			if x.old == 1 {
				continue
			}
			sum, n = sum+math.Abs(float64(again.Pix[at+1])-float64(p.Image.Pix[at+1])), n+1
		}
	}
	t.Logf("%d pixels of the side, off by %.1f levels", n, sum/float64(n))
	if n < 50 || sum/float64(n) > 8 {
		t.Errorf("%d pixels beside the window are off by %.1f levels in the mean", n, sum/float64(n))
	}
}

// A dull mirror's lobe is the normal distribution's, by the standard library.
func TestDullness(t *testing.T) {
	for angle := -math.Pi / 2; angle <= math.Pi/2; angle += 0.001 {
		want := 0.5 * math.Erfc(-angle/0.35/math.Sqrt2)
		if got := dull.below(angle); math.Abs(got-want) > 1e-4 {
			t.Fatalf("%g below %g, want %g", got, angle, want)
		}
	}
}
