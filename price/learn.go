package price

import "math"

// Took is what one finished job says of one work: the hours that a rate planned for
// it, and the hours that it took.
type Took struct{ Rate, Planned, True float64 }

// Learned is a rate as finished jobs have it. PlusMinus is the half-width of its
// 95 % interval; 0 where one job alone speaks, which tells no spread.
type Learned struct {
	Rate, PlusMinus float64
	Jobs            int
}

// Learn gives the rate r that makes hours = r x units come nearest, units being the
// planned hours over the rate that planned them. Least squares through the origin,
// each job weighted by one over its units, since hours spread with the amount of
// work: r is then all hours over all units, the ratio estimator of survey sampling
// (W. G. Cochran, Sampling Techniques, chapter 6). The interval is Student's.
// Jobs without that work say nothing; ok is false where none has any.
func Learn(all []Took) (l Learned, ok bool) {
	var hours, units float64
	for _, t := range all {
		if t.speaks() {
			hours, units = hours+t.True, units+t.units()
			l.Jobs++
		}
	}
	if l.Jobs == 0 {
		return l, false
	}
	l.Rate = hours / units
	if l.Jobs == 1 {
		return l, true
	}
	var spread float64
	for _, t := range all {
		if t.speaks() {
			off := t.True - l.Rate*t.units()
			spread += off * off / t.units()
		}
	}
	free := l.Jobs - 1
	l.PlusMinus = student(free) * math.Sqrt(spread/float64(free)/units)
	return l, true
}

func (t Took) speaks() bool   { return t.Rate > 0 && t.Planned > 0 && t.True >= 0 }
func (t Took) units() float64 { return t.Planned / t.Rate }

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

// HoursOf gives the hours that an estimate plans for a work.
func (e Estimate) HoursOf(work string) float64 {
	sum := 0.0
	for _, l := range e.Lines {
		if l.What == work && l.Kind == Labour {
			h, _ := l.Quantity.Float64()
			sum += h
		}
	}
	return sum
}
