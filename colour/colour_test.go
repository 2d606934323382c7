package colour

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"coilwright/opendata"
)

// open reads a table of the open data beside the repository.
func open(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(opendata.Need(t, "colour tables", "colour", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// All 34 pairs of Sharma, Wu and Dalal (2005), Table 1.
func TestDifferenceOfPublishedPairs(t *testing.T) {
	rows := open(t, "ciede2000_sharma34.csv")
	if len(rows) != 34 {
		t.Fatalf("%d pairs, want 34", len(rows))
	}
	for i, r := range rows {
		var v [7]float64
		for k := range v {
			v[k] = number(t, r[k])
		}
		p, q := Lab{v[0], v[1], v[2]}, Lab{v[3], v[4], v[5]}
		for _, got := range []float64{Difference(p, q), Difference(q, p)} {
			if math.Abs(got-v[6]) > 0.51e-4 {
				t.Errorf("pair %d: %.5f, published %.4f", i+1, got, v[6])
			}
		}
	}
}

// Worked values: a plain distance (ASTM D2244, 6.2.1), a CIEDE2000 of two screen
// colours and L*a*b* of the primaries, all as public test suites print them.
func TestWorkedValues(t *testing.T) {
	if got := Difference76(Lab{100, 10, 10}, Lab{90, 10, 5}); math.Abs(got-11.180340) > 1e-6 {
		t.Errorf("plain distance %v", got)
	}
	if got := Difference(SRGB{55, 44, 33}.Linear().Lab(), SRGB{66, 55, 44}.Linear().Lab()); math.Abs(got-3.533443206559) > 0.01 {
		t.Errorf("difference %v", got)
	}
	for c, want := range map[SRGB]Lab{
		{255, 0, 0}: {53.24, 80.09, 67.20}, {0, 255, 0}: {87.73, -86.18, 83.18},
		{0, 0, 255}: {32.30, 79.19, -107.86}, {255, 255, 255}: {100, 0, 0},
	} {
		if got := c.Linear().Lab(); Difference76(got, want) > 0.02 {
			t.Errorf("%v is %v, want %v", c, got, want)
		}
	}
}

// The 2005 chart is published both as xyY (four places) and as L*a*b*: one turned
// into the other must agree to the places printed. Of its 24 patches all lie within
// sRGB but cyan, as is well known.
func TestChart(t *testing.T) {
	lab := map[string]Lab{}
	for _, r := range open(t, "colorchecker24_before_nov2014_Lab_D50.csv") {
		lab[r[0]] = Lab{number(t, r[1]), number(t, r[2]), number(t, r[3])}
	}
	for i, r := range open(t, "colorchecker2005_xyY_D50.csv") {
		x, y, big := number(t, r[1]), number(t, r[2]), number(t, r[3])
		got := XYZ{x * big / y, big, (1 - x - y) * big / y}.Lab(D50)
		want, ok := lab[r[0]]
		if !ok {
			continue
		}
		if d := Difference(got, want); d > 0.1 {
			t.Errorf("patch %d %s: %v and %v differ by %.3f", i, r[0], got, want, d)
		}
		if s := Show(got, D50); s.Inside == (r[0] == "cyan") {
			t.Errorf("%s: inside sRGB is %v (%.2f off)", r[0], s.Inside, s.Off)
		}
	}
}

// White stays white under every light, and the matrix from D65 to D50 is the
// one that is printed for Bradford and the whites of ASTM E308.
func TestAdapt(t *testing.T) {
	if got := Adapt(D65.white(), D65, D50); math.Abs(got[0]-0.96422)+math.Abs(got[1]-1)+math.Abs(got[2]-0.82521) > 1e-5 {
		t.Errorf("white becomes %v", got)
	}
	want := matrix{{1.0478112, 0.0228866, -0.0501270}, {0.0295424, 0.9904844, -0.0170491}, {-0.0092345, 0.0150436, 0.7521316}}
	for j := range 3 {
		var unit XYZ
		unit[j] = 1
		for i, v := range Adapt(unit, D65, D50) {
			if math.Abs(v-want[i][j]) > 1e-6 {
				t.Errorf("row %d column %d: %.7f, published %.7f", i, j, v, want[i][j])
			}
		}
	}
}

func anyLab(t *rapid.T, name string) Lab {
	return Lab{rapid.Float64Range(0, 100).Draw(t, name+" L"), rapid.Float64Range(-110, 110).Draw(t, name+" a"), rapid.Float64Range(-110, 110).Draw(t, name+" b")}
}

func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyLab(t, "colour")
		for _, i := range []Illuminant{D65, D50} {
			if got := c.XYZ(i).Lab(i); Difference76(c, got) > 1e-9 {
				t.Errorf("XYZ: %v became %v", c, got)
			}
			if got := c.Linear(i).Lab().Under(D65, i); Difference76(c, got) > 2e-3 { // matrices of seven places
				t.Errorf("linear: %v became %v", c, got)
			}
		}
		s := SRGB{rapid.Byte().Draw(t, "r"), rapid.Byte().Draw(t, "g"), rapid.Byte().Draw(t, "b")}
		if got := s.Linear().SRGB(); got != s {
			t.Errorf("%v became %v", s, got)
		}
	})
}

func TestDifferenceIsOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := anyLab(t, "p"), anyLab(t, "q")
		if d := Difference(p, q); d != Difference(q, p) && math.Abs(d-Difference(q, p)) > 1e-9 || d < 0 || math.IsNaN(d) {
			t.Errorf("%v", d)
		}
		if Difference(p, p) != 0 {
			t.Errorf("a colour differs from itself")
		}
	})
}

// What is shown can be shown, keeps lightness and hue, and is the colour itself
// where the screen can show it.
func TestShow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyLab(t, "colour")
		s := Show(c, D65)
		got := s.Light.Lab()
		switch {
		case !s.Light.inside(0):
			t.Errorf("shows %v", s.Light)
		case s.Inside && Difference(c, got) > 0.6:
			t.Errorf("%v inside becomes %v", c, got)
		case !s.Inside && math.Abs(got.L-c.L) > 0.5 || got.Chroma() > c.Chroma()+0.5:
			t.Errorf("%v outside becomes %v", c, got)
		case !s.Inside && s.Off == 0:
			t.Errorf("%v is off by nothing", c)
		}
	})
}

// An owner's chip in a photo with a colour cast and half the light: the cast falls
// out, the right stock colour is named, and the chance drops where two stock colours
// lie closer than the doubt.
func TestNearest(t *testing.T) {
	chip, card := SRGB{104, 122, 140}.Linear(), Linear{0.8, 0.8, 0.8}
	cast := Linear{0.55, 0.5, 0.4}
	see := func(c Linear) Patch {
		return Patch{Mean: c.Times(cast), Deviation: Linear{0.004, 0.004, 0.004}, Pixels: 400}
	}
	s, err := FromPhoto(see(chip), see(card), card, 0.02)
	if err != nil {
		t.Fatal(err)
	}
	if d := Difference(s.Lab, chip.Lab()); d > 1e-6 {
		t.Errorf("the cast leaves %.3f", d)
	}
	if s.Uncertainty < CameraDoubt || s.Uncertainty > CameraDoubt+1 {
		t.Errorf("uncertainty %.2f", s.Uncertainty)
	}
	at, far := chip.Lab(), SRGB{126, 42, 36}.Linear().Lab()
	m := Nearest(s, []Stock{{"barn", far}, {"slate", at}})
	if m[0].Stock.ID != "slate" || m[0].Chance < 0.999 || m[0].Off > 1e-6 {
		t.Errorf("alone: %+v", m)
	}
	near := at
	near.L += 1
	m = Nearest(s, []Stock{{"barn", far}, {"slate", at}, {"slate too", near}})
	if m[0].Stock.ID != "slate" || m[0].Chance > 0.75 || m[1].Chance < 0.25 {
		t.Errorf("with a twin: %+v", m)
	}
	if _, err := FromPhoto(Patch{}, see(card), card, 0); !errors.Is(err, ErrPatch) {
		t.Errorf("no pixels: %v", err)
	}
	if _, err := FromPhoto(Patch{Mean: Linear{1, 1, 1}, Pixels: 9}, see(card), card, 0); !errors.Is(err, ErrPatch) {
		t.Errorf("clipped: %v", err)
	}
}
