package sheet

import (
	"fmt"
	"math"
	"slices"

	"coilwright/draw"
	"coilwright/measure"
	"coilwright/trim"
)

// What a stretch of a coil is.
type stretchKind int

const (
	scrapStretch stretchKind = iota // lost where the strip is threaded
	pieceStretch
	tailStretch
)

// stretch is a length of a coil, from its free end.
type stretch struct {
	kind     stretchKind
	from, to measure.Length
	name     string // a piece's number
	length   measure.Length
	setup    int // index into Run.Setups, -1 if unknown
}

// stretches lays a coil's pieces out along it, in the order in which they are cut: at
// each change of set-up the threading scrap, for each piece its length and what the
// cut loses.
func (s *set) stretches(c Coil) []stretch {
	var out []stretch
	at, setup := measure.Length(0), -1
	for _, id := range c.Pieces {
		p, ok := s.piece[id]
		if !ok {
			continue
		}
		if u := s.setupOf[id]; len(out) == 0 || u != setup {
			setup = u
			if scrap := s.Book.Machine.ThreadingScrap; scrap > 0 {
				out = append(out, stretch{scrapStretch, at, at + scrap, "", scrap, setup})
				at += scrap
			}
		}
		end := at + p.Length + s.Book.Machine.CutLoss
		out = append(out, stretch{pieceStretch, at, end, p.Number, p.Length, setup})
		at = end
	}
	if c.Length > at {
		out = append(out, stretch{tailStretch, at, c.Length, "", c.Length - at, -1})
	}
	return out
}

// barScale is how much coil stands on one line of the paper.
type barScale struct {
	line measure.Length // of coil, on the full width
	tick measure.Length
}

// Lines of coil plans, in feet and in metres: from one on which a foot is wide to
// one on which the longest reel fits.
func (s *set) barScales() []barScale {
	unit, lines := measure.Foot, []measure.Length{40, 50, 80, 100, 160, 200, 400, 800, 1000, 2000, 5000, 10000, 50000}
	if s.Units == measure.Metric {
		unit, lines = measure.Metre, []measure.Length{12, 15, 25, 30, 50, 60, 120, 250, 300, 600, 1500, 3000, 15000}
	}
	var out []barScale
	for _, n := range lines {
		out = append(out, barScale{n * unit, max(1, n/10) * unit})
	}
	return out
}

// mostBars is the most lines of bars of one paper: some ten pages.
const mostBars = 120

// barScale is the one scale of the whole paper: the most coil on a line at which
// nine of ten pieces hold their number, as long as the paper stays short.
func (s *set) barScale(all [][]stretch, width float64) barScale {
	scales := s.barScales()
	for len(scales) > 1 && s.bars(all, scales[0]) > mostBars {
		scales = scales[1:]
	}
	best := scales[0]
	for _, c := range scales[1:] {
		if s.bars(all, c) < s.bars(all, best) && named(all, c, width) >= 0.9 {
			best = c
		}
	}
	return best
}

// bars counts the lines of bars that coils take; a tail ends with its line.
func (s *set) bars(all [][]stretch, c barScale) int {
	n := 0
	for _, coil := range all {
		n += lineOf(cutEnd(coil), c) + 1
	}
	return n
}

// cutEnd is where the last piece ends.
func cutEnd(coil []stretch) measure.Length {
	end := measure.Length(0)
	for _, t := range coil {
		if t.kind != tailStretch {
			end = t.to
		}
	}
	return end
}

func lineOf(at measure.Length, c barScale) int { return int(max(0, at-1) / c.line) }

// named is the share of pieces wide enough for their number.
func named(all [][]stretch, c barScale, width float64) float64 {
	fit, n := 0, 0
	for _, coil := range all {
		for _, t := range coil {
			if t.kind != pieceStretch {
				continue
			}
			n++
			if along(t.to-t.from, c, width) >= draw.Width(t.name, barType, true)+1 {
				fit++
			}
		}
	}
	if n == 0 {
		return 1
	}
	return float64(fit) / float64(n)
}

