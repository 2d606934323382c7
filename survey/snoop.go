package survey

import (
	"fmt"
	"math"
	"slices"

	"coilwright/adjust"
	"coilwright/measure"
)

// Critical is Baarda's bound for a standardised residual: one good reading in a
// thousand lies beyond it (W. Baarda, A testing procedure for use in geodetic
// networks, 1968).
const Critical = 3.29

// Blunder is a reading that the rest of the network does not bear out.
type Blunder struct {
	Reading      int
	Standardised float64 // when it was found
	WouldFit     float64 // what the network without the blunders expects
	Sigma        float64 // of WouldFit
	// Alike are readings that would explain the misfit as well: measure them too.
	Alike []int
}

// Snoop finds blunders by data snooping: the reading of the largest standardised
// residual beyond critical is set aside and the rest adjusted again, until
// nothing sticks out; what then fits after all is taken back. It gives the
// adjustment of the readings kept (those of the blunders have the index that they
// have in n, but no weight). Errors are those of Adjust.
func Snoop(n Network, critical float64) ([]Blunder, Adjustment, error) {
	var found []Blunder
	a, err := Adjust(n)
	for err == nil {
		worst := a.worst()
		if worst < 0 || math.Abs(a.Readings[worst].Standardised) <= critical {
			break
		}
		found = append(found, Blunder{Reading: worst, Standardised: a.Readings[worst].Standardised, Alike: a.alike(worst, critical)})
		a, err = Adjust(n.without(found))
	}
	if err != nil {
		return nil, Adjustment{}, err
	}
	found, a, err = takeBack(n, found, a, critical)
	a.setAside(len(found))
	return found, a, err
}

// setAside counts so many readings as not there.
func (a *Adjustment) setAside(count int) {
	square := a.Factor * float64(a.Freedom)
	if a.Freedom -= count; a.Freedom > 0 {
		a.Factor = square / float64(a.Freedom)
	}
}

// takeBack looks at each blunder from the network without them all: an early one
// may have been pushed out by a later.
func takeBack(n Network, found []Blunder, a Adjustment, critical float64) ([]Blunder, Adjustment, error) {
	for i := 0; i < len(found); i++ {
		expected, sigma := a.Expected(n.Readings[found[i].Reading].Of)
		r := n.Readings[found[i].Reading]
		found[i].WouldFit, found[i].Sigma = r.Value-r.Of.differ(r.Value, expected), sigma
	}
	for i := 0; i < len(found); {
		rest := slices.Delete(slices.Clone(found), i, i+1)
		again, fits, err := n.fitsAfterAll(found[i], rest, critical)
		switch {
		case err != nil:
			return nil, Adjustment{}, err
		case fits:
			return takeBack(n, rest, again, critical)
		}
		i++
	}
	return found, a, nil
}

// fitsAfterAll says whether a blunder fits the network without the rest of them, and
// gives that adjustment if so. A reading by itself is looked at from the adjustment
// that it is not in; one of a joint shares its errors with that, and is put in.
func (n Network) fitsAfterAll(b Blunder, rest []Blunder, critical float64) (Adjustment, bool, error) {
	r := n.Readings[b.Reading]
	off := math.Abs(r.Of.differ(r.Value, b.WouldFit))
	joint := slices.ContainsFunc(n.Joints, func(j Joint) bool { return slices.Contains(j.Of, b.Reading) })
	if !joint && off > critical*math.Hypot(r.Sigma, b.Sigma) {
		return Adjustment{}, false, nil
	}
	a, err := Adjust(n.without(rest))
	if err != nil {
		return Adjustment{}, false, err
	}
	return a, !joint || math.Abs(a.Readings[b.Reading].Standardised) <= critical, nil
}

// away is the factor on the sigma of a reading set aside: it keeps its place and
// loses its say.
const away = 1e6

// without gives the network with the blunders' readings set aside.
func (n Network) without(found []Blunder) Network {
	aside := make([]int, len(found))
	for i, b := range found {
		aside[i] = b.Reading
	}
	return n.Without(aside...)
}

