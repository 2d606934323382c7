package survey_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"coilwright/adjust"
	"coilwright/measure"
	"coilwright/survey"
)

// south is an invented wall: two parts and a window between, read one by one and
// as a whole. The left part's tape was misread by five inches.
func south() survey.Network {
	tape := func(name string, of survey.Observable, inches float64) survey.Reading {
		return survey.Reading{Name: name, By: "tape", Of: of, Value: inches, Sigma: survey.Sigma(measure.Inch / 8)}
	}
	return survey.Network{
		Unknowns: []survey.Unknown{{Name: "left"}, {Name: "window"}, {Name: "right"}, {Name: "south"}, {Name: "north"}},
		Readings: []survey.Reading{
			tape("the south wall's left part", survey.Size(0), 94),
			tape("the south wall's window", survey.Size(1), 36),
			tape("the south wall's right part", survey.Size(2), 120),
			tape("the south wall", survey.Size(3), 245),
			tape("the north wall", survey.Size(4), 245.0625),
			survey.Agree("opposite walls", 3, 4, 0.25),
			// A second look by photo, with its wider plus-minus.
			{Name: "the south wall's left part", By: "photo", Of: survey.Size(0), Value: 89.4, Sigma: 0.9},
			{Name: "the south wall's right part", By: "photo", Of: survey.Size(2), Value: 119.6, Sigma: 0.9},
		},
		Exact: []survey.Exactly{survey.PartsAddUp("the south wall's parts", 3, 0, 1, 2)},
	}
}

func TestMisreadTape(t *testing.T) {
	n := south()
	found, a, err := survey.Snoop(n, survey.Critical)
	if err != nil || len(found) != 1 {
		t.Fatalf("%v %v", found, err)
	}
	want := `The tape for the south wall's left part (7' 10") does not fit the rest; 7' 5" would. Measure again.`
	if got := found[0].Text(n, measure.Imperial); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	if sum := a.Values[0] + a.Values[1] + a.Values[2]; math.Abs(sum-a.Values[3]) > 1e-9 {
		t.Errorf("parts add up to %g, the whole is %g", sum, a.Values[3])
	}
}

// TestTapeBesidePhoto: a tape misread by a foot shows against a photo alone, thirty
// times as wide as it is; and what would fit is the photo's.
func TestTapeBesidePhoto(t *testing.T) {
	n := survey.Network{
		Unknowns: []survey.Unknown{{Name: "the base"}},
		Readings: []survey.Reading{
			{Name: "the base", By: "tape", Of: survey.Size(0), Value: 396, Sigma: survey.Sigma(measure.Inch / 8)},
			{Name: "the base", By: "photo", Of: survey.Size(0), Value: 384.5, Sigma: 2},
		},
	}
	a, err := survey.Adjust(n)
	if err != nil {
		t.Fatal(err)
	}
	if j := a.Readings[0]; math.Abs(j.Standardised) < survey.Critical || math.Abs(j.WouldFit-384.5) > 0.01 {
		t.Errorf("%+v", j)
	}
}

// TestLookAlikes: a chain measured once as a whole and once in two parts shows
// that something is wrong, and honestly not what.
func TestLookAlikes(t *testing.T) {
	n := survey.Network{
		Unknowns: []survey.Unknown{{Name: "left"}, {Name: "right"}},
		Readings: []survey.Reading{
			{Name: "the left part", By: "tape", Of: survey.Size(0), Value: 100, Sigma: 0.1},
			{Name: "the right part", By: "tape", Of: survey.Size(1), Value: 50, Sigma: 0.1},
			{Name: "the whole", By: "tape", Of: survey.Sum{{At: 0, By: 1}, {At: 1, By: 1}}, Value: 140, Sigma: 0.1},
		},
	}
	found, _, err := survey.Snoop(n, survey.Critical)
	if err != nil || len(found) != 1 || len(found[0].Alike) != 2 {
		t.Fatalf("%+v %v", found, err)
	}
	want := `The tape for the left part (8' 4") does not fit the rest; 7' 6" would. Measure again; it may as well be the right part (4' 2"), or the whole (11' 8").`
	if got := found[0].Text(n, measure.Imperial); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}

