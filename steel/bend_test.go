package steel

import (
	"errors"
	"math"
	"testing"

	"coilwright/measure"
	"coilwright/plane"

	"pgregory.net/rapid"
)

// line draws straight spans through points given in inches, x y x y.
func line(radius float64, xy ...float64) Drawing {
	p := func(i int) plane.Point {
		return plane.Point{X: measure.FromInches(xy[2*i]), Y: measure.FromInches(xy[2*i+1])}
	}
	d := Drawing{Start: p(0), InsideRadius: measure.FromInches(radius)}
	for i := 1; i < len(xy)/2; i++ {
		d.Spans = append(d.Spans, Span{To: p(i)})
	}
	return d
}

func section(t testing.TB, d Drawing) Section {
	t.Helper()
	s, err := NewSection(d)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func width(t testing.TB, d Drawing, thickness, k float64) float64 {
	t.Helper()
	dev, err := section(t, d).Develop(measure.FromInches(thickness), k)
	if err != nil {
		t.Fatal(err)
	}
	return dev.Width()
}

// Thin-gauge bends by hand from BA = (pi/180) A (R + K T), OSSB = (R+T) tan(A/2),
// BD = 2 OSSB - BA; 1e-5 in.
func TestBends(t *testing.T) {
	for _, c := range []struct {
		thick, radius, k    float64
		ba, ossb, bd, ba180 float64 // 0: not worked out
	}{
		{thick: 0.0179, radius: 0.0625, k: 0.44, ba: 0.11055, ossb: 0.0804, bd: 0.05025, ba180: 0.22109},
		{thick: 0.019, radius: 0.030, k: 0.44, ba: 0.06026, bd: 0.03774},
		{thick: 0.0217, radius: 0.0625, k: 0.44, ba: 0.11317, bd: 0.05523},
		{thick: 0.0179, radius: 0, k: 0.44, ba: 0.01237, bd: 0.02343, ba180: 0.02474},
		{thick: 0.0179, radius: 0.03125, k: 0.50, ba: 0.06315, bd: 0.03515},
		{thick: 0.0179, radius: 0.03125, k: 0.44, ba: 0.06146, bd: 0.03684},
	} {
		near(t, "BA 90", BendAllowance(90, c.radius, c.thick, c.k), c.ba, 1e-5)
		near(t, "BD 90", BendDeduction(90, c.radius, c.thick, c.k), c.bd, 1e-5)
		if c.ossb > 0 {
			near(t, "OSSB 90", OutsideSetBack(90, c.radius, c.thick), c.ossb, 1e-5)
		}
		if c.ba180 > 0 {
			near(t, "BA 180", BendAllowance(180, c.radius, c.thick, c.k), c.ba180, 1e-5)
		}
	}
}

// The U-channel of FAA-H-8083-31: T 0.040, R 0.16, outside 1.00, 2.00, 1.00. The
// handbook's set-back is 0.20 and its flats 0.80, 1.60, 0.80; its own formula
// BA = (0.01743 R + 0.0078 T) x degrees gives 3.758 in, the book prints 3.74.
func TestChannel(t *testing.T) {
	channel := line(0.16, 0, 1, 0, 0, 2, 0, 2, 1)
	dev, err := section(t, channel).Develop(in(t, "0.040"), 0.4469)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "set-back", dev.Bends[0].SetBack, 0.20, 1e-9)
	near(t, "flats", dev.Flats, 3.20, 1e-9)
	near(t, "BA", dev.Bends[0].Allowance, 0.27941, 1e-5)
	faa := (0.01743*0.16 + 0.0078*0.040) * 90
	near(t, "BA of the FAA formula", faa, 0.27907, 1e-5)
	near(t, "K-form against FAA", dev.Bends[0].Allowance, faa, 0.0005)
	near(t, "K 0.44", BendAllowance(90, 0.16, 0.040, 0.44), 0.27897, 1e-5)
	near(t, "width", dev.Width(), 3.758, 0.001)
	near(t, "width as printed", dev.Width(), 3.74, 0.02)
}

