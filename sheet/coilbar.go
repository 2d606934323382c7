package sheet

import (
	"fmt"

	"coilwright/draw"
	"coilwright/measure"
)

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
	x            float64
	name, length string
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
		b.notes = append(b.notes, barNote{mid, t.name, b.s.exact(t.length)})
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

// underneath names the short pieces below the bar, each with a leader: with their
// lengths, without, or, where even that finds no room, by their number alone.
func (b *bar) underneath() {
	for _, full := range []bool{true, false} {
		if len(b.notes) == 0 || b.leaders(full) {
			return
		}
	}
	text := fmt.Sprintf("short pieces that found no room for their number: %d; the run sheet names them", len(b.notes))
	b.p.page.Layer("text").Add(draw.Text{At: draw.Point{X: b.p.left(), Y: b.y + barHeight + 4.6}, Text: text, Size: barType})
}

// leaders sets the notes side by side; false where they find no room.
func (b *bar) leaders(full bool) bool {
	texts, wish, widest := make([]string, len(b.notes)), make([]float64, len(b.notes)), 0.0
	for i, n := range b.notes {
		texts[i], wish[i] = n.name, n.x
		if full {
			texts[i] += " " + n.length
		}
		widest = max(widest, draw.Width(texts[i], barType, true)+1.6)
	}
	if widest*float64(len(texts)) > b.p.width() {
		return false
	}
	g, low := b.p.page.Layer("text"), b.y+barHeight
	for i, x := range draw.Spread(wish, widest, b.p.left()+widest/2, b.p.right()-widest/2) {
		g.Add(draw.Polyline(hair, draw.Point{X: wish[i], Y: low - 1.5}, draw.Point{X: wish[i], Y: low + 0.6}, draw.Point{X: x, Y: low + 2}),
			draw.Text{At: draw.Point{X: x, Y: low + 4.6}, Text: texts[i], Size: barType, Bold: true, Anchor: draw.Middle})
	}
	return true
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
