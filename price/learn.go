package price

import (
	"math"

	"coilwright/adjust"
)

// Took is what one finished job says of one work: the hours that each of the work's
// rates planned for it, as the book has the rates now, and the hours that it took.
type Took struct {
	Planned []float64
	True    float64
}

func (t Took) planned() float64 {
	sum := 0.0
	for _, p := range t.Planned {
		sum += p
	}
	return sum
}

// Learned is one rate as finished jobs have it: Factor times the book's. PlusMinus is
// the half-width of the factor's 95 % interval; 0 where one job alone speaks, which
// tells no spread. Jobs counts those whose plan had that rate.
type Learned struct {
	Factor, PlusMinus float64
	Jobs              int
}

// apart is how far the rates of one work may be out against each other, one standard
// deviation, before finished jobs tell (assumed).
const apart = 0.25

// Learn gives the factors that make the planned hours come nearest to the true ones:
// hours = sum of factor x planned, each job weighted by one over its planned hours,
// since hours spread with the amount of work. The factors share one that nothing is
// known of before and stand apart from it by 25 %: partial pooling, the mixed model
// of S. R. Searle, G. Casella and C. E. McCulloch, Variance Components (chapter 7). So a
// single job moves all rates of its work alike, and many jobs of many kinds tell them
// apart. For a single rate it is all hours over all planned hours, the ratio estimator
// of W. G. Cochran, Sampling Techniques, chapter 6. The interval is Student's.
// Jobs without that work say nothing; nil where none has any.
func Learn(all []Took) []Learned {
	var speak []Took
	for _, t := range all {
		if t.planned() > 0 && t.True >= 0 {
			speak = append(speak, t)
		}
	}
	if len(speak) == 0 {
		return nil
	}
	ratio, spread := ratioOf(speak)
	out := make([]Learned, len(speak[0].Planned))
	fit, err := adjust.Solve(len(out)+1, pooled(speak, len(out), spread))
	for k := range out {
		out[k] = Learned{Factor: ratio}
		if err == nil && sound(fit.X) {
			out[k].Factor = fit.X[k]
		}
		for _, t := range speak {
			if t.Planned[k] > 0 {
				out[k].Jobs++
			}
		}
		if len(speak) > 1 && err == nil {
			out[k].PlusMinus = student(len(speak)-1) * math.Sqrt(fit.Cov.At(k, k))
		}
	}
	return out
}

// ratioOf is all hours over all planned ones, and the standard deviation that is left
// for each square root of a planned hour.
func ratioOf(all []Took) (ratio, spread float64) {
	var hours, planned, squares float64
	for _, t := range all {
		hours, planned = hours+t.True, planned+t.planned()
	}
	ratio = hours / planned
	for _, t := range all {
		off := t.True - ratio*t.planned()
		squares += off * off / t.planned()
	}
	if len(all) > 1 {
		spread = math.Sqrt(squares / float64(len(all)-1))
	}
	return ratio, max(spread, 1e-6*math.Sqrt(planned)) // jobs that agree to the minute still weigh finitely
}

// pooled are the equations: one for each job, and one for each factor that ties it to
// the common one, the last unknown.
func pooled(all []Took, rates int, spread float64) []adjust.Row {
	var rows []adjust.Row
	for _, t := range all {
		r := adjust.Row{Value: t.True, Sigma: spread * math.Sqrt(t.planned())}
		for k, p := range t.Planned {
			r.Terms = append(r.Terms, adjust.Term{At: k, By: p})
		}
		rows = append(rows, r)
	}
	for k := range rates {
		rows = append(rows, adjust.Row{Terms: []adjust.Term{{At: k, By: 1}, {At: rates, By: -1}}, Sigma: apart})
	}
	return rows
}

// sound says that every factor could be one: hours are not negative.
func sound(factors []float64) bool {
	for _, f := range factors {
		if !(f > 0) {
			return false
		}
	}
	return true
}

// students holds the 0.975 quantile of Student's t for 1 to 30 degrees of freedom
// (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2).
var students = [...]float64{
	12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160, 2.145, 2.131,
	2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
}

// student is that quantile; beyond the table the normal one, at most 4 % less.
func student(free int) float64 {
	if free <= len(students) {
		return students[free-1]
	}
	return 1.96
}
