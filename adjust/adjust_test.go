package adjust_test

import (
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"coilwright/adjust"
)

func term(at int, by float64) adjust.Term { return adjust.Term{At: at, By: by} }

// exact solves the normal equations in fractions, by Gauss and Jordan: the judge,
// which shares no code and makes no rounding. It gives the solution and the
// inverse, or false where there is none.
func exact(n int, rows []adjust.Row) (x []float64, inverse [][]float64, ok bool) {
	rat := func(f float64) *big.Rat { return new(big.Rat).SetFloat64(f) }
	a := make([][]*big.Rat, n) // normal matrix, right side, unit matrix
	for i := range a {
		a[i] = make([]*big.Rat, 2*n+1)
		for j := range a[i] {
			a[i][j] = new(big.Rat)
		}
		a[i][n+1+i].SetInt64(1)
	}
	for _, r := range rows {
		weight := new(big.Rat).Inv(new(big.Rat).Mul(rat(r.Sigma), rat(r.Sigma)))
		for _, p := range r.Terms {
			by := new(big.Rat).Mul(weight, rat(p.By))
			for _, q := range r.Terms {
				a[p.At][q.At].Add(a[p.At][q.At], new(big.Rat).Mul(by, rat(q.By)))
			}
			a[p.At][n].Add(a[p.At][n], new(big.Rat).Mul(by, rat(r.Value)))
		}
	}
	for c := range n {
		p := slices.IndexFunc(a[c:], func(row []*big.Rat) bool { return row[c].Sign() != 0 })
		if p < 0 {
			return nil, nil, false
		}
		a[c], a[c+p] = a[c+p], a[c]
		by := new(big.Rat).Inv(a[c][c])
		for j := range a[c] {
			a[c][j].Mul(a[c][j], by)
		}
		for i := range a {
			if by := new(big.Rat).Set(a[i][c]); i != c && by.Sign() != 0 {
				for j := range a[i] {
					a[i][j].Sub(a[i][j], new(big.Rat).Mul(by, a[c][j]))
				}
			}
		}
	}
	for i := range a {
		v, _ := a[i][n].Float64()
		x = append(x, v)
		row := make([]float64, n)
		for j := range row {
			row[j], _ = a[i][n+1+j].Float64()
		}
		inverse = append(inverse, row)
	}
	return x, inverse, true
}

// drawSystem draws small whole coefficients, so that ranks can fail exactly.
func drawSystem(t *rapid.T) (int, []adjust.Row) {
	n := rapid.IntRange(1, 7).Draw(t, "unknowns")
	m := rapid.IntRange(1, 14).Draw(t, "rows")
	var rows []adjust.Row
	for range m {
		r := adjust.Row{Value: float64(rapid.IntRange(-50, 50).Draw(t, "value")), Sigma: float64(rapid.IntRange(1, 16).Draw(t, "sigma")) / 8}
		for range rapid.IntRange(1, 4).Draw(t, "terms") {
			r.Terms = append(r.Terms, term(rapid.IntRange(0, n-1).Draw(t, "at"), float64(rapid.IntRange(-3, 3).Draw(t, "by"))))
		}
		rows = append(rows, r)
	}
	return n, rows
}

func TestSolveAgainstFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, rows := drawSystem(t)
		x, inverse, ok := exact(n, rows)
		fit, err := adjust.Solve(n, rows)
		if !ok {
			var open *adjust.UndeterminedError
			if !errors.As(err, &open) || len(open.Unknowns) == 0 {
				t.Fatalf("a singular system gave %v, %v", fit.X, err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		size := 1.0
		for _, v := range x {
			size = max(size, math.Abs(v))
		}
		for i := range n {
			if math.Abs(fit.X[i]-x[i]) > 1e-10*size {
				t.Fatalf("x%d = %g, exactly %g", i, fit.X[i], x[i])
			}
			for j := range n {
				if math.Abs(fit.Cov.At(i, j)-inverse[i][j]) > 1e-9*math.Sqrt(inverse[i][i]*inverse[j][j]) {
					t.Fatalf("covariance %d %d = %g, exactly %g", i, j, fit.Cov.At(i, j), inverse[i][j])
				}
			}
		}
	})
}

