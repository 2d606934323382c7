package sheet

import (
	"fmt"
	"strings"

	"coilwright/draw"
	"coilwright/measure"
	"coilwright/scheme"
)

const margin = 12.0 // mm of clear paper all round, what office printers leave

// Sizes of type, in points: readable at arm's length; nothing below small.
const (
	small  = 7.5
	normal = 9.0
	large  = 12.0
	huge   = 20.0 // lengths on the run sheet
)

// Pens.
var (
	hair   = draw.Pen{Width: 0.13}
	thin   = draw.Pen{Width: 0.2}
	medium = draw.Pen{Width: 0.35}
	heavy  = draw.Pen{Width: 0.6}
)

// paper is one document on the way: a flow of pages with the same head.
type paper struct {
	s    *set
	doc  *draw.Document
	name string
	page *draw.Page
	y    float64 // where the next thing goes
	foot string  // caution at the foot of each page
	// again is drawn at the top of each new page of a running table.
	again func()
}

func (s *set) newPaper(name, foot string) *paper {
	return &paper{s: s, name: name, foot: foot, doc: &draw.Document{
		Title: s.Title + ", " + name, Subject: "scheme " + s.Scheme.ID, Date: s.Date,
	}}
}

// pageSize is letter or A4, upright, in millimetres.
func (s *set) pageSize() (w, h float64) {
	if s.Units == measure.Metric {
		return 210, 297
	}
	return 215.9, 279.4
}

// left, right and bottom of the room for a flow.
func (p *paper) left() float64   { return margin }
func (p *paper) right() float64  { return p.page.W - margin }
func (p *paper) width() float64  { return p.page.W - 2*margin }
func (p *paper) bottom() float64 { return p.page.H - margin - 12 }

// turn starts a new upright page with its head.
func (p *paper) turn() {
	w, h := p.s.pageSize()
	name := p.name
	if n := len(p.doc.Pages); n > 0 {
		name = fmt.Sprintf("%s, page %d", p.name, n+1)
	}
	p.page = p.doc.Add(&draw.Page{Name: name, W: w, H: h})
	p.page.Layer("rules") // under all text
	head := p.page.Layer("head")
	y := margin + 5
	head.Add(draw.Text{At: draw.Point{X: p.left(), Y: y}, Text: p.name, Size: 15, Bold: true})
	left := draw.Width(p.name, 15, true) + 8
	job := draw.Fit(p.s.Title, normal, true, p.width()-left)
	head.Add(draw.Text{At: draw.Point{X: p.right(), Y: y - 3}, Text: job, Size: normal, Bold: true, Anchor: draw.End})
	what := schemeName(p.s.Scheme)
	head.Add(draw.Text{At: draw.Point{X: p.right(), Y: y + 1.2}, Text: draw.Fit(what, small, false, p.width()-left), Size: small, Anchor: draw.End})
	head.Add(draw.Polyline(heavy, draw.Point{X: p.left(), Y: y + 3}, draw.Point{X: p.right(), Y: y + 3}))
	p.y = y + 7
	p.release(head)
}

// release says under the head whether steel may be cut.
func (p *paper) release(head *draw.Group) {
	if p.s.Release == "" {
		return
	}
	box := draw.Rect{X: p.left(), Y: p.y - 2.6, W: p.width(), H: 6}
	head.Add(box.Path(medium, draw.None), draw.Text{At: draw.Point{X: box.X + 2, Y: box.Y + 4.2}, Text: draw.Fit(p.s.Release, normal, true, box.W-4), Size: normal, Bold: true})
	p.y += 6
}

// need makes sure that h millimetres are free, on a new page if must be.
func (p *paper) need(h float64) {
	if p.page != nil && p.y+h <= p.bottom() {
		return
	}
	p.turn()
	if p.again != nil {
		p.again()
	}
}

// finish writes the foot of every page, now that their number is known.
func (p *paper) finish() {
	for i, page := range p.doc.Pages {
		g := page.Layer("foot")
		y := page.H - margin
		state := fmt.Sprintf("%s · rev %s · page %d of %d", p.s.date(), p.s.revision(), i+1, len(p.doc.Pages))
		if p.foot == "" {
			continue // drawings carry it in their title block
		}
		w := draw.Width(state, small, false)
		g.Add(draw.Polyline(thin, draw.Point{X: margin, Y: y - 8.5}, draw.Point{X: page.W - margin, Y: y - 8.5}),
			draw.Text{At: draw.Point{X: page.W - margin, Y: y - 1}, Text: state, Size: small, Anchor: draw.End})
		for k, line := range draw.Wrap(p.foot+" "+deferring, small, true, page.W-2*margin-w-6) {
			g.Add(draw.Text{At: draw.Point{X: margin, Y: y - 5 + 3.3*float64(k)}, Text: line, Size: small, Bold: true})
		}
	}
}

// lead is the distance of lines of that size.
func lead(size float64) float64 { return size * 0.44 }

// para sets text over the full width.
func (p *paper) para(text string, size float64, bold bool) {
	if p.page == nil {
		p.need(0)
	}
	for _, line := range draw.Wrap(text, size, bold, p.width()) {
		p.need(lead(size))
		p.y += lead(size)
		p.page.Layer("text").Add(draw.Text{At: draw.Point{X: p.left(), Y: p.y - 0.8}, Text: line, Size: size, Bold: bold})
	}
	p.y += 1.2
}