// along is a length of coil in millimetres of paper.
func along(l measure.Length, c barScale, width float64) float64 {
	return float64(l) / float64(c.line) * width
}

// coilPlan is the picture of the plan: each coil a bar to scale, wrapped over several
// lines, with its pieces in the order of cutting, threading scrap and tail; then the
// blanks that flat trim is slit from.
func (s *set) coilPlan() *paper {
	p := s.newPaper("Coil plan", cautionTip)
	p.need(0)
	var all [][]stretch
	for _, c := range s.Run.Coils {
		all = append(all, s.stretches(c))
	}
	if len(all) == 0 && !slices.ContainsFunc(s.Slitting, func(q trim.Slitting) bool { return len(q.Blanks) > 0 }) {
		p.para("No coil is planned: nothing is fit to cut yet, or the shop's book has no coil for it. The run sheet and the coil and trim list say why.", normal, false)
		return p
	}
	if len(all) > 0 {
		scale := s.barScale(all, p.width())
		p.para(fmt.Sprintf("Each bar is a coil, cut from the left; one line is %s of coil. Numbers are the pieces of the drawings, below them the length.", s.long(scale.line)), normal, false)
		s.barLegend(p)
		for i, c := range s.Run.Coils {
			s.coilBars(p, c, all[i], scale)
		}
	}
	s.slitPictures(p)
	return p
}

// barLegend shows how scrap, set-ups and tail are drawn.
func (s *set) barLegend(p *paper) {
	p.need(12)
	p.y += 3 // room for the flag
	g := p.page.Layer("rules")
	x := p.left()
	put := func(w float64, text string, item func(r draw.Rect)) {
		item(draw.Rect{X: x, Y: p.y + 0.6, W: w, H: 4})
		g.Add(draw.Text{At: draw.Point{X: x + w + 1.5, Y: p.y + 3.7}, Text: text, Size: small})
		x += w + draw.Width(text, small, false) + 7
	}
	put(6, "threading scrap", func(r draw.Rect) { s.scrapBox(g, r) })
	put(9, "piece", func(r draw.Rect) { g.Add(r.Path(thin, draw.White)) })
	put(9, "piece of the next set-up", func(r draw.Rect) { g.Add(r.Path(thin, otherSetup)) })
	put(9, "tail", func(r draw.Rect) { tailBox(g, r, false) })
	put(3, "set-up begins", func(r draw.Rect) { flag(g, draw.Point{X: r.X + 1, Y: r.Y}, r.H) })
	p.y += 7
}

// Looks of bars.
const (
	barHeight = 9.0
	barType   = 7.0 // points
	flagRoom  = 6.4 // above a bar: set-ups and feet
	noteRoom  = 5.2 // below a bar that has pieces too short for their number
)

var (
	otherSetup = draw.Grey(226)
	broken     = draw.Pen{Width: 0.25, Dash: []float64{1.2, 0.9}}
)

func (s *set) scrapBox(g *draw.Group, r draw.Rect) {
	g.Add(r.Path(thin, draw.White))
	ring := []draw.Point{{X: r.X, Y: r.Y}, {X: r.Right(), Y: r.Y}, {X: r.Right(), Y: r.Bottom()}, {X: r.X, Y: r.Bottom()}}
	g.Add(draw.Hatch([][]draw.Point{ring}, 45, 0.8, draw.Pen{Width: 0.22}), draw.Hatch([][]draw.Point{ring}, 135, 0.8, draw.Pen{Width: 0.22}))
}

