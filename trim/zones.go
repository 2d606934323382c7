package trim

import (
	"fmt"
	"strings"

	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
)

// stretch collects the runs of one kind and where they come from.
type stretch struct {
	runs []measure.Length
	from []string
}

func (s *stretch) take(b border, from string) {
	s.runs = append(s.runs, b.length())
	if n := len(s.from); n == 0 || s.from[n-1] != from {
		s.from = append(s.from, from)
	}
}

// alongZones counts what stands along the edges of each zone on a wall, but for
// openings and corners.
func (t *bill) alongZones(wall int) {
	kinds := map[Kind]*stretch{}
	take := func(k Kind, b border, from string) {
		if k == noTrim {
			return
		}
		if kinds[k] == nil {
			kinds[k] = &stretch{}
		}
		kinds[k].take(b, from)
	}
	for _, b := range t.walls[wall] {
		if b.zone == noZone || b.of.thing == openingEdge {
			continue
		}
		z := t.l.Zones[b.zone]
		from := t.name(wall, b)
		take(t.receiver(wall, z, b), b, from)
		if b.of.thing == zoneLine {
			take(t.ownStarter(z, b), b, from)
		}
	}
	for _, k := range Kinds {
		if s := kinds[k]; s != nil {
			t.add(k, wall, strings.Join(s.from, ", "), s.runs...)
		}
	}
}

// receiver is the trim that takes a zone's panels along a border. A finish trim
// grips a panel cut along its length, so it stands at level tops of horizontal
// panels; the ends of panels, cut square or along a slope, go into J-channel. At
// the bottom horizontal panels lock onto the starter and standing ones stand in
// J-channel.
func (t *bill) receiver(wall int, z course.ZoneOnWall, b border) Kind {
	switch b.of.thing {
	case friezeLine:
		return topTrim(z, b.of)
	case zoneLine:
		return t.transition(z, b)
	}
	if t.joined[house.EdgeRef{Wall: wall, Edge: b.of.edge}] {
		return noTrim // a post stands there
	}
	switch t.h.Walls[wall].Edges[b.of.edge] {
	case house.Base:
		if upright(z) || !b.of.facesDown() {
			return Channel
		}
		return Starter
	case house.Eave:
		return topTrim(z, b.of)
	case house.Rake, house.Abuts:
		return Channel
	}
	return noTrim
}

func topTrim(z course.ZoneOnWall, s source) Kind {
	if !upright(z) && s.level() && s.facesUp() {
		return Finish
	}
	return Channel
}

// transition is the trim between two zones, counted from the one that comes
// earlier in the layout.
func (t *bill) transition(z course.ZoneOnWall, b border) Kind {
	switch {
	case b.of.index < b.zone:
		return noTrim
	case upright(z) != upright(t.l.Zones[b.of.index]):
		return TransitionUpright
	}
	return Transition
}

// ownStarter is the starter of a zone whose courses count from its own lowest
// line, where another zone lies under it. Pieces of counted panels start there
// too.
func (t *bill) ownStarter(z course.ZoneOnWall, b border) Kind {
	if upright(z) || !z.OwnStart && !z.Counted || !b.of.level() || !b.of.facesDown() {
		return noTrim
	}
	if (b.of.from.Y - z.Region.Box().Min.Y).Abs() > rounding {
		return noTrim
	}
	return Starter
}

// name says in the job's own words where a border stands.
func (t *bill) name(wall int, b border) string {
	id := t.h.Walls[wall].ID
	switch b.of.thing {
	case openingEdge:
		return id + " " + t.h.Walls[wall].Openings[b.of.index].ID
	case friezeLine:
		return id + " frieze"
	case zoneLine:
		return id + " " + t.zoneID(b.zone) + "/" + t.zoneID(b.of.index)
	}
	return edgeName(t.h, house.EdgeRef{Wall: wall, Edge: b.of.edge})
}

// edgeName is wall.edge[i] and its kind.
func edgeName(h house.House, e house.EdgeRef) string {
	w := h.Walls[e.Wall]
	return fmt.Sprintf("%s.edge[%d] (%s)", w.ID, e.Edge, w.Edges[e.Edge])
}

// zoneID is the id of the zone that is entry i of Layout.Zones.
func (t *bill) zoneID(i int) string {
	if k := t.l.Zones[i].Zone; k >= 0 && k < len(t.s.Zones) {
		return t.s.Zones[k].ID
	}
	return fmt.Sprintf("zone %d", t.l.Zones[i].Zone)
}
