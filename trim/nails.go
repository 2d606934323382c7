package trim

import (
	"fmt"

	"coilwright/course"
	"coilwright/measure"
	"coilwright/steel"
)

// studWidth is the narrow side of sawn framing lumber, nominal 2 in: an end of a
// piece that near to a stud's line is nailed into that stud (common practice, no
// source).
const studWidth = measure.Inch + measure.Inch/2

// panelNails counts the nails of each wall's panels. Steel siding is fastened at
// the stud spacing: 2018 IRC table R703.3(1), steel siding, 29 ga, lap.
func (t *bill) panelNails() {
	spacing := t.b.Trim.StudSpacing
	if spacing <= 0 {
		t.add(PanelNails, houseWide, "").Note = "not counted: the shop's book gives no stud spacing"
		return
	}
	nails, pieces := make([]int, len(t.h.Walls)), make([]int, len(t.h.Walls))
	for _, p := range t.l.Pieces {
		if p.Wall >= 0 && p.Wall < len(nails) {
			nails[p.Wall] += t.nailsOf(p, spacing)
			pieces[p.Wall]++
		}
	}
	for _, z := range t.l.Zones {
		if z.Counted && z.Wall >= 0 && z.Wall < len(nails) {
			nails[z.Wall] += z.Count * t.nailsOfCounted(z, spacing)
			pieces[z.Wall] += z.Count
		}
	}
	for i, n := range nails {
		if n > 0 {
			t.add(PanelNails, i, fmt.Sprintf("%s, %d pieces", t.h.Walls[i].ID, pieces[i])).Count = n
		}
	}
}

// nailsOf counts one nail in each stud that a piece crosses, and one at each end
// where no stud stands. Studs are taken to stand at the spacing from the wall's
// left end, the first on it (assumed: framing is laid out from an end); a vertical
// panel is nailed at the same spacing from its own lower end.
func (t *bill) nailsOf(p course.Piece, spacing measure.Length) int {
	left, right := drawnBack(p)
	if p.Vertical {
		return studs(0, left+p.Extent+right, spacing)
	}
	from := p.At.X - left - t.h.Walls[p.Wall].Outline.Box().Min.X
	return studs(from, from+left+p.Extent+right, spacing)
}

// drawnBack is how far the piece's ends stand off their receivers' lines, so that
// an end that reaches a corner counts the stud in it.
func drawnBack(p course.Piece) (left, right measure.Length) {
	left, right = p.Gaps[0], p.Gaps[1]
	for _, e := range p.Ends {
		switch e.Side {
		case course.LeftEnd:
			left = max(left, e.Pocket+p.Gaps[0])
		case course.RightEnd:
			right = max(right, e.Pocket+p.Gaps[1])
		}
	}
	return left, right
}

// studs counts multiples of spacing in [from, to], and the ends farther than a
// stud's width from any.
func studs(from, to, spacing measure.Length) int {
	first, last := from.CeilTo(spacing), to.FloorTo(spacing)
	n := 0
	if first <= last {
		n = int((last-first)/spacing) + 1
	}
	for _, end := range [2]measure.Length{from, to} {
		if off := end - end.FloorTo(spacing); min(off, spacing-off) > studWidth {
			n++
		}
	}
	return n
}

// nailsOfCounted is how many nails hold one counted piece: at the stud spacing over
// its width and one more, at least two (assumed).
func (t *bill) nailsOfCounted(z course.ZoneOnWall, spacing measure.Length) int {
	width := measure.Length(0)
	if z.Zone >= 0 && z.Zone < len(t.s.Zones) {
		if p, ok := t.b.Panel(t.s.Zones[z.Zone].Panel); ok && p.Kind == steel.Counted {
			width = p.PieceWidth
		}
	}
	return max(2, int(width.CeilTo(spacing)/spacing)+1)
}

// trimNails counts the nails of each wall's trim by the book's spacing: for each
// run its length over the spacing, rounded up, and one more; a post has a flange on
// each of its two walls.
func (t *bill) trimNails() {
	spacing := t.b.Trim.NailSpacing
	if spacing <= 0 {
		t.add(TrimNails, houseWide, "").Note = "not counted: the shop's book gives no spacing of nails in trim"
		return
	}
	nails, runs := make([]int, len(t.h.Walls)), make([]int, len(t.h.Walls))
	for _, l := range t.lines {
		rows := nailRows(l.Kind)
		if rows == 0 || l.Wall < 0 {
			continue
		}
		for _, r := range l.Runs {
			nails[l.Wall] += rows * (int(r.CeilTo(spacing)/spacing) + 1)
			runs[l.Wall]++
		}
	}
	for i, n := range nails {
		if n > 0 {
			t.add(TrimNails, i, fmt.Sprintf("%s, %d runs of trim", t.h.Walls[i].ID, runs[i])).Count = n
		}
	}
}

// nailRows is along how many flanges a kind is nailed.
func nailRows(k Kind) int {
	switch k {
	case OutsidePost, InsidePost:
		return 2
	case Starter, Channel, DripCap, Transition, TransitionUpright, Finish, Frieze, Fascia:
		return 1
	}
	return 0
}
