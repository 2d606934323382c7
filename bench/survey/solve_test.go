// Package survey measures the adjustment beside gonum's QR in the same run.
package survey

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"

	"coilwright/adjust"
)

// The system that the aim speaks of: 300 observations of 120 unknowns.
const observations, unknowns = 300, 120

// system draws equations with so many terms each; the first ones tie every
// unknown down so that the system is as well-conditioned as a taped house.
func system(terms int) []adjust.Row {
	r := rand.New(rand.NewPCG(11, uint64(terms)))
	rows := make([]adjust.Row, observations)
	for i := range rows {
		rows[i] = adjust.Row{Value: 100 * r.Float64(), Sigma: 0.05 + 0.1*r.Float64()}
		for k, at := range r.Perm(unknowns)[:terms] {
			by := 1.0
			if terms == unknowns || k%2 == 1 {
				by = r.NormFloat64()
			}
			rows[i].Terms = append(rows[i].Terms, adjust.Term{At: at, By: by})
		}
		if i < unknowns && terms < unknowns {
			rows[i].Terms = append(rows[i].Terms[:0:0], adjust.Term{At: i, By: 1})
		}
	}
	return rows
}

// dense is the same system for the peer: weighted equations and right side.
func dense(rows []adjust.Row) (*mat.Dense, *mat.VecDense) {
	a, b := mat.NewDense(len(rows), unknowns, nil), mat.NewVecDense(len(rows), nil)
	for i, r := range rows {
		for _, t := range r.Terms {
			a.Set(i, t.At, t.By/r.Sigma)
		}
		b.SetVec(i, r.Value/r.Sigma)
	}
	return a, b
}

func byQR(t testing.TB, a *mat.Dense, b *mat.VecDense) *mat.VecDense {
	var qr mat.QR
	qr.Factorize(a)
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, b); err != nil {
		t.Fatal(err)
	}
	return &x
}

// kinds: a house's readings hold two to six unknowns each (a part of a wall, a
// whole and its parts, a diagonal); a system with every unknown in every reading
// is the hardest there is.
var kinds = []struct {
	name  string
	terms int
}{{"house", 4}, {"every unknown in every reading", unknowns}}

// byNormals is our own way by gonum alone: what its kernels would make of it.
func byNormals(t testing.TB, a *mat.Dense, b *mat.VecDense) (*mat.VecDense, *mat.SymDense) {
	var normal, inverse mat.SymDense
	normal.SymOuterK(1, a.T())
	var cholesky mat.Cholesky
	if !cholesky.Factorize(&normal) {
		t.Fatal("not positive definite")
	}
	if err := cholesky.InverseTo(&inverse); err != nil {
		t.Fatal(err)
	}
	var pull, x mat.VecDense
	pull.MulVec(a.T(), b)
	x.MulVec(&inverse, &pull)
	return &x, &inverse
}

// BenchmarkSolveBesideQR times all in turn, so that whatever else the machine
// does hits all, and reports the ratio of the medians of ours and QR.
func BenchmarkSolveBesideQR(b *testing.B) {
	for _, kind := range kinds {
		b.Run(kind.name, func(b *testing.B) {
			rows := system(kind.terms)
			a, y := dense(rows)
			var ours, peers, normals []float64
			for range max(b.N, 30) {
				start := time.Now()
				if _, err := adjust.Solve(unknowns, rows); err != nil {
					b.Fatal(err)
				}
				middle := time.Now()
				byQR(b, a, y)
				ours = append(ours, middle.Sub(start).Seconds())
				last := time.Now()
				byNormals(b, a, y)
				peers = append(peers, last.Sub(middle).Seconds())
				normals = append(normals, time.Since(last).Seconds())
			}
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(1e6*median(ours), "us-with-covariance")
			b.ReportMetric(1e6*median(peers), "us-gonum-QR")
			b.ReportMetric(1e6*median(normals), "us-gonum-normals-with-covariance")
			b.ReportMetric(median(ours)/median(peers), "ratio")
		})
	}
}

func median(v []float64) float64 {
	slices.Sort(v)
	return v[len(v)/2]
}

// TestAgreesWithQR: unknowns and the whole covariance agree with the peer's to
// 1e-9 of their size.
func TestAgreesWithQR(t *testing.T) {
	for _, kind := range kinds {
		rows := system(kind.terms)
		a, b := dense(rows)
		fit, err := adjust.Solve(unknowns, rows)
		if err != nil || fit.ByQR {
			t.Fatalf("%s: by QR %v, %v", kind.name, fit.ByQR, err)
		}
		x := byQR(t, a, b)
		size := mat.Norm(x, math.Inf(1))
		var qr mat.QR
		qr.Factorize(a)
		var r mat.Dense
		qr.RTo(&r)
		var inverse mat.Dense
		if err := inverse.Inverse(r.Slice(0, unknowns, 0, unknowns)); err != nil {
			t.Fatal(err)
		}
		var cov mat.Dense
		cov.Mul(&inverse, inverse.T())
		worst, worstCov := 0.0, 0.0
		for i := range unknowns {
			worst = max(worst, math.Abs(fit.X[i]-x.AtVec(i))/size)
			for j := range unknowns {
				worstCov = max(worstCov, math.Abs(fit.Cov.At(i, j)-cov.At(i, j))/math.Sqrt(cov.At(i, i)*cov.At(j, j)))
			}
		}
		t.Logf("%s: unknowns to %.1e, covariance to %.1e, condition of the normal equations %.1e", kind.name, worst, worstCov, fit.Condition)
		if worst > 1e-9 || worstCov > 1e-9 {
			t.Errorf("%s: unknowns differ by %g, covariance by %g", kind.name, worst, worstCov)
		}
	}
}
