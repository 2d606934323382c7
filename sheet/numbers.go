package sheet

import (
	"fmt"
	"slices"

	"coilwright/course"
	"coilwright/draw"
	"coilwright/house"
)

const numberSize = 7.0 // points of a piece's number

// numbers sets every piece's number: in the piece at its left end (a standing
// piece's foot) where it fits, else on blank paper nearby with a leader.
func (e *elevation) numbers() {
	g := e.ground()
	for _, f := range e.Layout.Friezes {
		if f.Wall == e.index {
			g.fill(e.view.region(f.Region), blocked)
		}
	}
	here := e.here()
	for _, i := range here {
		e.widest = max(e.widest, draw.Width(e.Layout.Pieces[i].Number, numberSize, true))
		g.fill(e.view.rings(e.Layout.Pieces[i].OnWall()), int32(i))
	}
	for _, o := range e.wall.Openings {
		g.fill([][]draw.Point{e.view.ring(o.Outline)}, blank)
	}
	e.counted(g)
	e.openingNames(g)
	if e.overview {
		return
	}
	var left []int
	for _, i := range here {
		if !e.numberInside(g, i) && (e.away == nil || !e.away(i)) {
			left = append(left, i)
		}
	}
	for _, i := range left {
		if !e.numberOutside(g, i) {
			e.unplaced++
		}
	}
}

// ground is the paper around the wall, less what the pole, the heights and the
// places take.
func (e *elevation) ground() *ground {
	g, f := newGround(e.room.Inset(-4)), e.view.frame()
	g.block(draw.Rect{X: f.X - 32, Y: f.Y - 9, W: 30, H: f.H + 40})
	for _, r := range e.taken {
		g.block(r)
	}
	g.block(draw.Rect{X: f.X - 32, Y: f.Bottom() + 0.6, W: f.W + 54, H: 40})
	return g
}

func (e *elevation) numberInside(g *ground, i int) bool {
	p := &e.Layout.Pieces[i]
	box, ok := within(e.view.box(p.OnWall().Outer.Box()), e.view.frame())
	if !ok {
		return true
	}
	w, h := draw.Width(p.Number, numberSize, true)+0.6, draw.CapHeight(numberSize)
	turn := 0.0
	if p.Vertical && e.widest+2 > mm(p.Cover)/e.view.scale.by {
		w, h, turn = h, w, 90
	}
	r, ok := g.inside(box, int32(i), w, h, !p.Vertical)
	if !ok && p.Vertical && turn == 0 {
		w, h, turn = h, w, 90
		r, ok = g.inside(box, int32(i), w, h, false)
	}
	if !ok {
		return false
	}
	g.block(r)
	e.setNumber(p, r, turn)
	return true
}

func (e *elevation) setNumber(p *course.Piece, r draw.Rect, turn float64) {
	layer := e.page.Layer("numbers")
	layer.Add(r.Inset(-0.1).Path(draw.Pen{}, draw.White))
	at := draw.Point{X: r.X + r.W/2, Y: r.Y + r.H/2 + draw.CapHeight(numberSize)/2}
	if turn != 0 {
		at = draw.Point{X: r.X + r.W/2 + draw.CapHeight(numberSize)/2, Y: r.Y + r.H/2}
	}
	layer.Add(draw.Text{At: at, Text: p.Number, Size: numberSize, Bold: true, Anchor: draw.Middle, Turn: turn})
}

func (e *elevation) numberOutside(g *ground, i int) bool {
	p := &e.Layout.Pieces[i]
	box, _ := within(e.view.box(p.OnWall().Outer.Box()), e.view.frame())
	from := e.spot(g, box, i)
	w, h := draw.Width(p.Number, numberSize, true)+1, draw.CapHeight(numberSize)+0.6
	r, ok := g.outside(from, w+0.6, h+0.6)
	if !ok {
		return false
	}
	g.block(r)
	to := leaderEnd(from, r)
	layer := e.page.Layer("numbers")
	layer.Add(draw.Polyline(draw.Pen{Width: 0.18}, from, to), draw.Circle(from, 0.35, draw.Pen{}, draw.Black))
	e.setNumber(p, r.Inset(0.3), 0)
	return true
}

// spot finds a point in a piece for a leader to start from, nearest to the middle
// of its box b.
func (e *elevation) spot(g *ground, b draw.Rect, i int) draw.Point {
	for _, size := range [...]float64{0.9, 0.3} {
		r, ok := g.inside(b, int32(i), size, size, true)
		if !ok {
			continue
		}
		if c := (draw.Rect{X: b.X + (b.W-size)/2, Y: r.Y, W: size, H: size}); g.all(c, int32(i)) {
			r = c
		}
		return draw.Point{X: r.X + size/2, Y: r.Y + size/2}
	}
	p := &e.Layout.Pieces[i]
	if plain(p) { // too low for the ground's cells
		return draw.Point{X: b.X + b.W/2, Y: b.Y + b.H/2}
	}
	o := p.OnWall().Outer
	from, to := e.view.at(o[0]), e.view.at(o[1%len(o)])
	return draw.Point{X: (from.X + to.X) / 2, Y: (from.Y + to.Y) / 2}
}

