package adjust

import "fmt"

// CorrelationError says that a correlation matrix is none.
type CorrelationError struct{ Why string }

func (e *CorrelationError) Error() string { return "the correlations cannot be used: " + e.Why }

// Whitening turns correlated observations into uncorrelated ones.
type Whitening struct{ inverse []float64 }

// Whiten gives the whitening of a correlation matrix (ones on its diagonal): the
// inverse of its Cholesky factor L. What is multiplied by it has the unit matrix as
// covariance (Koch, Parameter Estimation and Hypothesis Testing in Linear Models,
// 1999, sec. 3.2). The error is a *CorrelationError.
func Whiten(correlation Symmetric) (Whitening, error) {
	n := correlation.N
	for i := range n {
		if correlation.At(i, i) != 1 {
			return Whitening{}, &CorrelationError{fmt.Sprintf("entry %d of its diagonal is %g", i, correlation.At(i, i))}
		}
	}
	l := append([]float64(nil), correlation.Data...)
	if !cholesky(l, n) {
		return Whitening{}, &CorrelationError{"it is not positive definite"}
	}
	return Whitening{invertFactor(l, n)}, nil
}

// By is entry (i, j) of the inverse factor: by how much observation j counts in the
// uncorrelated observation i; nothing where j > i.
func (w Whitening) By(n, i, j int) float64 { return w.inverse[j*n+i] }
