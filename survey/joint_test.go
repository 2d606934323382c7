package survey_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"coilwright/adjust"
	"coilwright/survey"
)

// jointed draws a network of sums, the last few of its readings hanging together,
// and the covariance of them all.
func jointed(t *rapid.T) (survey.Network, *mat.SymDense) {
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	unknowns, free, tied := rapid.IntRange(1, 5).Draw(t, "unknowns"), rapid.IntRange(0, 4).Draw(t, "free"), rapid.IntRange(2, 5).Draw(t, "tied")
	var n survey.Network
	for range unknowns {
		n.Unknowns = append(n.Unknowns, survey.Unknown{})
	}
	add := func(of survey.Sum) {
		n.Readings = append(n.Readings, survey.Reading{Of: of, Value: 10 * r.NormFloat64(), Sigma: 0.5 + r.Float64()})
	}
	for i := range unknowns {
		add(survey.Size(i))
	}
	for range free + tied {
		var of survey.Sum
		for i := range unknowns {
			of = append(of, adjust.Term{At: i, By: float64(r.IntN(5) - 2)})
		}
		add(append(of, adjust.Term{At: 0, By: 1}))
	}
	factor := mat.NewDense(tied, tied+1, nil)
	factor.Apply(func(_, _ int, _ float64) float64 { return r.NormFloat64() }, factor)
	var product mat.SymDense
	product.SymOuterK(1, factor)
	j := survey.Joint{Correlation: adjust.Symmetric{N: tied, Data: make([]float64, tied*tied)}}
	cov := mat.NewSymDense(len(n.Readings), nil)
	for i, reading := range n.Readings {
		cov.SetSym(i, i, reading.Sigma*reading.Sigma)
	}
	for i := range tied {
		p := len(n.Readings) - tied + i
		j.Of = append(j.Of, p)
		for k := range tied {
			q := len(n.Readings) - tied + k
			c := product.At(i, k) / math.Sqrt(product.At(i, i)*product.At(k, k))
			if i == k {
				c = 1
			}
			j.Correlation.Data[i*tied+k] = c
			cov.SetSym(p, q, c*n.Readings[p].Sigma*n.Readings[q].Sigma)
		}
	}
	n.Joints = []survey.Joint{j}
	return n, cov
}

// general solves by the textbook's formula for correlated readings, with one column
// more for an error in reading shifted where that is not negative: the judge.
func general(t *rapid.T, n survey.Network, cov *mat.SymDense, shifted int) (x mat.VecDense, q mat.Dense) {
	columns := len(n.Unknowns)
	if shifted >= 0 {
		columns++
	}
	a, y := mat.NewDense(len(n.Readings), columns, nil), mat.NewVecDense(len(n.Readings), nil)
	for i, r := range n.Readings {
		for _, term := range r.Of.(survey.Sum) {
			a.Set(i, term.At, a.At(i, term.At)+term.By)
		}
		y.SetVec(i, r.Value)
	}
	if shifted >= 0 {
		a.Set(shifted, columns-1, 1)
	}
	var weight, wa, normal mat.Dense
	if err := weight.Inverse(cov); err != nil {
		t.Skip("readings that all but repeat one another")
	}
	wa.Mul(&weight, a)
	normal.Mul(a.T(), &wa)
	if err := q.Inverse(&normal); err != nil {
		t.Skip("an error that nothing shows")
	}
	var right mat.VecDense
	right.MulVec(wa.T(), y)
	x.MulVec(&q, &right)
	return x, q
}

func close(t *rapid.T, what string, got, want float64) {
	if math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
		t.Fatalf("%s: %.9g, the textbook's formula gives %.9g", what, got, want)
	}
}

