// Package problem is how Coilwright says what is wrong: the rule broken, the
// place, and the mend, as values that a caller can match and a screen can pin to
// the wall they belong to.
package problem

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Severity tells whether a job can be worked on at all.
type Severity string

// An Error stops the work; a Warning is said and the work goes on.
const (
	Error   Severity = "error"
	Warning Severity = "warning"
)

// Problem is one finding. Where is a JSON path into the file, such as
// $.house.walls[2].openings[0].size[1].
type Problem struct {
	Severity Severity `json:"severity"`
	Where    string   `json:"where"`
	What     string   `json:"what"`
	Mend     string   `json:"mend"`
}

func (p Problem) String() string {
	return fmt.Sprintf("%s: %s: %s. %s.", p.Severity, p.Where, p.What, sentence(p.Mend))
}

// sentence gives text a capital, as after a full stop.
func sentence(text string) string {
	first, n := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[n:]
}

// List is findings in the order they were found.
type List []Problem

// Errorf adds an error.
func (l *List) Errorf(where, mend, format string, args ...any) {
	*l = append(*l, Problem{Error, where, fmt.Sprintf(format, args...), mend})
}

// Warnf adds a warning.
func (l *List) Warnf(where, mend, format string, args ...any) {
	*l = append(*l, Problem{Warning, where, fmt.Sprintf(format, args...), mend})
}

// Fatal says whether any finding is an error.
func (l List) Fatal() bool {
	for _, p := range l {
		if p.Severity == Error {
			return true
		}
	}
	return false
}

// Err is nil unless the list holds an error; else it is a *Failure with all.
func (l List) Err() error {
	if !l.Fatal() {
		return nil
	}
	return &Failure{l}
}

// Failure is a list that holds at least one error. Match it with errors.As.
type Failure struct{ Problems List }

func (f *Failure) Error() string {
	var lines []string
	for _, p := range f.Problems {
		if p.Severity == Error {
			lines = append(lines, p.String())
		}
	}
	return strings.Join(lines, "\n")
}