// tailBox is what is left on the reel; on tells that it goes on beyond the line.
func tailBox(g *draw.Group, r draw.Rect, on bool) {
	g.Add(r.Path(broken, draw.None))
	if on {
		x, h := r.Right(), r.H
		g.Add(draw.Polyline(medium, draw.Point{X: x - 1, Y: r.Bottom() + 1}, draw.Point{X: x - 1, Y: r.Y + 0.6*h},
			draw.Point{X: x - 2, Y: r.Y + 0.5*h}, draw.Point{X: x, Y: r.Y + 0.45*h}, draw.Point{X: x - 1, Y: r.Y + 0.35*h}, draw.Point{X: x - 1, Y: r.Y - 1}))
	}
}

// flag marks where a set-up begins.
func flag(g *draw.Group, at draw.Point, h float64) {
	g.Add(draw.Polyline(heavy, draw.Point{X: at.X, Y: at.Y - 3}, draw.Point{X: at.X, Y: at.Y + h}),
		draw.Polygon(draw.Pen{}, draw.Black, []draw.Point{{X: at.X, Y: at.Y - 3}, {X: at.X + 1.8, Y: at.Y - 2.2}, {X: at.X, Y: at.Y - 1.4}}))
}

// coilBars draws one coil: what it is, and its lines.
func (s *set) coilBars(p *paper, c Coil, all []stretch, scale barScale) {
	p.need(14 + flagRoom + barHeight + noteRoom)
	s.barTitle(p, c)
	last := lineOf(cutEnd(all), scale)
	for line := range last + 1 {
		from := measure.Length(line) * scale.line
		b := bar{s: s, p: p, scale: scale, from: from, last: line == last}
		b.draw(all, c.Length)
	}
	p.y += 2
}

func (s *set) barTitle(p *paper, c Coil) {
	title := draw.Fit("COIL "+s.coilName(c), 11, true, p.width()*0.4)
	p.y += 5.5
	g := p.page.Layer("text")
	g.Add(draw.Text{At: draw.Point{X: p.left(), Y: p.y - 0.6}, Text: title, Size: 11, Bold: true})
	x := draw.Width(title, 11, true) + 4
	text := fmt.Sprintf("lot %s · %s · %s · holds %s · taken %s · tail %s", orNone(c.Lot, "-"), orNone(c.Colour, "-"),
		s.strip(c.Thickness, c.Width), s.long(c.Length), s.long(c.Used), s.long(c.Tail))
	g.Add(draw.Text{At: draw.Point{X: p.left() + x, Y: p.y - 0.6}, Text: draw.Fit(text, small, false, p.width()-x), Size: small})
	p.y += 1
}

// smallBar is a whole coil on one line of the run sheet, without numbers: how much is
// cut from it, and where its set-ups change.
func (s *set) smallBar(p *paper, c Coil) {
	const h = 3.6
	p.need(h + 4)
	g, all := p.page.Layer("rules"), s.stretches(c)
	scale := barScale{line: max(c.Length, cutEnd(all), 1)}
	for _, t := range all {
		r := draw.Rect{X: p.left() + along(t.from, scale, p.width()), Y: p.y, W: along(t.to-t.from, scale, p.width()), H: h}
		switch t.kind {
		case scrapStretch:
			g.Add(r.Path(draw.Pen{}, draw.Black))
		case tailStretch:
			tailBox(g, r, false)
		case pieceStretch:
			fill := draw.White
			if t.setup%2 == 1 {
				fill = otherSetup
			}
			g.Add(r.Path(hair, fill))
		}
	}
	p.y += h + 2
}

// bar is one line of a coil.
type bar struct {
	s     *set
	p     *paper
	scale barScale
	from  measure.Length // of the coil, at its left
	last  bool
	y     float64
	notes []barNote
}

// barNote is a piece too short for its number.
type barNote struct {
	x    float64
	text string
}

func (b *bar) x(at measure.Length) float64 {
	return b.p.left() + along(at-b.from, b.scale, b.p.width())
}

