package price

import (
	"math"
	"slices"
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

// Learn gives the factors that make the planned hours come nearest to the true ones:
// hours = sum of factor x planned, each job's off by a spread that grows with the root
// of its planned hours. For a single rate that is all hours over all planned hours, the
// ratio estimator of W. G. Cochran, Sampling Techniques, chapter 6, with Student's
// interval; several are told apart as far as the jobs tell them, see [several]. A single
// job moves all rates of its work alike. Jobs without that work say nothing; nil where
// none has any.
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
	out := slices.Repeat([]Learned{{Factor: ratio}}, len(speak[0].Planned))
	switch {
	case len(speak) == 1:
	case len(out) == 1:
		out[0].PlusMinus = student(len(speak)-1) * spread / math.Sqrt(sumOf(speak))
	default:
		several(speak, spread, out)
	}
	for k := range out {
		for _, t := range speak {
			if t.Planned[k] > 0 {
				out[k].Jobs++
			}
		}
	}
	return out
}

// ratioOf is all hours over all planned ones, and the standard deviation that is left
// for each square root of a planned hour.
func ratioOf(all []Took) (ratio, spread float64) {
	hours, squares := 0.0, 0.0
	for _, t := range all {
		hours += t.True
	}
	planned := sumOf(all)
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

// sumOf is all planned hours.
func sumOf(all []Took) (sum float64) {
	for _, t := range all {
		sum += t.planned()
	}
	return sum
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
