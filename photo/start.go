package photo

import (
	"math"
	"slices"
)

// view is one wall as one photo shows it, by vanishing directions alone: right
// and up in the camera's frame, and each vertex's place on the wall's plane at
// scale 1.
type view struct {
	photo, wall int
	right, up   Vec
	places      []Vec   // by vertex, in the camera's frame, times an unknown scale; zero where not seen
	scale       float64 // 0 where not known yet
}

// ray gives the direction in which the camera sees a pixel, in its own frame.
func (l Lens) ray(at Pixel) Vec {
	x, y, _ := l.normalised(at)
	return Vec{x, y, 1}
}

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

// views finds the vanishing directions of every wall on every photo.
func (m model) views(lenses []Lens) ([]*view, error) {
	var out []*view
	for p, marks := range m.photos {
		rays := make([]Vec, len(m.vertices)) // zero where not seen
		for _, s := range m.seen {
			if s.photo == p {
				rays[s.vertex] = lenses[p].ray(s.at)
			}
		}
		m.shareRays(p, rays)
		up := m.up(p, rays)
		for _, w := range marks.Walls {
			wi := slices.IndexFunc(m.walls, func(k wallModel) bool { return k.id == w.ID })
			v, ok := m.view(p, wi, up, rays)
			if !ok {
				return nil, wrong(p, "walls."+w.ID, "mark a window or a door, or say which of its points lie level", "nothing shows which way the wall runs")
			}
			out = append(out, v)
		}
	}
	return out, nil
}

// shareRays gives a vertex that shares its point with another that one's ray.
func (m model) shareRays(p int, rays []Vec) {
	marks := m.photos[p]
	for _, w := range marks.Walls {
		for wi := range m.walls {
			if m.walls[wi].id != w.ID {
				continue
			}
			give := func(v int, name string) {
				if rays[v] != (Vec{}) {
					return
				}
				for _, s := range m.seen {
					if s.photo == p && s.name == name {
						rays[v] = rays[s.vertex]
					}
				}
			}
			for i, name := range w.Outline {
				give(m.walls[wi].outline[i], name)
			}
			for _, o := range w.Openings {
				for _, k := range m.walls[wi].openings {
					for i := range k.corners {
						if k.id == o.ID {
							give(k.corners[i], o.Corners[i])
						}
					}
				}
			}
		}
	}
}

// up finds the direction of what is plumb, in the camera's frame: that which is
// most nearly in the plane of each plumb line and the camera.
func (m model) up(p int, rays []Vec) Vec {
	var normals []Vec
	for a, ra := range rays {
		for b, rb := range rays[:a] {
			if m.vertices[a].wall == m.vertices[b].wall && m.vertices[a].x == m.vertices[b].x {
				normals = append(normals, ra.Cross(rb)) // nothing where one is not seen
			}
		}
	}
	for _, w := range m.walls { // edges that look upright, where nothing better is known
		for i, a := range w.outline {
			ra, rb := rays[a], rays[w.outline[(i+1)%len(w.outline)]]
			if !w.free && math.Abs(ra.X-rb.X) < 0.3*math.Abs(ra.Y-rb.Y) {
				normals = append(normals, ra.Cross(rb).Scale(0.05))
			}
		}
	}
	// A camera that is not rolled, for lack of anything else.
	normals = append(normals, Vec{X: 1e-3})
	d := leastAlong(normals)
	if d.Y > 0 {
		d = d.Scale(-1)
	}
	return d
}

// view finds a wall's right-hand direction, square to up.
func (m model) view(p, wall int, up Vec, rays []Vec) (*view, bool) {
	w := m.walls[wall]
	var normals []Vec
	for a, ra := range rays {
		for b, rb := range rays[:a] {
			va, vb := m.vertices[a], m.vertices[b]
			if va.wall == wall && vb.wall == wall && va.y == vb.y && ra != (Vec{}) && rb != (Vec{}) {
				normals = append(normals, ra.Cross(rb))
			}
		}
	}
	if len(normals) == 0 && !w.free {
		normals = m.lookLevel(w, rays)
	}
	if len(normals) == 0 {
		return nil, false
	}
	e1 := up.Cross(Vec{Z: 1}).Unit()
	if e1 == (Vec{}) {
		e1 = Vec{X: 1}
	}
	e2 := up.Cross(e1)
	var a, b, c float64
	for _, n := range normals {
		p, q := n.Dot(e1), n.Dot(e2)
		a, b, c = a+p*p, b+p*q, c+q*q
	}
	// The least of a cos^2 + 2 b cos sin + c sin^2.
	angle := 0.5*math.Atan2(2*b, a-c) + math.Pi/2
	right := e1.Scale(math.Cos(angle)).Add(e2.Scale(math.Sin(angle)))
	v := &view{photo: p, wall: wall, right: right, up: up, places: make([]Vec, len(rays))}
	return v, v.stand(m, rays)
}

// lookLevel takes the outline's edges that look least steep for level.
func (m model) lookLevel(w wallModel, rays []Vec) []Vec {
	var normals []Vec
	for i, a := range w.outline {
		ra, rb := rays[a], rays[w.outline[(i+1)%len(w.outline)]]
		if math.Abs(rb.X-ra.X) > 1.7*math.Abs(rb.Y-ra.Y) {
			normals = append(normals, ra.Cross(rb))
		}
	}
	return normals
}

// stand sets the wall's plane up before the camera, its front towards it, and
// meets it with the vertices' rays; false where it is seen edge on.
func (v *view) stand(m model, rays []Vec) bool {
	normal := v.right.Cross(v.up)
	var middle Vec
	for a, r := range rays {
		if m.vertices[a].wall == v.wall { // unseen ones add nothing
			middle = middle.Add(r.Unit())
		}
	}
	if normal.Dot(middle) > 0 {
		v.right, normal = v.right.Scale(-1), normal.Scale(-1)
	}
	for a, r := range rays {
		if m.vertices[a].wall != v.wall || r == (Vec{}) {
			continue
		}
		towards := -normal.Dot(r)
		if towards < 1e-3*r.Len() {
			towards = 1e-3 * r.Len() // nearly edge on: far, but not behind
		}
		v.places[a] = r.Scale(1 / towards)
	}
	return middle != (Vec{})
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

// leastAlong gives the unit vector of the least sum of squares (n . d)^2: the
// eigenvector of the least eigenvalue of sum n n^T, by Jacobi's rotations.
func leastAlong(normals []Vec) Vec {
	var a [3][3]float64
	for _, n := range normals {
		for i := range 3 {
			for j := range 3 {
				a[i][j] += at(n, i) * at(n, j)
			}
		}
	}
	v := [3]Vec{{X: 1}, {Y: 1}, {Z: 1}}
	for range 30 {
		for _, pq := range [][2]int{{0, 1}, {0, 2}, {1, 2}} {
			p, q := pq[0], pq[1]
			angle := 0.5 * math.Atan2(2*a[p][q], a[q][q]-a[p][p])
			sin, cos := math.Sincos(angle)
			for k := range 3 {
				a[k][p], a[k][q] = cos*a[k][p]-sin*a[k][q], sin*a[k][p]+cos*a[k][q]
			}
			for k := range 3 {
				a[p][k], a[q][k] = cos*a[p][k]-sin*a[q][k], sin*a[p][k]+cos*a[q][k]
			}
			v[p], v[q] = v[p].Scale(cos).Sub(v[q].Scale(sin)), v[p].Scale(sin).Add(v[q].Scale(cos))
		}
	}
	least := 0
	for i := range 3 {
		if a[i][i] < a[least][least] {
			least = i
		}
	}
	return v[least].Unit()
}
