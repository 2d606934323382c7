package adjust

import "fmt"

// CorrelationError says that a correlation matrix is none.
type CorrelationError struct{ Why string }

func (e *CorrelationError) Error() string { return "the correlations cannot be used: " + e.Why }

// Whitening turns correlated observations into uncorrelated ones.
type Whitening struct{ inverse square }

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
	u := newSquare(n)
	for i := range u.stride {
		u.at[i*u.stride+i] = 1
	}
	for i := range n {
		from := i / tile * tile
		copy(u.at[i*u.stride+from:], correlation.Data[i*n+from:i*n+n])
	}
	diagonal, ok := u.factor()
	if !ok {
		return Whitening{}, &CorrelationError{"it is not positive definite"}
	}
	u.invertFactor(diagonal)
	for i := 0; i < u.stride; i += tile {
		for r := range tile {
			copy(u.at[(i+r)*u.stride+i:], diagonal.transposed[r*u.stride+i:r*u.stride+i+tile])
		}
	}
	return Whitening{u}, nil
}

// By is entry (i, j) of the inverse factor: by how much observation j counts in the
// uncorrelated observation i; nothing where j > i.
func (w Whitening) By(i, j int) float64 { return w.inverse.at[i*w.inverse.stride+j] }
