package job

import (
	"fmt"
	"slices"
	"strings"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/photo"
	"coilwright/plane"
)

// photoBox is an opening on its way into the job: x, y, width, height.
type photoBox struct {
	id, kind string
	n        [4]photoNumber
	fixed    [4]bool // a tape number that the job has
	old      int     // its index in the job, -1 for a new one
}

func (b photoBox) low(axis int) measure.Length  { return b.n[axis].at }
func (b photoBox) high(axis int) measure.Length { return b.n[axis].at + b.n[axis+2].at }

// moveLow moves the lower or left side and leaves the other; what a tape says stays.
func (b *photoBox) moveLow(axis int, to measure.Length) {
	if b.fixed[axis] {
		return
	}
	if by := to - b.n[axis].at; !b.fixed[axis+2] && b.n[axis+2].known.By != house.Tape {
		b.n[axis+2].at -= by
	}
	b.n[axis].at = to
}

func (b *photoBox) moveHigh(axis int, to measure.Length) {
	switch {
	case !b.fixed[axis+2] && b.n[axis+2].known.By != house.Tape:
		b.n[axis+2].at = to - b.n[axis].at
	case !b.fixed[axis]:
		b.n[axis].at = to - b.n[axis+2].at
	}
}

// whole is the opening as a job file holds it.
func (b photoBox) whole(u measure.Units) any {
	worst := measure.Length(0)
	for _, n := range b.n {
		worst = max(worst, n.known.PlusMinus)
	}
	return map[string]any{
		"id": b.id, "kind": b.kind, "at": []any{b.n[0].value(u), b.n[1].value(u)}, "size": []any{b.n[2].value(u), b.n[3].value(u)},
		"measured": pedigreeText(house.Pedigree{By: house.Photo, PlusMinus: worst}, u),
	}
}

// boxes are the wall's openings as measured, those whose width or height was taped
// with the tape's number.
func (d *photoDrawer) boxes(w photo.Wall, ring plane.Ring, raised measure.Length, marks []wallMarks) []photoBox {
	var out []photoBox
	for _, o := range w.Openings {
		b := photoBox{id: o.ID, kind: o.Kind, old: -1}
		b.n = [4]photoNumber{d.number(o.X), d.number(o.Y), d.number(o.W), d.number(o.H)}
		b.n[1].at += raised
		corners := func(m photo.MarkedWall) []string {
			for _, p := range m.Openings {
				if p.ID == o.ID {
					return p.Corners
				}
			}
			return nil
		}
		for k, pair := range [][2]int{{0, 1}, {2, 3}, {0, 3}, {1, 2}} {
			if l, ok := taped(marks, corners, pair[0], pair[1]); ok {
				b.n[2+k/2] = photoNumber{l.Length, house.Pedigree{By: house.Tape, PlusMinus: tapePlusMinus(l.PlusMinus)}}
			}
		}
		out = append(out, b)
	}
	return out
}

// fit brings openings into the wall and off one another where they stick out or
// overlap by no more than twice what is known of them: casings that touch an edge
// or each other. A door stands on the base line.
func (d *photoDrawer) fit(boxes []photoBox, ring plane.Ring) {
	wall := ring.Box()
	for i := range boxes {
		b := &boxes[i]
		for axis, side := range [][2]measure.Length{{wall.Min.X, wall.Max.X}, {wall.Min.Y, wall.Max.Y}} {
			care := 2 * max(b.n[axis].known.PlusMinus, b.n[axis+2].known.PlusMinus, 0)
			stands := axis == 1 && (b.kind == string(house.Door) || b.kind == string(house.GarageDoor))
			if off := side[0] - b.low(axis); off > 0 && off <= care || stands && off.Abs() <= care {
				b.moveLow(axis, side[0])
			}
			if off := b.high(axis) - side[1]; off > 0 && off <= care {
				b.moveHigh(axis, side[1])
			}
		}
	}
	order := make([]*photoBox, len(boxes))
	for i := range boxes {
		order[i] = &boxes[i]
	}
	slices.SortStableFunc(order, func(a, b *photoBox) int { return int(min(1, max(-1, a.low(0)-b.low(0)))) })
	for i, a := range order {
		for _, b := range order[i+1:] {
			d.apart(a, b)
		}
	}
}

// apart moves the left side of the right one of two openings that overlap by no more
// than what is known of them.
func (d *photoDrawer) apart(a, b *photoBox) {
	over := a.high(0) - b.low(0)
	if over <= 0 || a.high(1) <= b.low(1) || b.high(1) <= a.low(1) {
		return
	}
	if over <= 2*max(a.n[0].known.PlusMinus, b.n[0].known.PlusMinus, 0) {
		b.moveLow(0, a.high(0))
	}
}