// A J-channel of outside 1.25, 0.75 and 0.5625 in, T 0.0179, R 1/32, K 0.44, by hand.
func TestJChannel(t *testing.T) {
	j := line(0.03125, 0, 1.25, 0, 0, 0.75, 0, 0.75, 0.5625)
	near(t, "flat", width(t, j, 0.0179, 0.44), 2.4888, 0.0005)
	// Drawn on the inside instead, every outside leg is one thickness longer at each bend.
	inside := line(0.03125, 0, 1.25, 0, 0, -0.75, 0, -0.75, 0.5625)
	near(t, "drawn inside", width(t, inside, 0.0179, 0.44), 2.4888+4*0.0179, 0.0005)
}

// Angle is what is turned through: included 135 turns 45, included 90 turns 90.
func TestAngleTurned(t *testing.T) {
	dev, err := section(t, line(0.03, 0, 1, 0, 0, 1, 0, 2, 1)).Develop(0, 0.44)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "included 90", dev.Bends[0].Angle, 90, 1e-9)
	near(t, "included 135", dev.Bends[1].Angle, 45, 1e-9)
}

// K of 0.048 and 0.060 in cold-rolled steel, Machinery's Handbook 26th ed.: our
// default lies in their midst and widths by any of them differ by little.
func TestDefaultK(t *testing.T) {
	for _, k := range []float64{0.438, 0.433, 0.433, 0.433, 0.420, 0.467, 0.463, 0.463, 0.463, 0.453} {
		near(t, "K", k, DefaultK, 0.03)
	}
}

// d(BA90)/dK = 1.5708 T: 0.0281 in per 1 of K at 26 gauge; K 0.33 against 0.50 moves
// a profile of ten bends by 0.048 in.
func TestSensitivityToK(t *testing.T) {
	stairs := []float64{0, 0}
	for i := 1; i <= 11; i++ {
		stairs = append(stairs, stairs[2*i-2]+float64(i%2), stairs[2*i-1]+float64((i+1)%2))
	}
	d := line(0.03, stairs...)
	dev, err := section(t, d).Develop(in(t, "0.0179"), 0.44)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "one bend", dev.PerK(in(t, "0.0179"))/10, 0.0281, 5e-5)
	near(t, "ten bends", width(t, d, 0.0179, 0.50)-width(t, d, 0.0179, 0.33), 0.048, 0.0005)
	near(t, "PerK", dev.PerK(in(t, "0.0179"))*0.17, 0.048, 0.0005)
}

// outsideLegs is the other way to the flat width, the sum of the legs' outside
// lengths less the bend deductions; it walks the points with angles from the law
// of cosines and shares nothing with Develop.
func outsideLegs(xy []float64, r, t, k float64) float64 {
	at := func(i int) (float64, float64) { return xy[2*i], xy[2*i+1] }
	dist := func(i, j int) float64 {
		x0, y0 := at(i)
		x1, y1 := at(j)
		return math.Sqrt((x1-x0)*(x1-x0) + (y1-y0)*(y1-y0))
	}
	n := len(xy) / 2
	sum := 0.0
	for i := 0; i+1 < n; i++ {
		sum += dist(i, i+1)
	}
	for i := 1; i+1 < n; i++ {
		a, b, c := dist(i-1, i), dist(i, i+1), dist(i-1, i+1)
		turned := math.Pi - math.Acos(math.Max(-1, math.Min(1, (a*a+b*b-c*c)/(2*a*b))))
		x0, y0 := at(i - 1)
		x1, y1 := at(i)
		x2, y2 := at(i + 1)
		if (x1-x0)*(y2-y1)-(y1-y0)*(x2-x1) < 0 {
			sum += 2 * t * math.Tan(turned/2) // drawn inside: its outside legs are longer
		}
		sum -= 2*(r+t)*math.Tan(turned/2) - turned*(r+k*t)
	}
	return sum
}

