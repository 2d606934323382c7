package survey_test

import (
	"bufio"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"coilwright/adjust"
	"coilwright/opendata"
	"coilwright/survey"
)

// published reads one network of F. Krumm, Geodetic Network Adjustment Examples,
// Universität Stuttgart, Rev. 3.5, 2020, which names the textbook of each.
type published struct {
	survey.Network
	at       map[string]survey.Station // X and, in level nets, the height in X
	sections map[string][][]string
	zeros    map[string]int // orientation of each station's directions
}

func sections(t *testing.T, file string) map[string][][]string {
	f, err := os.Open(opendata.Need(t, "published networks", "adjustment", "krumm", file))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := map[string][][]string{}
	section := ""
	for s := bufio.NewScanner(f); s.Scan(); {
		line, _, _ := strings.Cut(s.Text(), "%")
		line, _, _ = strings.Cut(line, "#")
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "[") {
			section = strings.Trim(line, "[]")
			section, _, _ = strings.Cut(section, ",")
		} else if line != "" {
			out[section] = append(out[section], strings.Fields(line))
		}
	}
	return out
}

func num(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func readNet(t *testing.T, name string) *published {
	p := &published{at: map[string]survey.Station{}, sections: sections(t, name+".dat"), zeros: map[string]int{}}
	_, levels := p.sections["LevelledHeightDifferences"]
	for _, f := range p.sections["Coordinates"] {
		add := func(axis, start string) int {
			p.Unknowns = append(p.Unknowns, survey.Unknown{Name: axis + f[0], Start: num(t, start)})
			return len(p.Unknowns) - 1
		}
		if levels {
			p.at[f[0]] = survey.Station{X: add("H", f[len(f)-1])}
		} else {
			p.at[f[0]] = survey.Station{X: add("x", f[1]), Y: add("y", f[2])}
		}
	}
	p.datum(t)
	p.levels(t)
	p.distances(t)
	p.turns(t)
	return p
}

// datum holds the fixed points, or for a free net the sum of its datum points'
// changes (the least movement of them all, for heights).
func (p *published) datum(t *testing.T) {
	hold := func(name string, at int) {
		p.Exact = append(p.Exact, survey.Exactly{Name: name, Terms: survey.Size(at), Value: p.Unknowns[at].Start})
	}
	words := strings.Fields(strings.Join(join(p.sections["Datum"]), " "))
	if len(words) == 0 || words[0] == "dyn" {
		return
	}
	free := survey.Exactly{Name: "datum"}
	for _, w := range words[1:] {
		if s, ok := p.at[w]; ok && words[0] == "free" {
			free.Terms = append(free.Terms, adjust.Term{At: s.X, By: 1})
			free.Value += p.Unknowns[s.X].Start
		} else if ok {
			hold(w, s.X)
		} else if s, ok := p.at[w[1:]]; ok && w[0] == 'x' {
			hold(w, s.X)
		} else if ok {
			hold(w, s.Y)
		} else {
			t.Fatalf("datum %q", w)
		}
	}
	if len(free.Terms) > 0 {
		p.Exact = append(p.Exact, free)
	}
}

func join(lines [][]string) []string {
	var out []string
	for _, l := range lines {
		out = append(out, l...)
	}
	return out
}

func (p *published) read(r survey.Reading) { p.Readings = append(p.Readings, r) }

func (p *published) levels(t *testing.T) {
	sigma := 0.0
	for _, f := range p.sections["LevelledHeightDifferences"] {
		if len(f) > 4 {
			sigma = num(t, f[4])
		}
		p.read(survey.Reading{Name: f[0] + "-" + f[1], Of: survey.Level(p.at[f[0]].X, p.at[f[1]].X),
			Value: num(t, f[2]), Sigma: sigma * math.Sqrt(num(t, f[3])/1000)})
	}
}

func (p *published) distances(t *testing.T) {
	sigma := 0.0
	for _, f := range p.sections["Distances"] {
		if len(f) > 3 {
			sigma = num(t, f[3])
		}
		p.read(survey.Reading{Name: f[0] + "-" + f[1], Of: survey.Distance{From: p.at[f[0]], To: p.at[f[1]]}, Value: num(t, f[2]), Sigma: sigma})
	}
}

var dms = regexp.MustCompile(`(\d+)°(\d+)'([\d.]+)"`)

// turns reads angles (degrees, minutes, seconds) and directions (gon). In the
// files with angles x runs east, so that clockwise is from Y towards X.
func (p *published) turns(t *testing.T) {
	turned := func(s survey.Station) survey.Station { return survey.Station{X: s.Y, Y: s.X} }
	for _, f := range p.sections["Angles"] {
		d := dms.FindStringSubmatch(f[3])
		value := (num(t, d[1]) + num(t, d[2])/60 + num(t, d[3])/3600) * math.Pi / 180
		p.read(survey.Reading{Name: "angle " + strings.Join(f[:3], "-"), Value: value, Sigma: num(t, f[4]) / 3600 * math.Pi / 180,
			Of: survey.Angle{At: turned(p.at[f[0]]), From: turned(p.at[f[1]]), To: turned(p.at[f[2]])}})
	}
	for _, f := range p.sections["Directions"] {
		at, to := turned(p.at[f[0]]), turned(p.at[f[1]])
		zero, ok := p.zeros[f[0]]
		value := num(t, f[2]) * math.Pi / 200
		if !ok {
			zero = len(p.Unknowns)
			p.zeros[f[0]] = zero
			bearing := math.Atan2(p.Unknowns[to.Y].Start-p.Unknowns[at.Y].Start, p.Unknowns[to.X].Start-p.Unknowns[at.X].Start)
			p.Unknowns = append(p.Unknowns, survey.Unknown{Name: "zero " + f[0], Start: bearing - value})
		}
		p.read(survey.Reading{Name: "direction " + f[0] + "-" + f[1], Value: value, Sigma: num(t, f[3]) * math.Pi / 200,
			Of: survey.Direction{At: at, To: to, Zero: zero}})
	}
}

// answers reads published coordinates: pairs of value and sigma by point. Files
// list value, change and sigma for each axis; sigmas are in mm for heights and in cm
// for coordinates.
func answers(t *testing.T, name string) map[string][]float64 {
	out := map[string][]float64{}
	for _, f := range sections(t, name+".adj")[""] {
		for _, s := range f[1:] {
			out[f[0]] = append(out[f[0]], num(t, s))
		}
	}
	return out
}

// solve adjusts and compares with what was published: to half a unit of the last
// printed digit (0.05 mm), sigmas (with the network's own variance factor) to half
// a unit of their last digit, mostly 0.01.
func solve(t *testing.T, name string, same map[string]string) survey.Adjustment {
	t.Helper()
	p := readNet(t, name)
	a, err := survey.Adjust(p.Network)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	compared := 0
	for point, want := range answers(t, name) {
		if other, ok := same[point]; ok {
			point = other
		}
		s, ok := p.at[point]
		if !ok {
			t.Fatalf("%s: published point %q is not in the network", name, point)
		}
		for k, at := range []int{s.X, s.Y}[:min(2, (len(want)+2)/3)] {
			compared++
			if got := a.Values[at]; math.Abs(got-want[3*k]) > 0.6e-4 {
				t.Errorf("%s %s: %.5f, published %.4f", name, p.Unknowns[at].Name, got, want[3*k])
			}
			unit := 100.0
			if p.sections["LevelledHeightDifferences"] != nil {
				unit = 1000
			}
			sigma := unit * math.Sqrt(a.Factor*a.Cov.At(at, at))
			if w := want[3*k+2]; math.Abs(sigma-w) > 0.006+1e-4*w {
				t.Errorf("%s %s: sigma %.4f, published %.3f", name, p.Unknowns[at].Name, sigma, w)
			}
		}
	}
	if compared == 0 {
		t.Errorf("%s: nothing was compared", name)
	}
	return a
}

func TestPublishedNetworks(t *testing.T) {
	for _, name := range []string{
		"Ghilani12_6_Height_fix", "Niemeier_Height_free", "Baumann_Height_fix",
		"Benning82_Distance_fix", "Benning88_Distance_fix", "StrangBorre_Distance_fix", "Ghilani14_5_Distance_fix",
		"Niemeier_DistanceDirection_fix",
	} {
		t.Run(name, func(t *testing.T) { solve(t, name, nil) })
	}
	t.Run("Ghilani21_1_DistanceAngle_fix", func(t *testing.T) {
		solve(t, "Ghilani21_1_DistanceAngle_fix", map[string]string{"10": "102", "01": "103", "20": "201", "02": "202", "03": "203"})
	})
}
