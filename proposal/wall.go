package proposal

import (
	"slices"

	"coilwright/course"
	"coilwright/draw"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

// elevation draws one side of the house in a scheme's own colours.
type elevation struct {
	p     *paper
	o     Option
	wall  int
	scale float64 // millimetres of wall to one on paper
	at    draw.Point
	box   plane.Box
	g     *draw.Group
}

func mm(l measure.Length) float64 { return float64(l) / 1e6 }

// drawWall puts wall w into a room, standing on the room's lower edge.
func (p *paper) drawWall(o Option, w int, room draw.Rect, scale float64) {
	box := p.job.House.Walls[w].Outline.Box()
	wide, high := mm(box.Width())/scale, mm(box.Height())/scale
	e := &elevation{p: p, o: o, wall: w, scale: scale, box: box, g: p.page.Layer("walls")}
	e.at = draw.Point{X: room.X + (room.W-wide)/2, Y: room.Bottom()}
	e.ground(wide, high)
	e.fills()
	e.openings()
	e.g.Add(draw.Polygon(draw.Pen{Width: 0.3, Ink: black}, draw.None, e.ring(p.job.House.Walls[w].Outline)))
}

// scaleFor is the smallest one at which every wall given finds its room.
func (p *paper) scaleFor(walls []int, w, h float64) float64 {
	s := 1.0
	for _, i := range walls {
		box := p.job.House.Walls[i].Outline.Box()
		s = max(s, mm(box.Width())/w, mm(box.Height())/h)
	}
	return s
}

func (e *elevation) point(q plane.Point) draw.Point {
	return draw.Point{X: e.at.X + mm(q.X-e.box.Min.X)/e.scale, Y: e.at.Y - mm(q.Y-e.box.Min.Y)/e.scale}
}

func (e *elevation) ring(r plane.Ring) []draw.Point {
	out := make([]draw.Point, len(r))
	for i, q := range r {
		out[i] = e.point(q)
	}
	return out
}

func (e *elevation) rings(r plane.Region) [][]draw.Point {
	var out [][]draw.Point
	for _, poly := range r {
		out = append(out, e.ring(poly.Outer))
		for _, h := range poly.Holes {
			out = append(out, e.ring(h))
		}
	}
	return out
}

func (e *elevation) ground(wide, high float64) {
	y := e.at.Y
	e.g.Add(draw.Polyline(draw.Pen{Width: 0.5, Ink: soft}, draw.Point{X: e.at.X - 4, Y: y}, draw.Point{X: e.at.X + wide + 4, Y: y}))
}

// fills lays zones and friezes down and draws every course as it will hang.
func (e *elevation) fills() {
	outline := e.ring(e.p.job.House.Walls[e.wall].Outline)
	e.g.Add(draw.Polygon(draw.Pen{}, draw.Grey(225), outline))
	s := e.p.job.Schemes[e.o.Scheme]
	for _, z := range e.o.Layout.Zones {
		if z.Wall != e.wall || len(z.Region) == 0 {
			continue
		}
		zone := s.Zones[z.Zone]
		i := e.p.colour(zone.Colour)
		rings := e.rings(z.Region)
		e.g.Add(draw.Polygon(draw.Pen{}, i, rings...))
		panel, _ := e.p.job.Book.Panel(zone.Panel)
		pen := draw.Pen{Width: 0.1, Ink: lapInk(i)}
		if z.Vertical {
			e.g.Add(e.uprights(rings, z, pen))
		} else {
			e.g.Add(e.levels(rings, z, panel.Exposure, panel.Laps, pen))
		}
	}
	for _, f := range e.o.Layout.Friezes {
		if f.Wall == e.wall && s.TrimColour != "" {
			e.g.Add(draw.Polygon(draw.Pen{Width: 0.15, Ink: lapInk(e.p.colour(s.TrimColour))}, e.p.colour(s.TrimColour), e.rings(f.Region)...))
		}
	}
}

// lapInk is the shadow under a lap.
func lapInk(i draw.Ink) draw.Ink {
	if dark(i) {
		return mix(i, draw.White, 0.3)
	}
	return mix(i, black, 0.45)
}

// levels draws a line at each lap of a zone that lies level.
func (e *elevation) levels(rings [][]draw.Point, z course.ZoneOnWall, exposure measure.Length, laps int, pen draw.Pen) draw.Path {
	path := draw.Path{Pen: pen}
	if exposure <= 0 {
		return path
	}
	for _, b := range bandsOf(z, exposure*measure.Length(max(laps, 1))) {
		for y := b.Low; y < b.High; y += exposure {
			at := e.point(plane.Point{X: e.box.Min.X, Y: y}).Y
			for _, span := range spans(rings, at, false) {
				path.Lines = append(path.Lines, draw.Line{Points: []draw.Point{{X: span[0], Y: at}, {X: span[1], Y: at}}})
			}
		}
	}
	return path
}

// bandsOf is a zone's bands; a counted zone has none of its own, and its courses
// are shown from its lowest line.
func bandsOf(z course.ZoneOnWall, cover measure.Length) []course.Band {
	if len(z.Bands) > 0 || cover <= 0 {
		return z.Bands
	}
	var out []course.Band
	low, high := z.Region[0].Outer.Box().Min.Y, z.Region[0].Outer.Box().Max.Y
	for _, r := range z.Region {
		low, high = min(low, r.Outer.Box().Min.Y), max(high, r.Outer.Box().Max.Y)
	}
	for y := low; y < high; y += cover {
		out = append(out, course.Band{Low: y, High: y + cover})
	}
	return out
}

func (e *elevation) uprights(rings [][]draw.Point, z course.ZoneOnWall, pen draw.Pen) draw.Path {
	path := draw.Path{Pen: pen}
	for _, b := range z.Bands {
		x := e.point(plane.Point{X: b.Low, Y: e.box.Min.Y}).X
		for _, span := range spans(rings, x, true) {
			path.Lines = append(path.Lines, draw.Line{Points: []draw.Point{{X: x, Y: span[0]}, {X: x, Y: span[1]}}})
		}
	}
	return path
}

// spans are where a level (or upright) line runs inside rings, by the even-odd rule.
func spans(rings [][]draw.Point, at float64, upright bool) [][2]float64 {
	var cuts []float64
	for _, r := range rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if upright {
				a, b = draw.Point{X: a.Y, Y: a.X}, draw.Point{X: b.Y, Y: b.X}
			}
			if (a.Y <= at) != (b.Y <= at) {
				cuts = append(cuts, a.X+(at-a.Y)/(b.Y-a.Y)*(b.X-a.X))
			}
		}
	}
	slices.Sort(cuts)
	var out [][2]float64
	for i := 0; i+1 < len(cuts); i += 2 {
		out = append(out, [2]float64{cuts[i], cuts[i+1]})
	}
	return out
}

// openings draws windows and doors with their casings.
func (e *elevation) openings() {
	trim := e.p.colour(e.p.job.Schemes[e.o.Scheme].TrimColour)
	for _, o := range e.p.job.House.Walls[e.wall].Openings {
		r := e.ring(o.Outline)
		e.g.Add(draw.Polygon(draw.Pen{Width: 0.15, Ink: black}, trim, r))
		b := boundsOf(r)
		in := b.Inset(min(1.1, b.W/6, b.H/6))
		fill := draw.RGB(96, 112, 122)
		switch o.Kind {
		case house.Door, house.GarageDoor:
			fill = draw.RGB(128, 106, 82)
		case house.Window:
		default:
			fill = draw.Grey(150)
		}
		e.g.Add(in.Path(draw.Pen{Width: 0.1, Ink: black}, fill))
	}
}

func boundsOf(r []draw.Point) draw.Rect {
	lo, hi := r[0], r[0]
	for _, q := range r {
		lo = draw.Point{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
		hi = draw.Point{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
	}
	return draw.Rect{X: lo.X, Y: lo.Y, W: hi.X - lo.X, H: hi.Y - lo.Y}
}
