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

// wallSheet draws one wall: on one sheet where its numbers can be read there, else
// an overview and parts with match lines.
func (s *set) wallSheet(w int) *paper {
	p := s.newPaper("Wall "+s.wallName(w), "")
	box := s.House.Walls[w].Outline.Box()
	pw, ph := s.sheetFor(box)
	room := drawingRoom(pw, ph)
	whole := s.scaleFor(box, room.W, room.H)
	if whole.by <= readable {
		s.elevation(p, w, p.addSheet(p.name, pw, ph), view{window: box, scale: whole}, "")
		return p
	}
	parts, by := s.partsOf(box, room)
	s.elevation(p, w, p.addSheet(p.name, pw, ph), view{window: box, scale: whole}, fmt.Sprintf("overview; numbers on parts 1 to %d", len(parts)))
	for i, window := range parts {
		name := fmt.Sprintf("part %d of %d", i+1, len(parts))
		s.elevation(p, w, p.addSheet(p.name+", "+name, pw, ph), view{window: window, scale: by}, name)
	}
	return p
}

func (p *paper) addSheet(name string, w, h float64) *draw.Page {
	return p.doc.Add(&draw.Page{Name: name, W: w, H: h})
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

// partsOf cuts a box into windows that fit the room at the smallest readable
// scale, or at a smaller one where they would be too many.
func (s *set) partsOf(b plane.Box, room draw.Rect) ([]plane.Box, scale) {
	for _, c := range s.scales() {
		nx := 1 + int(mm(b.Width())/c.by/room.W)
		ny := 1 + int(mm(b.Height())/c.by/room.H)
		if c.by*2 > readable && nx*ny <= mostParts {
			return windows(b, nx, ny), c
		}
	}
	all := s.scales()
	return []plane.Box{b}, all[len(all)-1]
}

func windows(b plane.Box, nx, ny int) []plane.Box {
	var out []plane.Box
	at := func(lo, size measure.Length, i, n int) measure.Length {
		return lo + size*measure.Length(i)/measure.Length(n)
	}
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

// elevation draws a window of a wall on a page.
func (s *set) elevation(p *paper, w int, page *draw.Page, v view, part string) {
	room := drawingRoom(page.W, page.H)
	size := v.frame()
	v.origin = draw.Point{X: room.X + (room.W-size.W)/2, Y: room.Y + (room.H+size.H)/2}
	e := &elevation{set: s, wall: &s.House.Walls[w], index: w, page: page, view: v, room: room, part: part}
	e.numbered = v.scale.by <= readable || part != "" && v.window != s.House.Walls[w].Outline.Box()
	e.draw()
}

// elevation is one drawing in the making.
type elevation struct {
	*set
	wall     *house.Wall
	index    int
	page     *draw.Page
	view     view
	room     draw.Rect
	part     string
	numbered bool
	unplaced int
	dropped  int // places of openings that found no room
}

func (e *elevation) draw() {
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
	e.numbers()
	e.pole()
	e.datum()
	e.heights()
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

func (e *elevation) pieces(g *draw.Group) {
	for _, i := range e.here() {
		p := &e.Layout.Pieces[i]
		g.Add(&draw.Group{
			ID: "piece-" + p.ID, Title: fmt.Sprintf("%s: %s", p.Number, e.text(p.Length)),
			Items: []draw.Item{draw.Polygon(thin, draw.None, e.view.rings(p.OnWall())...)},
		})
	}
}

func (e *elevation) openings(g *draw.Group) {
	for _, o := range e.wall.Openings {
		g.Add(&draw.Group{ID: "opening-" + o.ID, Title: string(o.Kind) + " " + o.ID, Items: []draw.Item{
			draw.Polygon(draw.Pen{Width: 0.45}, draw.White, e.view.ring(o.Outline)),
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
			draw.Text{At: draw.Point{X: f.Right(), Y: f.Y - 4}, Text: "goes on", Size: small, Anchor: draw.Middle})
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
