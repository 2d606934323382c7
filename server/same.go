package server

import (
	"reflect"
	"slices"

	"coilwright/job"
)

// held is what was worked out of the document before a change: what a page has of a
// job already.
type held struct {
	view   *View
	layout *SchemeLayout
}

// before is what this server still has on the desk of the document before a change;
// without a layout, nothing.
func (s *Server) before(was, scheme string) held {
	w := s.desk.have(was)
	if w == nil {
		return held{}
	}
	l, _ := known[*SchemeLayout](w, layoutKey(scheme))
	return held{w.view, l}
}

// by says whether a page that knows a revision has all of it; else it is sent the whole.
func (h held) by(page, now int64) bool { return h.layout != nil && page > 0 && page == now-1 }

// spare takes out of an answer what the page holds of walls that stayed as they
// were, and names those walls. What is about the whole house stays.
func (h held) spare(a *ChangeAnswer) {
	if a.View == nil || a.Layout == nil {
		return
	}
	seen := alike(h.view.Walls, a.View.Walls, wallOfView)
	trimmed := alike(h.layout.Trim, a.Layout.Trim, wallOfTrim)
	for i, w := range a.View.Walls {
		if a.Layout.laid.Stayed(h.layout.laid, i) && seen(w.ID) && trimmed(w.ID) {
			a.Same = append(a.Same, w.ID)
		}
	}
	if len(a.Same) > 0 {
		a.View, a.Layout = a.View.without(a.Same), a.Layout.without(a.Same)
	}
}

// The wall that a part of an answer lies on.
func wallOfView(w *WallView) string         { return w.ID }
func wallOfPiece(p *job.PieceAnswer) string { return p.Wall }
func wallOfDrawn(d *DrawnPiece) string      { return d.Wall }
func wallOfFrieze(f *FriezeView) string     { return f.Wall }
func wallOfCourses(c *CoursesView) string   { return c.Wall }
func wallOfTrim(t *TrimView) string         { return t.Wall }

// alike says of a wall whether a list has the same parts on it before and now.
func alike[T any](before, now []T, of func(*T) string) func(wall string) bool {
	was, is := byWall(before, of), byWall(now, of)
	return func(wall string) bool { return reflect.DeepEqual(was[wall], is[wall]) }
}

func byWall[T any](all []T, of func(*T) string) map[string][]*T {
	out := map[string][]*T{}
	for i := range all {
		wall := of(&all[i])
		out[wall] = append(out[wall], &all[i])
	}
	return out
}

// without is the view less some walls.
func (v *View) without(walls []string) *View {
	out := *v
	out.Walls = others(v.Walls, walls, wallOfView)
	return &out
}

// without is the layout less what lies on some walls.
func (l *SchemeLayout) without(walls []string) *SchemeLayout {
	out := *l
	out.Pieces = others(l.Pieces, walls, wallOfPiece)
	out.Drawn = others(l.Drawn, walls, wallOfDrawn)
	out.Friezes = others(l.Friezes, walls, wallOfFrieze)
	out.Courses = others(l.Courses, walls, wallOfCourses)
	out.Trim = others(l.Trim, walls, wallOfTrim)
	return &out
}

// others are the parts that lie on none of the walls.
func others[T any](all []T, walls []string, of func(*T) string) []T {
	out := []T{}
	for i := range all {
		if !slices.Contains(walls, of(&all[i])) {
			out = append(out, all[i])
		}
	}
	return out
}
