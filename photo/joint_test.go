package photo_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"coilwright/photo"
)

// dense is a joint's covariance for the judge.
func dense(j photo.Joint) *mat.SymDense { return mat.NewSymDense(j.Cov.N, j.Cov.Data) }

// TestJointPutBack: the coordinates without a tape number, that number then put back
// by the textbook's formula for one more equation, are those with it.
func TestJointPutBack(t *testing.T) {
	for _, name := range []string{"alder", "birch"} {
		sol, err := photo.Solve(shaken(sceneMarks(t, name), rand.New(rand.NewPCG(3, 4)), 1))
		if err != nil {
			t.Fatal(err)
		}
		with, err := sol.Joint(nil)
		if err != nil {
			t.Fatal(err)
		}
		taped := sol.Taped()
		if len(taped) != 1 {
			t.Fatalf("%s: %d lengths between corners of a wall", name, len(taped))
		}
		loose, err := sol.Joint(taped)
		if err != nil {
			t.Fatal(err)
		}
		n := loose.Cov.N
		row := lengthOf(t, loose, taped[0])
		cov := dense(loose)
		var share mat.VecDense
		share.MulVec(cov, row)
		own := mat.Inner(row, cov, row)
		if size := taped[0].Inches; math.Sqrt(own) < 0.15*size || math.Sqrt(own) > 0.25*size {
			t.Errorf("%s: %g in are known to %g", name, size, math.Sqrt(own))
		}
		own += taped[0].Sigma * taped[0].Sigma
		miss := taped[0].Inches - mat.Dot(row, mat.NewVecDense(n, loose.Values))
		for i := range n {
			for k := range n {
				back, want := cov.At(i, k)-share.AtVec(i)*share.AtVec(k)/own, with.Cov.At(i, k)
				// The two are linearised a little apart, and 20 % are counted twice.
				if size := math.Sqrt(with.Cov.At(i, i) * with.Cov.At(k, k)); math.Abs(back-want) > 0.02*size {
					t.Fatalf("%s: covariance of %+v and %+v %g, with the number %g", name, loose.Coordinates[i], loose.Coordinates[k], back, want)
				}
			}
			if back, want := loose.Values[i]+share.AtVec(i)*miss/own, with.Values[i]; math.Abs(back-want) > 0.02*math.Sqrt(with.Cov.At(i, i)) {
				t.Errorf("%s: %+v is %g, with the number %g", name, loose.Coordinates[i], back, want)
			}
		}
	}
}

// lengthOf is a taped length as a sum of coordinates.
func lengthOf(t *testing.T, j photo.Joint, l photo.Taped) *mat.VecDense {
	row := mat.NewVecDense(j.Cov.N, nil)
	add := func(s photo.Spot, by float64) {
		for axis, along := range [2]float64{l.Across, l.Up} {
			side := [2][4]photo.Side{{photo.Left, photo.Right, photo.Right, photo.Left}, {photo.Sill, photo.Sill, photo.Head, photo.Head}}[axis][s.Corner]
			for i, c := range j.Coordinates {
				if c.Wall == s.Wall && c.Opening == s.Opening && c.Axis == axis && (s.Opening == "" && c.Corner == s.Corner || s.Opening != "" && c.Side == side) {
					row.SetVec(i, row.AtVec(i)+by*along)
				}
			}
		}
	}
	add(l.Ends[1], 1)
	add(l.Ends[0], -1)
	return row
}

// TestJointCalibrated: the square of how far the coordinates of a draw lie off the
// truth, in units of their own covariance, is as large as there are coordinates: the
// covariance is right in every direction, not only number by number.
func TestJointCalibrated(t *testing.T) {
	s, m := scene(t, "alder"), sceneMarks(t, "alder")
	r := rand.New(rand.NewPCG(5, 6))
	const draws = 120
	sum, n := 0.0, 0
	for range draws {
		sol, err := photo.Solve(shaken(m, r, 1))
		if err != nil {
			t.Fatal(err)
		}
		j, err := sol.Joint(nil)
		if err != nil {
			t.Fatal(err)
		}
		n = j.Cov.N
		off := mat.NewVecDense(n, nil)
		for i, c := range j.Coordinates {
			off.SetVec(i, j.Values[i]-s.coordinate(t, c))
		}
		var chol mat.Cholesky
		if !chol.Factorize(dense(j)) {
			t.Fatal("the covariance is not positive definite")
		}
		var weighed mat.VecDense
		if err := chol.SolveVecTo(&weighed, off); err != nil {
			t.Fatal(err)
		}
		sum += mat.Dot(off, &weighed)
	}
	// Edges that are taken as plumb and level are so to the last digit in the scene,
	// better than the adjustment believes, so the sum lies below its number.
	if ratio := sum / draws / float64(n); ratio < 0.7 || ratio > 1 {
		t.Errorf("%d coordinates are off by %.2f of their own covariance", n, ratio)
	} else {
		t.Logf("%d coordinates, ratio %.3f", n, ratio)
	}
}

func (s truth) coordinate(t *testing.T, c photo.Coordinate) float64 {
	for _, w := range s.Walls {
		if w.ID != c.Wall {
			continue
		}
		if c.Opening == "" {
			return w.Outline[c.Corner][c.Axis] - [2]float64{w.Outline[0][0], s.Walls[0].Outline[0][1]}[c.Axis]
		}
		for _, o := range w.Openings {
			if o.ID == c.Opening {
				at := map[photo.Side]float64{photo.Left: o.Rect.X, photo.Right: o.Rect.X + o.Rect.W, photo.Sill: o.Rect.Y, photo.Head: o.Rect.Y + o.Rect.H}[c.Side]
				return at - [2]float64{w.Outline[0][0], s.Walls[0].Outline[0][1]}[c.Axis]
			}
		}
	}
	t.Fatalf("the scene has no %+v", c)
	return 0
}
