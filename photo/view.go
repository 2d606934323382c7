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
	if m.rising(p, rays).Dot(d) < 0 {
		d = d.Scale(-1)
	}
	return d
}

// rising is roughly the way up in the camera's frame, as outlines and openings run:
// from lower corners to upper ones, even on a picture that lies on its side.
func (m model) rising(p int, rays []Vec) Vec {
	sum := Vec{Y: -1e-9}
	add := func(low, high int) {
		if rays[low] != (Vec{}) && rays[high] != (Vec{}) {
			sum = sum.Add(rays[high].Sub(rays[low]))
		}
	}
	for _, w := range m.walls {
		add(w.outline[0], w.outline[len(w.outline)-1])
		for _, o := range w.openings {
			add(o.corners[0], o.corners[3])
			add(o.corners[1], o.corners[2])
		}
	}
	return sum
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
