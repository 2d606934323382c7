package pack

import "math/big"

// weights is a proof in whole numbers. Every element i of a part weighs
// item[i] >= 0, every subset-row cut r costs cut[r] >= 0, and heaviest[k] is
// at least the net weight of any pattern of supply k. Then for any t >= 0
//
//	weight of any plan >= t*(sum demand[i]*item[i] - sum rhs[r]*cut[r])
//	                      + sum over k of n[k]*(cost[k] - t*heaviest[k])
//
// with n[k] the fewest bins of k there may be where the bracket is positive
// and the most where it is negative. The right side is concave and piecewise linear in t:
// one of t = cost[k]/heaviest[k] is best (Farley 1990 for one stock, from memory).
type weights struct {
	total    int64 // sum demand*item - sum rhs*cut
	heaviest []int64
}

// bound is that lower bound rounded up, exactly. scale is the t that the
// linear programme meant, tried beside the breakpoints.
func (w weights) bound(cost []int64, lo, hi []int) int64 {
	best, at := 0.0, -1
	for j, v := range w.heaviest {
		if v <= 0 {
			continue
		}
		t := float64(cost[j]) / float64(v)
		if g := w.estimate(t, cost, lo, hi); at < 0 || g > best {
			best, at = g, j
		}
	}
	if at < 0 {
		return 0
	}
	return w.exact(at, cost, lo, hi)
}

func (w weights) estimate(t float64, cost []int64, lo, hi []int) float64 {
	g := t * float64(w.total)
	for k, v := range w.heaviest {
		d := float64(cost[k]) - t*float64(v)
		if d > 0 {
			g += d * float64(lo[k])
		} else {
			g += d * float64(hi[k])
		}
	}
	return g
}

// exact evaluates at t = cost[j]/heaviest[j], times heaviest[j], and divides.
func (w weights) exact(j int, cost []int64, lo, hi []int) int64 {
	cj, vj := big.NewInt(cost[j]), big.NewInt(w.heaviest[j])
	sum := new(big.Int).Mul(cj, big.NewInt(w.total))
	for k, v := range w.heaviest {
		d := new(big.Int).Mul(big.NewInt(cost[k]), vj)
		d.Sub(d, new(big.Int).Mul(cj, big.NewInt(v)))
		n := hi[k]
		if d.Sign() > 0 {
			n = lo[k]
		}
		sum.Add(sum, d.Mul(d, big.NewInt(int64(n))))
	}
	if sum.Sign() <= 0 {
		return 0
	}
	sum.Add(sum, vj).Sub(sum, big.NewInt(1))
	if sum.Div(sum, vj); !sum.IsInt64() {
		return sumLimit
	}
	return min(sum.Int64(), sumLimit)
}
