package solid

import (
	"fmt"

	"coilwright/picture"
	"coilwright/plane"
)

// Mesh is triangles of one material. Tangents stand where there are texture
// coordinates.
type Mesh struct {
	Material int
	At       []Vec
	Normal   []Vec
	Tangent  []Vec   // direction in which U grows
	Flip     float64 // +1 or -1: normal x tangent x Flip is where the texture's up lies
	UV       [][2]float64
	Index    []uint32 // three for a triangle, counter-clockwise seen from its front
}

// quad adds a flat four-cornered face, counter-clockwise from its front.
func (m *Mesh) quad(a, b, c, d Vec) {
	n := normal(a, b, c)
	k := uint32(len(m.At))
	m.At = append(m.At, a, b, c, d)
	m.Normal = append(m.Normal, n, n, n, n)
	m.Index = append(m.Index, k, k+1, k+2, k, k+2, k+3)
}

func normal(a, b, c Vec) Vec {
	u, v := b.add(a, -1), c.add(a, -1)
	return Vec{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}.unit()
}

// fill adds a region of a wall at a depth over the sheathing, as triangles. lay, where
// it is not nil, gives texture coordinates.
func (m *Mesh) fill(f frame, g plane.Region, depth float64, lay func(x, y float64) [2]float64) error {
	for _, p := range g {
		all, err := p.Triangles()
		if err != nil {
			return fmt.Errorf("a zone cannot be cut into triangles: %w", err)
		}
		seen := map[plane.Point]uint32{}
		for _, t := range all {
			for _, q := range t {
				k, ok := seen[q]
				if !ok {
					k = uint32(len(m.At))
					seen[q] = k
					x, y := q.X.Inches(), q.Y.Inches()
					m.At, m.Normal = append(m.At, f.at(x, y, depth)), append(m.Normal, f.out)
					if lay != nil {
						m.UV = append(m.UV, lay(x, y))
					}
				}
				m.Index = append(m.Index, k)
			}
		}
	}
	return nil
}

// board adds a flat board from the sheathing to a depth: its front and its sides.
func (m *Mesh) board(f frame, r picture.Ring, from, to float64) error {
	ring := ringOf(r)
	if err := m.fill(f, plane.Region{{Outer: ring}}, to, nil); err != nil {
		return err
	}
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		ax, ay, bx, by := a.X.Inches(), a.Y.Inches(), b.X.Inches(), b.Y.Inches()
		m.quad(f.at(ax, ay, from), f.at(bx, by, from), f.at(bx, by, to), f.at(ax, ay, to))
	}
	return nil
}
