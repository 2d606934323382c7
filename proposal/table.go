package proposal

import (
	"strings"

	"coilwright/draw"
)

// column of a table; widths are shares of the page.
type column struct {
	title string
	share float64
	right bool
	bold  bool
}

const pad = 1.8

// table sets rows under a head; it turns pages between rows only.
func (p *paper) table(cols []column, rows [][]string) {
	sum := 0.0
	for _, c := range cols {
		sum += c.share
	}
	for i := range cols {
		cols[i].share *= p.width() / sum
	}
	p.need(18)
	p.tableHead(cols)
	for _, row := range rows {
		p.row(cols, row)
	}
	p.y += 3
}

func (p *paper) tableHead(cols []column) {
	titled := false
	for _, c := range cols {
		titled = titled || c.title != ""
	}
	if !titled {
		p.rule(0.2)
		return
	}
	p.page.Layer("wash").Add(draw.Rect{X: p.x(), Y: p.y, W: p.width(), H: 7}.Path(draw.Pen{}, wash))
	x := p.x()
	for _, c := range cols {
		p.cell(c, x, p.y+4.8, c.title, tiny, true)
		x += c.share
	}
	p.y += 7
}

func (p *paper) cell(c column, x, y float64, text string, size float64, bold bool) {
	if c.right {
		p.wordsEnd(x+c.share-pad, y, text, size, bold, black)
		return
	}
	p.words(x+pad, y, text, size, bold, black)
}

// row is as high as its fullest cell; a cell may hold several lines.
func (p *paper) row(cols []column, cells []string) {
	lines := make([][]string, len(cols))
	h := 7.0
	for i, c := range cols {
		for _, l := range strings.Split(at(cells, i), "\n") {
			lines[i] = append(lines[i], draw.Wrap(l, body, c.bold, c.share-2*pad)...)
		}
		h = max(h, float64(len(lines[i]))*lead(body)+2.6)
	}
	if p.y+h > p.bottom() {
		p.turn("")
		p.tableHead(cols)
	}
	x := p.x()
	for i, c := range cols {
		for k, l := range lines[i] {
			p.cell(c, x, p.y+0.6+lead(body)*float64(k+1), l, body, c.bold)
		}
		x += c.share
	}
	p.y += h
	p.rule(0.13)
}

func at(cells []string, i int) string {
	if i < len(cells) {
		return cells[i]
	}
	return ""
}

func (p *paper) rule(width float64) {
	p.page.Layer("wash").Add(draw.Polyline(draw.Pen{Width: width, Ink: line}, draw.Point{X: p.x(), Y: p.y}, draw.Point{X: p.x() + p.width(), Y: p.y}))
}

// joined puts texts that are there in one line.
func joined(texts ...string) string {
	var out []string
	for _, t := range texts {
		if strings.TrimSpace(t) != "" {
			out = append(out, t)
		}
	}
	return strings.Join(out, " · ")
}

// money sets thousands apart: USD 11,194.65.
func money(currency, amount string) string {
	sign := ""
	if strings.HasPrefix(amount, "-") {
		sign, amount = "-", amount[1:]
	}
	whole, rest, point := strings.Cut(amount, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if point {
		whole += "." + rest
	}
	return currency + " " + sign + whole
}

// more is an amount with its sign, for differences.
func more(currency, amount string) string {
	if strings.HasPrefix(amount, "-") {
		return money(currency, amount[1:]) + " less"
	}
	return money(currency, amount) + " more"
}