// TestRing: a house of four walls, three taped: the fourth follows, and a misread
// one shows up once the fourth is taped too.
func TestRing(t *testing.T) {
	n := survey.Network{Unknowns: []survey.Unknown{{Name: "south"}, {Name: "east"}, {Name: "north"}, {Name: "west"}}}
	closes := survey.Closes("the ring", 0.05, survey.Side{Length: 0, Bearing: 90}, survey.Side{Length: 1, Bearing: 0},
		survey.Side{Length: 2, Bearing: 270}, survey.Side{Length: 3, Bearing: 180})
	n.Readings = append(n.Readings, closes[0], closes[1])
	for i, inches := range []float64{384, 240, 384} {
		n.Readings = append(n.Readings, survey.Reading{Name: n.Unknowns[i].Name, By: "tape", Of: survey.Size(i), Value: inches, Sigma: 0.06})
	}
	a, err := survey.Adjust(n)
	if err != nil || math.Abs(a.Values[3]-240) > 1e-9 {
		t.Fatalf("west is %v, %v", a.Values, err)
	}
	if s := a.Sigma(survey.Size(3)...); math.Abs(s-math.Hypot(0.06, 0.05)) > 1e-9 {
		t.Errorf("west's sigma is %g", s)
	}
	if open := a.Unchecked(); !slices.Equal(open, []int{0, 3}) {
		t.Errorf("readings that nothing checks: %v, want the closure northwards and east's tape", open)
	}
}

func TestWhatIsMissing(t *testing.T) {
	n := survey.Network{
		Unknowns: []survey.Unknown{{Name: "the sill"}, {Name: "the head"}, {Name: "the door"}},
		Readings: []survey.Reading{
			{Name: "window height", Of: survey.Level(0, 1), Value: 50, Sigma: 1},
			{Name: "door", Of: survey.Size(2), Value: 82, Sigma: 1},
		},
	}
	_, err := survey.Adjust(n)
	var open *survey.OpenError
	if !errors.As(err, &open) || !slices.Equal(open.Names, []string{"the sill", "the head"}) {
		t.Errorf("%v", err)
	}
	n.Readings[0].Sigma = 0
	var wrong *survey.ReadingError
	if _, err := survey.Adjust(n); !errors.As(err, &wrong) || wrong.Name != "window height" {
		t.Errorf("%v", err)
	}
	n = south()
	n.Exact = append(n.Exact, survey.Exactly{Name: "the plan's south wall", Terms: survey.Size(3), Value: 245},
		survey.Exactly{Name: "the deed's south wall", Terms: survey.Size(3), Value: 246})
	var clash *survey.ContradictionError
	if _, err := survey.Adjust(n); !errors.As(err, &clash) || clash.Name != "the deed's south wall" {
		t.Errorf("%v", err)
	}
}

// drawHouse draws sizes of a chain of parts with their whole, all taped, good to
// sigma 0.06 in.
func drawHouse(seed uint64) (survey.Network, []float64) {
	r := rand.New(rand.NewPCG(seed, 1))
	parts := 3 + r.IntN(4)
	var n survey.Network
	var truth []float64
	whole := 0.0
	terms := survey.Sum{}
	for i := range parts {
		truth = append(truth, 20+100*r.Float64())
		whole += truth[i]
		n.Unknowns = append(n.Unknowns, survey.Unknown{Name: "part"})
		terms = append(terms, adjust.Term{At: i, By: 1})
	}
	read := func(of survey.Observable, value float64) {
		n.Readings = append(n.Readings, survey.Reading{Name: "part", By: "tape", Of: of, Value: value + 0.06*r.NormFloat64(), Sigma: 0.06})
	}
	for i := range parts {
		read(survey.Size(i), truth[i])
		if i > 0 {
			read(survey.Sum{{At: i - 1, By: 1}, {At: i, By: 1}}, truth[i-1]+truth[i])
		}
	}
	read(terms, whole)
	return n, truth
}

