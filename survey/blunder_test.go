package survey_test

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"coilwright/opendata"
	"coilwright/survey"
)

// TestLevelNetWithTests compares heights, corrections, redundancies and test
// values with OSGeoLab's published level net (CC0; its standardised residual is
// its u, and its t divides by m0 too).
func TestLevelNetWithTests(t *testing.T) {
	f, err := os.Open(opendata.Need(t, "published networks", "adjustment", "level_net_osgeolab.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	n := survey.Network{Exact: []survey.Exactly{{Name: "point 4", Terms: survey.Size(3), Value: 101.345}}}
	for _, name := range []string{"1", "2", "3", "4"} {
		n.Unknowns = append(n.Unknowns, survey.Unknown{Name: name})
	}
	for _, l := range lines[1:] {
		from, to := int(num(t, l[0]))-1, int(num(t, l[1]))-1
		n.Readings = append(n.Readings, survey.Reading{Name: l[0] + "-" + l[1], Of: survey.Level(from, to), Value: num(t, l[2]), Sigma: 0.7e-3 * num(t, l[3])})
	}
	a, err := survey.Adjust(n)
	if err != nil {
		t.Fatal(err)
	}
	m0 := math.Sqrt(a.Factor)
	near := func(what string, got, want, within float64) {
		t.Helper()
		if math.Abs(got-want) > within {
			t.Errorf("%s: %.5f, published %.5f", what, got, want)
		}
	}
	near("m0", m0, 1.65, 0.006)
	for i, want := range []struct{ height, sd float64 }{{104.2350, 1.13}, {103.4868, 1.19}, {102.9588, 0.91}} {
		near("height", a.Values[i], want.height, 0.6e-4)
		near("sd", 1000*m0*a.Sigma(survey.Size(i)...), want.sd, 0.006)
	}
	for i, l := range lines[1:] {
		j := a.Readings[i]
		near("correction "+n.Readings[i].Name, 1000*j.Residual, num(t, l[4]), 0.006)
		near("adjusted", j.Adjusted, num(t, l[5]), 0.6e-4)
		near("t", math.Abs(j.Standardised)/m0, num(t, l[6]), 0.06)
		near("u", math.Abs(j.Standardised), num(t, l[7]), 0.06)
		near("r", j.Redundancy, num(t, l[8]), 0.06)
	}
}

// TestDynamicNet: datum heights with a published covariance matrix, brought in as
// two independent readings by its Cholesky factor.
func TestDynamicNet(t *testing.T) {
	p := readNet(t, "Krumm_Height_dyn")
	h2, h3 := p.at["2"].X, p.at["3"].X
	l11 := math.Sqrt(0.0025)
	l21 := -0.0015 / l11
	l22 := math.Sqrt(0.0036 - l21*l21)
	v2, v3 := p.Unknowns[h2].Start, p.Unknowns[h3].Start
	p.read(survey.Reading{Name: "2", Of: survey.Sum{{At: h2, By: 1 / l11}}, Value: v2 / l11, Sigma: 1})
	p.read(survey.Reading{Name: "3", Of: survey.Sum{{At: h3, By: 1 / l22}, {At: h2, By: -l21 / l11 / l22}}, Value: (v3 - l21/l11*v2) / l22, Sigma: 1})
	a, err := survey.Adjust(p.Network)
	if err != nil {
		t.Fatal(err)
	}
	for point, want := range answers(t, "Krumm_Height_dyn") {
		if got := a.Values[p.at[point].X]; math.Abs(got-want[0]) > 0.6e-4 {
			t.Errorf("height %s: %.5f, published %.4f", point, got, want[0])
		}
	}
}

func names(n survey.Network, found []survey.Blunder) string {
	var out []string
	for _, b := range found {
		out = append(out, n.Readings[b.Reading].Name)
	}
	slices.Sort(out)
	return strings.Join(out, " ")
}

// TestHoepkeBlunder: the book's list has 1789.499 for 1059-75 where its results
// rest on 1789.449: five centimetres in a net good to millimetres.
func TestHoepkeBlunder(t *testing.T) {
	p := readNet(t, "Hoepke_Distance_fix")
	at := slices.IndexFunc(p.Readings, func(r survey.Reading) bool { return r.Name == "1059-75" })
	spread(t, p)
	p.Readings[at].Value = 1789.499
	found, a, err := survey.Snoop(p.Network, survey.Critical)
	if err != nil {
		t.Fatal(err)
	}
	if a.Freedom != len(p.Readings)-1-(len(p.Unknowns)-3) || a.Factor > 2 {
		t.Errorf("freedom %d, factor %.2f", a.Freedom, a.Factor)
	}
	if names(p.Network, found) != "1059-75" {
		t.Fatalf("found %v, want 1059-75 alone", names(p.Network, found))
	}
	if fit := found[0].WouldFit; math.Abs(fit-1789.449) > 3.29*found[0].Sigma+3.29*p.Readings[at].Sigma || fit > 1789.47 {
		t.Errorf("%.3f (sigma %.3f) would fit; the book's results rest on 1789.449", fit, found[0].Sigma)
	}
}

// spread sets the readings' sigmas to what the good net itself shows, since a
// published sigma of 1 mm stands for a unit of weight there.
func spread(t *testing.T, p *published) {
	t.Helper()
	a, err := survey.Adjust(p.Network)
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.Readings {
		p.Readings[i].Sigma *= math.Sqrt(a.Factor)
	}
}

// TestPlantedBlunders misreads one reading in two published nets (Baumann 1995,
// levels; Niemeier 2008, distances and directions) and asks for it back.
func TestPlantedBlunders(t *testing.T) {
	for _, c := range []struct {
		net, reading string
		off          float64
	}{
		{"Baumann_Height_fix", "10-7", 0.02},                               // 2 cm
		{"Baumann_Height_fix", "12-8", -0.1},                               // a staff misread by a decimetre
		{"Niemeier_DistanceDirection_fix", "Z110-104", 0.1},                // a decimetre
		{"Niemeier_DistanceDirection_fix", "direction Z108-113", 3.142e-4}, // 2 hundredths of a gon
	} {
		p := readNet(t, c.net)
		spread(t, p)
		at := slices.IndexFunc(p.Readings, func(r survey.Reading) bool { return r.Name == c.reading })
		right := p.Readings[at].Value
		p.Readings[at].Value += c.off
		found, _, err := survey.Snoop(p.Network, survey.Critical)
		if err != nil {
			t.Fatal(err)
		}
		if names(p.Network, found) != c.reading {
			t.Errorf("%s: found %q, planted in %q", c.net, names(p.Network, found), c.reading)
			continue
		}
		sigma := math.Hypot(found[0].Sigma, p.Readings[at].Sigma)
		if math.Abs(found[0].WouldFit-right) > 3.29*sigma {
			t.Errorf("%s %s: %g would fit (sigma %g), it was %g", c.net, c.reading, found[0].WouldFit, sigma, right)
		}
	}
}

// TestGhilani21Blunders: example 21.1 plants blunders in the distance 3-4 and
// the angle 103-102-1, and says so.
func TestGhilani21Blunders(t *testing.T) {
	p := readNet(t, "Ghilani21_1_DistanceAngle_fix")
	found, _, err := survey.Snoop(p.Network, survey.Critical)
	if err != nil {
		t.Fatal(err)
	}
	if names(p.Network, found) != "3-4 angle 103-102-1" {
		t.Errorf("found %s", names(p.Network, found))
	}
}
