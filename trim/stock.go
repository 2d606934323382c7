package trim

import (
	"fmt"
	"slices"

	"coilwright/measure"
	"coilwright/plane"
	"coilwright/steel"
)

// stockOf gives the length that a kind is bought in and the lap where two lengths
// meet; zero where it is not bought by length.
func stockOf(k Kind, b *steel.Book) (length, lap measure.Length) {
	switch k {
	case WRB:
		return b.Trim.WRBRoll, b.Trim.WRBEndLap
	case Tape:
		return b.Trim.TapeRoll, 0
	case Soffit, PanelNails, TrimNails, PostFlat:
		return 0, 0
	}
	if bentHere(k, b) {
		return b.Trim.BrakeLength, b.Trim.Lap
	}
	return b.Trim.StockLength, b.Trim.Lap
}

// stock fills in Pieces and Laps from the runs.
func (l *Line) stock(b *steel.Book) {
	length, lap := stockOf(l.Kind, b)
	l.Pieces, l.Laps = 0, 0
	if l.Length <= 0 || length <= 0 || lap >= length || lap < 0 {
		return
	}
	if l.Kind == WRB || l.Kind == Tape {
		l.Pieces, l.Laps = lapped(l.Length, length, lap)
		return
	}
	l.Pieces, l.Laps = cutFrom(l.Runs, length, lap)
}

// lapped is how many lengths of stock cover a run, each lapping the one before,
// and what the laps add: n s - (n-1) lap >= run.
func lapped(run, stock, lap measure.Length) (n int, laps measure.Length) {
	if run <= stock {
		return 1, 0
	}
	step := stock - lap
	n = int((run - lap).CeilTo(step) / step)
	return n, measure.Length(n-1) * lap
}

// openLengths is how many begun stock lengths are kept at hand while the short
// ends are cut (assumed: a rack's worth); it bounds the work.
const openLengths = 64

// cutFrom is how many stock lengths give all runs: a run longer than the stock
// takes whole lengths, lapped, and what remains of it is cut with the short runs,
// the longest first, each from the first begun length that still holds it. A plan
// that a person can follow at the rack, not the proven fewest.
func cutFrom(runs []measure.Length, stock, lap measure.Length) (n int, laps measure.Length) {
	var ends []measure.Length
	for _, r := range runs {
		if r <= 0 {
			continue
		}
		whole, over := lapped(r, stock, lap)
		n += whole - 1
		laps += over
		ends = append(ends, r-measure.Length(whole-1)*(stock-lap))
	}
	slices.Sort(ends)
	slices.Reverse(ends)
	var left []measure.Length
	for _, e := range ends {
		at := slices.IndexFunc(left, func(free measure.Length) bool { return free >= e })
		if at < 0 {
			n++
			if len(left) == openLengths {
				left = slices.Delete(left, 0, 1)
			}
			at, left = len(left), append(left, stock)
		}
		left[at] -= e
	}
	return n, laps
}

// Totals sums lines up by kind, for the whole house (Wall -1). Pieces are counted
// anew over all runs, since offcuts of one wall serve another; where that plan is
// no better than the walls' own, theirs stands.
func Totals(lines []Line, b *steel.Book) []Line {
	var out []Line
	for _, k := range Kinds {
		sum := Line{Kind: k, What: k.What(), Wall: houseWide}
		n, notes, apart := 0, 0, 0
		for _, l := range lines {
			if l.Kind != k {
				continue
			}
			n++
			sum.Length += l.Length
			sum.Runs = append(sum.Runs, l.Runs...)
			sum.Count += l.Count
			apart += l.Pieces
			sum.Area = plane.AddAreas(sum.Area, l.Area)
			if l.Note != "" {
				notes++
			}
		}
		if n == 0 {
			continue
		}
		sum.From = fmt.Sprintf("%d places", n)
		if n == 1 {
			sum.From = "1 place"
		}
		if notes > 0 {
			sum.Note = fmt.Sprintf("%d of them carry a note", notes)
		}
		if b != nil {
			sum.stock(b)
			sum.Pieces = min(sum.Pieces, apart)
		}
		out = append(out, sum)
	}
	return out
}

// inOrder sorts by wall, then by kind as in Kinds; what concerns the whole house
// comes last.
func inOrder(lines []Line) []Line {
	rank := func(l Line) int {
		if l.Wall == houseWide {
			return int(^uint(0) >> 1)
		}
		return l.Wall*len(Kinds) + slices.Index(Kinds[:], l.Kind)
	}
	slices.SortStableFunc(lines, func(a, b Line) int {
		ra, rb := rank(a), rank(b)
		switch {
		case ra < rb:
			return -1
		case ra > rb:
			return 1
		}
		return 0
	})
	return lines
}

// rectangle is the exact area of length x width.
func rectangle(length, width measure.Length) measure.Area {
	return plane.Ring{{}, {X: length}, {X: length, Y: width}, {Y: width}}.Area()
}