func (b *bar) draw(all []stretch, whole measure.Length) {
	h := flagRoom + barHeight + 1.5
	if b.short(all) {
		h += noteRoom
	}
	b.p.need(h)
	b.y = b.p.y + flagRoom
	b.feet(min(whole, b.from+b.scale.line))
	for i, t := range all {
		if t.to > b.from && t.from < b.from+b.scale.line {
			b.stretch(t, i == 0 || all[i-1].setup != t.setup)
		}
	}
	b.underneath()
	b.p.y += h
}

// short says whether some piece of the line is too short for its number.
func (b *bar) short(all []stretch) bool {
	for _, t := range all {
		if t.kind == pieceStretch && t.to > b.from && t.from < b.from+b.scale.line && !b.holdsNumber(t) {
			return true
		}
	}
	return false
}

// shown is the part of a stretch on this line.
func (b *bar) shown(t stretch) draw.Rect {
	from, to := max(t.from, b.from), min(t.to, b.from+b.scale.line)
	return draw.Rect{X: b.x(from), Y: b.y, W: along(to-from, b.scale, b.p.width()), H: barHeight}
}

// widest says whether this line holds the longest part of a stretch, so that it is
// named once.
func (b *bar) widest(t stretch) bool {
	best, at := measure.Length(0), measure.Length(0)
	for from := t.from / b.scale.line * b.scale.line; from < t.to; from += b.scale.line {
		if part := min(t.to, from+b.scale.line) - max(t.from, from); part > best {
			best, at = part, from
		}
		if from > b.from {
			break
		}
	}
	return at == b.from
}

func (b *bar) holdsNumber(t stretch) bool {
	return !b.widest(t) || b.shown(t).W >= draw.Width(t.name, barType, true)+0.8
}

func (b *bar) stretch(t stretch, begins bool) {
	g, r := b.p.page.Layer("rules"), b.shown(t)
	switch t.kind {
	case scrapStretch:
		b.s.scrapBox(g, r)
	case tailStretch:
		on := t.to > b.from+b.scale.line
		tailBox(g, r, on)
		b.tailText(t, r)
		return
	case pieceStretch:
		fill := draw.White
		if t.setup >= 0 && t.setup%2 == 1 {
			fill = otherSetup
		}
		g.Add(r.Path(thin, fill))
		b.ends(g, t, r)
		b.number(t, r)
	}
	if begins && t.from >= b.from {
		b.setup(t, r)
	}
}

// ends are the heavy strokes where a piece begins and ends; a piece that goes over
// onto the next line has none there.
func (b *bar) ends(g *draw.Group, t stretch, r draw.Rect) {
	if t.to <= b.from+b.scale.line {
		g.Add(draw.Polyline(medium, draw.Point{X: r.Right(), Y: r.Y}, draw.Point{X: r.Right(), Y: r.Bottom()}))
	} else {
		g.Add(draw.Polyline(draw.Pen{Width: 0.5, Ink: draw.White}, draw.Point{X: r.Right(), Y: r.Y + 1}, draw.Point{X: r.Right(), Y: r.Bottom() - 1}))
	}
}

func (b *bar) number(t stretch, r draw.Rect) {
	if !b.widest(t) {
		return
	}
	g, mid := b.p.page.Layer("text"), r.X+r.W/2
	if !b.holdsNumber(t) {
		b.notes = append(b.notes, barNote{mid, t.name + " " + b.s.exact(t.length)})
		return
	}
	length := b.s.exact(t.length)
	if draw.Width(length, barType, false)+0.8 > r.W {
		g.Add(draw.Text{At: draw.Point{X: mid, Y: r.Y + 5.6}, Text: t.name, Size: barType, Bold: true, Anchor: draw.Middle})
		return
	}
	g.Add(draw.Text{At: draw.Point{X: mid, Y: r.Y + 3.9}, Text: t.name, Size: barType, Bold: true, Anchor: draw.Middle},
		draw.Text{At: draw.Point{X: mid, Y: r.Y + 7.5}, Text: length, Size: barType, Anchor: draw.Middle})
}

