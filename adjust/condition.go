package adjust

import (
	"fmt"
	"math"
)

// Condition holds exactly: the sum of Terms is Value.
type Condition struct {
	Terms []Term
	Value float64
}

// ConditionError says that a condition contradicts those before it.
type ConditionError struct {
	Condition int
	By        float64 // what is left over, in the condition's own unit
}

func (e *ConditionError) Error() string {
	return fmt.Sprintf("condition %d contradicts those before it by %g", e.Condition, e.By)
}

// SolveUnder is Solve with conditions that hold exactly. They are eliminated:
// each fixes one unknown by the others, and what they repeat is dropped. A
// condition that contradicts earlier ones is a *ConditionError.
func SolveUnder(unknowns int, rows []Row, conditions []Condition) (Fit, error) {
	if len(conditions) == 0 {
		return Solve(unknowns, rows)
	}
	if err := checkAll(unknowns, rows); err != nil {
		return Fit{}, err
	}
	e, err := eliminate(unknowns, conditions)
	if err != nil {
		return Fit{}, err
	}
	free, err := Solve(len(e.free), e.reduce(rows))
	if err != nil {
		return Fit{}, e.restored(err)
	}
	return e.expand(free), nil
}

// elimination writes every unknown as Offset plus a sum over the free ones.
type elimination struct {
	free   []int // the free unknowns' numbers
	offset []float64
	terms  [][]Term // in numbers of free
}

// eliminate brings the conditions to reduced row echelon form, taking in each
// the largest coefficient that is left.
func eliminate(n int, conditions []Condition) (elimination, error) {
	pivotOf := make(map[int][]float64) // unknown -> its condition, coefficient 1
	for c, condition := range conditions {
		row := make([]float64, n+1)
		row[n] = condition.Value
		for _, t := range condition.Terms {
			if t.At < 0 || t.At >= n {
				return elimination{}, fmt.Errorf("condition %d names unknown %d of %d", c, t.At, n)
			}
			row[t.At] += t.By
		}
		size := largest(row)
		for at, by := range pivotOf {
			addTo(row, by, -row[at])
		}
		at, left := argmax(row[:n])
		if left <= 1e-12*size || left == 0 {
			if math.Abs(row[n]) > 1e-9*max(size, 1e-300) {
				return elimination{}, &ConditionError{c, row[n]}
			}
			continue // it repeats what the others say
		}
		addTo(row, row, 1/row[at]-1)
		for _, by := range pivotOf {
			addTo(by, row, -by[at])
		}
		pivotOf[at] = row
	}
	return spelled(n, pivotOf), nil
}

// spelled reads the echelon form as offsets and terms.
func spelled(n int, pivotOf map[int][]float64) elimination {
	e := elimination{offset: make([]float64, n), terms: make([][]Term, n)}
	number := make([]int, n)
	for i := range n {
		if pivotOf[i] == nil {
			number[i] = len(e.free)
			e.terms[i] = []Term{{number[i], 1}}
			e.free = append(e.free, i)
		}
	}
	for i, row := range pivotOf {
		e.offset[i] = row[n]
		for k := range n {
			if pivotOf[k] == nil && row[k] != 0 { // beside a pivot stands rounding at most
				e.terms[i] = append(e.terms[i], Term{number[k], -row[k]})
			}
		}
	}
	return e
}

// reduce writes the rows in the free unknowns.
func (e elimination) reduce(rows []Row) []Row {
	out := make([]Row, len(rows))
	for i, r := range rows {
		reduced := Row{Value: r.Value, Sigma: r.Sigma}
		sum := make(map[int]float64)
		var order []int
		for _, t := range r.Terms {
			reduced.Value -= t.By * e.offset[t.At]
			for _, f := range e.terms[t.At] {
				if _, seen := sum[f.At]; !seen {
					order = append(order, f.At)
				}
				sum[f.At] += t.By * f.By
			}
		}
		for _, at := range order {
			reduced.Terms = append(reduced.Terms, Term{at, sum[at]})
		}
		out[i] = reduced
	}
	return out
}

// expand gives all unknowns and their covariance from the free ones.
func (e elimination) expand(free Fit) Fit {
	n := len(e.terms)
	out := free
	out.X, out.Cov = make([]float64, n), Symmetric{n, make([]float64, n*n)}
	for i := range n {
		out.X[i] = e.offset[i] + Row{Terms: e.terms[i]}.at(free.X)
		for j := range i + 1 {
			c := free.Cov.Form(e.terms[i], e.terms[j])
			out.Cov.Data[i*n+j], out.Cov.Data[j*n+i] = c, c
		}
	}
	return out
}

// restored numbers the unknowns of an error as the caller does, and adds those
// that hang on them.
func (e elimination) restored(err error) error {
	open, ok := err.(*UndeterminedError)
	if !ok {
		return err
	}
	is := make([]bool, len(e.free))
	for _, i := range open.Unknowns {
		is[i] = true
	}
	var all []int
	for i, terms := range e.terms {
		for _, t := range terms {
			if is[t.At] {
				all = append(all, i)
				break
			}
		}
	}
	return &UndeterminedError{all}
}

func addTo(row, other []float64, by float64) {
	if by == 0 {
		return
	}
	for i, v := range other {
		row[i] += by * v
	}
}

func largest(row []float64) float64 {
	_, most := argmax(row)
	return most
}

func argmax(row []float64) (at int, most float64) {
	for i, v := range row {
		if math.Abs(v) > most {
			at, most = i, math.Abs(v)
		}
	}
	return at, most
}
