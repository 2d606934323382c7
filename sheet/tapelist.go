package sheet

import (
	"fmt"

	"coilwright/draw"
	"coilwright/job"
	"coilwright/measure"
)

const cautionTape = "Measure from the GROUND where you can. Keep tape, ladder and yourself clear of POWER LINES. " +
	"What is marked HIGH: from inside, by laser from below or from staging, never leaning out from a ladder."

// tapeColumns of the tape list, in millimetres of a letter sheet.
var tapeColumns = []column{
	{title: "", width: 10, size: large, bold: true}, {title: "measure", width: 84, size: normal, bold: true}, {title: "now", width: 46, size: normal},
	{title: "by tape", width: 52, size: normal},
}

// tapeList is what to measure on the next visit, in walking order, with a box to write
// each number in; nil where nothing is left to measure.
func (s *set) tapeList() *paper {
	t := s.Tape
	if t == nil || len(t.Readings)+len(t.Misread) == 0 {
		return nil
	}
	p := s.newPaper("Tape list", cautionTape)
	p.need(0)
	p.caution(cautionTape)
	p.para(fmt.Sprintf("%d of %d pieces wait for these numbers. One is fit to cut from when it is read by %s to ± %s, over the %s.", t.Waiting, t.Pieces,
		s.Book.FitToCut.By, s.Book.FitToCut.PlusMinus.Text(s.Units), s.Book.FitToCut.Over), normal, false)
	if n := t.Next; n != nil {
		p.para("If you read only one: "+draw.Clean(n.What)+".", large, true)
	}
	s.misread(p)
	wall := ""
	cols := p.spread(tapeColumns)
	for i, r := range t.Readings {
		if r.Wall != wall {
			wall = r.Wall
			p.heading("Wall " + draw.Clean(wall))
			p.need(14)
			s.tapeHead(p, cols)
		}
		s.tapeLine(p, cols, i+1, r)
	}
	p.y += 4
	p.para("Read by ______________________   on ____________   tape checked against ______________________", normal, false)
	return p
}

// misread lists the numbers that do not fit the rest: read again first.
func (s *set) misread(p *paper) {
	if len(s.Tape.Misread) == 0 {
		return
	}
	p.heading("READ AGAIN: these do not fit the rest")
	for _, m := range s.Tape.Misread {
		p.para(draw.Clean(m.Text)+". "+draw.Clean(m.Mend)+".", normal, false)
	}
}

func (s *set) tapeHead(p *paper, cols []column) {
	g := p.page.Layer("rules")
	g.Add(draw.Rect{X: p.left(), Y: p.y, W: p.width(), H: 5.4}.Path(thin, draw.Grey(225)))
	x := p.left()
	for _, c := range cols {
		p.cell(column{}, x, p.y+3.8, c.title, small, true)
		x += c.width
	}
	p.y += 5.4
}

// tapeLine is one number: what it is, what is known of it, an empty box.
func (s *set) tapeLine(p *paper, cols []column, n int, r job.TapeReading) {
	what := draw.Clean(r.What)
	if r.High {
		what += " (HIGH)"
	}
	left := draw.Wrap(what, cols[1].size, true, cols[1].width-2*cellPad)
	now := draw.Wrap(draw.Clean(r.Known), small, false, cols[2].width-2*cellPad)
	h := max(12, 3+lead(cols[1].size)*float64(len(left)), 7+lead(small)*float64(len(now)))
	p.need(h)
	x := p.left()
	p.cell(cols[0], x, p.y+h/2+1.6, fmt.Sprint(n), cols[0].size, true)
	x += cols[0].width
	for k, line := range left {
		p.cell(cols[1], x, p.y+h/2+1.2+lead(cols[1].size)*(float64(k)-float64(len(left)-1)/2), line, cols[1].size, true)
	}
	x += cols[1].width
	if r.Length != "" {
		p.cell(cols[2], x, p.y+4.6, r.Length, normal, false)
	}
	for k, line := range now {
		p.cell(cols[2], x, p.y+8.4+lead(small)*float64(k), line, small, false)
	}
	x += cols[2].width
	s.blank(p, draw.Rect{X: x + 1, Y: p.y + 1.5, W: cols[3].width - 2, H: h - 3})
	p.y += h
	p.page.Layer("rules").Add(draw.Polyline(hair, draw.Point{X: p.left(), Y: p.y}, draw.Point{X: p.right(), Y: p.y}))
}

// blank is the box that a number is written into, with its units.
func (s *set) blank(p *paper, r draw.Rect) {
	g := p.page.Layer("rules")
	g.Add(r.Path(medium, draw.None))
	units := []struct {
		text string
		at   float64
	}{{"ft", 0.36}, {"in", 0.94}}
	if s.Units == measure.Metric {
		units = units[1:]
		units[0].text = "mm"
	}
	for _, u := range units {
		g.Add(draw.Text{At: draw.Point{X: r.X + u.at*r.W, Y: r.Bottom() - 1.4}, Text: u.text, Size: small, Anchor: draw.End})
	}
}
