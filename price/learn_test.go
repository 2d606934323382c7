package price

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// Two jobs by hand: 100 h planned took 110, 50 h took 45: 155/150 = 1.03333; residuals
// 6.6667 and -6.6667; 0.44444 + 0.88889 over 1 and 150; 12.706 x sqrt(1.33333/150) =
// 1.19792.
func TestLearnByHand(t *testing.T) {
	l := Learn([]Took{{[]float64{100}, 110}, {[]float64{50}, 45}, {[]float64{0}, 5}, {[]float64{10}, -1}})
	if len(l) != 1 || l[0].Jobs != 2 || math.Abs(l[0].Factor-1.0333333) > 1e-6 || math.Abs(l[0].PlusMinus-1.19792) > 1e-4 {
		t.Errorf("%+v", l)
	}
	if l := Learn([]Took{{[]float64{200}, 220}}); len(l) != 1 || l[0].PlusMinus != 0 || math.Abs(l[0].Factor-1.1) > 1e-9 {
		t.Errorf("one job: %+v", l)
	}
	if Learn(nil) != nil || Learn([]Took{{[]float64{0}, 3}}) != nil {
		t.Error("nothing was learned from")
	}
}

// One job moves all rates of its work alike; a rate that it did not have is not told.
func TestOneJobMovesAllAlike(t *testing.T) {
	for i, l := range Learn([]Took{{[]float64{30, 6, 0, 4}, 50}}) {
		if math.Abs(l.Factor-1.25) > 1e-9 || l.PlusMinus != 0 || l.Jobs != []int{1, 1, 0, 1}[i] {
			t.Errorf("%d: %+v", i, l)
		}
	}
}

// squares is what the factors f with the common one c make least: the jobs' weighted
// squares and how far the factors stand from the common one.
func squares(all []Took, f []float64, c, spread float64) (sum float64) {
	for _, x := range all {
		off, planned := x.True, 0.0
		for k, p := range x.Planned {
			off, planned = off-f[k]*p, planned+p
		}
		sum += off * off / planned / spread / spread
	}
	for _, x := range f {
		sum += (x - c) * (x - c) / (0.25 * 0.25)
	}
	return sum
}

// No other factors make the squares less: a step of any one of them, the common one
// moved along to its own best (their mean), never helps.
func TestLearnIsLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rates := rapid.IntRange(1, 5).Draw(t, "rates")
		var all []Took
		for range rapid.IntRange(2, 9).Draw(t, "jobs") {
			x := Took{Planned: make([]float64, rates)}
			for k := range x.Planned {
				x.Planned[k] = rapid.Float64Range(1, 100).Draw(t, "planned")
				x.True += x.Planned[k] * rapid.Float64Range(0.7, 1.6).Draw(t, "true")
			}
			all = append(all, x)
		}
		_, spread := ratioOf(all)
		f := make([]float64, rates)
		for k, l := range Learn(all) {
			f[k] = l.Factor
		}
		mean := func() (c float64) {
			for _, x := range f {
				c += x / float64(rates)
			}
			return c
		}
		best := squares(all, f, mean(), spread)
		for k := range f {
			for _, step := range []float64{1e-3, -1e-3} {
				f[k] += step
				if now := squares(all, f, mean(), spread); now < best*(1-1e-9)-1e-9 {
					t.Fatalf("a step of %g in rate %d has %.12g, the answer %.12g", step, k, now, best)
				}
				f[k] -= step
			}
		}
	})
}

// shop draws a shop's true factors, as far apart as the method takes them to be, and
// what some of its jobs took; each kind of house has its own mix of the rates.
func shop(r *rand.Rand, rates, jobs int) (truth []float64, all []Took) {
	common := 0.7 + r.Float64()
	for range rates {
		truth = append(truth, common+apart*r.NormFloat64()/2) // half of what is assumed: the method is on the safe side
	}
	for range jobs {
		x := Took{}
		for k := range rates {
			p := 2 + 30*r.Float64()*r.Float64()
			x.Planned = append(x.Planned, p)
			x.True += p * truth[k]
		}
		x.True = max(x.True+0.5*r.NormFloat64()*math.Sqrt(x.planned()), 0.1)
		all = append(all, x)
	}
	return truth, all
}

// The 95 % interval holds the truth in at least 93.5 % of 4000 shops (four sigma), for a
// rate alone, where it is exact, and for several together, where it is wide.
func TestLearnCovers(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for _, rates := range []int{1, 5} {
		held, shops := 0, 4000
		for range shops {
			truth, all := shop(r, rates, 5)
			if l := Learn(all); math.Abs(l[0].Factor-truth[0]) <= l[0].PlusMinus {
				held++
			}
		}
		share := float64(held) / float64(shops)
		t.Logf("%d rates: %.3f", rates, share)
		if share < 0.935 || rates == 1 && share > 0.965 {
			t.Errorf("%d rates: %.3f", rates, share)
		}
	}
}

// Many jobs tell the rates apart: each within 10 % of the truth, where moving all alike
// leaves some out by more than that.
func TestManyJobsTellRatesApart(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	truth, all := shop(r, 5, 150)
	worst, alike := 0.0, 0.0
	ratio, _ := ratioOf(all)
	for k, l := range Learn(all) {
		worst, alike = max(worst, math.Abs(l.Factor/truth[k]-1)), max(alike, math.Abs(ratio/truth[k]-1))
	}
	if worst > 0.1 || alike < 0.1 {
		t.Errorf("out by %.3f, all alike by %.3f", worst, alike)
	}
}
