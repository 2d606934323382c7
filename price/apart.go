package price

import "math"

// usuallyApart is how far the rates of one work are out against each other before the
// jobs tell, as the scale of a half-normal prior (common practice, no source; the form
// is that of A. Gelman, Prior distributions for variance parameters in hierarchical
// models, Bayesian Analysis 1, 2006).
const usuallyApart = 0.25

// Steps of the two spreads that are gone through.
const (
	apartSteps  = 24
	spreadSteps = 24
)

// normals are a work's jobs as normal equations for a spread of 1: planned x planned,
// planned x hours and hours x hours, each job weighted by one over its planned hours.
type normals struct {
	a    [][]float64
	b    []float64
	c    float64
	jobs int
}

func normalsOf(all []Took) normals {
	n := normals{jobs: len(all), b: make([]float64, len(all[0].Planned))}
	for range n.b {
		n.a = append(n.a, make([]float64, len(n.b)))
	}
	for _, t := range all {
		w := 1 / t.planned()
		n.c += w * t.True * t.True
		for i, p := range t.Planned {
			n.b[i] += w * p * t.True
			for k, q := range t.Planned {
				n.a[i][k] += w * p * q
			}
		}
	}
	return n
}

// belief is what the factors are where both spreads are known: means, variances, and the
// logarithm of how likely the jobs' hours are so.
type belief struct {
	mean, variance []float64
	weight         float64
}

// several tells factors apart that share a common one, which nothing is known of before,
// and stand apart from it by a spread of their own: the mixed model of S. R. Searle,
// G. Casella and C. E. McCulloch, Variance Components, chapter 9, with both spreads,
// that one and the jobs' own, taken from the jobs themselves: every pair of them is gone
// through and weighed by how likely it makes the hours (A. Gelman and others, Bayesian
// Data Analysis, chapter 5). alike is the jobs' spread if all factors were one.
func several(all []Took, alike float64, out []Learned) {
	n := normalsOf(all)
	var beliefs []belief
	most := math.Inf(-1)
	for i := range apartSteps {
		apart := 3 * usuallyApart * (float64(i) + 0.5) / apartSteps
		for k := range spreadSteps {
			spread := alike * math.Exp(math.Log(20)*(float64(k)/(spreadSteps-1))-math.Log(8))
			b, ok := n.known(apart, spread)
			if !ok {
				continue
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

// known solves for the factors where both spreads are known. The common factor, flat
// before, is summed over: it leaves (1 - 1/rates) / apart^2 to the factors' precision.
func (n normals) known(apart, spread float64) (belief, bool) {
	rates := len(n.b)
	q := make([][]float64, rates)
	right := make([]float64, rates)
	for i := range q {
		q[i] = make([]float64, rates)
		right[i] = n.b[i] / spread / spread
		for k := range q[i] {
			q[i][k] = n.a[i][k]/spread/spread - 1/float64(rates)/apart/apart
		}
		q[i][i] += 1 / apart / apart
	}
	inverse, logDet, ok := inverted(q)
	if !ok {
		return belief{}, false
	}
	b := belief{mean: make([]float64, rates), variance: make([]float64, rates)}
	fits := 0.0
	for i := range q {
		for k := range q {
			b.mean[i] += inverse[i][k] * right[k]
		}
		b.variance[i] = inverse[i][i]
		fits += b.mean[i] * right[i]
	}
	b.weight = -float64(n.jobs)*math.Log(spread) - float64(rates-1)*math.Log(apart) - logDet/2 - (n.c/spread/spread-fits)/2
	return b, true
}

// halfWidth is how far to both sides of a factor 95 % of the belief in it lie.
func halfWidth(beliefs []belief, sum float64, k int, factor float64) float64 {
	within := func(h float64) (p float64) {
		for _, b := range beliefs {
			s := math.Sqrt(2 * b.variance[k])
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
