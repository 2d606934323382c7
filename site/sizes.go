package site

import (
	"fmt"
	"slices"

	"coilwright/house"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/plane"
)

// size is a size of a wall that may be found wrong. Pointers are the numbers of the
// job's document (RFC 6901) that hold it, offset what they hold beyond the size itself;
// none where no number of the job is this size alone.
type size struct {
	ID, What, Opening string
	value, offset     measure.Length
	pointers          []string
}

// sizesOf lists the sizes of a wall that a crew can measure: the wall's own, then each
// opening's.
func sizesOf(j *job.Job, wall int) []size {
	w := j.House.Walls[wall]
	out := ownSizes(w, wall)
	for i, o := range w.Openings {
		b, base := o.Outline.Box(), w.Outline.Box()
		at := fmt.Sprintf("/house/walls/%d/openings/%d", wall, i)
		name := fmt.Sprintf("%s %s", o.Kind, o.ID)
		add := func(id, what string, value, offset measure.Length, field string) {
			s := size{ID: o.ID + "." + id, What: name + ": " + what, Opening: o.ID, value: value, offset: offset}
			if j.Boxed(wall, i) {
				s.pointers = []string{at + field}
			}
			out = append(out, s)
		}
		add("width", "width", b.Width(), 0, "/size/0")
		add("height", "height", b.Height(), 0, "/size/1")
		add("left", "from the wall's left end", b.Min.X-base.Min.X, base.Min.X, "/at/0")
		add("sill", "lower edge above the wall's lowest point", b.Min.Y-base.Min.Y, base.Min.Y, "/at/1")
	}
	return out
}

// ownSizes are a wall's width and the heights of its corners above its lowest point.
func ownSizes(w house.Wall, wall int) []size {
	box := w.Outline.Box()
	at := func(i, axis int) string { return fmt.Sprintf("/house/walls/%d/outline/%d/%d", wall, i, axis) }
	width := size{ID: "width", What: "width of the wall", value: box.Width(), offset: box.Min.X}
	between := slices.ContainsFunc(w.Outline, func(p plane.Point) bool { return p.X != box.Min.X && p.X != box.Max.X })
	for i, p := range w.Outline {
		if !between && p.X == box.Max.X { // else what stands between would have to move too
			width.pointers = append(width.pointers, at(i, 0))
		}
	}
	out := []size{width}
	for i, p := range w.Outline {
		name := ""
		switch {
		case p.Y == box.Min.Y:
			continue
		case p.X == box.Min.X:
			name = "left"
		case p.X == box.Max.X:
			name = "right"
		case p.Y == box.Max.Y:
			name = "peak"
		default:
			name = fmt.Sprintf("corner-%d", i+1)
		}
		if slices.ContainsFunc(out, func(s size) bool { return s.ID == name+".height" }) {
			name = fmt.Sprintf("corner-%d", i+1)
		}
		out = append(out, size{
			ID: name + ".height", What: "height of the " + words[name] + " above the wall's lowest point", value: p.Y - box.Min.Y, offset: box.Min.Y, pointers: []string{at(i, 1)},
		})
		if words[name] == "" {
			out[len(out)-1].What = fmt.Sprintf("height of corner %d above the wall's lowest point", i+1)
		}
	}
	return out
}

var words = map[string]string{"left": "left end", "right": "right end", "peak": "peak"}
