package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"coilwright/course"
	"coilwright/draw"
	"coilwright/measure"
)

// batch is equal pieces that follow one another: one line of the run sheet.
type batch struct {
	pieces []*course.Piece
	coil   int // index into Run.Coils, -1 if none
}

// boxesInLine is the most tick boxes that one line holds.
const boxesInLine = 6

// batches groups a set-up's pieces in run order.
func (s *set) batches(u Setup) []batch {
	var out []batch
	for _, id := range u.Pieces {
		p, ok := s.piece[id]
		if !ok {
			continue
		}
		coil := -1
		if c, ok := s.coilOf[id]; ok {
			coil = c
		}
		if n := len(out); n > 0 && len(out[n-1].pieces) < boxesInLine && out[n-1].coil == coil && sameCut(out[n-1].pieces[0], p) {
			out[n-1].pieces = append(out[n-1].pieces, p)
			continue
		}
		out = append(out, batch{[]*course.Piece{p}, coil})
	}
	return out
}

// sameCut says whether the machine makes the two pieces alike.
func sameCut(a, b *course.Piece) bool {
	if a.Length != b.Length || a.Fit != b.Fit || a.Rip != b.Rip || a.Vertical != b.Vertical || len(a.Notches) != len(b.Notches) {
		return false
	}
	if !raked(a) && !raked(b) {
		return true
	}
	return slices.Equal(a.Shape.Outer, b.Shape.Outer)
}

// runSheet is the machine operator's paper.
func (s *set) runSheet() *paper {
	p := s.newPaper("Run sheet", cautionRun+" "+cautionJam)
	p.need(0)
	if len(s.Run.Setups) == 0 {
		p.para("Nothing is to be run: the run holds no set-ups.", large, true)
	}
	p.caution(cautionRun)
	p.caution(cautionJam)
	s.ownCautions(p, func(where string) bool { return where != AtLoad && where != AtThread })
	s.onWord(p)
	s.leftOut(p)
	loaded := -1
	for i, u := range s.Run.Setups {
		s.setup(p, i, u, &loaded)
	}
	p.again = nil
	return p
}

func (s *set) ownCautions(p *paper, here func(where string) bool) {
	for _, c := range s.Run.Cautions {
		if here(c.Where) {
			p.caution(c.Text)
		}
	}
}

func (s *set) leftOut(p *paper) {
	if len(s.Run.LeftOut) == 0 {
		return
	}
	p.heading("DO NOT CUT YET")
	s.byReason(p, s.Run.LeftOut)
}

// onWord says who answers for what is cut though it is not fit to cut.
func (s *set) onWord(p *paper) {
	if s.Run.OnWord == nil || len(s.Run.OnWord.Pieces) == 0 {
		return
	}
	p.heading("NOT FIT TO CUT, CUT ON THE WORD OF " + strings.ToUpper(draw.Clean(s.Run.OnWord.Name)))
	all := make([]LeftOut, len(s.Run.OnWord.Pieces))
	for i, q := range s.Run.OnWord.Pieces {
		all[i] = LeftOut{q.Piece, fmt.Sprintf("On the word of %s: %s", draw.Clean(q.spoken()), q.Why)}
	}
	s.byReason(p, all)
}

// spoken is who answers for a piece, and the reason given.
func (q OnWordPiece) spoken() string {
	if q.Reason == "" {
		return q.Name
	}
	return q.Name + " (" + q.Reason + ")"
}

// byReason lists pieces, one paragraph for each reason.
func (s *set) byReason(p *paper, all []LeftOut) {
	why := map[string][]string{}
	var order []string
	for _, l := range all {
		if _, ok := why[l.Why]; !ok {
			order = append(order, l.Why)
		}
		why[l.Why] = append(why[l.Why], s.number(l.Piece))
	}
	for _, w := range order {
		p.para(w+": "+strings.Join(why[w], ", "), normal, false)
	}
}

func (s *set) number(id string) string {
	if p, ok := s.piece[id]; ok {
		return p.Number
	}
	return id
}

// runColumns of the run sheet, in millimetres of a letter sheet.
var runColumns = []column{
	{title: "done", width: 40}, {title: "count", width: 14}, {title: "LENGTH", width: 52}, {title: "pieces", width: 34},
	{title: "ends and rip", width: 52},
}