// Both routes to the flat width agree to 1e-9 in.
func TestBothRoutes(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(2, 9).Draw(r, "legs")
		xy := []float64{0, 0}
		for i := range n {
			// Rising steps, so that the line never meets itself.
			xy = append(xy, float64(rapid.IntRange(-40, 40).Draw(r, "x"))/16, xy[2*i+1]+float64(rapid.IntRange(8, 40).Draw(r, "y"))/16)
		}
		thick, radius := float64(rapid.IntRange(10, 30).Draw(r, "t"))/1000, float64(rapid.IntRange(0, 60).Draw(r, "r"))/1000
		k := float64(rapid.IntRange(30, 50).Draw(r, "k")) / 100
		dev, err := section(t, line(radius, xy...)).Develop(measure.FromInches(thick), k)
		if err != nil {
			r.Fatal(err)
		}
		if want := outsideLegs(xy, radius, thick, k); math.Abs(dev.Width()-want) > 1e-9 {
			r.Fatalf("flats and allowances %.12f, outside legs less deductions %.12f", dev.Width(), want)
		}
	})
}

// Turned upside down, with the metal still on its left, or moved: the same width.
func TestTurnedAndMoved(t *testing.T) {
	xy := []float64{0.07, 0.4, 0.07, 0, 0.5, 0, 0.5, 3.5, 0.05, 5, 0.5, 5, 0.4, 8}
	turned, moved := make([]float64, len(xy)), make([]float64, len(xy))
	for i, v := range xy {
		turned[i], moved[i] = -v, v+0.5
	}
	want := width(t, line(0.03, xy...), 0.019, 0.44)
	near(t, "turned", width(t, line(0.03, turned...), 0.019, 0.44), want, 1e-9)
	near(t, "moved", width(t, line(0.03, moved...), 0.019, 0.44), want, 1e-9)
}

// arcTo is a span about a centre, in inches.
func arcTo(x, y, cx, cy float64, clockwise bool) Span {
	p := func(x, y float64) plane.Point {
		return plane.Point{X: measure.FromInches(x), Y: measure.FromInches(y)}
	}
	return Span{To: p(x, y), Arc: true, Centre: p(cx, cy), Clockwise: clockwise}
}

// A hem folded flat as far as the strip allows (inside radius 0) is a closed hem:
// BA180 0.02474 in at T 0.0179 and K 0.44; folded the other way, over its own
// painted face, the face's arc is the inside one.
func TestHemFold(t *testing.T) {
	for _, c := range []struct {
		radius, inside float64
		clockwise      bool
	}{{0.0179, 0, false}, {0.0179, 0.0179, true}, {0.05, 0.0321, false}} {
		d := line(0, 0, 0, 0, 1)
		x := 2 * c.radius
		if !c.clockwise {
			x = -x
		}
		d.Spans = append(d.Spans, arcTo(x, 1, x/2, 1, c.clockwise), line(0, 0, 0, x, 0.5).Spans[0])
		near(t, "hem", width(t, d, 0.0179, 0.44), 1.5+BendAllowance(180, c.inside, 0.0179, 0.44), 1e-6)
	}
	near(t, "closed", BendAllowance(180, 0, 0.0179, 0.44), 0.02474, 1e-5)
	tight := line(0, 0, 0, 0, 1)
	tight.Spans = append(tight.Spans, arcTo(-0.03, 1, -0.015, 1, false))
	if _, err := section(t, tight).BlankWidth(in(t, "0.0179"), 0); !errors.Is(err, ErrSection) {
		t.Errorf("an arc tighter than the strip: %v", err)
	}
}