// Unknowns, covariance and the test of each reading are those of generalised least
// squares, the test that of one column more.
func TestJointBesideGeneralised(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, cov := jointed(t)
		x, q := general(t, n, cov, -1)
		a, err := survey.Adjust(n)
		if err != nil {
			t.Skip(err)
		}
		for i := range n.Unknowns {
			close(t, "unknown", a.Values[i], x.AtVec(i))
			for k := range n.Unknowns {
				close(t, "covariance", a.Cov.At(i, k), q.At(i, k))
			}
		}
		k := rapid.IntRange(0, len(n.Readings)-1).Draw(t, "reading")
		if a.Readings[k].Redundancy < 0.05 {
			return
		}
		shifted, more := general(t, n, cov, k)
		last := len(n.Unknowns)
		close(t, "error", n.Readings[k].Value-a.Readings[k].WouldFit, shifted.AtVec(last))
		close(t, "standardised", -a.Readings[k].Standardised, shifted.AtVec(last)/math.Sqrt(more.At(last, last)))
		size := survey.Size(0)
		moved := math.Abs(x.AtVec(0)-shifted.AtVec(0)) / math.Abs(shifted.AtVec(last)) // by an error of 1
		if found := a.Undetected(k, size); found > 0 {
			close(t, "undetected", found, moved*4.13*math.Sqrt(more.At(last, last)))
		}
	})
}

// The published heights with a published covariance (Krumm_Height_dyn) come out of
// the joint as they do out of two independent combinations.
func TestDynamicNetAsJoint(t *testing.T) {
	p := readNet(t, "Krumm_Height_dyn")
	h2, h3 := p.at["2"].X, p.at["3"].X
	s2, s3 := math.Sqrt(0.0025), math.Sqrt(0.0036)
	c := -0.0015 / s2 / s3
	first := len(p.Readings)
	p.read(survey.Reading{Name: "2", Of: survey.Size(h2), Value: p.Unknowns[h2].Start, Sigma: s2})
	p.read(survey.Reading{Name: "3", Of: survey.Size(h3), Value: p.Unknowns[h3].Start, Sigma: s3})
	p.Joints = []survey.Joint{{Of: []int{first, first + 1}, Correlation: adjust.Symmetric{N: 2, Data: []float64{1, c, c, 1}}}}
	a, err := survey.Adjust(p.Network)
	if err != nil {
		t.Fatal(err)
	}
	for point, want := range answers(t, "Krumm_Height_dyn") {
		if got := a.Values[p.at[point].X]; math.Abs(got-want[0]) > 0.6e-4 {
			t.Errorf("point %s: %.4f, published %.4f", point, got, want[0])
		}
	}
}

// An error in one size of a photo, and one in a tape, are each found under their own
// name though the photo's sizes hang together.
func TestSnoopInJoint(t *testing.T) {
	build := func(photo, tape float64) survey.Network {
		n := survey.Network{Unknowns: make([]survey.Unknown, 6)}
		scale := make([]float64, 6)
		for i := range 6 {
			n.Readings = append(n.Readings, survey.Reading{By: "tape", Of: survey.Size(i), Value: float64(100 + 10*i), Sigma: 0.06})
		}
		for i := range 6 {
			scale[i] = 0.05 * float64(100+10*i) // all by one unknown scale
			n.Readings = append(n.Readings, survey.Reading{By: "photo", Of: survey.Size(i), Value: 1.03 * float64(100+10*i), Sigma: math.Hypot(scale[i], 0.2)})
		}
		j := survey.Joint{Correlation: adjust.Symmetric{N: 6, Data: make([]float64, 36)}}
		for i := range 6 {
			j.Of = append(j.Of, 6+i)
			for k := range 6 {
				j.Correlation.Data[6*i+k] = scale[i] * scale[k] / n.Readings[6+i].Sigma / n.Readings[6+k].Sigma
			}
			j.Correlation.Data[7*i] = 1
		}
		n.Joints = []survey.Joint{j}
		n.Readings[8].Value += photo
		n.Readings[3].Value += tape
		return n
	}
	for _, c := range []struct {
		photo, tape float64
		want        int
	}{{0, 0, -1}, {3, 0, 8}, {0, 4, 3}} {
		found, _, err := survey.Snoop(build(c.photo, c.tape), survey.Critical)
		if err != nil || (len(found) == 0) != (c.want < 0) || len(found) > 1 || len(found) == 1 && found[0].Reading != c.want && !contains(found[0].Alike, c.want) {
			t.Errorf("photo off by %g, tape by %g: %+v %v", c.photo, c.tape, found, err)
		}
	}
}

func contains(all []int, one int) bool {
	for _, i := range all {
		if i == one {
			return true
		}
	}
	return false
}