func (s *set) setup(p *paper, i int, u Setup, loaded *int) {
	p.again = nil
	p.need(80) // a set-up begins with its coil and a first line, never at a page's foot
	p.band(fmt.Sprintf("SET-UP %d of %d", i+1, len(s.Run.Setups)),
		fmt.Sprintf("%s · %s · %d pieces · about %.0f min", s.material(u.Panel, u.Texture, u.Colour), s.thick(u.Thickness), len(u.Pieces), math.Ceil(u.Minutes)))
	cols := p.spread(runColumns)
	batches := s.batches(u)
	for k, b := range batches {
		if k == 0 || b.coil >= 0 && b.coil != *loaded {
			p.again = nil
			s.before(p, b.coil, loaded)
			p.need(20)
			p.tableHead(cols)
			p.again = func() { p.tableHead(cols) }
		}
		if k == len(batches)-2 { // the last line stands on no page alone
			p.need(s.line(cols, b).high + s.line(cols, batches[k+1]).high)
		}
		s.batch(p, cols, b)
	}
	p.again = nil
	p.y += 3
}

// before is what is done before a line: coil loaded, strip threaded.
func (s *set) before(p *paper, coil int, loaded *int) {
	if coil >= 0 {
		s.loadCoil(p, coil, coil != *loaded)
		*loaded = coil
	}
	s.ownCautions(p, func(where string) bool { return where == AtThread })
	p.caution(cautionThread)
}

// band is a black bar with white words.
func (p *paper) band(title, text string) {
	p.need(14)
	const h = 11.5
	g := p.page.Layer("rules")
	g.Add(draw.Rect{X: p.left(), Y: p.y, W: p.width(), H: h}.Path(draw.Pen{}, draw.Black))
	g.Add(draw.Text{At: draw.Point{X: p.left() + 2.5, Y: p.y + 7.6}, Text: title, Size: 15, Bold: true, Ink: draw.White})
	x := draw.Width(title, 15, true) + 8
	lines := atMost(2, draw.Wrap(text, 10, true, p.width()-x-2))
	for i, l := range lines {
		y := p.y + 7.2 + 4.4*(float64(i)-float64(len(lines)-1)/2)
		g.Add(draw.Text{At: draw.Point{X: p.left() + x, Y: y}, Text: l, Size: 10, Bold: true, Ink: draw.White})
	}
	p.y += h + 1.5
}

// loadCoil says which coil goes on, where it has to be loaded.
func (s *set) loadCoil(p *paper, i int, fresh bool) {
	c := s.Run.Coils[i]
	what := "LOAD COIL "
	if !fresh {
		what = "STAY ON COIL "
	}
	p.need(52)
	if fresh {
		s.ownCautions(p, func(where string) bool { return where == AtLoad })
		p.caution(cautionTip)
	}
	g := p.page.Layer("rules")
	const h = 10.0
	g.Add(draw.Rect{X: p.left(), Y: p.y, W: p.width(), H: h}.Path(medium, draw.Grey(225)))
	g.Add(draw.TickBox(draw.Point{X: p.left() + 2, Y: p.y + 2}, 6))
	title := draw.Fit(what+s.coilName(c), 13, true, p.width()*0.5)
	g.Add(draw.Text{At: draw.Point{X: p.left() + 11, Y: p.y + 6.8}, Text: title, Size: 13, Bold: true})
	x := 11 + draw.Width(title, 13, true) + 5
	text := fmt.Sprintf("lot %s · %s · holds %s, this job takes %s, tail %s", orNone(c.Lot, "-"), orNone(c.Colour, "-"), s.long(c.Length), s.long(c.Used), s.long(c.Tail))
	lines := atMost(2, draw.Wrap(text, normal, false, p.width()-x-2))
	for k, l := range lines {
		y := p.y + 6.2 + lead(normal)*(float64(k)-float64(len(lines)-1)/2)
		g.Add(draw.Text{At: draw.Point{X: p.left() + x, Y: y}, Text: l, Size: normal})
	}
	p.y += h + 1.5
	if fresh {
		s.smallBar(p, c)
	}
}

// coilName is what is written on a coil; one to be bought has only its colour, its
// length and, beside others alike, its number.
func (s *set) coilName(c Coil) string {
	if c.Bought {
		name := "new"
		if c.Nth > 1 {
			name = fmt.Sprintf("new no. %d", c.Nth)
		}
		return fmt.Sprintf("%s, %s %s (to buy)", name, orNone(c.Colour, "any colour"), s.long(c.Length))
	}
	return c.ID
}