// TestLargerAgainstFractions goes below, to and beyond whole tiles, with few unknowns
// in a row and with all of them.
func TestLargerAgainstFractions(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, n := range []int{1, 7, 8, 9, 16, 17, 24} {
		for _, terms := range []int{min(n, 2), n} {
			rows := make([]adjust.Row, 3*n)
			for i := range rows {
				rows[i] = adjust.Row{Value: float64(r.IntN(200) - 100), Sigma: float64(1+r.IntN(16)) / 8}
				for k := range terms {
					rows[i].Terms = append(rows[i].Terms, term((i+k*k)%n, float64(1+r.IntN(9))*float64(1-2*(k%2))))
				}
			}
			x, inverse, ok := exact(n, rows)
			fit, err := adjust.Solve(n, rows)
			if !ok || err != nil || fit.ByQR {
				t.Fatalf("%d unknowns: %v, %v, by QR %v", n, ok, err, fit.ByQR)
			}
			for i := range n {
				if math.Abs(fit.X[i]-x[i]) > 1e-10*(100+math.Abs(x[i])) {
					t.Fatalf("%d unknowns: x%d = %g, exactly %g", n, i, fit.X[i], x[i])
				}
				for j := range n {
					if math.Abs(fit.Cov.At(i, j)-inverse[i][j]) > 1e-11*math.Sqrt(inverse[i][i]*inverse[j][j]) {
						t.Fatalf("%d unknowns: covariance %d %d = %g, exactly %g", n, i, j, fit.Cov.At(i, j), inverse[i][j])
					}
				}
			}
		}
	}
}

// TestIllConditioned: Hilbert's matrix of order 6 has condition 1.5e7 (squared in
// the normal equations); with right sides for x = 1 the answer is all ones.
func TestIllConditioned(t *testing.T) {
	const n = 6
	var rows []adjust.Row
	for i := range n + 2 {
		r := adjust.Row{Sigma: 1}
		for j := range n {
			r.Terms = append(r.Terms, term(j, 1/float64(i+j+1)))
			r.Value += 1 / float64(i+j+1)
		}
		rows = append(rows, r)
	}
	fit, err := adjust.Solve(n, rows)
	if err != nil || !fit.ByQR {
		t.Fatalf("by QR %v, %v", fit.ByQR, err)
	}
	_, inverse, _ := exact(n, rows)
	for i := range n {
		if math.Abs(fit.X[i]-1) > 1e-8 {
			t.Errorf("x%d = %.12g", i, fit.X[i])
		}
		if got := fit.Cov.At(i, i); math.Abs(got-inverse[i][i]) > 1e-7*inverse[i][i] {
			t.Errorf("variance %d = %g, exactly %g", i, got, inverse[i][i])
		}
	}
}

func TestUndeterminedNamesTheOpenOnes(t *testing.T) {
	// Unknowns 1 and 2 are known only by their difference; 0 and 3 are read.
	rows := []adjust.Row{
		{Terms: []adjust.Term{term(0, 1)}, Value: 5, Sigma: 1},
		{Terms: []adjust.Term{term(1, 1), term(2, -1)}, Value: 2, Sigma: 1},
		{Terms: []adjust.Term{term(3, 1), term(0, 1)}, Value: 2, Sigma: 1},
		{Terms: []adjust.Term{term(3, 1)}, Value: 2, Sigma: 1},
	}
	_, err := adjust.Solve(4, rows)
	var open *adjust.UndeterminedError
	if !errors.As(err, &open) || !slices.Equal(open.Unknowns, []int{1, 2}) {
		t.Fatalf("%v", err)
	}
}

