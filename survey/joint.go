package survey

import (
	"math"

	"coilwright/adjust"
)

// Joint says that some readings hang together: all sizes out of one photo share its
// camera and its scale. Each keeps its own Sigma; Correlation (ones on its diagonal)
// says how they go together, in the order of Of. No reading stands in two joints.
type Joint struct {
	Of          []int
	Correlation adjust.Symmetric
}

// Together gives the joint of readings that have so much covariance, by their places
// in of.
func Together(of []int, cov func(i, k int) float64) Joint {
	n := len(of)
	j := Joint{of, adjust.Symmetric{N: n, Data: make([]float64, n*n)}}
	for i := range n {
		for k := range i {
			c := cov(i, k) / math.Sqrt(cov(i, i)*cov(k, k))
			j.Correlation.Data[i*n+k], j.Correlation.Data[k*n+i] = c, c
		}
		j.Correlation.Data[i*n+i] = 1
	}
	return j
}

// without gives the joint with one reading standing apart: what the others say
// alone, which is their marginal distribution.
func (j Joint) without(reading int) Joint {
	for at, of := range j.Of {
		if of != reading {
			continue
		}
		c := adjust.Symmetric{N: j.Correlation.N, Data: append([]float64(nil), j.Correlation.Data...)}
		for k := range c.N {
			if k != at {
				c.Data[at*c.N+k], c.Data[k*c.N+at] = 0, 0
			}
		}
		j.Correlation = c
	}
	return j
}

// Within gives the joint of those readings that have a number in renumbered, under
// that number.
func (j Joint) Within(renumbered map[int]int) Joint {
	var out Joint
	var at []int
	for k, of := range j.Of {
		if number, ok := renumbered[of]; ok {
			out.Of, at = append(out.Of, number), append(at, k)
		}
	}
	n := len(at)
	out.Correlation = adjust.Symmetric{N: n, Data: make([]float64, n*n)}
	for i, p := range at {
		for k, q := range at {
			out.Correlation.Data[i*n+k] = j.Correlation.At(p, q)
		}
	}
	return out
}

// whitened is a joint with what makes its readings uncorrelated.
type whitened struct {
	Joint
	by adjust.Whitening
}

func (n Network) whitenings() ([]whitened, error) {
	var out []whitened
	for _, j := range n.Joints {
		w, err := adjust.Whiten(j.Correlation)
		if err != nil {
			return nil, &ReadingError{n.Readings[j.Of[0]].Name, err.Error()}
		}
		out = append(out, whitened{j, w})
	}
	return out, nil
}

// uncorrelated gives the rows with those of joints replaced by as many uncorrelated
// combinations of sigma 1.
func uncorrelated(rows []adjust.Row, unknowns int, joints []whitened) []adjust.Row {
	if len(joints) == 0 {
		return rows
	}
	out := append([]adjust.Row(nil), rows...)
	sum := make([]float64, unknowns)
	for _, j := range joints {
		for i, of := range j.Of {
			clear(sum)
			value := 0.0
			for k := range i + 1 {
				r := rows[j.Of[k]]
				by := j.by.By(i, k) / r.Sigma
				value += by * r.Value
				for _, t := range r.Terms {
					sum[t.At] += by * t.By
				}
			}
			out[of] = adjust.Row{Terms: gathered(sum), Value: value, Sigma: 1}
		}
	}
	return out
}

func gathered(sum []float64) []adjust.Term {
	var out []adjust.Term
	for at, by := range sum {
		if by != 0 {
			out = append(out, adjust.Term{At: at, By: by})
		}
	}
	return out
}

// pull is how an error in one reading, all others being right, goes into the
// adjustment: by the terms into the unknowns' normal equations, by miss into the
// estimate of the error itself, whose variance is 1 / shown. Alone is what shown
// would be if nothing else were unknown.
type pull struct {
	terms        []adjust.Term
	miss         float64
	shown, alone float64
}

// pulls gives each reading's pull: for a mean shift in reading k its row of the
// weight matrix times the equations (Baarda 1968; Kok, On data snooping and multiple
// outlier testing, 1984, for correlated readings).
func (n Network) pulls(rows []adjust.Row, joints []whitened, cov adjust.Symmetric) []pull {
	out := make([]pull, len(rows))
	for i, r := range rows {
		weight := 1 / (r.Sigma * r.Sigma)
		out[i] = pull{terms: scaled(r.Terms, weight), miss: weight * r.Value, alone: weight}
	}
	white := uncorrelated(rows, len(n.Unknowns), joints)
	sum := make([]float64, len(n.Unknowns))
	for _, j := range joints {
		m := len(j.Of)
		for k, of := range j.Of {
			clear(sum)
			var p pull
			for i := k; i < m; i++ {
				by := j.by.By(i, k) / rows[of].Sigma
				p.alone += by * by
				p.miss += by * white[j.Of[i]].Value
				for _, t := range white[j.Of[i]].Terms {
					sum[t.At] += by * t.By
				}
			}
			p.terms = gathered(sum)
			out[of] = p
		}
	}
	for i := range out {
		out[i].shown = max(0, out[i].alone-cov.Form(out[i].terms, out[i].terms))
	}
	return out
}

func scaled(terms []adjust.Term, by float64) []adjust.Term {
	out := make([]adjust.Term, len(terms))
	for i, t := range terms {
		out[i] = adjust.Term{At: t.At, By: by * t.By}
	}
	return out
}

// missed is Baarda's noncentrality for his bound: an error so many times its own
// standard deviation is found four times in five (3.29 and the normal law's 80 %
// point, 0.84).
const missed = Critical + 0.84

// Undetected gives by how much a sum of unknowns may be wrong because of an error in
// one reading that data snooping would miss one time in five (Baarda's external
// reliability); infinite where nothing checks a reading that has a say.
func (a Adjustment) Undetected(reading int, of Sum) float64 {
	p := a.pulls[reading]
	moved := math.Abs(a.Cov.Form(of, p.terms))
	switch {
	case moved*math.Sqrt(1/p.alone) < 1e-3*a.Sigma(of...): // it has no say
		return 0
	case p.shown <= checked*p.alone:
		return math.Inf(1)
	}
	return moved * missed / math.Sqrt(p.shown)
}
