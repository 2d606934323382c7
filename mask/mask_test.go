package mask

import (
	"errors"
	"image"
	"image/color"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// TestWalk judges the walk's solver by gonum's dense solution of the same least sum,
// written out edge by edge.
func TestWalk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newWalk(shape{rapid.IntRange(1, 40).Draw(t, "width"), rapid.IntRange(1, 30).Draw(t, "height")})
		draw := func(what string) float32 { return float32(math.Exp(rapid.Float64Range(-7, 0).Draw(t, what))) }
		seed, n := rapid.Uint64().Draw(t, "seed"), s.w*s.h
		next := func() float64 { // a short stream of numbers: drawing each is slow
			seed = seed*6364136223846793005 + 1442695040888963407
			return float64(seed>>11) / (1 << 53)
		}
		patience := draw("patience")
		for k := range n {
			s.patience[k] = patience
			if k%s.w+1 < s.w {
				s.right[k] = float32(math.Exp(-7 * next()))
			}
			if k/s.w+1 < s.h {
				s.below[k] = float32(math.Exp(-7 * next()))
			}
			if next() < 0.02 {
				s.fixed[k], s.x[k] = true, float32(2*next()-1)
			}
		}
		want := dense(s)
		s.solve()
		for k, v := range s.x {
			if math.Abs(float64(v)-want.AtVec(k)) > 0.02 {
				t.Fatalf("cell %d of %v: %v, dense %v", k, s.shape, v, want.AtVec(k))
			}
		}
	})
}

// dense solves the walk by a full matrix.
func dense(s *walk) *mat.VecDense {
	n := s.w * s.h
	a, b := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	add := func(i, j int, v float64) { a.Set(i, j, a.At(i, j)+v) }
	for i := range n {
		add(i, i, float64(s.patience[i]))
		if i%s.w+1 < s.w {
			w := float64(s.right[i])
			add(i, i, w)
			add(i+1, i+1, w)
			add(i, i+1, -w)
			add(i+1, i, -w)
		}
		if i+s.w < n {
			w := float64(s.below[i])
			add(i, i, w)
			add(i+s.w, i+s.w, w)
			add(i, i+s.w, -w)
			add(i+s.w, i, -w)
		}
	}
	for i := range n {
		if s.fixed[i] {
			for j := range n {
				a.Set(i, j, 0)
			}
			a.Set(i, i, 1)
			b.SetVec(i, float64(s.x[i]))
		}
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		var near mat.Condition
		if !errors.As(err, &near) {
			panic(err)
		}
	}
	return &x
}

// drawing is a light wall with a dark bush and a line of the bush's colour, half clear.
func drawing() *image.RGBA {
	im := image.NewRGBA(image.Rect(0, 0, 240, 160))
	for y := range 160 {
		for x := range 240 {
			c := color.RGBA{190, 180, 165, 255}
			if math.Hypot(float64(x)-80, float64(y)-90) < 40 {
				c = color.RGBA{40, 80, 35, 255}
			} else if x == 180 {
				c = color.RGBA{115, 130, 100, 255}
			}
			im.SetRGBA(x, y, c)
		}
	}
	return im
}

func stroke(front bool, at ...float64) Stroke {
	s := Stroke{Front: front, Width: 4}
	for i := 0; i < len(at); i += 2 {
		s.Points = append(s.Points, Point{at[i], at[i+1]})
	}
	return s
}

// Two strokes part a bush from a wall, to the pixel at its edge; a thin thing that is
// half clear becomes half.
func TestTwoStrokes(t *testing.T) {
	got, err := Refine(drawing(), nil, nil, []Stroke{stroke(true, 60, 90, 100, 90), stroke(false, 20, 20, 220, 20), stroke(false, 150, 140, 220, 60)})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ x, y, low, high int }{
		{80, 60, 0, 30}, {80, 120, 0, 30}, {80, 52, 0, 60}, {20, 90, 215, 255}, {80, 40, 215, 255}, {140, 90, 215, 255}, {230, 150, 200, 255},
	} {
		if v := int(got.GrayAt(c.x, c.y).Y); v < c.low || v > c.high {
			t.Errorf("(%d, %d): %d, want %d to %d", c.x, c.y, v, c.low, c.high)
		}
	}
}

// TestFront: what strokes say is in front are the pixels whose middle lies within half
// their width of them, but for those that a later stroke says are behind.
func TestFront(t *testing.T) {
	strokes := []Stroke{{Front: true, Width: 3, Points: []Point{{2, 2.5}, {9, 2.5}}}, {Width: 3, Points: []Point{{7.5, 0}, {7.5, 6}}}}
	got := Front(image.Pt(12, 6), strokes)
	for k, is := range got {
		x, y := float64(k%12)+0.5, float64(k/12)+0.5
		off := math.Hypot(x-min(9, max(2, x)), y-2.5)
		if want := off <= 1.5 && math.Abs(x-7.5) > 1.5; is != want {
			t.Errorf("pixel %d, %d: %v, want %v", k%12, k/12, is, want)
		}
	}
}

