// Package survey makes one honest set of sizes from all readings of a house:
// photo, tape and plan together in one weighted least-squares network, in which
// parts add up to wholes and walls close. It finds the reading that does not fit,
// says what would, and says which further reading would help most.
//
// A network is sound for anything that is surveyed: lengths along a wall, levels,
// distances, angles and directions between points. It knows numbers, not walls;
// their unit is the caller's (a house's are decimal inches).
package survey

import (
	"fmt"
	"math"
	"strings"

	"coilwright/adjust"
	"coilwright/measure"
)

// Unknown is a number that the network is to find: a size, a height, a
// coordinate, the orientation of a set of directions. Start is a first value;
// only distances, angles and directions need a good one.
type Unknown struct {
	Name  string
	Start float64
}

// Reading is one number that somebody read. Sigma is its standard deviation.
type Reading struct {
	Name  string // what it is of, as in "the south wall's left part"
	By    string // how it was read, as in "tape" or "photo"
	Of    Observable
	Value float64
	Sigma float64
}

// Exactly is a statement that holds without doubt: the sum of Terms is Value.
type Exactly struct {
	Name  string
	Terms []adjust.Term
	Value float64
}

// Network is all that is read and known.
type Network struct {
	Unknowns []Unknown
	Readings []Reading
	Exact    []Exactly
	Joints   []Joint // readings that hang together; all others are independent
}

// Sigma gives the standard deviation in inches of a reading that is stated with a
// plus-minus, its 95 % half-width of 1.96 sigma.
func Sigma(plusMinus measure.Length) float64 { return plusMinus.Inches() / 1.96 }

// OpenError names the unknowns that nothing reads, or that the readings give only
// in relation to one another.
type OpenError struct{ Names []string }

func (e *OpenError) Error() string {
	return "no reading settles " + strings.Join(e.Names, ", ") + ": measure one of them, or join it to what is measured"
}

// ContradictionError says that an exact statement contradicts those before it.
type ContradictionError struct {
	Name string
	By   float64
}

func (e *ContradictionError) Error() string {
	return fmt.Sprintf("%s contradicts what was said before it by %.6g: take one of the statements out", e.Name, e.By)
}

// ReadingError says why a reading cannot be used.
type ReadingError struct{ Name, Why string }

func (e *ReadingError) Error() string { return e.Name + ": " + e.Why }

// Judged is what the network says of one reading.
type Judged struct {
	Adjusted float64 // what it should have read
	Residual float64 // Adjusted less the reading
	// Redundancy, from 0 to 1, is the share of an error in this reading that the
	// others would show; at 0 nothing checks it. In a joint it is the share of what an
	// error would show if nothing else were unknown.
	Redundancy float64
	// Standardised is the residual over its own standard deviation: beyond 3.29 in
	// one of a thousand good readings (Baarda 1968). 0 where nothing checks it.
	Standardised float64
	// WouldFit is the value that the rest of the network expects here.
	WouldFit float64
}

// Adjustment is a network solved.
type Adjustment struct {
	Values   []float64 // of the unknowns
	Cov      adjust.Symmetric
	Readings []Judged
	Freedom  int // readings more than were needed
	// Factor is the variance factor: near 1 where the stated sigmas are right, 1
	// where nothing is redundant.
	Factor float64
	rows   []adjust.Row // linearised at the solution
	pulls  []pull
}

// Sigma gives the standard deviation of a sum of unknowns, from the stated sigmas.
func (a Adjustment) Sigma(terms ...adjust.Term) float64 {
	return math.Sqrt(max(0, a.Cov.Form(terms, terms)))
}

// mostTurns bounds the linearisations: Gauss and Newton's method on a network
// that can be solved at all needs a handful.
const mostTurns = 50

// Adjust solves a network. Errors: *OpenError, *ContradictionError,
// *ReadingError, and adjust.ErrNotSettled where start values are too far off.
func Adjust(n Network) (Adjustment, error) {
	x := make([]float64, len(n.Unknowns))
	for i, u := range n.Unknowns {
		x[i] = u.Start
	}
	joints, err := n.whitenings()
	if err != nil {
		return Adjustment{}, err
	}
	for range mostTurns {
		rows := uncorrelated(n.rows(x), len(x), joints)
		fit, err := adjust.SolveUnder(len(x), rows, n.conditions(x))
		if err != nil {
			return Adjustment{}, n.named(err)
		}
		settled := true
		for i, step := range fit.X {
			x[i] += step
			// A thousandth of its sigma, or rounding for what is held exactly.
			settled = settled && math.Abs(step) <= 1e-3*math.Sqrt(fit.Cov.At(i, i))+1e-12*math.Abs(x[i])
		}
		if settled {
			return n.judge(x, fit, joints), nil
		}
	}
	return Adjustment{}, adjust.ErrNotSettled
}

// rows are the readings linearised at x.
func (n Network) rows(x []float64) []adjust.Row {
	rows := make([]adjust.Row, len(n.Readings))
	for i, r := range n.Readings {
		value, slope := r.Of.at(x)
		rows[i] = adjust.Row{Terms: slope, Value: r.Of.differ(r.Value, value), Sigma: r.Sigma}
	}
	return rows
}

func (n Network) conditions(x []float64) []adjust.Condition {
	out := make([]adjust.Condition, len(n.Exact))
	for i, e := range n.Exact {
		out[i] = adjust.Condition{Terms: e.Terms, Value: e.Value}
		for _, t := range e.Terms {
			if t.At >= 0 && t.At < len(x) {
				out[i].Value -= t.By * x[t.At]
			}
		}
	}
	return out
}

// named says an error in the network's own names.
func (n Network) named(err error) error {
	switch e := err.(type) {
	case *adjust.UndeterminedError:
		var names []string
		for _, i := range e.Unknowns {
			names = append(names, n.Unknowns[i].Name)
		}
		return &OpenError{names}
	case *adjust.ConditionError:
		return &ContradictionError{n.Exact[e.Condition].Name, e.By}
	case *adjust.RowError:
		return &ReadingError{n.Readings[e.Row].Name, e.Why}
	}
	return err
}

// checked is the redundancy below which rounding speaks and a reading counts as
// checked by nothing. A tape beside a photo has little (its sigma over the photo's,
// squared), and yet a foot misread shows.
const checked = 1e-5

func (n Network) judge(x []float64, fit adjust.Fit, joints []whitened) Adjustment {
	a := Adjustment{Values: x, Cov: fit.Cov, Freedom: fit.Freedom, Factor: 1, rows: n.rows(x)}
	a.pulls = n.pulls(a.rows, joints, fit.Cov)
	for i, r := range n.Readings {
		row, p := a.rows[i], a.pulls[i]
		j := Judged{Residual: -row.Value, Adjusted: r.Value - row.Value, WouldFit: r.Value}
		j.Redundancy = min(1, p.shown/p.alone)
		if j.Redundancy > checked {
			j.Standardised = -p.miss / math.Sqrt(p.shown)
			j.WouldFit = r.Value - p.miss/p.shown
		}
		a.Readings = append(a.Readings, j)
	}
	if a.Freedom > 0 {
		a.Factor = adjust.SquareSum(uncorrelated(a.rows, len(x), joints)) / float64(a.Freedom)
	}
	return a
}
