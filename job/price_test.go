package job

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/price"
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
