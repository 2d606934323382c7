package course

import (
	"fmt"

	"coilwright/measure"
	"coilwright/plane"
	"coilwright/problem"
	"coilwright/steel"
)

// LinesMeet warns where course lines of one cover fail to meet at a corner that
// joins two walls, and names the nearest height at which they would.
func LinesMeet(in Input, l *Layout) problem.List {
	var found problem.List
	for k, c := range in.House.Corners {
		for _, a := range l.along(in, c.Between[0].Wall, c.Between[0].Edge) {
			for _, b := range l.along(in, c.Between[1].Wall, c.Between[1].Edge) {
				l.compare(in, k, a, b, &found)
			}
		}
	}
	return found
}

// stretch is where a horizontal zone reaches a corner.
type stretch struct {
	zone      ZoneOnWall
	cover     measure.Length
	low, high measure.Length
}

// along lists the horizontal zones that reach an edge of a wall.
func (l *Layout) along(in Input, wall, edge int) []stretch {
	from, to := in.House.Walls[wall].Edge(edge)
	t := plane.NewTagger([]plane.Edge{{From: from, To: to}})
	var out []stretch
	for _, z := range l.Zones {
		p, _ := in.Book.Panel(in.Scheme.Zones[z.Zone].Panel)
		if z.Wall != wall || p.Kind != steel.Horizontal {
			continue
		}
		for _, r := range z.Region.Rings() {
			for i, a := range r {
				if b := r[(i+1)%len(r)]; t.Tag(a, b) == 0 {
					out = append(out, stretch{z, p.Cover(), min(a.Y, b.Y), max(a.Y, b.Y)})
				}
			}
		}
	}
	return out
}

func (l *Layout) compare(in Input, corner int, a, b stretch, found *problem.List) {
	if a.cover != b.cover || min(a.high, b.high) <= max(a.low, b.low) {
		return
	}
	off := modulo(a.zone.Origin-b.zone.Origin, a.cover)
	if off == 0 {
		return
	}
	own, other := a, b
	if !own.zone.OwnStart {
		own, other = b, a
	}
	nearest := (own.zone.Origin - other.zone.Origin).RoundTo(own.cover) + other.zone.Origin
	found.Warnf(fmt.Sprintf("$.house.corners[%d]", corner),
		fmt.Sprintf("start zone %s at %s and they meet", in.Scheme.Zones[own.zone.Zone].ID, nearest.Text(in.Units)),
		"in scheme %s the courses of zone %s on wall %s and of zone %s on wall %s do not meet at their corner",
		in.Scheme.ID, in.Scheme.Zones[a.zone.Zone].ID, in.House.Walls[a.zone.Wall].ID,
		in.Scheme.Zones[b.zone.Zone].ID, in.House.Walls[b.zone.Wall].ID)
}
