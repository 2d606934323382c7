package trim

import (
	"strings"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

// Notes of soffit lines.
const (
	noReturns       = "wall length x depth; add what the overhang runs past the wall's ends"
	unknownOverhang = "left out, since their overhang is not known: "
)

// overhangs counts soffit and fascia of a wall: along every eave and rake edge
// whose overhang's depth is known, the edge's length times the depth, and its
// length.
func (t *bill) overhangs(wall int) {
	w := t.h.Walls[wall]
	var soffit measure.Area
	var known stretch
	var unknown []string
	for i, kind := range w.Edges[:min(len(w.Edges), len(w.Outline))] {
		if kind != house.Eave && kind != house.Rake {
			continue
		}
		name := edgeName(t.h, house.EdgeRef{Wall: wall, Edge: i})
		if i >= len(w.Overhang) || w.Overhang[i] <= 0 {
			unknown = append(unknown, name)
			continue
		}
		length := distance(w.Edge(i))
		soffit = plane.AddAreas(soffit, rectangle(length, w.Overhang[i]))
		known.runs, known.from = append(known.runs, length), append(known.from, name)
	}
	if len(unknown) == 0 && len(known.runs) == 0 {
		return
	}
	l := t.add(Soffit, wall, strings.Join(known.from, ", "), known.runs...)
	l.Area, l.Note = soffit, noReturns
	if len(unknown) > 0 {
		l.Note = unknownOverhang + strings.Join(unknown, ", ")
	}
	if len(known.runs) > 0 {
		t.add(Fascia, wall, l.From, known.runs...)
	}
}

// friezes counts the board: its length along eaves and rakes, its area as laid out.
func (t *bill) friezes() {
	for _, f := range t.l.Friezes {
		if f.Wall < 0 || f.Wall >= len(t.walls) {
			continue
		}
		var along stretch
		for _, b := range t.walls[f.Wall] {
			if b.zone != noZone || b.of.thing != wallEdge {
				continue
			}
			if kind := t.h.Walls[f.Wall].Edges[b.of.edge]; kind == house.Eave || kind == house.Rake {
				along.take(b, t.name(f.Wall, b))
			}
		}
		t.add(Frieze, f.Wall, strings.Join(along.from, ", "), along.runs...).Area = f.Region.Area()
	}
}
