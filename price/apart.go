package price

import (
	"math"
	"slices"
)

// usuallyApart is how far the rates of one work are out against each other before the
// jobs tell, as the scale of a half-normal prior (common practice, no source; the form
// is that of A. Gelman, Prior distributions for variance parameters in hierarchical
// models, Bayesian Analysis 1, 2006).
const usuallyApart = 0.25

// How finely both spreads are gone through: that of the rates up to three times the usual
// in even steps, the jobs' own in even ratios between these parts of what it would be if
// all rates were out alike.
const (
	apartSteps              = 10
	spreadSteps             = 22
	leastSpread, mostSpread = 0.1, 40.0
)

// belief is what the factors are where both spreads are known: means, covariances, and
// the logarithm of how likely the jobs' hours are so.
type belief struct {
	mean, gain []float64
	cov        [][]float64
	weight     float64
}

// before the first job the factors share one that nothing is known of, within a factor
// of ten, and stand apart from it.
func before(rates int, apart float64) belief {
	b := belief{mean: slices.Repeat([]float64{1}, rates), gain: make([]float64, rates)}
	for i := range rates {
		b.cov = append(b.cov, slices.Repeat([]float64{10 * 10}, rates))
		b.cov[i][i] += apart * apart
	}
	return b
}

// learn takes one job's hours in: least squares, one row after the other (the filter of
// R. E. Kalman, 1960, without motion).
func (b *belief) learn(t Took, spread float64) {
	gain, off, variance := b.gain, t.True, spread*spread*t.planned()
	for i, p := range t.Planned {
		gain[i] = 0
		off -= p * b.mean[i]
		for k, q := range t.Planned {
			gain[i] += q * b.cov[i][k]
		}
		variance += p * gain[i]
	}
	for i := range gain {
		b.mean[i] += gain[i] * off / variance
		for k := range gain {
			b.cov[i][k] -= gain[i] * gain[k] / variance
		}
	}
	b.weight -= (math.Log(variance) + off*off/variance) / 2
}

// several tells factors apart that share a common one, which nothing is known of before,
// and stand apart from it by a spread of their own: the mixed model of S. R. Searle,
// G. Casella and C. E. McCulloch, Variance Components, chapter 9, with both spreads,
// that one and the jobs' own, taken from the jobs themselves: every pair of them is gone
// through and weighed by how likely it makes the hours (A. Gelman and others, Bayesian
// Data Analysis, chapter 5). alike is the jobs' spread if all factors were one.
func several(all []Took, alike float64, out []Learned) {
	var beliefs []belief
	most := math.Inf(-1)
	for i := range apartSteps {
		apart := 3 * usuallyApart * (float64(i) + 0.5) / apartSteps
		for k := range spreadSteps {
			spread := alike * leastSpread * math.Pow(mostSpread/leastSpread, float64(k)/(spreadSteps-1))
			b := before(len(out), apart)
			for _, t := range all {
				b.learn(t, spread)
			}
			b.weight -= apart * apart / (2 * usuallyApart * usuallyApart)
			most = max(most, b.weight)
			beliefs = append(beliefs, b)
		}
	}
	sum := 0.0
	for i := range beliefs {
		beliefs[i].weight = math.Exp(beliefs[i].weight - most)
		sum += beliefs[i].weight
	}
	for k := range out {
		mean := 0.0
		for _, b := range beliefs {
			mean += b.weight / sum * b.mean[k]
		}
		if mean > 0 {
			out[k].Factor = mean
		}
		out[k].PlusMinus = halfWidth(beliefs, sum, k, out[k].Factor)
	}
}

// halfWidth is how far to both sides of a factor 95 % of the belief in it lie.
func halfWidth(beliefs []belief, sum float64, k int, factor float64) float64 {
	within := func(h float64) (p float64) {
		for _, b := range beliefs {
			s := math.Sqrt(2 * b.cov[k][k])
			p += b.weight / sum * (math.Erf((factor+h-b.mean[k])/s) - math.Erf((factor-h-b.mean[k])/s)) / 2
		}
		return p
	}
	low, high := 0.0, 1e-6
	for within(high) < 0.95 && high < 1e6 {
		high *= 2
	}
	for range 40 {
		if mid := (low + high) / 2; within(mid) < 0.95 {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}
