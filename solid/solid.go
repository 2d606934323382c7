// Package solid is the whole house in a scheme as a body to turn around and look at:
// walls with their openings cut out, the courses in relief by normal maps of the same
// cross-section that the panels are formed to, and trim; written as a glTF 2.0 binary.
// Nothing is invented: there is no roof, soffit, fascia or ground, and where the job
// does not say how walls meet they stand beside each other.
package solid

import (
	"fmt"

	"coilwright/colour"
	"coilwright/course"
	"coilwright/house"
	"coilwright/job"
	"coilwright/picture"
	"coilwright/plane"
)

// Model is a house in a scheme.
type Model struct {
	Title     string
	Walls     []Wall
	Materials []Material
	Reliefs   []Relief
	Notes     []string // what is not as it stands, for a person
}

// Wall is what one wall shows.
type Wall struct {
	ID     string
	Meshes []Mesh
}

// Material is a finish: Relief is the index of its cross-section, -1 for a flat one.
type Material struct {
	Name   string
	Finish picture.Finish
	Relief int
}

// Relief is one period of a cross-section.
type Relief struct {
	Face     picture.Face
	Grain    bool
	Vertical bool
}

// Of is a scheme of a job as a model. Errors are those of the layout.
func Of(j *job.Job, scheme string) (*Model, error) {
	at, err := j.Scheme(scheme)
	if err != nil {
		return nil, err
	}
	layout, err := j.Layout(scheme, false)
	if err != nil {
		return nil, err
	}
	return Build(picture.Outfit{House: j.House, Scheme: j.Schemes[at], Book: &j.Book, Layout: layout})
}

// Build models a house in an outfit.
func Build(o picture.Outfit) (*Model, error) {
	frames, loose := stand(o.House)
	m := &Model{Title: o.Scheme.Title}
	if m.Title == "" {
		m.Title = o.Scheme.ID
	}
	if loose > 0 {
		m.Notes = append(m.Notes, fmt.Sprintf("%d walls are joined to no other and stand beside the house: join them in house.corners", loose))
	}
	if o.Scheme.TrimColour == "" {
		m.Notes = append(m.Notes, "no colour was chosen for the trim: it is shown white")
	}
	for i, w := range o.House.Walls {
		b := builder{model: m, outfit: o, wall: i, frame: frames[i]}
		if err := b.build(); err != nil {
			return nil, fmt.Errorf("wall %s: %w", w.ID, err)
		}
		m.Walls = append(m.Walls, Wall{w.ID, b.meshes})
	}
	return m, nil
}

// builder makes one wall.
type builder struct {
	model  *Model
	outfit picture.Outfit
	wall   int
	frame  frame
	meshes []Mesh
}

// Finishes of what the scheme does not choose (assumed).
var (
	white   = picture.LowGloss(colour.Linear{0.8, 0.8, 0.78})
	bare    = picture.Finish{Colour: colour.Linear{0.45, 0.42, 0.36}, Gloss: 0.04, Roughness: 0.9}
	glass   = picture.Finish{Colour: colour.Linear{0.02, 0.025, 0.03}, Gloss: 0.04, Roughness: 0.2}
	leaf    = picture.LowGloss(colour.Linear{0.3, 0.3, 0.3})
	reveal  = 2.0 // inches that windows and doors stand behind the sheathing
	jointed = 0.02
)

func (b *builder) build() error {
	if err := b.sheathing(); err != nil {
		return err
	}
	for _, z := range b.outfit.Layout.Zones {
		if z.Wall == b.wall && len(z.Region) > 0 {
			if err := b.clad(z); err != nil {
				return err
			}
		}
	}
	if err := b.trim(); err != nil {
		return err
	}
	return b.openings()
}

