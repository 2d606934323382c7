package price

import (
	"math"
	"math/rand/v2"
	"testing"
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

// A judge that knows no least squares: spreads and factors are drawn a million times, and
// each draw counts by how likely it makes the jobs' hours. The factors' means are those
// of the draws, and 95 % of them lie within the plus-minus.
func TestLearnBesideDraws(t *testing.T) {
	all := []Took{{[]float64{30, 10}, 48}, {[]float64{12, 25}, 35}, {[]float64{20, 20}, 44}, {[]float64{40, 5}, 52}}
	got := Learn(all)
	_, alike := ratioOf(all)
	r := rand.New(rand.NewPCG(11, 4))
	var weight, within, mean [2]float64
	for range 1_000_000 {
		apart, spread := usuallyApart*math.Abs(r.NormFloat64()), alike*leastSpread*math.Pow(mostSpread/leastSpread, r.Float64())
		common := 0.2 + 2*r.Float64()
		f := [2]float64{common + apart*r.NormFloat64(), common + apart*r.NormFloat64()}
		likely := 0.0
		for _, x := range all {
			off := (x.True - f[0]*x.Planned[0] - f[1]*x.Planned[1]) / spread
			likely -= off*off/x.planned()/2 + math.Log(spread)
		}
		w := math.Exp(likely)
		for k := range f {
			weight[k], mean[k] = weight[k]+w, mean[k]+w*f[k]
			if math.Abs(f[k]-got[k].Factor) < got[k].PlusMinus {
				within[k] += w
			}
		}
	}
	for k := range got {
		if m, share := mean[k]/weight[k], within[k]/weight[k]; math.Abs(m-got[k].Factor) > 0.01 || math.Abs(share-0.95) > 0.01 {
			t.Errorf("rate %d: %.4f ± %.4f; the draws have %.4f, %.4f of them within", k, got[k].Factor, got[k].PlusMinus, m, share)
		}
	}
}

// shop draws a shop's true factors, that far apart, and what some of its jobs took; each
// kind of house has its own mix of the rates.
func shop(r *rand.Rand, rates, jobs int, apart float64) (truth []float64, all []Took) {
	common, spread := 0.7+r.Float64(), 0.2+0.6*r.Float64()
	for range rates {
		truth = append(truth, common+apart*r.NormFloat64())
	}
	for range jobs {
		x := Took{}
		for k := range rates {
			p := 2 + 30*r.Float64()*r.Float64()
			x.Planned = append(x.Planned, p)
			x.True += p * truth[k]
		}
		x.True = max(x.True+spread*r.NormFloat64()*math.Sqrt(x.planned()), 0.1)
		all = append(all, x)
	}
	return truth, all
}

// Calibrated: the 95 % interval holds the truth in 93 to 97 % of the shops, with few jobs
// and with many, over all ways in which rates may be apart; each kind of shop alone within
// three sigma more.
func TestLearnCovers(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	all, shops := 0, 0
	for _, c := range [][2]int{{1, 2}, {1, 5}, {2, 2}, {2, 4}, {2, 10}, {5, 2}, {5, 5}, {5, 10}} {
		held, here := 0, 400
		for range here {
			truth, took := shop(r, c[0], c[1], usuallyApart*math.Abs(r.NormFloat64()))
			if l := Learn(took); math.Abs(l[0].Factor-truth[0]) <= l[0].PlusMinus {
				held++
			}
		}
		share := float64(held) / float64(here)
		t.Logf("%d rates, %d jobs: %.3f", c[0], c[1], share)
		if share < 0.91 || share > 0.99 {
			t.Errorf("%d rates, %d jobs: %.3f", c[0], c[1], share)
		}
		all, shops = all+held, shops+here
	}
	share := float64(all) / float64(shops)
	t.Logf("together %.4f of %d", share, shops)
	if share < 0.93 || share > 0.97 {
		t.Errorf("together: %.4f", share)
	}
}

// Many jobs tell the rates apart: each within 10 % of the truth, where moving all alike
// leaves some out by more than that.
func TestManyJobsTellRatesApart(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	truth, all := shop(r, 5, 150, usuallyApart)
	worst, alike := 0.0, 0.0
	ratio, _ := ratioOf(all)
	for k, l := range Learn(all) {
		worst, alike = max(worst, math.Abs(l.Factor/truth[k]-1)), max(alike, math.Abs(ratio/truth[k]-1))
	}
	if worst > 0.1 || alike < 0.1 {
		t.Errorf("out by %.3f, all alike by %.3f", worst, alike)
	}
}
