package sheet

import (
	"fmt"
	"slices"

	"coilwright/draw"
)

// zoneMark is how a zone looks in black and white.
type zoneMark struct {
	plain            bool
	degrees, spacing float64
}

func (m zoneMark) hatch(rings [][]draw.Point) draw.Item {
	if m.plain {
		return draw.Path{}
	}
	return draw.Hatch(rings, m.degrees, m.spacing, draw.Pen{Width: 0.09, Ink: draw.Grey(110)})
}

// hatches are told apart by direction first, then by density.
var hatches = []zoneMark{
	{degrees: 45, spacing: 2.4}, {degrees: 135, spacing: 2.4}, {degrees: 45, spacing: 1.2}, {degrees: 135, spacing: 1.2},
	{degrees: 75, spacing: 1.8}, {degrees: 105, spacing: 1.8}, {degrees: 20, spacing: 1.8}, {degrees: 160, spacing: 1.8},
}

// zoneMarks leaves the zone with the most wall plain, so that its numbers read
// best, and hatches the others.
func zoneMarks(in Input) []zoneMark {
	area := make([]float64, len(in.Scheme.Zones))
	for _, z := range in.Layout.Zones {
		if z.Zone >= 0 && z.Zone < len(area) && !z.Counted {
			area[z.Zone] += z.Area.SquareMetres()
		}
	}
	out := make([]zoneMark, len(area))
	if len(area) == 0 {
		return out
	}
	most := slices.Index(area, slices.Max(area))
	next := 0
	for i := range out {
		if i == most {
			out[i].plain = true
			continue
		}
		out[i] = hatches[next%len(hatches)]
		next++
	}
	return out
}

// titleBlock is the strip at the foot of a drawing: caution, zones, and what the
// drawing is.
func (e *elevation) titleBlock() {
	g := e.page.Layer("title")
	r := draw.Rect{X: edge, Y: e.page.H - edge - blockRoom + 8, W: e.page.W - 2*edge, H: blockRoom - 8}
	said := cautionHang + " " + deferring
	if e.Release != "" {
		said = e.Release + ". " + said
	}
	lines := draw.Wrap(said, small, true, r.W-9)
	g.Add(warningSign(draw.Point{X: r.X + 3.5, Y: r.Y - 4.2}, 2.4))
	for i, l := range lines {
		g.Add(draw.Text{At: draw.Point{X: r.X + 8.5, Y: r.Y - 1.8 - 3.3*float64(len(lines)-1-i)}, Text: l, Size: small, Bold: true})
	}
	g.Add(r.Path(medium, draw.White))
	zones := draw.Rect{X: r.X, Y: r.Y, W: r.W * 0.36, H: r.H}
	job := draw.Rect{X: zones.Right(), Y: r.Y, W: r.W * 0.36, H: r.H}
	facts := draw.Rect{X: job.Right(), Y: r.Y, W: r.Right() - job.Right(), H: r.H}
	for _, x := range []float64{job.X, facts.X} {
		g.Add(draw.Polyline(thin, draw.Point{X: x, Y: r.Y}, draw.Point{X: x, Y: r.Bottom()}))
	}
	e.legend(g, zones)
	e.jobCell(g, job)
	e.factCell(g, facts)
}

// legend shows the hatch of each zone of this wall, as many as have room.
func (e *elevation) legend(g *draw.Group, r draw.Rect) {
	const h = 4.1
	y := r.Y + 1.2
	put := func(fill draw.Ink, m *zoneMark, text string) {
		if y+h > r.Bottom() {
			return
		}
		s := draw.Rect{X: r.X + 1.5, Y: y, W: 7.5, H: h - 1}
		g.Add(s.Path(thin, fill))
		if m != nil {
			g.Add(m.hatch([][]draw.Point{{{X: s.X, Y: s.Y}, {X: s.Right(), Y: s.Y}, {X: s.Right(), Y: s.Bottom()}, {X: s.X, Y: s.Bottom()}}}))
		}
		g.Add(draw.Text{At: draw.Point{X: s.Right() + 1.5, Y: y + 2.6}, Text: draw.Fit(text, 7, false, r.W-12), Size: 7})
		y += h
	}
	for i, z := range e.Scheme.Zones {
		if e.zoneOn(e.index, i) != nil {
			put(draw.White, &e.marks[i], draw.Clean(z.ID)+": "+e.material(z.Panel, z.Texture, z.Colour))
		}
	}
	if e.Scheme.Frieze > 0 {
		put(draw.Grey(205), nil, "frieze board "+e.text(e.Scheme.Frieze))
	}
	for _, note := range e.notes() {
		if y+3.3 <= r.Bottom() {
			g.Add(draw.Text{At: draw.Point{X: r.X + 1.5, Y: y + 2.6}, Text: draw.Fit(note, 7, true, r.W-3), Size: 7, Bold: true})
			y += 3.3
		}
	}
}

// notes tell what the drawing could not show.
func (e *elevation) notes() []string {
	var out []string
	if e.unplaced > 0 {
		out = append(out, fmt.Sprintf("numbers that found no room (see piece list): %d", e.unplaced))
	}
	if e.dropped > 0 {
		out = append(out, fmt.Sprintf("sizes that found no room: %d", e.dropped))
	}
	unfit := 0
	for i := range e.Layout.Pieces {
		if p := &e.Layout.Pieces[i]; p.Wall == e.index && !p.Fit {
			unfit++
		}
	}
	if unfit > 0 {
		out = append(out, fmt.Sprintf("NOT fit to cut, measure again: %d pieces", unfit))
	}
	return out
}

func (e *elevation) jobCell(g *draw.Group, r draw.Rect) {
	w := r.W - 4
	put := func(y float64, text string, size float64, bold bool) {
		g.Add(draw.Text{At: draw.Point{X: r.X + 2, Y: r.Y + y}, Text: draw.Fit(text, size, bold, w), Size: size, Bold: bold})
	}
	name := "Wall " + e.wallName(e.index)
	put(6.2, name, 14, true)
	if e.part != "" {
		put(10.4, e.part, small, true)
	}
	put(14.6, e.Title, normal, true)
	put(18.8, schemeName(e.Scheme), 8, false)
	put(23.4, "CHECK AGAINST THE HOUSE BEFORE CUTTING", small, true)
}

func (e *elevation) factCell(g *draw.Group, r draw.Rect) {
	units := "feet and inches"
	if e.Units.String() == "metric" {
		units = "millimetres"
	}
	rows := [][2]string{
		{"scale", e.scaleText(e.view.scale)},
		{"sizes in", units},
		{"gaps for", e.temperature()},
		{"datum", e.text(e.Layout.Datum.Datum) + " from level 0"},
		{"date", e.date()},
		{"revision", e.revision()},
	}
	for i, row := range rows {
		y := r.Y + 3.8 + 4.1*float64(i)
		g.Add(draw.Text{At: draw.Point{X: r.X + 2, Y: y}, Text: row[0], Size: 7},
			draw.Text{At: draw.Point{X: r.X + 18, Y: y}, Text: draw.Fit(row[1], 8, true, r.W-20), Size: 8, Bold: true})
	}
}
