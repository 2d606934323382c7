package steel

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"coilwright/measure"
	"coilwright/opendata"
	"coilwright/plane"
)

// A step of two laps, by hand: the underside of the upper lap is level, so two
// points stand at one height; the lip behind the face is not seen.
func TestFace(t *testing.T) {
	s := section(t, line(0.03, 0.07, 0.4, 0.07, 0, 0.5, 0, 0.1, 4, 0.5, 4, 0.1, 8, 0.1, 9))
	want := [][2]float64{{0, 0.5}, {4, 0.1}, {4, 0.5}, {8, 0.1}}
	got := s.Face(8*measure.Inch, measure.Inch/1000)
	if len(got) != len(want) {
		t.Fatalf("%v", got)
	}
	for i, p := range got {
		near(t, "height", p.Height.Inches(), want[i][0], 1e-9)
		near(t, "depth", p.Depth.Inches(), want[i][1], 1e-7)
	}
	if short := s.Face(10*measure.Inch, measure.Inch/1000); short != nil {
		t.Errorf("a face of 9 in does not cover 10: %v", short)
	}
}

// Arcs are replaced by chords within the tolerance: every chord's middle is that
// near to the circle, and the number of points grows as the root.
func TestPointsTolerance(t *testing.T) {
	d := Drawing{Start: plane.Point{X: 2 * measure.Inch}, Spans: []Span{arcTo(0, 2, 0, 0, false), arcTo(-2, 0, 0, 0, false)}}
	s := section(t, d)
	for _, tolerance := range []measure.Length{measure.Inch / 10, measure.Inch / 1000, measure.Inch / 100_000} {
		at := s.Points(tolerance)
		for i := 0; i+1 < len(at); i++ {
			p, q := inches(at[i]), inches(at[i+1])
			near(t, "on the circle", q.length(), 2, 1e-7)
			if sag := 2 - (vector{(p.x + q.x) / 2, (p.y + q.y) / 2}).length(); sag > tolerance.Inches()+1e-7 || sag < 0 {
				t.Errorf("strays %g in, tolerance %g", sag, tolerance.Inches())
			}
		}
		if most := 4 + math.Pi/math.Sqrt(tolerance.Inches()); float64(len(at)) > most {
			t.Errorf("%d points for %g in", len(at), tolerance.Inches())
		}
	}
}

// scene reads the profiles of a rendered test scene; the judge is what the scene
// was drawn from.
func scene(t *testing.T, name string) (dutch, lap [][2]float64, vertical string) {
	t.Helper()
	b, err := os.ReadFile(opendata.Need(t, "truth scenes", "scenes", name, "truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	var truth struct {
		Profiles struct {
			Dutch5, Lap4 [][2]float64
			Vertical12   string
		}
	}
	if err := json.Unmarshal(b, &truth); err != nil {
		t.Fatal(err)
	}
	return truth.Profiles.Dutch5, truth.Profiles.Lap4, truth.Profiles.Vertical12
}

// onFace says how far a point (height, depth) is from a face, in depth.
func onFace(face []FacePoint, height, depth float64) float64 {
	best := math.Inf(1)
	for i := 0; i+1 < len(face); i++ {
		h0, h1 := face[i].Height.Inches(), face[i+1].Height.Inches()
		if height < h0-1e-9 || height > h1+1e-9 || h0 == h1 {
			continue
		}
		d0, d1 := face[i].Depth.Inches(), face[i+1].Depth.Inches()
		best = math.Min(best, math.Abs(d0+(d1-d0)*(height-h0)/(h1-h0)-depth))
	}
	return best
}

// The visible faces of the demo panels are those of the scenes, to the 0.0001 in
// that the scenes are written to.
func TestDemoFaces(t *testing.T) {
	panels := readDemo(t).panels(t)
	for _, name := range []string{"alder", "birch"} {
		dutch, lap, vertical := scene(t, name)
		for id, profile := range map[string][][2]float64{"dutch-double-5": dutch, "lap-double-4": lap} {
			p := panels[id]
			face := p.Face(measure.Inch / 100_000)
			if len(face) == 0 || len(profile) == 0 {
				t.Fatalf("%s: no face", id)
			}
			for k := range p.Laps {
				for _, at := range profile {
					h := at[0] + float64(k)*p.Exposure.Inches()
					if d := onFace(face, h, at[1]); d > 0.0001 {
						t.Errorf("%s %s: %.4f in off at height %.2f", name, id, d, h)
					}
				}
			}
		}
		if !strings.Contains(vertical, "pan at .05, battens 1.5 wide at .55, every 12") {
			t.Errorf("%s: the scene's vertical panel is now %q", name, vertical)
		}
	}
}

// A vertical panel is a batten of 1 1/2 in and a pan, as the scenes say in words.
func TestDemoVerticalFaces(t *testing.T) {
	panels := readDemo(t).panels(t)
	for id, cover := range map[string]float64{"vertical-12": 12, "vertical-16": 16} {
		face := panels[id].Face(measure.Inch / 1000)
		want := [][2]float64{{0, 0.55}, {1.5, 0.55}, {1.5, 0.05}, {cover, 0.05}}
		if len(face) != len(want) {
			t.Fatalf("%s: %v", id, face)
		}
		for i, p := range face {
			near(t, id, p.Height.Inches(), want[i][0], 1e-9)
			near(t, id, p.Depth.Inches(), want[i][1], 1e-7)
		}
	}
}

// All Dutch laps share one cove, all regular laps one butt and one head.
func TestDemoFamilies(t *testing.T) {
	panels := readDemo(t).panels(t)
	for id, p := range panels {
		face := p.Face(measure.Inch / 1000)
		if p.Kind != Horizontal {
			continue
		}
		for k := range p.Laps {
			butt, head := float64(k)*p.Exposure.Inches(), float64(k+1)*p.Exposure.Inches()
			near(t, id+" butt", onFace(face, butt+1e-6, 0.5), 0, 1e-6)
			near(t, id+" head", onFace(face, head-1e-6, 0.05), 0, 1e-6)
			if strings.HasPrefix(id, "dutch") {
				near(t, id+" flat", onFace(face, head-1.4, 0.5), 0, 1e-6)
				near(t, id+" cove", onFace(face, head-0.7, 0.1542), 0, 0.001)
			}
		}
	}
}