// openings writes the openings of a wall that the job has: each in the place of the
// one that it is, or new. Where any is marked, guesses that were not give way.
func (d *photoDrawer) openings(w photo.Wall, at int, ring plane.Ring, raised measure.Length, marks []wallMarks) {
	boxes := d.boxes(w, ring, raised, marks)
	have := d.house(at)
	taken := map[int]bool{}
	for _, alike := range []func(b *photoBox, id string, box plane.Box) bool{sameName, inPlace} {
		for i := range boxes {
			if boxes[i].old < 0 {
				d.match(&boxes[i], at, have, taken, alike)
			}
		}
	}
	d.fit(boxes, ring)
	path := fmt.Sprintf("/house/walls/%d/openings", at)
	list := len(d.raw.House.Walls[at].Openings) > 0
	for _, b := range boxes {
		switch {
		case b.old >= 0:
			d.rewrite(b, fmt.Sprintf("%s/%d", path, b.old), have.Openings[b.old].Outline.Box())
		case list:
			d.op("add", path+"/-", b.whole(d.units))
		default:
			d.op("add", path, []any{b.whole(d.units)})
			list = true
		}
	}
	if len(boxes) > 0 {
		d.clear(at, have, taken)
	}
}

// match finds the opening of the job that a marked one is, and takes over its tape
// numbers.
func (d *photoDrawer) match(b *photoBox, at int, have house.Wall, taken map[int]bool, alike func(*photoBox, string, plane.Box) bool) {
	raw := d.raw.House.Walls[at].Openings
	for i, o := range have.Openings {
		if b.old < 0 && i < len(raw) && !taken[i] && len(o.Outline) > 0 && alike(b, o.ID, o.Outline.Box()) {
			b.old = i
		}
	}
	if b.old < 0 {
		return
	}
	taken[b.old] = true
	o := have.Openings[b.old]
	sizes, boxed := d.job.sizes[owner{at, b.old}]
	box := o.Outline.Box()
	known := [4]house.Pedigree{o.Readings[0][0], o.Readings[0][1], sizes[0], sizes[1]}
	if !boxed {
		known[2], known[3] = o.Readings[2%len(o.Readings)][0], o.Readings[2%len(o.Readings)][1]
	}
	for k, l := range [4]measure.Length{box.Min.X, box.Min.Y, box.Width(), box.Height()} {
		if b.n[k].known.By != house.Tape && keeps(known[k]) {
			d.keep(b.id, []string{"from the left", "sill", "width", "height"}[k], l, known[k], b.n[k])
			b.n[k], b.fixed[k] = photoNumber{l, known[k]}, true
		}
	}
}

func sameName(b *photoBox, id string, _ plane.Box) bool { return b.id == id }

// inPlace says that two openings cover more than half of the smaller one's place.
func inPlace(b *photoBox, _ string, box plane.Box) bool {
	w := min(b.high(0), box.Max.X) - max(b.low(0), box.Min.X)
	h := min(b.high(1), box.Max.Y) - max(b.low(1), box.Min.Y)
	if w <= 0 || h <= 0 {
		return false
	}
	area := func(w, h measure.Length) float64 { return w.Inches() * h.Inches() }
	return area(w, h) > 0.5*min(area(b.n[2].at, b.n[3].at), area(box.Width(), box.Height()))
}

// rewrite puts the numbers of a marked opening into the job's entry of it.
func (d *photoDrawer) rewrite(b photoBox, path string, box plane.Box) {
	raw := d.raw.House.Walls[slices.IndexFunc(d.raw.House.Walls, func(r rawWall) bool { return r.ID == d.current })].Openings[b.old]
	if raw.At == nil || raw.Size == nil { // it has an outline of its own
		if slices.Contains(b.fixed[:], true) {
			d.note("%s is drawn by its own outline, partly by tape: it stays as it is", raw.ID)
			return
		}
		whole := b.whole(d.units).(map[string]any)
		whole["id"] = raw.ID
		d.op("replace", path, whole)
		return
	}
	for k := range b.n {
		if !b.fixed[k] {
			d.op("replace", fmt.Sprintf("%s/%s/%d", path, []string{"at", "size"}[k/2], k%2), b.n[k].value(d.units))
		}
	}
	d.op("add", path+"/kind", b.kind)
}

// clear takes guessed openings off the wall that the photo does not show, from the
// last so that the others keep their numbers.
func (d *photoDrawer) clear(at int, have house.Wall, taken map[int]bool) {
	gone := []string{}
	for i := len(have.Openings) - 1; i >= 0; i-- {
		o := have.Openings[i]
		guessed := !slices.ContainsFunc(o.Readings, func(r [2]house.Pedigree) bool {
			return r[0].By != house.Assumed || r[1].By != house.Assumed
		})
		if taken[i] || !guessed || i >= len(d.raw.House.Walls[at].Openings) {
			continue
		}
		d.op("remove", fmt.Sprintf("/house/walls/%d/openings/%d", at, i), nil)
		gone = append(gone, o.ID)
	}
	if len(gone) > 0 {
		slices.Reverse(gone)
		d.note("guessed openings that are not marked were taken off: %s", strings.Join(gone, ", "))
	}
}
