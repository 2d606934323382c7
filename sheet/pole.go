package sheet

import (
	"fmt"
	"slices"
	"strings"

	"coilwright/draw"
)

// pole is course lines that some walls share.
type pole struct {
	walls []int
	lines []line
}

// poles gathers walls whose lines are equal, in the order of the walls.
func (s *set) poles() []pole {
	var out []pole
	for w := range s.House.Walls {
		lines := s.poleLines(w)
		if len(lines) == 0 {
			continue
		}
		i := slices.IndexFunc(out, func(p pole) bool { return slices.Equal(p.lines, lines) })
		if i < 0 {
			out = append(out, pole{lines: lines})
			i = len(out) - 1
		}
		out[i].walls = append(out[i].walls, w)
	}
	return out
}

// poleSheet lists every course line for the stick that the crew marks.
func (s *set) poleSheet() *paper {
	p := s.newPaper("Story pole", cautionHang)
	p.need(0)
	p.para("Mark these heights on a straight stick, once; hold its zero on the datum line at every corner. The datum is "+
		s.text(s.Layout.Datum.Datum)+" from the house's level 0.", normal, false)
	all := s.poles()
	if len(all) == 0 {
		p.para("No wall of this scheme has level courses.", large, true)
	}
	for _, q := range all {
		s.onePole(p, q)
	}
	return p
}

func (s *set) onePole(p *paper, q pole) {
	names := make([]string, len(q.walls))
	for i, w := range q.walls {
		names[i] = s.wallName(w)
	}
	p.need(50)
	p.y += 3
	p.para("Walls: "+strings.Join(names, ", "), large, true)
	lines := slices.Clone(q.lines)
	slices.Reverse(lines) // the top of the stick at the top of the paper
	const rowHigh = 7.4
	for len(lines) > 0 {
		p.need(6 + 4*rowHigh)
		n := min(len(lines), int((p.bottom()-p.y-6)/rowHigh))
		s.poleRows(p, lines[:n], rowHigh)
		lines = lines[n:]
		p.y += 2
	}
}

func (s *set) poleRows(p *paper, lines []line, rowHigh float64) {
	stick := p.left() + 62
	g := p.page.Layer("pole")
	head := func(x float64, text string) {
		g.Add(draw.Text{At: draw.Point{X: x, Y: p.y + 3.4}, Text: text, Size: small, Bold: true})
	}
	head(p.left()+8, "FROM DATUM")
	head(stick+12, "course")
	head(stick+64, "above level 0")
	p.y += 5
	g.Add(draw.Rect{X: stick, Y: p.y, W: 4, H: rowHigh * float64(len(lines))}.Path(medium, draw.Grey(240)))
	for i, l := range lines {
		y := p.y + rowHigh*(float64(i)+0.5)
		g.Add(draw.Polyline(medium, draw.Point{X: p.left() + 55, Y: y}, draw.Point{X: stick + 4, Y: y}))
		g.Add(draw.TickBox(draw.Point{X: p.left(), Y: y - 2.4}, 4.8),
			draw.Text{At: draw.Point{X: p.left() + 8, Y: y + 1.8}, Text: s.text(l.y - s.Layout.Datum.Datum), Size: 14, Bold: true},
			draw.Text{At: draw.Point{X: stick + 64, Y: y + 1.4}, Text: s.text(l.y), Size: 10})
		g.Add(draw.Text{At: draw.Point{X: stick + 12, Y: y + 1.4}, Text: s.lineName(l), Size: 10})
	}
	p.y += rowHigh * float64(len(lines))
}

// lineName tells what stands on a line.
func (s *set) lineName(l line) string {
	name := "top line"
	if l.starts {
		name = fmt.Sprintf("course %d starts", l.course)
	}
	if l.y == s.Layout.Datum.Datum {
		name += " · DATUM"
	}
	return name
}
