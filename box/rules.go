package box

import (
	"errors"
	"fmt"

	"coilwright/measure"
	"coilwright/steel"
)

// Rules is how a crew joins sections in one course. All are common practice, no
// source, where the shop's book does not set them.
type Rules struct {
	Step     measure.Length // what lengths are cut to
	Lap      measure.Length // how far one section runs over the next
	Stagger  measure.Length // between joints of neighbouring courses, at least
	Clear    measure.Length // between a joint and an opening's corner, at least
	Shortest measure.Length // shortest piece that a joint may make
	Extra    int            // pieces that a course may take beyond the fewest
	Work     int            // bounds the search, in divisions of strips looked at; 0 is UsualWork
}

// Where the book is silent (common practice, no source).
const (
	usualLap     = measure.Inch
	usualStagger = 24 * measure.Inch
	usualClear   = 12 * measure.Inch
)

// RulesOf takes the rules from a shop's book, rounded up to its step. A joint
// keeps the stagger from the end of its course as from a joint above or below, so
// no piece beside one is shorter than that.
func RulesOf(b *steel.Book, step measure.Length) Rules {
	r := Rules{Step: step, Lap: usualLap, Stagger: usualStagger, Clear: usualClear, Extra: 1}
	for _, v := range []struct {
		to   *measure.Length
		book measure.Length
	}{{&r.Lap, b.Joint.Lap}, {&r.Stagger, b.Joint.Stagger}, {&r.Clear, b.Joint.ClearOfOpening}} {
		if v.book > 0 {
			*v.to = v.book
		}
		*v.to = v.to.CeilTo(step)
	}
	r.Shortest = r.Stagger
	return r
}

// UsualWork is some hundredths of a second for each group of like strips.
const UsualWork = 100_000

// ErrRules is matched by every error about sections and rules that no crew could
// lay a wall with.
var ErrRules = errors.New("box siding cannot be laid so")

// RuleError says which rule and how to mend it.
type RuleError struct{ Rule, Mend string }

func (e *RuleError) Error() string { return fmt.Sprintf("%v: %s; %s", ErrRules, e.Rule, e.Mend) }

// Unwrap makes errors.Is(err, ErrRules) true.
func (e *RuleError) Unwrap() error { return ErrRules }

// check refuses what would leave a section nothing to cover with.
func (r Rules) check(section measure.Length) error {
	switch {
	case r.Step <= 0 || section < r.Step:
		return &RuleError{"a section is shorter than the step that lengths are cut to", "give the section's length"}
	case r.Lap < 0 || r.Stagger < 0 || r.Clear < 0 || r.Shortest < 0 || r.Extra < 0 || r.Work < 0:
		return &RuleError{"a rule is below zero", "give lap, stagger and distances as lengths of zero or more"}
	case 2*r.Lap >= section.FloorTo(r.Step):
		return &RuleError{"the laps use a whole section up", "make the shop's joint lap about 1 in"}
	}
	return nil
}