// TestWouldFitIsTheRest: the value that would fit one reading is what the network
// without it gives: the judge leaves it out and adjusts again.
func TestWouldFitIsTheRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, _ := drawHouse(rapid.Uint64().Draw(t, "seed"))
		a, err := survey.Adjust(n)
		if err != nil {
			t.Fatal(err)
		}
		freedom := 0.0
		for i, r := range a.Readings {
			freedom += r.Redundancy
			rest := survey.Network{Unknowns: n.Unknowns, Readings: slices.Delete(slices.Clone(n.Readings), i, i+1)}
			b, err := survey.Adjust(rest)
			if err != nil {
				t.Fatal(err)
			}
			if want, _ := b.Expected(n.Readings[i].Of); math.Abs(want-r.WouldFit) > 1e-8 {
				t.Fatalf("reading %d: %g would fit, the rest says %g", i, r.WouldFit, want)
			}
		}
		if math.Abs(freedom-float64(a.Freedom)) > 1e-9 {
			t.Fatalf("redundancies add up to %g, freedom is %d", freedom, a.Freedom)
		}
	})
}

// TestPlantedInHouses plants a two-inch misreading in drawn houses.
func TestPlantedInHouses(t *testing.T) {
	wrong := 0
	const houses = 400
	for seed := range uint64(houses) {
		n, _ := drawHouse(seed)
		at := int(seed) % len(n.Readings)
		n.Readings[at].Value += 2
		found, _, err := survey.Snoop(n, survey.Critical)
		if err != nil {
			t.Fatal(err)
		}
		if len(found) != 1 || found[0].Reading != at && !slices.Contains(found[0].Alike, at) {
			wrong++
		}
	}
	// Each house has some eight good readings, each beyond 3.29 once in a thousand.
	if wrong > houses/50 {
		t.Errorf("%d of %d plants were not found, or not alone", wrong, houses)
	}
}

// TestNextReading: the judge takes each candidate in turn and adjusts again.
func TestNextReading(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, truth := drawHouse(rapid.Uint64().Draw(t, "seed"))
		n.Readings = n.Readings[1:]
		a, err := survey.Adjust(n)
		if err != nil {
			t.Skip()
		}
		var goals []survey.Goal
		var candidates []survey.Candidate
		for i := range truth {
			goals = append(goals, survey.Goal{Terms: survey.Size(i), Sigma: rapid.Float64Range(0.02, 0.08).Draw(t, "goal")})
			candidates = append(candidates, survey.Candidate{Of: survey.Size(i), Sigma: rapid.Float64Range(0.02, 0.1).Draw(t, "sigma")})
		}
		for _, gain := range a.Next(goals, candidates) {
			c := candidates[gain.Candidate]
			more := n
			more.Readings = append(slices.Clone(n.Readings), survey.Reading{Of: c.Of, Value: truth[gain.Candidate], Sigma: c.Sigma})
			b, err := survey.Adjust(more)
			if err != nil {
				t.Fatal(err)
			}
			variance, reached := 0.0, 0
			for _, g := range goals {
				before, after := a.Sigma(g.Terms...), b.Sigma(g.Terms...)
				variance += (before*before - after*after) / (g.Sigma * g.Sigma)
				if before > g.Sigma && after <= g.Sigma {
					reached++
				}
			}
			if math.Abs(variance-gain.Variance) > 1e-8 || reached != gain.Reached {
				t.Fatalf("said %+v, is %g and %d", gain, variance, reached)
			}
		}
	})
}

// TestMetric: the same house in millimetres gives the same sizes.
func TestMetric(t *testing.T) {
	n := south()
	mm := south()
	for i := range mm.Readings {
		mm.Readings[i].Value *= 25.4
		mm.Readings[i].Sigma *= 25.4
	}
	a, err := survey.Adjust(n)
	b, err2 := survey.Adjust(mm)
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	for i := range a.Values {
		if math.Abs(a.Values[i]*25.4-b.Values[i]) > 1e-9 {
			t.Errorf("unknown %d: %g in, %g mm", i, a.Values[i], b.Values[i])
		}
	}
}