// A person's matte stays as it is where no stroke is near, and the stroke's word is
// the last; where it is not asked nothing changes.
func TestPriorStays(t *testing.T) {
	im := drawing()
	prior := image.NewGray(im.Rect)
	for i := range prior.Pix {
		prior.Pix[i] = uint8(i % 251)
	}
	same, err := Refine(im, prior, nil, nil)
	if err != nil || string(same.Pix) != string(prior.Pix) {
		t.Errorf("without strokes it changes (%v)", err)
	}
	field := image.NewGray(im.Rect)
	for y := range 160 {
		for x := range 200 {
			field.Pix[y*240+x] = 255
		}
	}
	got, err := Refine(im, prior, field, []Stroke{stroke(true, 60, 90, 100, 90), stroke(false, 70, 90, 75, 90)})
	if err != nil {
		t.Fatal(err)
	}
	if got.GrayAt(65, 90).Y != 0 || got.GrayAt(72, 90).Y != 255 || got.GrayAt(95, 90).Y != 0 {
		t.Error("a stroke is not what it says")
	}
	for y := range 160 {
		for x := 200; x < 240; x++ {
			if got.GrayAt(x, y) != prior.GrayAt(x, y) {
				t.Fatalf("(%d, %d) was not asked about and changed", x, y)
			}
		}
	}
}

// Mirrored photo and strokes, mirrored matte.
func TestMirrored(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		im := image.NewRGBA(image.Rect(0, 0, 48, 32))
		seed := rapid.Uint32().Draw(t, "seed")
		for i := range im.Pix {
			seed = seed*1664525 + 1013904223
			im.Pix[i] = uint8(seed >> 24)
		}
		flipped := image.NewRGBA(im.Rect)
		for y := range 32 {
			for x := range 48 {
				flipped.SetRGBA(47-x, y, im.RGBAAt(x, y))
			}
		}
		at := func(what string) float64 { return float64(rapid.IntRange(-10, 50).Draw(t, what)) }
		var strokes, mirrored []Stroke
		for range rapid.IntRange(1, 4).Draw(t, "strokes") {
			s := stroke(rapid.Bool().Draw(t, "front"), at("u"), at("v"), at("u"), at("v"))
			strokes = append(strokes, s)
			m := s
			m.Points = nil
			for _, p := range s.Points {
				m.Points = append(m.Points, Point{48 - p.U, p.V})
			}
			mirrored = append(mirrored, m)
		}
		grey := image.NewGray(im.Rect)
		for i := range grey.Pix {
			grey.Pix[i] = 128
		}
		a, err := Refine(im, grey, nil, strokes)
		b, err2 := Refine(flipped, grey, nil, mirrored)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		off := 0
		for y := range 32 {
			for x := range 48 {
				if d := int(a.GrayAt(x, y).Y) - int(b.GrayAt(47-x, y).Y); d > 3 || d < -3 {
					off++
				}
			}
		}
		if off > 48 { // a stroke's rim through a pixel's very middle
			t.Fatalf("%d pixels differ", off)
		}
	})
}

// What cannot be drawn is refused by number and name, in no time.
func TestBadStrokes(t *testing.T) {
	im := drawing()
	huge := Stroke{Width: 100}
	for i := range 10_000 {
		huge.Points = append(huge.Points, Point{float64(i % 2 * 240), float64(i / 2 % 2 * 160)})
	}
	for _, s := range []Stroke{{Width: 3}, {Width: 0, Points: []Point{{1, 1}}}, {Width: math.NaN(), Points: []Point{{1, 1}}},
		{Width: 1e9, Points: []Point{{1, 1}}}, {Width: 3, Points: []Point{{math.Inf(1), 0}}}, {Width: 3, Points: []Point{{0, math.NaN()}}}, huge} {
		var bad *StrokeError
		if _, err := Refine(im, nil, nil, []Stroke{stroke(true, 1, 1), s}); !errors.As(err, &bad) || bad.Stroke != 1 {
			t.Errorf("width %v, %d points: %v", s.Width, len(s.Points), err)
		}
	}
	var size *SizeError
	if _, err := Refine(im, image.NewGray(image.Rect(0, 0, 3, 3)), nil, nil); !errors.As(err, &size) {
		t.Error(err)
	}
	tiny := image.NewRGBA(image.Rect(0, 0, 1, 1))
	if got, err := Refine(tiny, nil, nil, []Stroke{stroke(true, 0.5, 0.5)}); err != nil || got.Pix[0] != 0 {
		t.Error(got, err)
	}
}
