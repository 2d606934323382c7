package sheet

import (
	"fmt"
	"strings"

	"coilwright/course"
	"coilwright/draw"
	"coilwright/measure"
	"coilwright/plane"
)

// pieceColumns of the hangers' list.
var pieceColumns = []column{
	{title: "No.", width: 17}, {title: "course", width: 13}, {title: "LENGTH", width: 34}, {title: "left or foot: receiver, cut", width: 43},
	{title: "GAP", width: 15}, {title: "right or top: receiver, cut", width: 43}, {title: "GAP", width: 15}, {title: "rip", width: 18},
}

// pieceList is the hangers' paper, wall by wall.
func (s *set) pieceList() *paper {
	p := s.newPaper("Piece list", cautionHang)
	p.need(0)
	p.para("GAP is the room between the piece's end and the back of its receiver's pocket, for panels hung at "+s.temperature()+
		". Notches are measured from the piece's own left end and lower edge; for upright panels from the foot and the right-hand edge. Sketches are not to scale.", normal, false)
	p.para("Nail in the middle of the slot, head clear of the hem, into the studs, so that the panel can slide; the panel maker's figures win.", normal, true)
	for w := range s.House.Walls {
		s.wallPieces(p, w)
	}
	p.again = nil
	return p
}

func (s *set) wallPieces(p *paper, w int) {
	cols := p.spread(pieceColumns)
	last, begun := -1, false
	for i := range s.Layout.Pieces {
		q := &s.Layout.Pieces[i]
		if q.Wall != w {
			continue
		}
		if !begun || q.Zone != last {
			p.again = nil
			s.zoneHead(p, w, q)
			p.tableHead(cols)
			p.again = func() { p.tableHead(cols) }
			last, begun = q.Zone, true
		}
		s.pieceRow(p, cols, q)
	}
	p.again = nil
}

func (s *set) zoneHead(p *paper, w int, q *course.Piece) {
	p.need(34)
	p.heading(fmt.Sprintf("Wall %s, zone %s: %s", s.wallName(w), draw.Clean(s.Scheme.Zones[q.Zone].ID), s.material(q.Panel, q.Texture, q.Colour)))
}

// pieceRow sets one piece: its line, its warnings, and a sketch where it is not a
// plain rectangle.
func (s *set) pieceRow(p *paper, cols []column, q *course.Piece) {
	cells := [][]string{
		{q.Number}, {fmt.Sprint(q.Course)}, {s.exact(q.Length)},
		s.endLines(q, course.LeftEnd, cols[3].width), {s.short(q.Gaps[0])}, s.endLines(q, course.RightEnd, cols[5].width), {s.short(q.Gaps[1])},
		{s.rip(q)},
	}
	h := 7.6
	for i, c := range cells {
		h = max(h, float64(len(c))*lead(pieceSize(i))+1.6)
	}
	sketch := !plain(q)
	notes := s.pieceNotes(q, p.width()*0.5)
	extra := float64(len(notes)) * lead(8.5)
	if sketch {
		_, ky := sketchScale(q, sketchWide(p))
		extra = max(extra, mm(q.Across())*ky+3.5) + 1
	}
	p.need(min(h+extra, 120))
	s.pieceCells(p, cols, cells, h)
	p.y += h
	if sketch {
		s.sketch(p, draw.Point{X: p.left() + 20, Y: p.y + 1}, q)
	}
	top := p.y
	for _, l := range notes {
		if p.y+lead(8.5) > p.bottom() {
			p.need(1000)
			top = p.y
		}
		p.y += lead(8.5)
		p.page.Layer("text").Add(draw.Text{At: draw.Point{X: p.left() + p.width()*0.5, Y: p.y - 0.8}, Text: l, Size: 8.5, Bold: strings.HasPrefix(l, "!")})
	}
	p.y = max(p.y, top+extra)
	p.page.Layer("rules").Add(draw.Polyline(hair, draw.Point{X: p.left(), Y: p.y}, draw.Point{X: p.right(), Y: p.y}))
}

func pieceSize(col int) float64 {
	switch col {
	case 0, 2:
		return large
	case 1, 4, 6, 7:
		return 10
	}
	return 8.5
}

