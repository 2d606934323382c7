package job

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/price"
	"coilwright/problem"
)

// The stated plus-minus of a price against brute force: every wall of the house is
// drawn wider and taller at random, and the whole job is laid out and priced again.
// A reading is good to 6 in here, so that whole lengths of trim and whole days are
// small beside it; trim bought in whole lengths still leaves some roughness, which
// is why a quarter is allowed.
func TestDoubtAgainstSimulation(t *testing.T) {
	j := example(t, "ranch")
	j.Prices.Rates["trailer_day"] = price.Figure{Written: true} // days jump by whole ones
	j.Prices.Rates["travel_hours_day"] = price.Figure{Written: true}
	const pm = 6 * measure.Inch
	for i := range j.House.Walls {
		j.House.Walls[i].Measured = house.Pedigree{By: house.Tape, PlusMinus: pm}
	}
	stated, err := j.Price("A")
	if err != nil {
		t.Fatal(err)
	}
	chance := rand.New(rand.NewPCG(7, 1))
	const draws = 80
	var sum, squares float64
	for range draws {
		drawn := *j
		drawn.House = stretched(j.House, func() float64 { return chance.NormFloat64() * float64(pm) / 1.96 })
		e, err := drawn.Price("A")
		if err != nil {
			t.Fatal(err)
		}
		x, _ := e.Total.Float64()
		sum, squares = sum+x, squares+x*x
	}
	mean := sum / draws
	simulated := 1.96 * math.Sqrt((squares-sum*mean)/(draws-1))
	got, _ := stated.Doubt.PlusMinus.Float64()
	t.Logf("+/- %.2f stated, %.2f simulated", got, simulated)
	if r := got / simulated; r < 0.75 || r > 1.33 {
		t.Errorf("+/- %.2f stated, %.2f simulated: ratio %.2f", got, simulated, r)
	}
}

// stretched gives each wall another width and height, its openings with it.
func stretched(h house.House, more func() float64) house.House {
	out := h
	out.Walls = append([]house.Wall(nil), h.Walls...)
	for i, w := range out.Walls {
		box := w.Outline.Box()
		sx, sy := 1+more()/float64(box.Width()), 1+more()/float64(box.Height())
		scale := func(r plane.Ring) plane.Ring {
			s := make(plane.Ring, len(r))
			for k, p := range r {
				s[k] = plane.Point{X: measure.Length(math.Round(float64(p.X) * sx)), Y: measure.Length(math.Round(float64(p.Y) * sy))}
			}
			return s
		}
		w.Outline = scale(w.Outline)
		w.Openings = append([]house.Opening(nil), w.Openings...)
		for k := range w.Openings {
			w.Openings[k].Outline = scale(w.Openings[k].Outline)
		}
		out.Walls[i] = w
	}
	return out
}

func example(t *testing.T, name string) *Job {
	t.Helper()
	data, err := os.ReadFile("../examples/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	j, found := Parse(name, data, nil)
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	return &j
}

// A book from before, whose machine has the figures of set-ups and feed and that tears
// off by the square, prices to the same cent as one that has them among its rates; where
// both stand, the rate counts and that is said.
func TestMachineFiguresAreRates(t *testing.T) {
	text, err := os.ReadFile("../examples/alder.json")
	if err != nil {
		t.Fatal(err)
	}
	with := func(shop string) (Job, problem.List, string) {
		j, found := Parse("alder", bytes.Replace(text, []byte(`"shop": { "use": "demo" }`), []byte(`"shop": {"use": "demo", `+shop+`}`), 1), nil)
		if err := found.Err(); err != nil {
			t.Fatal(err)
		}
		e, err := j.Price("A")
		if err != nil || len(e.Gaps) > 0 {
			t.Fatal(err, e.Gaps)
		}
		return j, found, e.Total.String()
	}
	_, _, now := with(`"title": "The demo book"`)
	old, _, was := with(`"rates": {"setup_minutes": null, "feed_ft_per_min": null}, "machine": {"setup_minutes": 15, "feed_ft_per_min": 40, "threading_scrap": "6 ft", "cut_loss": "1/16 in"}`)
	if f := old.Prices.Rates[price.SetUpMinutes]; was != now || f.Value.String() != "15" || f.Jobs != 0 {
		t.Errorf("%s by the machine's figures (%v), %s by the rates", was, f, now)
	}
	both, found, other := with(`"machine": {"setup_minutes": 60}`)
	if both.Book.Machine.SetupMinutes != 15 || other != now || !strings.Contains(fmt.Sprint(found), "the machine's setup_minutes is not used") {
		t.Errorf("%g minutes, %s, %v", both.Book.Machine.SetupMinutes, other, found)
	}
	for range 8 { // in the same order every time
		_, found, _ := with(`"machine": {"setup_minutes": 60, "feed_ft_per_min": 50}`)
		if said := fmt.Sprint(found); !strings.Contains(said, "feed_ft_per_min is not used") || strings.Index(said, "feed_ft_per_min is not used") < strings.Index(said, "setup_minutes is not used") {
			t.Fatal(said)
		}
	}
	bare, found := ParseBook("bare", []byte(`{"currency": "USD"}`))
	if _, ok := bare.Prices.Rates[price.SetUpMinutes]; ok || found.Err() != nil {
		t.Error("a book without a machine has its figures", found)
	}
}