// openingNames sets id and size of each opening in it, or near it.
func (e *elevation) openingNames(g *ground) {
	for i := range e.wall.Openings {
		o := &e.wall.Openings[i]
		box, ok := within(e.view.box(o.Outline.Box()), e.view.frame())
		if !ok {
			continue
		}
		b := o.Outline.Box()
		w, h, kind := e.short(b.Width()), e.short(b.Height()), receiver(string(o.Kind))
		ways := [][]string{{o.ID, kind, w + " x " + h}, {o.ID, kind, w, "x", h}, {o.ID, w + " x " + h}, {o.ID}}
		named := slices.ContainsFunc(ways, func(lines []string) bool { return e.openingName(g, box, lines) })
		if !named && !e.overview {
			e.openingNameOutside(g, o, box)
		}
	}
}

// openingNameOutside sets an opening's id beside it with a leader: where it covers
// neither another opening nor a number, else at its right.
func (e *elevation) openingNameOutside(g *ground, o *house.Opening, box draw.Rect) {
	id := draw.Fit(o.ID, numberSize, true, 14)
	from := draw.Point{X: box.X + box.W/2, Y: box.Y + box.H/2}
	w, h := draw.Width(id, numberSize, true)+0.6, draw.CapHeight(numberSize)+0.6
	dx, dy := (box.W+w)/2+1.2, (box.H+h)/2+1.2
	r := draw.Rect{X: from.X + dx - w/2, Y: from.Y - h/2, W: w, H: h}
	for _, d := range [...]draw.Point{{X: dx}, {X: -dx}, {Y: -dy}, {Y: dy}, {Y: -2 * dy}, {Y: 2 * dy}, {Y: -3 * dy}, {Y: 3 * dy}} {
		c := draw.Rect{X: from.X + d.X - w/2, Y: from.Y + d.Y - h/2, W: w, H: h}
		if e.uncovered(c) && !g.touches(c, blocked) {
			r = c
			break
		}
	}
	g.block(r)
	layer := e.page.Layer("numbers")
	layer.Add(draw.Polyline(draw.Pen{Width: 0.18}, from, leaderEnd(from, r)), r.Path(draw.Pen{}, draw.White),
		draw.Text{At: draw.Point{X: r.X + w/2, Y: r.Y + h/2 + draw.CapHeight(numberSize)/2}, Text: id, Size: numberSize, Bold: true, Anchor: draw.Middle})
}

// uncovered says whether a box meets no opening.
func (e *elevation) uncovered(r draw.Rect) bool {
	for _, o := range e.wall.Openings {
		if _, meets := within(e.view.box(o.Outline.Box()), r); meets {
			return false
		}
	}
	return true
}

func (e *elevation) openingName(g *ground, box draw.Rect, lines []string) bool {
	const step = 3.2
	first := 8.5
	if len(lines) == 1 {
		first = numberSize
	}
	size := func(i int) float64 {
		if i == 0 {
			return first
		}
		return numberSize
	}
	w, h := 0.0, step*float64(len(lines)-1)+draw.CapHeight(first)+0.5
	for i, l := range lines {
		w = max(w, draw.Width(l, size(i), i == 0)+0.4)
	}
	if len(lines) == 1 && box.W > 8 {
		w = min(w, box.W-0.4) // a long id is cut off
	}
	if w > box.W-0.2 || h > box.H-0.2 {
		return false
	}
	r := draw.Rect{X: box.X + (box.W-w)/2, Y: box.Y + (box.H-h)/2, W: w, H: h}
	g.block(r)
	for i, l := range lines {
		e.page.Layer("numbers").Add(draw.Text{
			At:   draw.Point{X: r.X + w/2, Y: r.Y + 0.25 + draw.CapHeight(first) + step*float64(i)},
			Text: draw.Fit(l, size(i), i == 0, w), Size: size(i), Bold: i == 0, Anchor: draw.Middle,
		})
	}
	return true
}

// counted names the zones that are bought by the piece, clear of their openings.
func (e *elevation) counted(g *ground) {
	for _, z := range e.Layout.Zones {
		if z.Wall != e.index || !z.Counted {
			continue
		}
		b := e.view.box(z.Region.Box())
		text := fmt.Sprintf("%s: %d pieces", e.panelName(e.Scheme.Zones[z.Zone].Panel), z.Count)
		text = draw.Fit(text, 8, true, max(10, b.W))
		g.fill(e.view.region(z.Region), shown)
		r := g.nearMiddle(b, shown, draw.Width(text, 8, true)+1.5, 4)
		g.fill(e.view.region(z.Region), blank)
		g.block(r)
		e.page.Layer("numbers").Add(r.Path(draw.Pen{}, draw.White),
			draw.Text{At: draw.Point{X: r.X + r.W/2, Y: r.Y + 3}, Text: text, Size: 8, Bold: true, Anchor: draw.Middle})
	}
}
