package sheet

import (
	"fmt"

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
		size := e.short(b.Width()) + " x " + e.short(b.Height())
		kind := receiver(string(o.Kind))
		for _, lines := range [][]string{{o.ID, kind, size}, {o.ID, kind, e.short(b.Width()), "x", e.short(b.Height())}, {o.ID, size}, {o.ID}} {
			if e.openingName(g, o, box, lines) {
				break
			}
		}
	}
}

func (e *elevation) openingName(g *ground, o *house.Opening, box draw.Rect, lines []string) bool {
	const step = 3.2
	w, h := 0.0, step*float64(len(lines))+0.6
	for i, l := range lines {
		w = max(w, draw.Width(l, nameSize(i), i == 0)+1)
	}
	if len(lines) == 1 {
		w = min(w, box.W-0.4)
	}
	if w > box.W-0.4 || h > box.H-0.4 {
		return false
	}
	r := draw.Rect{X: box.X + (box.W-w)/2, Y: box.Y + (box.H-h)/2, W: w, H: h}
	g.block(r)
	for i, l := range lines {
		e.page.Layer("numbers").Add(draw.Text{
			At:   draw.Point{X: r.X + w/2, Y: r.Y + step*float64(i+1) - 0.3},
			Text: draw.Fit(l, nameSize(i), i == 0, w), Size: nameSize(i), Bold: i == 0, Anchor: draw.Middle,
		})
	}
	return true
}

// nameSize is the type of line i of an opening's name.
func nameSize(i int) float64 {
	if i == 0 {
		return 8.5
	}
	return 7
}

// counted names the zones that are bought by the piece.
func (e *elevation) counted(g *ground) {
	for _, z := range e.Layout.Zones {
		if z.Wall != e.index || !z.Counted {
			continue
		}
		b := e.view.box(z.Region.Box())
		text := fmt.Sprintf("%s: %d pieces", draw.Clean(e.Scheme.Zones[z.Zone].Panel), z.Count)
		text = draw.Fit(text, 8, true, max(10, b.W))
		w := draw.Width(text, 8, true) + 1.5
		r := draw.Rect{X: b.X + (b.W-w)/2, Y: b.Y + b.H/2 - 2, W: w, H: 4}
		g.block(r)
		e.page.Layer("numbers").Add(r.Path(draw.Pen{}, draw.White),
			draw.Text{At: draw.Point{X: r.X + w/2, Y: r.Y + 3}, Text: text, Size: 8, Bold: true, Anchor: draw.Middle})
	}
}
