package sheet

import (
	"fmt"

	"coilwright/course"
	"coilwright/draw"
	"coilwright/house"
	"coilwright/measure"
)

// labelGap is the distance of the lines of 7 pt labels.
const labelGap = 3.0

// line is one course line on the story pole.
type line struct {
	y      measure.Length
	course int // the course that starts here
	starts bool
}

// poleLines lists the course lines of a wall's level zones, lowest first. A line
// that two zones share stands once.
func (s *set) poleLines(wall int) []line {
	byHeight := map[measure.Length]line{}
	for _, z := range s.Layout.Zones {
		if z.Wall != wall || z.Vertical || z.Counted {
			continue
		}
		for _, b := range z.Bands {
			byHeight[b.Low] = line{b.Low, b.K, true}
			if _, ok := byHeight[b.High]; !ok {
				byHeight[b.High] = line{y: b.High}
			}
		}
	}
	var ys []measure.Length
	for y := range byHeight {
		ys = append(ys, y)
	}
	out := make([]line, 0, len(ys))
	for _, y := range unique(ys) {
		out = append(out, byHeight[y])
	}
	return out
}

// pole draws the story pole at the wall's left: heights of the course lines from
// the datum, and the courses' numbers.
func (e *elevation) pole() {
	lines := e.poleLines(e.index)
	f := e.view.frame()
	g := e.page.Layer("pole")
	x := f.X - 9
	var shown []line
	for _, l := range lines {
		if y := e.view.y(l.y); y > f.Y-4 && y < f.Bottom()+4 {
			shown = append(shown, l)
		}
	}
	if len(shown) == 0 {
		return
	}
	top, low := e.view.y(shown[len(shown)-1].y), e.view.y(shown[0].y)
	g.Add(draw.Rect{X: x, Y: top, W: 1.6, H: low - top}.Path(thin, draw.White))
	wish := make([]float64, len(shown))
	for i, l := range shown {
		wish[i] = e.view.y(l.y)
	}
	step := 1 + int(labelGap*float64(len(shown)-1)/(f.H+8))
	var kept []line
	var places []float64
	for i, l := range shown {
		g.Add(draw.Polyline(thin, draw.Point{X: x - 1, Y: wish[i]}, draw.Point{X: x + 2.6, Y: wish[i]}))
		if i%step == 0 {
			kept, places = append(kept, l), append(places, wish[i])
		}
	}
	places = draw.Spread(places, labelGap, f.Y-6, f.Bottom()+6)
	for i, l := range kept {
		y := e.view.y(l.y)
		if places[i] != y {
			g.Add(draw.Polyline(hair, draw.Point{X: x - 1, Y: y}, draw.Point{X: x - 2.6, Y: places[i]}))
		}
		g.Add(draw.Text{At: draw.Point{X: x - 3, Y: places[i] + 0.9}, Text: e.short(l.y - e.Layout.Datum.Datum), Size: 7, Anchor: draw.End})
	}
	e.courseNumbers(g, shown, x+4.6)
	g.Add(draw.Text{At: draw.Point{X: x + 7, Y: e.headLine()}, Text: "story pole, from datum", Size: 7, Anchor: draw.End})
}

// headLine is where the words over the pole and the heights stand: above the
// wall and above the highest line of the pole.
func (e *elevation) headLine() float64 {
	y := e.view.frame().Y
	for _, l := range e.poleLines(e.index) {
		if at := e.view.y(l.y); at > y-4 && at < y {
			y = at
		}
	}
	return y - 4
}

// courseNumbers stand in the middle of their courses, as many as can be read.
func (e *elevation) courseNumbers(g *draw.Group, lines []line, x float64) {
	last := e.page.H
	for i, l := range lines {
		if !l.starts || i+1 >= len(lines) {
			continue
		}
		y := (e.view.y(l.y) + e.view.y(lines[i+1].y)) / 2
		if last-y >= 2.6 {
			g.Add(draw.Text{At: draw.Point{X: x, Y: y + 0.9}, Text: fmt.Sprint(l.course), Size: 7, Bold: true, Anchor: draw.Middle})
			last = y
		}
	}
}

// datum draws the level line where course 1 starts.
func (e *elevation) datum() {
	f := e.view.frame()
	y := e.view.y(e.Layout.Datum.Datum)
	if y < f.Y-12 || y > f.Bottom()+12 {
		return
	}
	g := e.page.Layer("datum")
	right := e.room.Right() + 3
	g.Add(draw.Polyline(draw.Pen{Width: 0.5, Dash: []float64{6, 1.5, 1.2, 1.5}}, draw.Point{X: f.X - 12, Y: y}, draw.Point{X: min(f.Right()+3, right), Y: y}))
}