// mesh starts a mesh of a material, or goes on with the last one of it.
func (b *builder) mesh(name string, f picture.Finish, relief int) *Mesh {
	k := b.model.material(Material{name, f, relief})
	for i := range b.meshes {
		if b.meshes[i].Material == k && relief < 0 {
			return &b.meshes[i]
		}
	}
	b.meshes = append(b.meshes, Mesh{Material: k, Flip: 1})
	return &b.meshes[len(b.meshes)-1]
}

func (m *Model) material(want Material) int {
	for i, have := range m.Materials {
		if have == want {
			return i
		}
	}
	m.Materials = append(m.Materials, want)
	return len(m.Materials) - 1
}

func (m *Model) relief(face picture.Face, grain, vertical bool) int {
	for i, r := range m.Reliefs {
		if r.Grain == grain && r.Vertical == vertical && same(r.Face, face) {
			return i
		}
	}
	m.Reliefs = append(m.Reliefs, Relief{face, grain, vertical})
	return len(m.Reliefs) - 1
}

func same(a, b picture.Face) bool {
	if a.Period != b.Period || len(a.Points) != len(b.Points) {
		return false
	}
	for i := range a.Points {
		if a.Points[i] != b.Points[i] {
			return false
		}
	}
	return true
}

// sheathing is the wall itself less its openings: seen where nothing hangs.
func (b *builder) sheathing() error {
	w := b.outfit.House.Walls[b.wall]
	holes := make([]plane.Ring, len(w.Openings))
	for i, o := range w.Openings {
		holes[i] = o.Outline
	}
	g, err := plane.Punch(w.Outline, holes)
	if err != nil {
		return err
	}
	return b.mesh("sheathing", bare, -1).fill(b.frame, g, 0, nil)
}

// clad hangs one zone, flat at its front, its relief in the material.
func (b *builder) clad(z course.ZoneOnWall) error {
	layers := b.outfit.Clad(z)
	c := layers[len(layers)-1]
	_, front := c.Face.Depths()
	zone := b.outfit.Scheme.Zones[z.Zone]
	m := b.mesh("zone "+zone.ID, c.Finish, b.model.relief(c.Face, c.Grain, c.Vertical))
	along := b.frame.right
	lay := func(x, y float64) [2]float64 { return [2]float64{x / Repeat, -(y - c.Origin) / c.Face.Period} }
	if c.Vertical {
		along, m.Flip = Vec{0, 1, 0}, -1
		lay = func(x, y float64) [2]float64 { return [2]float64{y / Repeat, -(x - c.Origin) / c.Face.Period} }
	}
	first := len(m.At)
	if err := m.fill(b.frame, z.Region, front, lay); err != nil {
		return err
	}
	for range m.At[first:] {
		m.Tangent = append(m.Tangent, along)
	}
	for _, gap := range layers[:len(layers)-1] {
		if err := b.thin("gap in zone "+zone.ID, gap, front+jointed); err != nil {
			return err
		}
	}
	return nil
}

// thin lays flat rings on a wall at a depth.
func (b *builder) thin(name string, z picture.Zone, depth float64) error {
	m := b.mesh(name, z.Finish, -1)
	for _, r := range z.Region {
		if err := m.fill(b.frame, plane.Region{{Outer: ringOf(r)}}, depth, nil); err != nil {
			return err
		}
	}
	return nil
}

// trim puts the boards on. A corner post reaches around its corner.
func (b *builder) trim() error {
	f := white
	if b.outfit.Scheme.TrimColour != "" {
		f = b.outfit.Finish(b.outfit.Scheme.TrimColour)
	}
	kinds := b.outfit.House.Walls[b.wall].Edges
	m := b.mesh("trim", f, -1)
	for _, p := range b.outfit.Boards(b.wall) {
		if p.Kind == picture.Post && kinds[p.Edge] == house.OutsideCorner {
			p.Ring = p.Reach(p.Depth)
		}
		if err := m.board(b.frame, p.Ring, 0, p.Depth); err != nil {
			return err
		}
	}
	return nil
}
