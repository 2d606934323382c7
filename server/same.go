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

// spare takes out of an answer what the page holds of walls that stayed as they
// were, and names those walls. What is about the whole house stays.
func (h held) spare(a *ChangeAnswer) {
	if a.View == nil || a.Layout == nil {
		return
	}
	old, now := partsOf(h.view, h.layout), partsOf(a.View, a.Layout)
	for _, w := range a.View.Walls {
		if reflect.DeepEqual(old[w.ID], now[w.ID]) {
			a.Same = append(a.Same, w.ID)
		}
	}
	if len(a.Same) > 0 {
		a.View, a.Layout = a.View.without(a.Same), a.Layout.without(a.Same)
	}
}

// wallParts is all that an answer shows of one wall.
type wallParts struct {
	view    *WallView
	pieces  []*job.PieceAnswer
	drawn   []*DrawnPiece
	friezes []*FriezeView
	courses []*CoursesView
	trim    []*TrimView
}

func partsOf(v *View, l *SchemeLayout) map[string]*wallParts {
	all := map[string]*wallParts{}
	of := func(wall string) *wallParts {
		if all[wall] == nil {
			all[wall] = &wallParts{}
		}
		return all[wall]
	}
	for i := range v.Walls {
		of(v.Walls[i].ID).view = &v.Walls[i]
	}
	for i := range l.Pieces {
		p := of(l.Pieces[i].Wall)
		p.pieces = append(p.pieces, &l.Pieces[i])
	}
	for i := range l.Drawn {
		p := of(l.Drawn[i].Wall)
		p.drawn = append(p.drawn, &l.Drawn[i])
	}
	for i := range l.Friezes {
		p := of(l.Friezes[i].Wall)
		p.friezes = append(p.friezes, &l.Friezes[i])
	}
	for i := range l.Courses {
		p := of(l.Courses[i].Wall)
		p.courses = append(p.courses, &l.Courses[i])
	}
	for i := range l.Trim {
		p := of(l.Trim[i].Wall)
		p.trim = append(p.trim, &l.Trim[i])
	}
	return all
}

// without is the view less some walls.
func (v *View) without(walls []string) *View {
	out := *v
	out.Walls = others(v.Walls, walls, func(w *WallView) string { return w.ID })
	return &out
}

// without is the layout less what lies on some walls.
func (l *SchemeLayout) without(walls []string) *SchemeLayout {
	out := *l
	out.Pieces = others(l.Pieces, walls, func(p *job.PieceAnswer) string { return p.Wall })
	out.Drawn = others(l.Drawn, walls, func(d *DrawnPiece) string { return d.Wall })
	out.Friezes = others(l.Friezes, walls, func(f *FriezeView) string { return f.Wall })
	out.Courses = others(l.Courses, walls, func(c *CoursesView) string { return c.Wall })
	out.Trim = others(l.Trim, walls, func(t *TrimView) string { return t.Wall })
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
