package sheet

import (
	"fmt"
	"slices"

	"coilwright/draw"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

// Room around a wall on its sheet, in millimetres.
const (
	poleRoom  = 30.0 // left: story pole and course numbers
	sideRoom  = 22.0 // right: heights
	underRoom = 25.0 // below: places of openings, overall size
	overRoom  = 9.0
	blockRoom = 34.0 // title block and caution
	edge      = 10.0 // margin of drawings
)

// mostParts is how many sheets a wall may take; beyond, a smaller scale is used.
const mostParts = 60

// wallSheet draws one wall: on one sheet where all its numbers find room there,
// else an overview and parts with match lines.
func (s *set) wallSheet(w int) *paper {
	p := s.newPaper("Wall "+s.wallName(w), "")
	box := s.House.Walls[w].Outline.Box()
	pw, ph := s.sheetFor(box)
	room := drawingRoom(pw, ph)
	whole := s.newElevation(w, p.name, pw, ph, view{window: box, scale: s.scaleFor(box, room.W, room.H)})
	var parts []*elevation
	if readable := s.readable(w); whole.view.scale.by > readable {
		whole.overview = true
		parts = s.parts(whole, room, readable)
	} else if whole.draw(room); whole.unplaced > 0 {
		// A larger scale may find room for all.
		if parts = s.parts(whole, room, whole.view.scale.by*0.9); unplaced(parts) < whole.unplaced {
			whole = s.newElevation(w, p.name, pw, ph, whole.view)
			whole.overview = true
		} else {
			parts = nil
		}
	}
	if whole.overview {
		whole.part = fmt.Sprintf("overview; numbers on parts 1 to %d", len(parts))
		whole.draw(room)
	}
	p.doc.Add(whole.page)
	for _, e := range parts {
		p.doc.Add(e.page)
	}
	return p
}

func (s *set) newElevation(w int, name string, pw, ph float64, v view) *elevation {
	return &elevation{set: s, wall: &s.House.Walls[w], index: w, view: v, page: &draw.Page{Name: name, W: pw, H: ph}}
}

// parts draws a wall in windows at the smallest scale, not below readable, at
// which every number finds room; failing that, at the one that leaves fewest out.
// Where even the first would take too many sheets a smaller scale is used.
func (s *set) parts(whole *elevation, room draw.Rect, readable float64) []*elevation {
	all := s.scales()
	at := len(all) - 1
	for at > 0 && all[at].by > readable {
		at--
	}
	for at+1 < len(all) && len(windows(whole.view.window, all[at], room)) > mostParts {
		at++
	}
	best := s.partsAt(whole, room, all[at])
	for at--; at >= 0 && unplaced(best) > 0; at-- {
		if len(windows(whole.view.window, all[at], room)) > mostParts {
			break
		}
		if next := s.partsAt(whole, room, all[at]); unplaced(next) < unplaced(best) {
			best = next
		}
	}
	return best
}

func (s *set) partsAt(whole *elevation, room draw.Rect, c scale) []*elevation {
	boxes := windows(whole.view.window, c, room)
	homes := s.homes(whole.index, boxes)
	out := make([]*elevation, len(boxes))
	for i, window := range boxes {
		name := fmt.Sprintf("part %d of %d", i+1, len(boxes))
		e := s.newElevation(whole.index, whole.page.Name+", "+name, whole.page.W, whole.page.H, view{window: window, scale: c})
		e.part, e.away = name, func(piece int) bool { return homes[piece] != i }
		e.draw(room)
		out[i] = e
	}
	return out
}

// unplaced counts the numbers that found no room.
func unplaced(parts []*elevation) (n int) {
	for _, e := range parts {
		n += e.unplaced
	}
	return n
}

// readable is the smallest scale, as 1:n, at which the lowest course of a wall
// still holds its number: 2.2 mm for 7 pt figures, which are 1.8 mm high.
func (s *set) readable(w int) float64 {
	least := 128.0 // standing panels hold theirs lengthwise
	for i := range s.Layout.Pieces {
		if p := &s.Layout.Pieces[i]; p.Wall == w && p.Cover > 0 {
			least = min(least, mm(p.Cover)/2.2)
		}
	}
	return max(least, s.scales()[0].by)
}

// homes tells for each piece which part shows most of it: there its number
// stands even if it needs a leader.
func (s *set) homes(w int, parts []plane.Box) map[int]int {
	out := map[int]int{}
	for i := range s.Layout.Pieces {
		p := &s.Layout.Pieces[i]
		if p.Wall != w {
			continue
		}
		b, most := p.OnWall().Outer.Box(), -1.0
		for k, c := range parts {
			if shown := shared(b, c); shown > most {
				out[i], most = k, shown
			}
		}
	}
	return out
}

// shared is the area that two boxes share, in mm2.
func shared(a, b plane.Box) float64 {
	w := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
	h := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
	return mm(max(w, 0)) * mm(max(h, 0))
}

// sheetFor turns the paper whichever way gives the larger scale; lying if equal.
func (s *set) sheetFor(b plane.Box) (w, h float64) {
	short, long := s.pageSize()
	lying, upright := drawingRoom(long, short), drawingRoom(short, long)
	if s.scaleFor(b, upright.W, upright.H).by < s.scaleFor(b, lying.W, lying.H).by {
		return short, long
	}
	return long, short
}

// drawingRoom is the room for the wall itself.
func drawingRoom(w, h float64) draw.Rect {
	return draw.Rect{
		X: edge + poleRoom, Y: edge + overRoom,
		W: w - 2*edge - poleRoom - sideRoom, H: h - 2*edge - overRoom - underRoom - blockRoom,
	}
}

// windows cuts a box into equal windows that fit the room at a scale.
func windows(b plane.Box, c scale, room draw.Rect) []plane.Box {
	nx := 1 + int(mm(b.Width())/c.by/room.W)
	ny := 1 + int(mm(b.Height())/c.by/room.H)
	if nx > mostParts || ny > mostParts {
		return make([]plane.Box, mostParts+1) // too many to be wanted
	}
	at := func(lo, size measure.Length, i, n int) measure.Length {
		return lo + size*measure.Length(i)/measure.Length(n)
	}
	var out []plane.Box
	for j := range ny {
		for i := range nx {
			out = append(out, plane.Box{
				Min: plane.Point{X: at(b.Min.X, b.Width(), i, nx), Y: at(b.Min.Y, b.Height(), j, ny)},
				Max: plane.Point{X: at(b.Min.X, b.Width(), i+1, nx), Y: at(b.Min.Y, b.Height(), j+1, ny)},
			})
		}
	}
	return out
}

// elevation is one drawing in the making: a window of a wall on a page.
type elevation struct {
	*set
	wall     *house.Wall
	index    int
	page     *draw.Page
	view     view
	room     draw.Rect
	part     string
	overview bool                 // too small for numbers
	away     func(piece int) bool // the piece's number stands on another part
	widest   float64              // of all piece numbers, in mm: standing pieces are numbered alike
	taken    []draw.Rect          // by heights
	unplaced int                  // numbers that found no room
	dropped  int                  // sizes that found no room
}

func (e *elevation) draw(room draw.Rect) {
	size := e.view.frame()
	e.room = room
	e.view.origin = draw.Point{X: room.X + (room.W-size.W)/2, Y: room.Y + (room.H+size.H)/2}
	frame := e.view.frame()
	clip := frame.Inset(-0.4)
	body := e.page.Layer("wall")
	body.Clip = &clip
	e.zones(body)
	e.frieze(body)
	e.pieces(body)
	e.openings(body)
	body.Add(draw.Polygon(heavy, draw.None, e.view.ring(e.wall.Outline)))
	e.matchLines(frame)
	e.heights()
	e.numbers()
	e.pole()
	e.datum()
	e.places()
	e.titleBlock()
}

// zones hatches each zone.
func (e *elevation) zones(g *draw.Group) {
	for _, z := range e.Layout.Zones {
		if z.Wall != e.index {
			continue
		}
		rings := e.view.region(z.Region)
		zone := &draw.Group{ID: fmt.Sprintf("zone-%d", z.Zone), Title: "zone " + e.Scheme.Zones[z.Zone].ID}
		zone.Add(e.marks[z.Zone].hatch(rings))
		if z.Counted {
			zone.Add(draw.Polygon(thin, draw.None, rings...))
		}
		g.Add(zone)
	}
}

func (e *elevation) frieze(g *draw.Group) {
	for _, f := range e.Layout.Friezes {
		if f.Wall == e.index {
			g.Add(&draw.Group{ID: "frieze", Title: "frieze board", Items: []draw.Item{
				draw.Polygon(thin, draw.Grey(205), e.view.region(f.Region)...),
			}})
		}
	}
}

// here lists this wall's pieces that the window shows, by index.
func (e *elevation) here() []int {
	var out []int
	frame := e.view.frame()
	for i := range e.Layout.Pieces {
		p := &e.Layout.Pieces[i]
		if p.Wall != e.index {
			continue
		}
		if _, ok := within(e.view.box(p.OnWall().Outer.Box()), frame); ok {
			out = append(out, i)
		}
	}
	return out
}

// pen is thin on an overview, whose lines would else run together.
func (e *elevation) pen(p draw.Pen) draw.Pen {
	if e.overview {
		return draw.Pen{Width: 0.07}
	}
	return p
}

func (e *elevation) pieces(g *draw.Group) {
	pen := e.pen(thin)
	for _, i := range e.here() {
		p := &e.Layout.Pieces[i]
		g.Add(&draw.Group{
			ID: "piece-" + p.ID, Title: fmt.Sprintf("%s: %s", p.Number, e.exact(p.Length)),
			Items: []draw.Item{draw.Polygon(pen, draw.None, e.view.rings(p.OnWall())...)},
		})
	}
}

func (e *elevation) openings(g *draw.Group) {
	for _, o := range e.wall.Openings {
		g.Add(&draw.Group{ID: "opening-" + o.ID, Title: string(o.Kind) + " " + o.ID, Items: []draw.Item{
			draw.Polygon(e.pen(draw.Pen{Width: 0.45}), draw.White, e.view.ring(o.Outline)),
		}})
	}
}

// matchLines mark where the drawing goes on on another part.
func (e *elevation) matchLines(f draw.Rect) {
	box, win := e.wall.Outline.Box(), e.view.window
	pen := draw.Pen{Width: 0.35, Dash: []float64{5, 1.5, 1, 1.5}}
	g := e.page.Layer("match")
	if win.Min.X > box.Min.X {
		g.Add(draw.Polyline(pen, draw.Point{X: f.X, Y: f.Y - 3}, draw.Point{X: f.X, Y: f.Bottom() + 3}))
	}
	if win.Max.X < box.Max.X {
		g.Add(draw.Polyline(pen, draw.Point{X: f.Right(), Y: f.Y - 3}, draw.Point{X: f.Right(), Y: f.Bottom() + 3}),
			draw.Text{At: draw.Point{X: f.Right() - 1, Y: f.Y - 2}, Text: "goes on", Size: small, Anchor: draw.End})
	}
	if win.Min.Y > box.Min.Y {
		g.Add(draw.Polyline(pen, draw.Point{X: f.X - 3, Y: f.Bottom()}, draw.Point{X: f.Right() + 3, Y: f.Bottom()}))
	}
	if win.Max.Y < box.Max.Y {
		g.Add(draw.Polyline(pen, draw.Point{X: f.X - 3, Y: f.Y}, draw.Point{X: f.Right() + 3, Y: f.Y}))
	}
}

// unique sorts and takes doubles out.
func unique(ls []measure.Length) []measure.Length {
	slices.Sort(ls)
	return slices.Compact(ls)
}