// batchLine is a line's words, broken to their columns, and how high it is with them.
type batchLine struct {
	names, notes []string
	high         float64
}

func (s *set) line(cols []column, b batch) (l batchLine) {
	numbers := make([]string, len(b.pieces))
	for i, q := range b.pieces {
		numbers[i] = q.Number
	}
	l.names = draw.Wrap(strings.Join(numbers, "  "), 11, true, cols[3].width-2*cellPad)
	l.notes = s.cutNotes(b.pieces[0], cols[4].width-2*cellPad)
	l.high = max(11.0, 1.8+lead(11)*float64(len(l.names)), 1.8+lead(8.5)*float64(len(l.notes)))
	return l
}

// batch is one line: boxes, count, the length in figures that can be read from
// the shear, the pieces' numbers, ends.
func (s *set) batch(p *paper, cols []column, b batch) {
	first, l := b.pieces[0], s.line(cols, b)
	h := l.high
	p.need(h)
	g := p.page.Layer("text")
	x := p.left()
	const box = 5.6
	for i := range b.pieces {
		g.Add(draw.TickBox(draw.Point{X: x + 1.2 + (box+0.75)*float64(i), Y: p.y + (h-box)/2}, box))
	}
	middle := p.y + h/2
	x += cols[0].width
	g.Add(draw.Text{At: draw.Point{X: x + cellPad, Y: middle + 2}, Text: fmt.Sprintf("%d ×", len(b.pieces)), Size: 15, Bold: true})
	x += cols[1].width
	g.Add(draw.Text{At: draw.Point{X: x + cellPad, Y: middle + 2.6}, Text: s.exact(first.Length), Size: huge, Bold: true})
	x += cols[2].width
	for i, name := range l.names {
		g.Add(draw.Text{At: draw.Point{X: x + cellPad, Y: middle + 1.4 + lead(11)*(float64(i)-float64(len(l.names)-1)/2)}, Text: name, Size: 11, Bold: true})
	}
	x += cols[3].width
	for i, note := range l.notes {
		g.Add(draw.Text{At: draw.Point{X: x + cellPad, Y: middle + 1.1 + lead(8.5)*(float64(i)-float64(len(l.notes)-1)/2)}, Text: note, Size: 8.5})
	}
	p.y += h
	p.page.Layer("rules").Add(draw.Polyline(hair, draw.Point{X: p.left(), Y: p.y}, draw.Point{X: p.right(), Y: p.y}))
}

// cutNotes tell what else is done to a piece, in lines of that width.
func (s *set) cutNotes(q *course.Piece, w float64) []string {
	var out []string
	add := func(text string) { out = append(out, draw.Wrap(text, 8.5, false, w)...) }
	if !q.Fit {
		add("NOT FIT TO CUT: on the word of " + s.word(q.ID))
	}
	l, r := s.cuts(q, course.LeftEnd), s.cuts(q, course.RightEnd)
	if l == "square" && r == "square" {
		add("ends square")
	} else {
		left, right := sideNames(q)
		add(left + " " + l + ", " + right + " " + r)
		add(s.rakeMarks(q))
	}
	if q.Rip > 0 {
		add("RIP to " + s.text(q.Rip))
	}
	if n := len(q.Notches); n > 0 {
		add(fmt.Sprintf("notches: %d, see piece list", n))
	}
	return out
}

// word is who answers for a piece that is not fit to cut.
func (s *set) word(id string) string {
	if s.Run.OnWord != nil {
		for _, q := range s.Run.OnWord.Pieces {
			if q.Piece == id {
				return draw.Clean(q.Name)
			}
		}
	}
	return "nobody"
}

// sideNames are the two ends of a piece as a hanger sees them.
func sideNames(q *course.Piece) (left, right string) {
	if q.Vertical {
		return "foot", "top"
	}
	return "left", "right"
}

// rakeMarks tells from where to where a raked piece reaches along its two edges,
// from its left end.
func (s *set) rakeMarks(q *course.Piece) string {
	low, high, ok := edgeLengths(q)
	if !ok {
		return ""
	}
	names := [2]string{"lower edge", "upper edge"}
	if q.Vertical {
		names = [2]string{"right edge", "left edge"}
	}
	reach := func(r [2]measure.Length) string {
		if r[0] == r[1] {
			return "point at " + s.text(r[0])
		}
		return s.text(r[0]) + " to " + s.text(r[1])
	}
	return names[0] + " " + reach(low) + "; " + names[1] + " " + reach(high)
}
