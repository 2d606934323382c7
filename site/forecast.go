package site

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"coilwright/tally"
)

// Forecast is when the last piece will hang, from the pace so far. Low and high hold
// what nineteen of twenty such jobs would; a high of 0 says that the days so far are too
// few or too unlike to give one.
type Forecast struct {
	Known      bool    `json:"known"`
	DaysLeft   float64 `json:"days_left" doc:"Working days"`
	DaysLow    float64 `json:"days_low"`
	DaysHigh   float64 `json:"days_high"`
	Finish     string  `json:"finish"`
	FinishLow  string  `json:"finish_low"`
	FinishHigh string  `json:"finish_high"`
	Text       string  `json:"text"`
}

// pieceFt is what one piece takes beside its feet, in feet that take as long: the demo
// book's 3 minutes a piece against half a minute a foot (common practice, no source).
const pieceFt = 6

// Before so many pieces hang nothing is forecast.
const fewestHung = 5

// work is how much hanging a piece is.
func (w *watch) work(key string) float64 { return w.lengths[key]/12 + pieceFt }

// forecast divides what has yet to hang by the work hung on a day so far.
func (w *watch) forecast() Forecast {
	left, hung := 0.0, 0
	for key := range w.piece {
		if w.state.Pieces[key].Place == tally.OnWall {
			hung++
		} else {
			left += w.work(key)
		}
	}
	switch {
	case len(w.piece) == 0:
		return Forecast{Text: "Nothing is to be cut yet."}
	case left == 0:
		return Forecast{Known: true, Text: "All that is to be cut hangs."}
	case hung < fewestHung:
		return Forecast{Text: fmt.Sprintf("Too early: a forecast needs %d pieces hung.", fewestHung)}
	}
	pace, weekend := w.daily()
	mean, low, high := paceOf(pace, left)
	f := Forecast{Known: true, DaysLeft: tenth(left / mean), DaysLow: tenth(left / high), Finish: w.day(left/mean, weekend), FinishLow: w.day(left/high, weekend)}
	f.Text = fmt.Sprintf("About %.1f working days at the pace of %d days so far", left/mean, len(pace))
	if low > 0 {
		f.DaysHigh, f.FinishHigh = tenth(left/low), w.day(left/low, weekend)
		f.Text += fmt.Sprintf(", between %.1f and %.1f (19 in 20)", left/high, left/low)
	} else {
		f.Text += "; the days so far are too few or too unlike to say how late it may become"
	}
	if f.Text += "."; !weekend {
		f.Text += " Saturdays and Sundays are left out, as so far."
	}
	return f
}

// A day that is not over counts as a whole one from this share of the usual length on;
// where it is all there is, it is taken to become this many hours long (both assumed).
const (
	wholeFrom = 0.75
	dayHours  = 8
)

// dayWork is what was hung on one day.
type dayWork struct {
	span
	day  string
	work float64
}

// daily is the work hung on each day, and whether a weekend was worked.
func (w *watch) daily() (pace []float64, weekend bool) {
	var days []dayWork
	for _, m := range w.standing {
		at := w.when(m)
		if m.Kind != tally.Hung || at.IsZero() || w.piece[m.Piece] == nil || w.state.Pieces[m.Piece].Last.ID != m.ID {
			continue
		}
		day := at.Format(time.DateOnly)
		i := slices.IndexFunc(days, func(d dayWork) bool { return d.day == day })
		if i < 0 {
			i, days = len(days), append(days, dayWork{day: day})
		}
		days[i].span, days[i].work = days[i].with(m, at), days[i].work+w.work(m.Piece)
		weekend = weekend || at.Weekday() == time.Saturday || at.Weekday() == time.Sunday
	}
	slices.SortFunc(days, func(a, b dayWork) int { return cmp.Compare(a.day, b.day) })
	for _, d := range w.over(days) {
		pace = append(pace, d.work)
	}
	return pace, weekend
}

// over leaves today out while it is short, or stretches it where there is no other day.
func (w *watch) over(days []dayWork) []dayWork {
	last := len(days) - 1
	if last < 0 || days[last].day != w.now.In(days[last].to.Location()).Format(time.DateOnly) {
		return days
	}
	if last == 0 {
		days[0].work *= max(1, dayHours/max(days[0].hours(), 1))
		return days
	}
	usual := 0.0
	for _, d := range days[:last] {
		usual += d.hours() / float64(last)
	}
	if days[last].hours() < wholeFrom*usual {
		return days[:last]
	}
	return days
}

// paceOf is the mean of the days' work, and what the mean of the days to come will lie
// between in nineteen of twenty cases: mean -/+ t s sqrt(1/n + 1/m), the prediction
// interval for the mean of m further values (any statistics text). A low of 0: unknown.
// Of a single day nothing is known but itself: half and one and a half of it (assumed).
func paceOf(pace []float64, left float64) (mean, low, high float64) {
	n := float64(len(pace))
	for _, x := range pace {
		mean += x / n
	}
	if len(pace) == 1 {
		return mean, mean / 2, mean * 1.5
	}
	s := 0.0
	for _, x := range pace {
		s += (x - mean) * (x - mean) / (n - 1)
	}
	half := student(len(pace)-1) * math.Sqrt(s*(1/n+1/max(1, left/mean)))
	return mean, max(0, mean-half), mean + half
}

// student is the 0.975 quantile of Student's t for so many degrees of freedom (printed
// in any statistics text; beyond 10 by the usual series around the normal 1.960).
func student(free int) float64 {
	table := [...]float64{12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228}
	if free <= len(table) {
		return table[free-1]
	}
	const z = 1.959964
	v := float64(free)
	return z + (z*z*z+z)/(4*v) + (5*math.Pow(z, 5)+16*z*z*z+3*z)/(96*v*v)
}

// day is the date so many working days from now, the day on which the last of them
// ends; today counts as the first.
func (w *watch) day(days float64, weekend bool) string {
	at := w.now
	off := func() bool { return !weekend && (at.Weekday() == time.Saturday || at.Weekday() == time.Sunday) }
	for left := min(math.Ceil(days), 3000); left > 0; {
		if !off() {
			left--
		}
		if left > 0 {
			at = at.AddDate(0, 0, 1)
		}
	}
	for off() {
		at = at.AddDate(0, 0, 1)
	}
	return at.Format(time.DateOnly)
}
