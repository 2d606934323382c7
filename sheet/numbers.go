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
	g := newGround(e.room.Inset(-4))
	for _, f := range e.Layout.Friezes {
		if f.Wall == e.index {
			g.fill(e.view.region(f.Region), blocked)
		}
	}
	here := e.here()
	for _, i := range here {
		g.fill(e.view.rings(e.Layout.Pieces[i].OnWall()), int32(i))
	}
	e.counted(g)
	e.openingNames(g)
	if !e.numbered {
		return
	}
	var left []int
	for _, i := range here {
		if !e.numberInside(g, i) {
			left = append(left, i)
		}
	}
	for _, i := range left {
		if !e.numberOutside(g, i) {
			e.unplaced++
		}
	}
}

func (e *elevation) numberInside(g *ground, i int) bool {
	p := &e.Layout.Pieces[i]
	box, ok := within(e.view.box(p.OnWall().Outer.Box()), e.view.frame())
	if !ok {
		return true
	}
	w, h := draw.Width(p.Number, numberSize, true)+1, draw.CapHeight(numberSize)+0.5
	r, ok := g.inside(box, int32(i), w, h, !p.Vertical)
	turn := 0.0
	if !ok && p.Vertical {
		r, ok = g.inside(box, int32(i), h, w, false)
		turn = 90
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
	layer.Add(r.Path(draw.Pen{}, draw.White))
	at := draw.Point{X: r.X + r.W/2, Y: r.Y + r.H/2 + draw.CapHeight(numberSize)/2}
	if turn != 0 {
		at = draw.Point{X: r.X + r.W/2 + draw.CapHeight(numberSize)/2, Y: r.Y + r.H/2}
	}
	layer.Add(draw.Text{At: at, Text: p.Number, Size: numberSize, Bold: true, Anchor: draw.Middle, Turn: turn})
}

func (e *elevation) numberOutside(g *ground, i int) bool {
	p := &e.Layout.Pieces[i]
	box, _ := within(e.view.box(p.OnWall().Outer.Box()), e.view.frame())
	from, ok := e.spot(g, box, int32(i))
	if !ok {
		return false
	}
	w, h := draw.Width(p.Number, numberSize, true)+1, draw.CapHeight(numberSize)+0.6
	r, ok := g.outside(from, w+0.6, h+0.6)
	if !ok {
		return false
	}
	g.block(r)
	to := draw.Point{X: min(max(from.X, r.X), r.Right()), Y: r.Y + r.H/2}
	layer := e.page.Layer("numbers")
	layer.Add(draw.Polyline(draw.Pen{Width: 0.18}, from, to), draw.Circle(from, 0.35, draw.Pen{}, draw.Black))
	e.setNumber(p, r.Inset(0.3), 0)
	return true
}

// spot finds a point that lies in a piece, nearest to the middle of its box.
func (e *elevation) spot(g *ground, box draw.Rect, who int32) (draw.Point, bool) {
	for _, size := range [...]float64{0.9, 0.3} {
		if r, ok := g.inside(box, who, size, size, true); ok {
			x := r.X + size/2
			if c := (draw.Rect{X: box.X + box.W/2 - size/2, Y: r.Y, W: size, H: size}); g.all(c, who) {
				x = box.X + box.W/2
			}
			return draw.Point{X: x, Y: r.Y + size/2}, true
		}
	}
	return draw.Point{}, false
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
