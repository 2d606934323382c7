package document

import (
	"strings"
)

// knownNames is the mend for a wrong name: the nearest known one, then the list.
func knownNames(wrong string, names []string) string {
	if len(names) == 0 {
		return "take it away: none are known here"
	}
	list := names[:min(len(names), 20)]
	mend := "write one of " + strings.Join(list, ", ")
	if len(list) < len(names) {
		mend += ", ..."
	}
	if n := nearest(wrong, names); n != "" {
		return "did you mean \"" + n + "\"? Or " + mend
	}
	return mend
}

// nearest gives the name with the fewest slips (a letter put in, left out, changed
// or swapped with its neighbour), "" where even that is no likely slip.
func nearest(wrong string, names []string) string {
	if len(wrong) > 60 {
		return ""
	}
	best, least := "", 1+max(1, len(wrong)/3)
	for _, n := range names {
		if d := slips(strings.ToLower(wrong), strings.ToLower(n)); d < least {
			best, least = n, d
		}
	}
	return best
}

// slips is the optimal string alignment distance.
func slips(a, b string) int {
	var before, last []int
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before, last, row = last, row, make([]int, len(b)+1)
		row[0] = i + 1
		for j := range len(b) {
			change := 1
			if a[i] == b[j] {
				change = 0
			}
			row[j+1] = min(last[j]+change, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
	}
	return row[len(b)]
}