// Without gives the network with readings set aside: they keep their numbers and
// lose their say.
func (n Network) Without(aside ...int) Network {
	readings := slices.Clone(n.Readings)
	for _, i := range aside {
		readings[i].Sigma = n.Readings[i].Sigma * away
	}
	joints := slices.Clone(n.Joints)
	for i := range joints {
		for _, k := range aside {
			joints[i] = joints[i].without(k)
		}
	}
	return Network{n.Unknowns, readings, n.Exact, joints}
}

// worst is the reading of the largest standardised residual, -1 for none.
func (a Adjustment) worst() int {
	worst, most := -1, 0.0
	for i, r := range a.Readings {
		// Of readings that stand out alike but for rounding, the first.
		if w := math.Abs(r.Standardised); w > most*(1+1e-9) {
			worst, most = i, w
		}
	}
	return worst
}

// Expected gives what an observable should read, and the standard deviation of
// that, from the network alone.
func (a Adjustment) Expected(o Observable) (value, sigma float64) {
	value, slope := o.at(a.Values)
	return value, math.Sqrt(max(0, a.Cov.Form(slope, slope)))
}

// alike gives the readings that explain the misfit as well as reading i, within
// what chance explains: setting reading j aside lowers the weighted square sum of
// residuals by the square of its standardised residual.
func (a Adjustment) alike(i int, critical float64) []int {
	var out []int
	best := a.Readings[i].Standardised
	for j, r := range a.Readings {
		if w := r.Standardised; j != i && w*w > best*best-critical*critical && math.Abs(w) > critical {
			out = append(out, j)
		}
	}
	return out
}

// Text says a blunder of a length in the words of the trade; the network's unit
// must be inches.
func (b Blunder) Text(n Network, u measure.Units) string {
	near := func(in float64) string { return measure.FromInches(in).Near(u, u.Step()) }
	r := n.Readings[b.Reading]
	text := fmt.Sprintf("The %s for %s (%s) does not fit the rest; %s would. Measure again", r.By, r.Name, near(r.Value), near(b.WouldFit))
	for i, j := range b.Alike {
		join := ", or "
		if i == 0 {
			join = "; it may as well be "
		}
		text += join + n.Readings[j].Name + " (" + near(n.Readings[j].Value) + ")"
	}
	return text + "."
}

// Unchecked gives the readings in whose error nothing else would notice.
func (a Adjustment) Unchecked() []int {
	var out []int
	for i, r := range a.Readings {
		if r.Redundancy <= checked {
			out = append(out, i)
		}
	}
	return out
}

// Candidate is a reading that could be taken next.
type Candidate struct {
	Name  string
	Of    Observable
	Sigma float64
}

// Goal is a sum of unknowns and the sigma that it must come down to.
type Goal struct {
	Terms []adjust.Term
	Sigma float64
}

// Gain is what one further reading would do.
type Gain struct {
	Candidate int
	Reached   int     // goals not met now that would be
	Variance  float64 // taken off the goals' variances, each in units of its own Sigma^2
}

// Next ranks the candidates by what each alone would do for the goals, the best
// first: by goals reached, then by variance taken off. A reading's effect on the
// covariance does not depend on its value (one more equation: the Sherman-Morrison
// formula).
func (a Adjustment) Next(goals []Goal, candidates []Candidate) []Gain {
	gains := make([]Gain, len(candidates))
	for i, c := range candidates {
		_, slope := c.Of.at(a.Values)
		own := c.Sigma*c.Sigma + a.Cov.Form(slope, slope)
		gains[i].Candidate = i
		for _, g := range goals {
			shared := a.Cov.Form(slope, g.Terms)
			now := a.Cov.Form(g.Terms, g.Terms)
			limit := g.Sigma * g.Sigma
			less := shared * shared / own
			gains[i].Variance += less / limit
			if now > limit && now-less <= limit {
				gains[i].Reached++
			}
		}
	}
	slices.SortStableFunc(gains, func(p, q Gain) int {
		if p.Reached != q.Reached {
			return q.Reached - p.Reached
		}
		return compare(q.Variance, p.Variance)
	})
	return gains
}

func compare(p, q float64) int {
	switch {
	case p < q:
		return -1
	case p > q:
		return 1
	}
	return 0
}
