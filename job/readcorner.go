package job

import (
	"strconv"
	"strings"

	"coilwright/document"
	"coilwright/house"
	"coilwright/measure"
)

func (r *reader) corner(v document.Value) house.Corner {
	o := v.Object(cornerFields)
	c := house.Corner{Outside: true}
	if k := o.Get("kind"); k.Present() {
		c.Outside = k.OneOf("kind of corner", cornerNames) != "inside"
	}
	a, b := o.Need("between").Pair()
	before := r.found.Errors()
	c.Between = [2]house.EdgeRef{r.edge(a), r.edge(b)}
	if a.Present() && r.lettered && r.found.Errors() == before && c.Between[0] == c.Between[1] {
		o.Get("between").Errorf("name one edge of each wall", "a corner joins two edges, both of these are the same")
	}
	return c
}

// edge reads the name of a wall's edge: "south.right", "south.left" or
// "south.edge[2]". Wall ids may hold dots, so the longest id that fits is meant.
func (r *reader) edge(v document.Value) house.EdgeRef {
	name := v.ID()
	if name == "" || !r.lettered {
		return house.EdgeRef{}
	}
	wall := -1
	for i, w := range r.out.House.Walls {
		if strings.HasPrefix(name, w.ID+".") && (wall < 0 || len(w.ID) > len(r.out.House.Walls[wall].ID)) {
			wall = i
		}
	}
	if wall < 0 {
		v.Errorf("name a wall's edge like "+r.out.House.Walls[0].ID+".right, .left or .edge[0]", "%q begins with no wall's id and a dot", name)
		return house.EdgeRef{}
	}
	w := r.out.House.Walls[wall]
	return house.EdgeRef{Wall: wall, Edge: r.edgeOf(v, w, name[len(w.ID)+1:])}
}

func (r *reader) edgeOf(v document.Value, w house.Wall, name string) int {
	if name == "left" || name == "right" {
		e := upright(w, name == "right")
		if e < 0 {
			v.Errorf("name the edge itself, as in "+w.ID+".edge[0]", "the wall %q has no upright edge of kind outside-corner or inside-corner", w.ID)
		}
		return max(e, 0)
	}
	number, ok := strings.CutPrefix(name, "edge[")
	number, closed := strings.CutSuffix(number, "]")
	e, err := strconv.Atoi(number)
	switch {
	case !ok || !closed || err != nil || strconv.Itoa(e) != number:
		v.Errorf("write "+w.ID+".right, "+w.ID+".left or "+w.ID+".edge[0]", "%q names no edge of the wall %q", name, w.ID)
		return 0
	case e < 0 || e >= len(w.Edges):
		v.Errorf("count the edges from 0", "the wall %q has %d edges, there is no edge[%d]", w.ID, len(w.Edges), e)
		return 0
	}
	return e
}

// upright finds the upright corner edge of greatest or least x; of several at one
// x, the longest. -1 where there is none.
func upright(w house.Wall, right bool) int {
	best := -1
	var bestX, bestLong measure.Length
	for e, kind := range w.Edges {
		a, b := w.Edge(e)
		x, long := a.X, (b.Y - a.Y).Abs()
		if kind != house.OutsideCorner && kind != house.InsideCorner || a.X != b.X {
			continue
		}
		if !right {
			x = -x
		}
		if best < 0 || x > bestX || x == bestX && long > bestLong {
			best, bestX, bestLong = e, x, long
		}
	}
	return best
}
