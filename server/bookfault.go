package server

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"coilwright/price"
	"coilwright/problem"
)

// textPlace is a line and column of the book's file, which nobody sees who types at a page.
var textPlace = regexp.MustCompile(` \(book:\d+:\d+\)`)

// bookFault says why a book was not saved to whoever typed it: by the figure's name.
func bookFault(found problem.List) string {
	p := found[max(0, slices.IndexFunc(found, func(p problem.Problem) bool { return p.Severity == problem.Error }))]
	what := textPlace.ReplaceAllString(p.What, "")
	if at := bookPlace(p.Where); at != "" {
		what = at + ": " + what
	}
	return fmt.Sprintf("The book was not saved: %s; %s.", what, p.Mend)
}

// bookPlace is a path in a book in words; empty for the book as a whole.
func bookPlace(where string) string {
	steps := strings.Split(strings.TrimPrefix(strings.TrimPrefix(where, "$"), "."), ".")
	keys := map[string][]price.Key{"prices": price.PriceKeys, "rates": price.RateKeys}[steps[0]]
	if len(steps) > 1 {
		if k, ok := price.Named(keys, steps[1]); ok {
			return k.What
		}
	}
	return strings.ReplaceAll(strings.Join(steps, ", "), "_", " ")
}
