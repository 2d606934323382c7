package site

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"coilwright/tally"
)

// when is the time of a mark: by its phone's clock, unless that is ahead of the
// office's or says nothing; then when it came.
func (w *watch) when(m tally.Mark) time.Time {
	at, err := time.Parse(time.RFC3339, m.At)
	received := w.received[m.ID]
	if err != nil || !received.IsZero() && at.After(received.Add(patience)) {
		return received
	}
	return at
}

// leastSpan is what a day with a single mark counts, in hours (assumed).
const leastSpan = 0.25

// span is the time from a first to a last mark.
type span struct {
	from, to     time.Time
	formed, hung int
}

func (s span) with(m tally.Mark, at time.Time) span {
	if s.from.IsZero() || at.Before(s.from) {
		s.from = at
	}
	if at.After(s.to) {
		s.to = at
	}
	switch m.Kind {
	case tally.Formed:
		s.formed++
	case tally.Hung:
		s.hung++
	}
	return s
}

func (s span) hours() float64 { return max(s.to.Sub(s.from).Hours(), leastSpan) }

type personDay struct{ by, day string }

// hours sums marks up by people and by days. A person's hours of a day run from the
// first mark to the last; a day's are its people's together.
func (w *watch) hours() ([]ProgressPerson, []ProgressDay, float64) {
	spans := map[personDay]span{}
	for _, m := range w.standing {
		at := w.when(m)
		if at.IsZero() {
			continue
		}
		k := personDay{m.By, at.Format(time.DateOnly)}
		spans[k] = spans[k].with(m, at)
	}
	people, days, sum := map[string]ProgressPerson{}, map[string]ProgressDay{}, 0.0
	for k, s := range spans {
		p, d := people[k.by], days[k.day]
		people[k.by] = ProgressPerson{k.by, p.Formed + s.formed, p.Hung + s.hung, p.Hours + s.hours()}
		days[k.day] = ProgressDay{k.day, d.Formed + s.formed, d.Hung + s.hung, d.Hours + s.hours()}
		sum += s.hours()
	}
	outPeople, outDays := slices.Collect(maps.Values(people)), slices.Collect(maps.Values(days))
	slices.SortFunc(outPeople, func(a, b ProgressPerson) int { return cmp.Compare(a.By, b.By) })
	slices.SortFunc(outDays, func(a, b ProgressDay) int { return cmp.Compare(a.Day, b.Day) })
	for i := range outPeople {
		outPeople[i].Hours = tenth(outPeople[i].Hours)
	}
	for i := range outDays {
		outDays[i].Hours = tenth(outDays[i].Hours)
	}
	return append([]ProgressPerson{}, outPeople...), append([]ProgressDay{}, outDays...), tenth(sum)
}