func TestSectionRefuses(t *testing.T) {
	good := line(0.03, 0, 0, 0, 1, 1, 2)
	change := func(f func(*Drawing)) Drawing {
		d := good
		d.Spans = append([]Span(nil), d.Spans...)
		f(&d)
		return d
	}
	for name, d := range map[string]Drawing{
		"empty":         {},
		"point":         line(0.03, 0, 0, 0, 0),
		"fold":          line(0.03, 0, 0, 0, 1, 0.01, 0),
		"sharp":         line(0, 0, 0, 0, 1, 0.05, 0),
		"crossing":      line(0, 0, 0, 2, 0, 2, 1, 1, 1, 1, -1),
		"touching":      line(0, 0, 0, 2, 0, 2, 1, 1, 0),
		"short leg":     line(0.5, 0, 0, 0, 1, 0.2, 1, 0.2, 2),
		"far":           line(0.03, 0, 0, 0, 101),
		"negative bend": line(-0.01, 0, 0, 0, 1),
		"k":             change(func(d *Drawing) { d.K = 0.6 }),
		"k is no number": change(func(d *Drawing) {
			d.K = math.NaN()
		}),
		"not round":   change(func(d *Drawing) { d.Spans[1] = arcTo(1, 2, 0.5, 1, false) }),
		"centre end":  change(func(d *Drawing) { d.Spans[1] = arcTo(1, 2, 1, 2, false) }),
		"many spans":  change(func(d *Drawing) { d.Spans = make([]Span, 1000) }),
		"slot short":  change(func(d *Drawing) { d.Slots = Slots{Spacing: measure.Inch} }),
		"slots meet":  change(func(d *Drawing) { d.Slots = Slots{measure.Inch, measure.Inch / 8, measure.Inch, measure.Inch / 4} }),
		"slot off":    change(func(d *Drawing) { d.Slots = Slots{measure.Inch, measure.Inch / 8, 2 * measure.Inch, 2 * measure.Inch} }),
		"huge number": change(func(d *Drawing) { d.Start.X = math.MinInt64 }),
	} {
		_, err := NewSection(d)
		var e *SectionError
		if !errors.Is(err, ErrSection) || !errors.As(err, &e) || e.Rule == "" || e.Place == "" || e.Mend == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := NewSection(good); err != nil {
		t.Error(err)
	}
	if (Section{}).Drawn() || len((Section{}).Points(1)) != 0 || (Section{}).Face(measure.Inch, 1) != nil {
		t.Error("the zero section is not drawn")
	}
}

// What NewSection was given and what it gives back are copies.
func TestSectionDoesNotChange(t *testing.T) {
	d := line(0.03, 0, 0, 0, 1, 1, 2)
	s := section(t, d)
	d.Spans[0].To.Y *= 2
	s.Drawing().Spans[1].To.Y *= 2
	if got := s.Points(1)[1]; got.Y != measure.Inch {
		t.Errorf("moved to %v", got)
	}
	if s.K() != DefaultK || s.Slots() != (Slots{}) || s.Box().Height() != 2*measure.Inch {
		t.Errorf("%v %v %v", s.K(), s.Slots(), s.Box())
	}
}

func FuzzSection(f *testing.F) {
	f.Add(int64(0), int64(measure.Inch), int64(measure.Inch), int64(0), int64(measure.Inch/2), int64(measure.Inch/2), true)
	f.Fuzz(func(t *testing.T, x, y, x2, y2, cx, cy int64, clockwise bool) {
		p := func(x, y int64) plane.Point { return plane.Point{X: measure.Length(x), Y: measure.Length(y)} }
		s, err := NewSection(Drawing{Spans: []Span{{To: p(x, y)}, {To: p(x2, y2), Arc: true, Centre: p(cx, cy), Clockwise: clockwise}}})
		if err != nil && !errors.Is(err, ErrSection) {
			t.Fatal(err)
		}
		if w, err := s.BlankWidth(measure.Inch/50, 0); err == nil && s.Drawn() && w <= 0 {
			t.Errorf("width %v", w)
		}
		s.Face(measure.Inch, measure.Inch/1000)
	})
}