// heights lists, at the wall's right, corners and openings above the house's level
// line, and the datum.
func (e *elevation) heights() {
	type mark struct {
		y    measure.Length
		bold bool
		text string
	}
	f := e.view.frame()
	ys := []measure.Length{}
	for _, p := range e.wall.Outline {
		ys = append(ys, p.Y)
	}
	for _, o := range e.dimensioned() {
		b := o.Outline.Box()
		ys = append(ys, b.Min.Y, b.Max.Y)
	}
	marks := []mark{{e.Layout.Datum.Datum, true, "DATUM " + e.short(e.Layout.Datum.Datum)}}
	for _, y := range unique(ys) {
		marks = append(marks, mark{y, false, e.short(y)})
	}
	var places []float64
	var kept []mark
	for _, m := range marks {
		if y := e.view.y(m.y); y > f.Y-12 && y < f.Bottom()+12 {
			kept, places = append(kept, m), append(places, y)
		}
	}
	most := int((e.room.H + 16) / labelGap)
	if len(kept) > most {
		e.dropped += len(kept) - most
		kept, places = kept[:most], places[:most]
	}
	places = draw.Spread(places, labelGap, e.room.Y-4, e.room.Bottom()+8)
	g := e.page.Layer("heights")
	x := f.Right() + 2
	for i, m := range kept {
		y := e.view.y(m.y)
		e.taken = append(e.taken, draw.Rect{X: x - 0.6, Y: min(y, places[i]) - 1.2, W: 24, H: max(y, places[i]) - min(y, places[i]) + 2.4})
		g.Add(draw.Polyline(hair, draw.Point{X: x, Y: y}, draw.Point{X: x + 2, Y: y}, draw.Point{X: x + 4.5, Y: places[i]}),
			draw.Text{At: draw.Point{X: x + 5, Y: places[i] + 0.9}, Text: m.text, Size: 7, Bold: m.bold})
	}
	g.Add(draw.Text{At: draw.Point{X: x + 1, Y: e.headLine()}, Text: "above level 0", Size: 7})
}

// dimensioned lists the openings whose places are given: none on an overview, on
// a part those that it shows.
func (e *elevation) dimensioned() []house.Opening {
	if e.overview {
		return nil
	}
	var out []house.Opening
	for _, o := range e.wall.Openings {
		if o.Outline.Box().Overlaps(e.view.window) {
			out = append(out, o)
		}
	}
	return out
}

// places are the openings' sides from the wall's left end, as a tape hooked there
// reads them, and the overall width below.
func (e *elevation) places() {
	f := e.view.frame()
	g := e.page.Layer("sizes")
	box := e.wall.Outline.Box()
	xs := []measure.Length{box.Min.X, box.Max.X}
	for _, o := range e.dimensioned() {
		b := o.Outline.Box()
		xs = append(xs, b.Min.X, b.Max.X)
	}
	for _, p := range e.wall.Outline {
		xs = append(xs, p.X)
	}
	var kept []measure.Length
	for _, x := range unique(xs) {
		if e.view.window.Min.X <= x && x <= e.view.window.Max.X {
			kept = append(kept, x)
		}
	}
	if most := int((e.room.W + 8) / labelGap); len(kept) > most {
		e.dropped += len(kept) - most
		kept = kept[:most]
	}
	wish := make([]float64, len(kept))
	for i, x := range kept {
		wish[i] = e.view.x(x)
	}
	spots := draw.Spread(wish, labelGap, e.room.X-4, e.room.Right()+4)
	y := f.Bottom() + 3
	for i, x := range kept {
		g.Add(draw.Polyline(hair, draw.Point{X: wish[i], Y: y - 2}, draw.Point{X: wish[i], Y: y}, draw.Point{X: spots[i], Y: y + 2.5}),
			draw.Tick(draw.Point{X: wish[i], Y: y - 0.5}, 1.6, medium),
			draw.Text{At: draw.Point{X: spots[i] + 0.9, Y: y + 3}, Text: e.short(x - box.Min.X), Size: 7, Anchor: draw.End, Turn: 90})
	}
	g.Add(draw.Polyline(hair, draw.Point{X: f.X, Y: y - 0.5}, draw.Point{X: f.Right(), Y: y - 0.5}))
	if e.away != nil {
		return // a part's own width tells nobody anything
	}
	low := f.Bottom() + 18 // below the places' figures
	a, b := draw.Point{X: f.X, Y: low}, draw.Point{X: f.Right(), Y: low}
	g.Add(draw.Dimension(a, b, -4, e.short(e.view.window.Width()), 8.5))
}

// zoneOn says whether a wall has that zone.
func (s *set) zoneOn(wall, zone int) *course.ZoneOnWall {
	for i := range s.Layout.Zones {
		if z := &s.Layout.Zones[i]; z.Wall == wall && z.Zone == zone {
			return z
		}
	}
	return nil
}
