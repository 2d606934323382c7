package sheet

import (
	"fmt"
	"math"

	"coilwright/draw"
	"coilwright/measure"
	"coilwright/plane"
)

// scale is a drawing scale, 1:by, with the name that the trade reads.
type scale struct {
	by   float64
	name string
}

// Round scales, largest first: architects' scales for feet and inches, the steps
// of ISO 5455 (1:20, 1:50 and decades) with the usual 1:25, 1:75 between for metric.
var (
	imperialScales = []scale{
		{24, `1/2" = 1'`}, {32, `3/8" = 1'`}, {48, `1/4" = 1'`}, {64, `3/16" = 1'`}, {96, `1/8" = 1'`},
		{128, `3/32" = 1'`}, {192, `1/16" = 1'`}, {384, `1/32" = 1'`}, {600, `1" = 50'`}, {1200, `1" = 100'`},
		{2400, `1" = 200'`}, {6000, `1" = 500'`}, {12000, `1" = 1000'`},
	}
	metricScales = []scale{
		{20, "1:20"}, {25, "1:25"}, {50, "1:50"}, {75, "1:75"}, {100, "1:100"}, {200, "1:200"}, {500, "1:500"},
		{1000, "1:1000"}, {2000, "1:2000"}, {5000, "1:5000"}, {10000, "1:10000"},
	}
)

func (s *set) scales() []scale {
	if s.Units == measure.Metric {
		return metricScales
	}
	return imperialScales
}

func (c scale) String() string { return fmt.Sprintf("%s (1:%g)", c.name, c.by) }

// metric scales are named by their ratio alone.
func (s *set) scaleText(c scale) string {
	if s.Units == measure.Metric {
		return c.name
	}
	return c.String()
}

// scaleFor is the largest round scale that gets a box onto w x h millimetres; the
// last one if none does.
func (s *set) scaleFor(b plane.Box, w, h float64) scale {
	all := s.scales()
	for _, c := range all {
		if mm(b.Width())/c.by <= w && mm(b.Height())/c.by <= h {
			return c
		}
	}
	return all[len(all)-1]
}

func mm(l measure.Length) float64 { return float64(l) / float64(measure.Millimetre) }

// view maps a window of a wall onto paper.
type view struct {
	window plane.Box
	scale  scale
	origin draw.Point // where the window's lower left corner stands
}

func (v view) x(x measure.Length) float64 {
	return v.origin.X + mm(x-v.window.Min.X)/v.scale.by
}

func (v view) y(y measure.Length) float64 {
	return v.origin.Y - mm(y-v.window.Min.Y)/v.scale.by
}

func (v view) at(p plane.Point) draw.Point { return draw.Point{X: v.x(p.X), Y: v.y(p.Y)} }

func (v view) ring(r plane.Ring) []draw.Point {
	out := make([]draw.Point, len(r))
	for i, p := range r {
		out[i] = v.at(p)
	}
	return out
}

func (v view) rings(p plane.Polygon) [][]draw.Point {
	out := [][]draw.Point{v.ring(p.Outer)}
	for _, h := range p.Holes {
		out = append(out, v.ring(h))
	}
	return out
}

func (v view) region(r plane.Region) [][]draw.Point {
	var out [][]draw.Point
	for _, p := range r {
		out = append(out, v.rings(p)...)
	}
	return out
}

// frame is the window on paper.
func (v view) frame() draw.Rect {
	w, h := mm(v.window.Width())/v.scale.by, mm(v.window.Height())/v.scale.by
	return draw.Rect{X: v.origin.X, Y: v.origin.Y - h, W: w, H: h}
}

// box maps a box on the wall.
func (v view) box(b plane.Box) draw.Rect {
	a, c := v.at(plane.Point{X: b.Min.X, Y: b.Max.Y}), v.at(plane.Point{X: b.Max.X, Y: b.Min.Y})
	return draw.Rect{X: a.X, Y: a.Y, W: c.X - a.X, H: c.Y - a.Y}
}

func within(r, frame draw.Rect) (draw.Rect, bool) {
	x, y := math.Max(r.X, frame.X), math.Max(r.Y, frame.Y)
	out := draw.Rect{X: x, Y: y, W: math.Min(r.Right(), frame.Right()) - x, H: math.Min(r.Bottom(), frame.Bottom()) - y}
	return out, out.W > 0 && out.H > 0
}