func (b *bar) tailText(t stretch, r draw.Rect) {
	text := "tail " + b.s.long(t.length)
	if w := draw.Width(text, barType, true); w+3 <= r.W && b.last && t.from >= b.from {
		b.p.page.Layer("text").Add(draw.Text{At: draw.Point{X: r.X + min(r.W/2, 30), Y: r.Y + 5.6}, Text: text, Size: barType, Bold: true, Anchor: draw.Middle})
	}
}

// setup flags where a set-up begins.
func (b *bar) setup(t stretch, r draw.Rect) {
	flag(b.p.page.Layer("rules"), draw.Point{X: r.X, Y: r.Y}, r.H)
	if t.setup < 0 || t.setup >= len(b.s.Run.Setups) {
		return
	}
	u := b.s.Run.Setups[t.setup]
	text := fmt.Sprintf("SET-UP %d  %s", t.setup+1, b.s.material(u.Panel, u.Texture, u.Colour))
	room := b.p.right() - r.X - 3
	x, anchor := r.X+2.4, draw.Start
	if draw.Width(text, barType, true) > room && r.X-b.p.left() > room {
		x, anchor, room = r.X-1, draw.End, r.X-b.p.left()-2
	}
	b.p.page.Layer("text").Add(draw.Text{At: draw.Point{X: x, Y: b.y - 3.4}, Text: draw.Fit(text, barType, true, room), Size: barType, Bold: true, Anchor: anchor})
}

// feet marks the coil's length along the top of the bar.
func (b *bar) feet(end measure.Length) {
	g := b.p.page.Layer("rules")
	for at := b.from; at <= end; at += b.scale.tick {
		x := b.x(at)
		g.Add(draw.Polyline(hair, draw.Point{X: x, Y: b.y - 1}, draw.Point{X: x, Y: b.y}))
		anchor := draw.Middle
		if at == b.from {
			anchor = draw.Start
		} else if at == b.from+b.scale.line {
			anchor = draw.End
		}
		g.Add(draw.Text{At: draw.Point{X: x, Y: b.y - 1.3}, Text: b.s.mark(at), Size: 5.5, Anchor: anchor, Ink: draw.Grey(70)})
	}
}

// mark is a place on the coil in whole feet or metres.
func (s *set) mark(at measure.Length) string {
	if s.Units == measure.Metric {
		return fmt.Sprintf("%d m", at/measure.Metre)
	}
	return fmt.Sprintf("%d'", at/measure.Foot)
}

// underneath names the short pieces below the bar, each with a leader.
func (b *bar) underneath() {
	if len(b.notes) == 0 {
		return
	}
	g := b.p.page.Layer("text")
	wish, widest := make([]float64, len(b.notes)), 0.0
	for i, n := range b.notes {
		wish[i] = n.x
		widest = max(widest, draw.Width(n.text, barType, true)+1.6)
	}
	half := widest / 2
	at := draw.Spread(wish, widest, b.p.left()+half, b.p.right()-half)
	for i, n := range b.notes {
		low := b.y + barHeight
		g.Add(draw.Polyline(hair, draw.Point{X: n.x, Y: low - 1.5}, draw.Point{X: n.x, Y: low + 0.6}, draw.Point{X: at[i], Y: low + 2}),
			draw.Text{At: draw.Point{X: at[i], Y: low + 4.6}, Text: draw.Fit(n.text, barType, true, b.pitch(at)), Size: barType, Bold: true, Anchor: draw.Middle})
	}
}

// pitch is the room that labels have between each other.
func (b *bar) pitch(at []float64) float64 {
	least := math.Inf(1)
	for i := 1; i < len(at); i++ {
		least = min(least, math.Abs(at[i]-at[i-1]))
	}
	return max(4, min(least-0.4, 60))
}

// setups maps each piece to its set-up.
func setups(r Run) map[string]int {
	out := map[string]int{}
	for i, u := range r.Setups {
		for _, id := range u.Pieces {
			out[id] = i
		}
	}
	return out
}
