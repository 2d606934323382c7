package job

import (
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

// straightEdge is an upright or level edge of a wall's outline or of an opening.
type straightEdge struct {
	place    Place
	from, to measure.Length // along it
}

// touching finds places of a wall that are drawn as one: where the edge of an opening
// lies on one of the outline, as a door's sill on the wall's foot, or of another
// opening, they are built as one and stay one however they are adjusted. Each such
// place is given the first of them, the outline's before any opening's.
func touching(i int, w house.Wall, one map[Place]Place) {
	type line struct {
		axis int
		at   measure.Length
	}
	lines := map[line][]straightEdge{}
	add := func(opening int, r plane.Ring) {
		for k, a := range r {
			b := r[(k+1)%len(r)]
			for axis := range 2 {
				at := coordinate(a, axis)
				if coordinate(b, axis) != at {
					continue
				}
				p, q := coordinate(a, 1-axis), coordinate(b, 1-axis)
				s := straightEdge{Place{i, opening, axis, at}, min(p, q), max(p, q)}
				for _, other := range lines[line{axis, at}] {
					if s.from < other.to && other.from < s.to {
						unite(one, other.place, s.place)
					}
				}
				lines[line{axis, at}] = append(lines[line{axis, at}], s)
			}
		}
	}
	add(-1, w.Outline)
	for k, o := range w.Openings {
		add(k, o.Outline)
	}
}

// unite makes two places one; the first is kept.
func unite(one map[Place]Place, first, second Place) {
	a, b := home(one, first), home(one, second)
	if a.Opening > b.Opening {
		a, b = b, a
	}
	if a != b {
		one[b] = a
	}
}

// home is the place that stands for all that are one with p.
func home(one map[Place]Place, p Place) Place {
	for {
		q, ok := one[p]
		if !ok {
			return p
		}
		p = q
	}
}

// drawLevel settles where the level line runs: where neither tape nor plan says how
// high anything lies over it, it is drawn through the first height that is called 0.
func (n *network) drawLevel() {
	datum := -1
	for i, k := range n.notes {
		if k.place.Axis != 1 || len(n.sum(i)) != 1 || k.rule() {
			continue
		}
		if by := k.pedigree.By; (by == house.Tape || by == house.Plan) && !k.pedigree.Adjusted {
			return
		}
		if datum < 0 && k.kind == height && n.value(i) == 0 {
			datum = i
		}
	}
	if datum >= 0 {
		n.notes[datum].datum = true
		n.level = home(n.one, n.notes[datum].place)
		n.Readings[datum].Sigma = doubt(house.Pedigree{PlusMinus: finest})
	}
}