// heading sets a line that keeps with what follows it.
func (p *paper) heading(text string) {
	p.need(22)
	p.y += 7.5
	p.page.Layer("text").Add(draw.Text{At: draw.Point{X: p.left(), Y: p.y - 1.5}, Text: draw.Fit(text, large, true, p.width()), Size: large, Bold: true})
	p.y += 1
}

// caution sets a warning in a box with a sign at its left.
func (p *paper) caution(text string) {
	if p.page == nil {
		p.need(0)
	}
	lines := atMost(cellLines, draw.Wrap(text, normal, true, p.width()-14))
	h := float64(len(lines))*lead(normal) + 3
	p.need(h + 1.5)
	g := p.page.Layer("cautions")
	box := draw.Rect{X: p.left(), Y: p.y, W: p.width(), H: h}
	g.Add(box.Path(medium, draw.None))
	g.Add(warningSign(draw.Point{X: box.X + 5.5, Y: box.Y + h/2}, 2.6))
	for i, line := range lines {
		g.Add(draw.Text{At: draw.Point{X: box.X + 12, Y: box.Y + 0.6 + lead(normal)*float64(i+1)}, Text: line, Size: normal, Bold: true})
	}
	p.y += h + 1.8
}

// warningSign is a triangle with a stroke and a dot, centred.
func warningSign(at draw.Point, r float64) *draw.Group {
	g := &draw.Group{}
	g.Add(draw.Polygon(draw.Pen{Width: 0.5}, draw.White, []draw.Point{
		{X: at.X, Y: at.Y - r}, {X: at.X + 1.1*r, Y: at.Y + 0.8*r}, {X: at.X - 1.1*r, Y: at.Y + 0.8*r},
	}), draw.Polyline(draw.Pen{Width: 0.5}, draw.Point{X: at.X, Y: at.Y - 0.35*r}, draw.Point{X: at.X, Y: at.Y + 0.25*r}),
		draw.Circle(draw.Point{X: at.X, Y: at.Y + 0.5*r}, 0.12*r, draw.Pen{}, draw.Black))
	return g
}

// column of a table; width is in millimetres.
type column struct {
	title string
	width float64
	size  float64
	bold  bool
	right bool // figures stand at the right
}

const cellPad = 1.4

// spread gives the columns the whole width, in proportion.
func (p *paper) spread(cols []column) []column {
	sum := 0.0
	for _, c := range cols {
		sum += c.width
	}
	w, _ := p.s.pageSize()
	out := append([]column{}, cols...)
	for i := range out {
		out[i].width *= (w - 2*margin) / sum
	}
	return out
}

// table sets rows under a head that comes again on each page.
func (p *paper) table(cols []column, rows [][]string) {
	cols = p.spread(cols)
	p.again = func() { p.tableHead(cols) }
	p.need(16)
	p.tableHead(cols)
	for i, row := range rows {
		p.row(cols, row, i)
	}
	p.again = nil
	p.y += 2
}

func (p *paper) tableHead(cols []column) {
	const h = 6.0
	if cols[0].title == "" {
		return // a table of names and values needs none
	}
	g := p.page.Layer("rules")
	g.Add(draw.Rect{X: p.left(), Y: p.y, W: p.width(), H: h}.Path(thin, draw.Grey(225)))
	x := p.left()
	for _, c := range cols {
		p.cell(c, x, p.y+4.1, draw.Fit(c.title, small, true, c.width-2*cellPad), small, true)
		x += c.width
	}
	p.y += h
}

func (p *paper) cell(c column, x, y float64, text string, size float64, bold bool) {
	t := draw.Text{At: draw.Point{X: x + cellPad, Y: y}, Text: text, Size: size, Bold: bold}
	if c.right {
		t.At.X, t.Anchor = x+c.width-2.5*cellPad, draw.End
	}
	p.page.Layer("text").Add(t)
}

// most lines of one cell; more would be a list, not a cell.
const cellLines = 12

// atMost cuts lines off, visibly.
func atMost(n int, lines []string) []string {
	if len(lines) <= n {
		return lines
	}
	cut := append([]string{}, lines[:n]...)
	cut[n-1] += "…"
	return cut
}

// row sets one row, as high as its fullest cell.
func (p *paper) row(cols []column, cells []string, n int) {
	lines := make([][]string, len(cols))
	h := 0.0
	for i, c := range cols {
		text := ""
		if i < len(cells) {
			text = cells[i]
		}
		lines[i] = atMost(cellLines, draw.Wrap(text, c.size, c.bold, c.width-2*cellPad))
		h = max(h, float64(len(lines[i]))*lead(c.size)+2.4)
	}
	p.need(h)
	x := p.left()
	for i, c := range cols {
		for k, l := range lines[i] {
			p.cell(c, x, p.y+1+lead(c.size)*float64(k+1)-0.6, l, c.size, c.bold)
		}
		x += c.width
	}
	p.y += h
	p.page.Layer("rules").Add(draw.Polyline(hair, draw.Point{X: p.left(), Y: p.y}, draw.Point{X: p.right(), Y: p.y}))
}

// schemeName is a scheme's letter with its title, where that says more.
func schemeName(s *scheme.Scheme) string {
	name := "scheme " + s.ID
	if s.Title == "" || strings.EqualFold(s.Title, name) {
		return name
	}
	return name + " " + s.Title
}
