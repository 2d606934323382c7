package server

import (
	"fmt"
	"math"

	"coilwright/job"
	"coilwright/measure"
	"coilwright/photo"
)

// UncheckedView is a tape number that the rest hardly checks.
type UncheckedView struct {
	Photo string `json:"photo"`
	Where string `json:"where" doc:"As in doubts"`
	What  string `json:"what"`
	Mend  string `json:"mend"`
}

// worthSeeing is the misreading of a tape that ought to show: the inch that is lost
// where a tape's end is held at its first mark (common practice, no source).
const worthSeeing = 1.0

// unchecked finds the known length whose misreading would have to be largest to
// show; nil where an inch shows everywhere.
func (v *PhotoMeasureView) unchecked(one job.Solved, u measure.Units) *UncheckedView {
	var worst photo.Check
	for _, c := range one.Solution.Checks() {
		if c.Unseen > worst.Unseen {
			worst = c
		}
	}
	if worst.Unseen <= worthSeeing {
		return nil
	}
	out := &UncheckedView{Photo: one.Photos[worst.Photo].ID, Where: fmt.Sprintf("lengths[%d]", worst.Index), What: "nothing checks it: misread, it would pass unseen"}
	if !math.IsInf(worst.Unseen, 1) {
		out.What = fmt.Sprintf("misread by less than %s it would pass unseen", roughly(worst.Unseen, u))
	}
	out.Mend = "read it twice"
	if worst.Also != "" {
		out.Mend += fmt.Sprintf("; with %s taped too, an error of %s would show", v.sizeWords(worst.Also), roughly(worst.Then, u))
	}
	return out
}

// roughly writes an error upwards, in steps that nobody takes for exact: a quarter
// of an inch, five millimetres.
func roughly(inches float64, u measure.Units) string {
	step := measure.Inch / 4
	if u == measure.Metric {
		step = 5 * measure.Millimetre
	}
	return measure.FromInches(inches).CeilTo(step).Text(u)
}

// sizeWords says a hint of the photo package in the trade's words.
func (v *PhotoMeasureView) sizeWords(hint string) string {
	at := v.next(hint).Size
	switch {
	case at < 0:
		return hint
	case v.Sizes[at].Opening != "":
		return fmt.Sprintf("the %s of %s", v.Sizes[at].Words, v.Sizes[at].Opening)
	}
	return fmt.Sprintf("%s, %s,", v.Sizes[at].Wall, v.Sizes[at].Words)
}
