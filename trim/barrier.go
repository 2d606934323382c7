package trim

import (
	"fmt"
	"slices"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

// mostRows bounds the rows of barrier on one wall; a book that would need more has
// a slip in its roll width (assumed).
const mostRows = 1000

// barrier counts the weather-resistive barrier of every wall that is clad, in level
// rows from the wall's lowest point, openings not deducted (it is rolled over them
// and cut), and the tape of its seams.
//
// Laps: upper over lower at least 2 in, joints at least 6 in: IRC R703.2; the book's
// own are used. So a row of width w climbs w - lap: rows = 1 + ceil((H-w)/(w-lap)).
func (t *bill) barrier() {
	w, lap := t.b.Trim.WRBWidth, t.b.Trim.WRBLap
	if w <= 0 || lap < 0 || lap >= w {
		t.add(WRB, houseWide, "").Note = "not counted: the shop's book gives no width of roll above its lap"
		return
	}
	rows := make([]int, len(t.h.Walls))
	for i := range t.h.Walls {
		if len(t.walls[i]) > 0 {
			rows[i] = t.barrierRows(i, w, lap)
		}
	}
	t.endLaps(rows)
}

// barrierRows puts a wall's rows and their tape on the bill and says how many.
func (t *bill) barrierRows(wall int, w, lap measure.Length) int {
	o := t.h.Walls[wall].Outline
	n, lines := rowLines(o.Box(), w, lap)
	if n > mostRows {
		t.add(WRB, wall, t.h.Walls[wall].ID).Note = fmt.Sprintf("not counted: it would take %d rows; check the roll's width in the shop's book", n)
		return 0
	}
	var runs, seams []measure.Length
	for _, p := range plane.Bands([]plane.TaggedRing{{Points: o, Tags: make([]plane.Tag, len(o))}}, lines) {
		width := p.Outer.Points.Box().Width()
		runs = append(runs, width)
		if p.Band > 0 {
			seams = append(seams, width)
		}
	}
	from := fmt.Sprintf("%s, rows from its lowest point: %d", t.h.Walls[wall].ID, n)
	l := t.add(WRB, wall, from, runs...)
	l.Count, l.Area = n, rectangle(l.Length, w)
	t.tape(wall, seams)
	return n
}

// rowLines gives how many rows a box takes and the heights where they begin, and
// its top.
func rowLines(box plane.Box, w, lap measure.Length) (n int, lines []measure.Length) {
	rise := w - lap
	n = 1
	if over := box.Height() - w; over > 0 {
		n += int(over.CeilTo(rise) / rise)
	}
	for k := range min(n, mostRows) {
		lines = append(lines, box.Min.Y+measure.Length(k)*rise)
	}
	return n, append(lines, box.Max.Y)
}

// tape counts the seams between rows, and the heads and sides of openings; a sill
// stays open so that water can leave.
func (t *bill) tape(wall int, seams []measure.Length) {
	around := 0
	for _, b := range t.walls[wall] {
		if b.of.thing == openingEdge && !b.of.facesUp() {
			seams = append(seams, b.length())
			around++
		}
	}
	if len(seams) > 0 {
		from := fmt.Sprintf("%s, level seams and %d heads and sides of openings", t.h.Walls[wall].ID, around)
		t.add(Tape, wall, from, seams...)
	}
}

// endLaps adds one joint a row for each set of walls that corners join: the rows
// run around them. It stands on the first wall of the set.
func (t *bill) endLaps(rows []int) {
	lap := t.b.Trim.WRBEndLap
	if lap <= 0 {
		return
	}
	for _, set := range joinedWalls(t.h) {
		most := 0
		for _, i := range set {
			most = max(most, rows[i])
		}
		if most == 0 {
			continue
		}
		from := fmt.Sprintf("joint of each row, around %s", names(t.h, set))
		l := t.add(WRB, set[0], from, slices.Repeat([]measure.Length{lap}, most)...)
		l.Area = rectangle(l.Length, t.b.Trim.WRBWidth)
		t.add(Tape, set[0], from, slices.Repeat([]measure.Length{t.b.Trim.WRBWidth}, most)...)
	}
}

// joinedWalls groups walls that corners join, directly or through others, in the
// order of their first walls.
func joinedWalls(h house.House) [][]int {
	set := make([]int, len(h.Walls))
	for i := range set {
		set[i] = i
	}
	find := func(i int) int {
		for set[i] != i {
			set[i] = set[set[i]]
			i = set[i]
		}
		return i
	}
	for _, c := range h.Corners {
		a, b := c.Between[0].Wall, c.Between[1].Wall
		if a < 0 || b < 0 || a >= len(set) || b >= len(set) {
			continue
		}
		a, b = find(a), find(b)
		set[max(a, b)] = min(a, b)
	}
	at := map[int]int{}
	var out [][]int
	for i := range set {
		r := find(i)
		if _, ok := at[r]; !ok {
			at[r] = len(out)
			out = append(out, nil)
		}
		out[at[r]] = append(out[at[r]], i)
	}
	return out
}

// names lists a few walls.
func names(h house.House, set []int) string {
	text := h.Walls[set[0]].ID
	for _, i := range set[1:min(len(set), 4)] {
		text += ", " + h.Walls[i].ID
	}
	if len(set) > 4 {
		text += fmt.Sprintf(" and %d more", len(set)-4)
	}
	return text
}
