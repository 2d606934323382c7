package site

import (
	"fmt"
	"maps"
	"slices"

	"coilwright/course"
	"coilwright/measure"
)

func (m *maker) walls() []PackWall {
	out := []PackWall{}
	for i, w := range m.j.House.Walls {
		box := w.Outline.Box()
		v := PackWall{
			ID: w.ID, Width: m.near(box.Width()), Height: m.near(box.Height()), OutlineIn: ring(w.Outline), Edges: []string{}, Openings: []PackOpening{},
			Order: m.order(i), Pole: m.pole(i), Gaps: m.gapTable(i), Nails: m.nails(), Quality: m.quality(i), Sizes: []PackSize{}, EdgeStrip: m.edgeStrip(),
		}
		for _, e := range w.Edges {
			v.Edges = append(v.Edges, string(e))
		}
		for _, o := range w.Openings {
			v.Openings = append(v.Openings, PackOpening{o.ID, string(o.Kind), ring(o.Outline)})
		}
		for _, s := range sizesOf(m.j, i) {
			v.Sizes = append(v.Sizes, PackSize{s.ID, s.What, m.near(s.value), s.value.Inches(), s.Opening})
		}
		out = append(out, v)
	}
	return out
}

// order is a wall's courses as they are hung: the layout's own order, lowest zone
// first, bottom up, left to right.
func (m *maker) order(wall int) []PackCourse {
	out := []PackCourse{}
	for _, z := range m.r.Layout.Zones {
		if z.Wall != wall {
			continue
		}
		for _, i := range z.Pieces {
			p := &m.r.Layout.Pieces[i]
			if n := len(out); n == 0 || out[n-1].Zone != m.zone(z.Zone) || out[n-1].Course != p.Course {
				line := low(z, p)
				out = append(out, PackCourse{Zone: m.zone(z.Zone), Course: p.Course, Line: m.near(line), LineIn: drawn(line), Pieces: []string{}})
			}
			last := &out[len(out)-1]
			last.Pieces = append(last.Pieces, m.keys.Of[p.ID])
		}
	}
	return out
}

// low is where a piece's course starts.
func low(z course.ZoneOnWall, p *course.Piece) measure.Length {
	for _, b := range z.Bands {
		if b.K == p.Course {
			return b.Low
		}
	}
	if p.Vertical {
		return p.At.X
	}
	return p.At.Y
}

// pole lists the course lines of a wall's level zones, the top first; a line that two
// zones share stands once.
func (m *maker) pole(wall int) []PackMark {
	text := map[measure.Length]string{}
	for _, z := range m.r.Layout.Zones {
		if z.Wall != wall || z.Vertical || z.Counted {
			continue
		}
		for _, b := range z.Bands {
			text[b.Low] = fmt.Sprintf("course %d starts", b.K)
			if text[b.High] == "" {
				text[b.High] = "top line"
			}
		}
	}
	out, datum := []PackMark{}, m.r.Layout.Datum.Datum
	for _, y := range slices.Backward(slices.Sorted(maps.Keys(text))) {
		if y == datum {
			text[y] += " · DATUM"
		}
		out = append(out, PackMark{drawn(y), m.near(y), m.near(y - datum), text[y]})
	}
	return out
}