// TestConditions: conditions that hold exactly are the limit of readings whose
// sigma goes to nothing (1e-5 beside 1: six digits).
func TestConditions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, rows := drawSystem(t)
		_, held := drawSystem(t)
		var conditions []adjust.Condition
		all := slices.Clone(rows)
		for _, h := range held[:min(2, len(held))] {
			if slices.ContainsFunc(h.Terms, func(t adjust.Term) bool { return t.At >= n }) {
				return
			}
			conditions = append(conditions, adjust.Condition{Terms: h.Terms, Value: h.Value})
			all = append(all, adjust.Row{Terms: h.Terms, Value: h.Value, Sigma: 1e-5})
		}
		fit, err := adjust.SolveUnder(n, rows, conditions)
		near, nearErr := adjust.Solve(n, all)
		var clash *adjust.ConditionError
		if errors.As(err, &clash) {
			return // judged by hand below
		}
		if (err == nil) != (nearErr == nil) {
			t.Fatalf("%v, but %v", err, nearErr)
		}
		if err != nil {
			return
		}
		for i, c := range conditions {
			sum := -c.Value
			for _, term := range c.Terms {
				sum += term.By * fit.X[term.At]
			}
			if math.Abs(sum) > 1e-9*(1+math.Abs(c.Value)) {
				t.Fatalf("condition %d is missed by %g", i, sum)
			}
		}
		for i := range n {
			if math.Abs(fit.X[i]-near.X[i]) > 1e-4*(1+math.Abs(near.X[i])) ||
				math.Abs(fit.Cov.At(i, i)-near.Cov.At(i, i)) > 1e-4*(1e-4+near.Cov.At(i, i)) {
				t.Fatalf("x%d = %g (%g), near %g (%g)", i, fit.X[i], fit.Cov.At(i, i), near.X[i], near.Cov.At(i, i))
			}
		}
	})
}

func TestConditionsClash(t *testing.T) {
	rows := []adjust.Row{{Terms: []adjust.Term{term(0, 1)}, Value: 1, Sigma: 1}}
	sum := []adjust.Term{term(0, 1), term(1, 1)}
	_, err := adjust.SolveUnder(2, rows, []adjust.Condition{{sum, 3}, {sum, 3}})
	if err != nil {
		t.Errorf("saying a condition twice: %v", err)
	}
	_, err = adjust.SolveUnder(2, rows, []adjust.Condition{{sum, 3}, {sum, 4}})
	var clash *adjust.ConditionError
	if !errors.As(err, &clash) || clash.Condition != 1 || math.Abs(clash.By-1) > 1e-12 {
		t.Errorf("two that clash: %v", err)
	}
	_, err = adjust.SolveUnder(3, rows, []adjust.Condition{{[]adjust.Term{term(1, 1), term(2, -1)}, 0}})
	var open *adjust.UndeterminedError
	if !errors.As(err, &open) || !slices.Equal(open.Unknowns, []int{1, 2}) {
		t.Errorf("two unknowns known only to be equal: %v", err)
	}
}

func TestBadRows(t *testing.T) {
	good := adjust.Row{Terms: []adjust.Term{term(0, 1)}, Sigma: 1}
	for name, bad := range map[string]adjust.Row{
		"no sigma": {Terms: good.Terms}, "negative": {Terms: good.Terms, Sigma: -1},
		"NaN": {Terms: good.Terms, Sigma: 1, Value: math.NaN()}, "beyond": {Terms: []adjust.Term{term(1, 1)}, Sigma: 1},
		"infinite": {Terms: []adjust.Term{term(0, math.Inf(1))}, Sigma: 1}, "infinite sigma": {Terms: good.Terms, Sigma: math.Inf(1)},
		"named twice, infinite": {Terms: []adjust.Term{term(0, 1), term(0, math.NaN())}, Sigma: 1}, "NaN sigma": {Terms: good.Terms, Sigma: math.NaN()},
	} {
		_, err := adjust.Solve(1, []adjust.Row{good, bad})
		var wrong *adjust.RowError
		if !errors.As(err, &wrong) || wrong.Row != 1 {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestDoesNotSettle(t *testing.T) {
	m := adjust.Model[float64]{
		Unknowns: 1,
		Rows: func(x float64) []adjust.Row {
			return []adjust.Row{{Terms: []adjust.Term{term(0, 1)}, Value: math.Inf(1), Sigma: 1}}
		},
		Move: func(x float64, step []float64) float64 { return x + step[0] },
	}
	if _, _, err := adjust.Nonlinear(m, 0.0); !errors.Is(err, adjust.ErrNotSettled) {
		t.Errorf("an infinite misclosure: %v", err)
	}
}
