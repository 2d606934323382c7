package house

import (
	"cmp"
	"fmt"
	"slices"

	"coilwright/measure"
	"coilwright/plane"
	"coilwright/problem"
)

// Check judges the geometry of a house: outlines and openings that are no simple
// counter-clockwise polygons, openings that overlap or stick out (errors), and
// corners whose two walls differ in height (warnings). Places are JSON paths of
// the job file.
func (h House) Check() problem.List {
	var found problem.List
	sound := true
	for i, w := range h.Walls {
		sound = w.check(fmt.Sprintf("$.house.walls[%d]", i), &found) && sound
	}
	if sound {
		for k, c := range h.Corners {
			h.checkCorner(k, c, &found)
		}
	}
	return found
}

func (w Wall) check(where string, found *problem.List) bool {
	if !checkRing(w.Outline, where+".outline", "wall "+w.ID, found) {
		return false
	}
	sound := true
	for j, o := range w.Openings {
		sound = checkRing(o.Outline, fmt.Sprintf("%s.openings[%d]", where, j), "opening "+o.ID, found) && sound
	}
	if sound {
		w.checkOpenings(where, found)
	}
	return sound
}

// checkRing says what keeps a ring from being an outline.
func checkRing(r plane.Ring, where, what string, found *problem.List) bool {
	fault, i, j := r.Check()
	switch fault {
	case plane.Sound:
		return true
	case plane.TooFew:
		found.Errorf(where, "give at least three corners", "%s has fewer than three corners", what)
	case plane.Doubled:
		found.Errorf(where, "leave one of them out", "corners %d and %d of %s are the same point", i, j, what)
	case plane.Crosses:
		found.Errorf(where, "give the corners in their order around it", "edges %d and %d of %s cross or touch", i, j, what)
	case plane.NoArea:
		found.Errorf(where, "check its sizes", "%s has no area", what)
	case plane.Backward:
		found.Errorf(where, "list its corners counter-clockwise as seen from outside", "%s runs clockwise", what)
	}
	return false
}

// checkOpenings finds openings that stick out of the wall or overlap. Touching is
// fine; what is less than the rounding of a reading does not count.
func (w Wall) checkOpenings(where string, found *problem.List) {
	rings := make([]plane.Ring, len(w.Openings))
	for i, o := range w.Openings {
		rings[i] = o.Outline
	}
	var order []int
	for i, alone := range plane.Alone(w.Outline, rings) {
		if !alone {
			order = append(order, i)
		}
	}
	box := func(i int) plane.Box { return w.Openings[i].Outline.Box() }
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(box(a).Min.X, box(b).Min.X) })
	var active []int
	for _, i := range order {
		if !inside(w.Outline, w.Openings[i].Outline) {
			found.Errorf(fmt.Sprintf("%s.openings[%d]", where, i), "measure it and the wall again, or move it",
				"opening %s sticks out of wall %s", w.Openings[i].ID, w.ID)
		}
		keep := active[:0]
		for _, j := range active {
			if box(j).Max.X <= box(i).Min.X {
				continue
			}
			keep = append(keep, j)
			if box(i).Overlaps(box(j)) && overlap(w.Openings[i].Outline, w.Openings[j].Outline) {
				found.Errorf(fmt.Sprintf("%s.openings[%d]", where, max(i, j)), "measure both again, or move one",
					"openings %s and %s of wall %s overlap", w.Openings[min(i, j)].ID, w.Openings[max(i, j)].ID, w.ID)
			}
		}
		active = append(keep, i)
	}
}

// inside says whether the opening lies in the outline, give or take the rounding
// of a reading.
func inside(outline, opening plane.Ring) bool {
	left, err := plane.Minus(plane.Region{{Outer: opening}}, plane.Region{{Outer: outline}})
	return err == nil && speck(left)
}

func overlap(a, b plane.Ring) bool {
	both, err := plane.Common(plane.Region{{Outer: a}}, plane.Region{{Outer: b}})
	return err != nil || !speck(both)
}

// speck says whether a region is nowhere wider than the two nanometres by which
// rounded readings may disagree.
func speck(g plane.Region) bool {
	for _, p := range g {
		if !p.Thinner(2 * measure.Nanometre) {
			return false
		}
	}
	return true
}

// checkCorner warns where the two walls of a corner do not end at one height.
func (h House) checkCorner(k int, c Corner, found *problem.List) {
	low, high := h.upright(c.Between[0])
	low2, high2 := h.upright(c.Between[1])
	allowed := h.doubt(c.Between[0].Wall) + h.doubt(c.Between[1].Wall)
	a, b := h.Walls[c.Between[0].Wall].ID, h.Walls[c.Between[1].Wall].ID
	for _, d := range []struct {
		what string
		by   measure.Length
	}{{"foot", low - low2}, {"top", high - high2}} {
		if d.by.Abs() > allowed {
			found.Warnf(fmt.Sprintf("$.house.corners[%d]", k), "measure both walls there again from the one level line",
				"walls %s and %s meet, but the %s of their corner differs by %s", a, b, d.what, d.by.Abs().Text(measure.Imperial))
		}
	}
}

func (h House) upright(e EdgeRef) (low, high measure.Length) {
	p, q := h.Walls[e.Wall].Edge(e.Edge)
	return min(p.Y, q.Y), max(p.Y, q.Y)
}

func (h House) doubt(wall int) measure.Length {
	return max(0, h.Walls[wall].Measured.PlusMinus)
}