func (s *set) pieceCells(p *paper, cols []column, cells [][]string, h float64) {
	x := p.left()
	for i, c := range cells {
		size := pieceSize(i)
		for k, l := range c {
			y := p.y + h/2 + draw.CapHeight(size)/2 + lead(size)*(float64(k)-float64(len(c)-1)/2)
			bold := i%2 == 0 // number, length and gaps
			p.cell(cols[i], x, y, draw.Fit(l, size, bold, cols[i].width-cellPad), size, bold)
		}
		x += cols[i].width
	}
}

func (s *set) endLines(q *course.Piece, side course.Side, w float64) []string {
	return atMost(2, draw.Wrap(stands(q, side)+", "+s.cuts(q, side), 8.5, false, w-2*cellPad))
}

// plain says whether a piece is its whole box, exactly: no sketch is needed.
func plain(q *course.Piece) bool {
	b := q.Shape.Outer.Box()
	whole := plane.Ring{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
	return q.Shape.Area() == whole.Area()
}

func (s *set) rip(q *course.Piece) string {
	if q.Rip <= 0 {
		return "-"
	}
	return s.text(q.Rip)
}

// mostNotes lines stand beside one piece; a piece with more is on the wall's
// drawing and in the CSV in full.
const mostNotes = 24

// pieceNotes are what stands beside the sketch: marks of a rake, notches with
// their coordinates, warnings.
func (s *set) pieceNotes(q *course.Piece, w float64) []string {
	var out []string
	add := func(text string) { out = append(out, draw.Wrap(text, 8.5, strings.HasPrefix(text, "!"), w-2)...) }
	if raked(q) {
		add(s.rakeMarks(q))
	}
	for _, n := range q.Notches {
		add(s.notchText(n))
	}
	if !q.Fit {
		add("! NOT fit to cut: " + string(q.Measured.By) + plusMinus(s, q.Measured.PlusMinus) + "; measure again")
	}
	for _, t := range q.Warnings {
		add("! " + t)
	}
	return atMost(mostNotes, out)
}

func (s *set) notchText(n course.Notch) string {
	what := "notch"
	if n.Inside {
		what = "hole"
	}
	if n.Opening != "" {
		what += " at " + draw.Clean(n.Opening)
	}
	t := fmt.Sprintf("%s: along %s to %s, up %s to %s", what, s.text(n.Box.Min.X), s.text(n.Box.Max.X), s.text(n.Box.Min.Y), s.text(n.Box.Max.Y))
	if !n.Square {
		t += " (not square: take its line from the opening)"
	}
	return t
}

const sketchHigh = 11.0 // mm, at most

func sketchWide(p *paper) float64 { return p.width()*0.5 - 26 }

// sketchScale is paper over piece along and across the strip: a piece is long, so
// its height is shown up to four times too large.
func sketchScale(q *course.Piece, wide float64) (kx, ky float64) {
	b := q.Shape.Outer.Box()
	if b.Width() <= 0 || b.Height() <= 0 {
		return 0, 0
	}
	kx = wide / mm(b.Width())
	ky = min(sketchHigh/mm(b.Height()), kx*4)
	return min(kx, ky), ky
}

// sketch draws a piece small, its left end or foot at the left, where its own
// coordinates count from.
func (s *set) sketch(p *paper, corner draw.Point, q *course.Piece) {
	kx, ky := sketchScale(q, sketchWide(p))
	b := q.Shape.Outer.Box()
	at := func(x, y measure.Length) draw.Point {
		return draw.Point{X: corner.X + mm(x-b.Min.X)*kx, Y: corner.Y + mm(b.Max.Y-y)*ky}
	}
	var rings [][]draw.Point
	for _, r := range append([]plane.Ring{q.Shape.Outer}, q.Shape.Holes...) {
		var out []draw.Point
		for _, c := range r {
			out = append(out, at(c.X, c.Y))
		}
		rings = append(rings, out)
	}
	g := p.page.Layer("sketches")
	g.Add(draw.Polygon(medium, draw.Grey(238), rings...))
	zero := at(b.Min.X, b.Min.Y)
	g.Add(draw.Circle(zero, 0.7, thin, draw.White), draw.Text{At: draw.Point{X: zero.X - 1.6, Y: zero.Y + 0.9}, Text: "0", Size: 7, Bold: true, Anchor: draw.End})
}

// notchList is all notches of a piece in one cell.
func (s *set) notchList(q *course.Piece) string {
	var out []string
	for _, n := range q.Notches {
		out = append(out, s.notchText(n))
	}
	return strings.Join(out, "; ")
}
