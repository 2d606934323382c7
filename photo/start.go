package photo

import "math"

// guess gives a first state for the cameras' lenses, good enough for least
// squares to start from.
func (m model) guess(lenses []Lens) (state, error) {
	views, err := m.views(lenses)
	if err != nil {
		return state{}, err
	}
	if err := m.scales(views); err != nil {
		return state{}, err
	}
	s := state{turn: make([]float64, len(m.walls)), origin: make([][2]float64, len(m.walls)), x: make([]float64, m.nx), y: make([]float64, m.ny)}
	for _, l := range lenses {
		s.cams = append(s.cams, Camera{Lens: l})
	}
	if err := m.assemble(views, &s); err != nil {
		return state{}, err
	}
	for p, marks := range m.photos {
		for _, names := range marks.Straight {
			s.lines = append(s.lines, newLine(p, marks, names, lenses[p]))
		}
	}
	return s, nil
}

// scales finds how large each view is: from lengths measured on it, from the
// corner that it shares with another on the same photo, from another photo of the
// same wall.
func (m model) scales(views []*view) error {
	for again := true; again; {
		again = false
		for _, v := range views {
			if v.scale == 0 {
				v.scale = m.scaleOf(v, views)
				again = again || v.scale != 0
			}
		}
	}
	for _, v := range views {
		if v.scale == 0 {
			return wrong(v.photo, "walls."+m.walls[v.wall].id,
				"measure one length on it from the ground, or mark the corner that it shares with a wall that has one",
				"no known length reaches this wall")
		}
	}
	return nil
}

func (m model) scaleOf(v *view, views []*view) float64 {
	for _, l := range m.lengths {
		a, b := v.places[l.a], v.places[l.b]
		if d := a.Sub(b).Len(); a != (Vec{}) && b != (Vec{}) && d > 0 {
			return l.inches / d
		}
	}
	for _, other := range views {
		if other.scale == 0 || other == v {
			continue
		}
		if s := m.scaleFrom(v, other); s > 0 {
			return s
		}
	}
	return 0
}

// scaleFrom carries another view's scale over.
func (m model) scaleFrom(v, other *view) float64 {
	if v.photo == other.photo {
		for _, w := range []int{v.wall, other.wall} {
			k := m.walls[w]
			if k.parent != v.wall+other.wall-w {
				continue
			}
			a, b := v.places[k.hinge], other.places[k.anchor]
			if w == v.wall {
				a, b = v.places[k.anchor], other.places[k.hinge]
			}
			if a.Len() > 0 && b.Len() > 0 {
				return other.scale * b.Len() / a.Len() // one ray, two planes
			}
		}
		return 0
	}
	if v.wall != other.wall {
		return 0
	}
	first := m.walls[v.wall].outline[0]
	mine, theirs := 0.0, 0.0
	for a, p := range v.places {
		if q := other.places[a]; p != (Vec{}) && q != (Vec{}) {
			mine += p.Sub(v.places[first]).Len()
			theirs += q.Sub(other.places[first]).Len()
		}
	}
	if mine == 0 {
		return 0
	}
	return other.scale * theirs / mine
}

// assemble stands cameras and walls in one world, view by view.
func (m model) assemble(views []*view, s *state) error {
	places := make([]*Vec, len(m.vertices)) // in the world, nil where not known
	placed := make([]bool, len(m.walls))
	stood := make([]bool, len(m.photos))
	turn := func(v *view, r Rotation) float64 { d := r.Back(v.right); return math.Atan2(d.Y, d.X) }
	for progress := true; progress; {
		progress = false
		for _, v := range views {
			first := v.wall == 0 && !placed[0]
			if !stood[v.photo] && (first || placed[v.wall]) {
				cam := &s.cams[v.photo]
				cam.R = facing(v, s.turn[v.wall])
				cam.T = m.shift(v, cam.R, places)
				stood[v.photo], progress = true, true
			}
			if stood[v.photo] && !placed[v.wall] {
				cam := s.cams[v.photo]
				s.turn[v.wall] = turn(v, cam.R)
				for a, p := range v.places {
					if p != (Vec{}) {
						world := cam.R.Back(p.Scale(v.scale).Sub(cam.T))
						places[a] = &world
					}
				}
				placed[v.wall], progress = true, true
			}
		}
	}
	for i, ok := range placed {
		if !ok {
			return wrong(m.walls[i].photo, "walls."+m.walls[i].id, "mark a wall on this photo that another photo shows too", "nothing joins this photo to the others")
		}
	}
	m.coordinates(places, s)
	return nil
}

// facing gives the camera's rotation from the wall's directions in its frame and
// the wall's turn in the world.
func facing(v *view, turn float64) Rotation {
	ahead := v.up.Cross(v.right) // the world's Y, were the turn 0
	r := Rotation{
		{v.right.X, ahead.X, v.up.X}, {v.right.Y, ahead.Y, v.up.Y}, {v.right.Z, ahead.Z, v.up.Z},
	}
	sin, cos := math.Sincos(turn)
	for i, row := range r { // R . (turn about Z by -turn)
		r[i] = Vec{row.X*cos - row.Y*sin, row.X*sin + row.Y*cos, row.Z}
	}
	return r
}

// shift gives the camera's translation from the wall's vertices that stand
// already, or puts the first wall's first corner at the world's origin.
func (m model) shift(v *view, r Rotation, places []*Vec) Vec {
	var sum Vec
	count := 0.0
	for a, p := range v.places {
		if world := places[a]; world != nil && p != (Vec{}) {
			sum, count = sum.Add(p.Scale(v.scale).Sub(r.Apply(*world))), count+1
		}
	}
	if count == 0 {
		return v.places[m.walls[v.wall].anchor].Scale(v.scale)
	}
	return sum.Scale(1 / count)
}

// coordinates averages the places of each class.
func (m model) coordinates(places []*Vec, s *state) {
	for i, w := range m.walls {
		s.origin[i] = [2]float64{places[w.anchor].X, places[w.anchor].Y}
	}
	nx, ny := make([]float64, m.nx), make([]float64, m.ny)
	for a, p := range places {
		if p == nil {
			continue
		}
		v := m.vertices[a]
		o := s.origin[v.wall]
		s.x[v.x] += p.Sub(Vec{o[0], o[1], 0}).Dot(along(s.turn[v.wall]))
		s.y[v.y] += p.Z
		nx[v.x]++
		ny[v.y]++
	}
	for i := range s.x {
		s.x[i] /= max(1, nx[i])
	}
	for i := range s.y {
		s.y[i] /= max(1, ny[i])
	}
	for _, w := range m.walls {
		s.x[m.vertices[w.anchor].x] = 0
	}
	base := s.y[m.vertices[m.walls[0].anchor].y]
	for i := range s.y {
		s.y[i] -= base
	}
	for i := range s.cams { // the same shift of the world
		s.cams[i].T = s.cams[i].T.Add(s.cams[i].R.Apply(Vec{Z: base}))
	}
}

// newLine puts a line through the first and last of an edge's points.
func newLine(p int, marks Marks, names []string, lens Lens) straightLine {
	l := straightLine{photo: p}
	first, last := lens.ray(marks.Points[names[0]]), lens.ray(marks.Points[names[len(names)-1]])
	d := last.Sub(first)
	l.phi = math.Atan2(d.X, -d.Y)
	sin, cos := math.Sincos(l.phi)
	l.rho = first.X*cos + first.Y*sin
	for _, n := range names {
		r := lens.ray(marks.Points[n])
		l.at = append(l.at, marks.Points[n])
		l.along = append(l.along, -r.X*sin+r.Y*cos)
	}
	return l
}
