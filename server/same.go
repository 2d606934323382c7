package server

import (
	"reflect"
	"slices"

	"coilwright/job"
)

// held is what a page has of a job already: what was worked out of the document
// before a change.
type held struct {
	view   *View
	layout *SchemeLayout
}

// holds says what a page has that knows a revision, as far as this server still has
// it on the desk; else nothing, and the page is sent the whole.
func (s *Server) holds(page int64, now int64, was, scheme string) (h held, ok bool) {
	if page <= 0 || page != now-1 {
		return h, false
	}
	before := s.desk.have(was)
	if before == nil {
		return h, false
	}
	h.view = before.view
	h.layout, ok = known[*SchemeLayout](before, layoutKey(scheme))
	return h, ok
}

// before is a scheme's layout of the document before a change, if this server has it.
func (s *Server) before(was, scheme string) *SchemeLayout {
	if w := s.desk.have(was); w != nil {
		l, _ := known[*SchemeLayout](w, layoutKey(scheme))
		return l
	}
	return nil
}

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
