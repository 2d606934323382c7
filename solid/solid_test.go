package solid

import (
	"bytes"
	"image/png"
	"math"
	"testing"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"coilwright/course"
	"coilwright/house"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/picture"
	"coilwright/plane"
)

var houses = []string{"alder", "ranch", "cross-gable", "townhouses", "fzk-house", "citygml-house"}

func read(t testing.TB, name string) *job.Job {
	t.Helper()
	j, found := job.Read("../examples/" + name + ".json")
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	return &j
}

func model(t testing.TB, j *job.Job, scheme string) (*Model, *course.Layout) {
	t.Helper()
	m, err := Of(j, scheme)
	if err != nil {
		t.Fatal(err)
	}
	l, err := j.Layout(scheme, false)
	if err != nil {
		t.Fatal(err)
	}
	return m, l
}

// area of a mesh's triangles whose front looks along out, in square inches; the least
// turn of any.
func area(m *Mesh, out Vec) (sum float64) {
	for i := 0; i < len(m.Index); i += 3 {
		a, b, c := m.At[m.Index[i]], m.At[m.Index[i+1]], m.At[m.Index[i+2]]
		u, v := b.add(a, -1), c.add(a, -1)
		n := Vec{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
		sum += (n[0]*out[0] + n[1]*out[1] + n[2]*out[2]) / 2
	}
	return sum / inch / inch
}

// Every zone's triangles cover just what the layout clads, seen from outside.
func TestAreas(t *testing.T) {
	for _, name := range houses {
		j := read(t, name)
		for _, s := range j.Schemes {
			m, l := model(t, j, s.ID)
			frames, _ := stand(j.House)
			var want, got float64
			for _, z := range l.Zones {
				want += 144 * z.Area.SquareFeet()
			}
			for i, w := range m.Walls {
				for k := range w.Meshes {
					if m.Materials[w.Meshes[k].Material].Relief >= 0 {
						got += area(&w.Meshes[k], frames[i].out)
					}
				}
			}
			if math.Abs(got-want) > 1e-6*want {
				t.Errorf("%s %s: %.3f sq in of cladding, the layout has %.3f", name, s.ID, got, want)
			}
		}
	}
}

// Walls that corners join meet there: a house with four walls closes, and each wall
// looks where it says.
func TestWallsStand(t *testing.T) {
	j := read(t, "alder")
	frames, loose := stand(j.House)
	if loose != 0 {
		t.Errorf("%d walls stand apart", loose)
	}
	for i, c := range j.House.Corners {
		var ends [2]Vec
		for k, e := range c.Between {
			ends[k] = frames[e.Wall].at(edgeX(j.House, e), 0, 0)
		}
		if d := ends[0].add(ends[1], -1); math.Hypot(d[0], d[2]) > 1e-9 {
			t.Errorf("corner %d is open by %v m", i, d)
		}
	}
	south := frames[0].out // faces 182: nearly to +Z, a little to the west
	if math.Abs(south[2]-math.Cos(2*math.Pi/180)) > 1e-12 || math.Abs(south[0]+math.Sin(2*math.Pi/180)) > 1e-12 {
		t.Errorf("the south wall looks to %v", south)
	}
}

// An inside corner turns the other way.
func TestInsideCorner(t *testing.T) {
	ring := func(w string) house.Wall {
		l, err := measure.ParseLength(w)
		if err != nil {
			t.Fatal(err)
		}
		h := 100 * measure.Inch
		return house.Wall{Outline: plane.Ring{{}, {X: l}, {X: l, Y: h}, {Y: h}}, Edges: []house.EdgeKind{house.Base, house.InsideCorner, house.Eave, house.InsideCorner}}
	}
	h := house.House{Walls: []house.Wall{ring("10 ft"), ring("6 ft")}, Corners: []house.Corner{{Between: [2]house.EdgeRef{{Wall: 0, Edge: 1}, {Wall: 1, Edge: 3}}}}}
	frames, _ := stand(h)
	if f := frames[1]; math.Abs(f.out[0]+1) > 1e-9 || math.Abs(f.origin[0]-120*inch) > 1e-9 {
		t.Errorf("it looks to %v from %v, want west from the corner", f.out, f.origin)
	}
	h.Corners[0].Outside = true
	frames, _ = stand(h)
	if f := frames[1]; math.Abs(f.out[0]-1) > 1e-9 {
		t.Errorf("an outside corner: it looks to %v, want east", f.out)
	}
}

// What the library reads back is what the model holds; the same job gives the same
// bytes; textures are pictures whose normals have length 1 and look outwards.
func TestGLB(t *testing.T) {
	for _, name := range houses {
		j := read(t, name)
		m, _ := model(t, j, j.Schemes[0].ID)
		file, err := m.GLB()
		if err != nil {
			t.Fatal(err)
		}
		again, _ := model(t, j, j.Schemes[0].ID)
		if same, _ := again.GLB(); !bytes.Equal(same, file) {
			t.Errorf("%s: made again it differs", name)
		}
		doc := new(gltf.Document)
		if err := gltf.NewDecoder(bytes.NewReader(file)).Decode(doc); err != nil {
			t.Fatal(err)
		}
		if len(doc.Nodes) != len(j.House.Walls) || len(doc.Materials) != len(m.Materials) {
			t.Errorf("%s: %d nodes, %d materials", name, len(doc.Nodes), len(doc.Materials))
		}
		checkNormals(t, doc)
		checkTextures(t, doc)
	}
}

// checkNormals holds every vertex's normal against the triangles that it belongs to,
// and its tangent square to it.
func checkNormals(t *testing.T, doc *gltf.Document) {
	t.Helper()
	for _, mesh := range doc.Meshes {
		for _, p := range mesh.Primitives {
			at, err := modeler.ReadPosition(doc, doc.Accessors[p.Attributes[gltf.POSITION]], nil)
			if err != nil {
				t.Fatal(err)
			}
			n, _ := modeler.ReadNormal(doc, doc.Accessors[p.Attributes[gltf.NORMAL]], nil)
			index, _ := modeler.ReadIndices(doc, doc.Accessors[*p.Indices], nil)
			for i := 0; i < len(index); i += 3 {
				var v [3]Vec
				for k := range v {
					q := at[index[i+k]]
					v[k] = Vec{float64(q[0]), float64(q[1]), float64(q[2])}
				}
				f, g := normal(v[0], v[1], v[2]), n[index[i]]
				if d := f[0]*float64(g[0]) + f[1]*float64(g[1]) + f[2]*float64(g[2]); d < 0.99 && area(&Mesh{At: v[:], Index: []uint32{0, 1, 2}}, f) > 0.01 {
					t.Fatalf("%s: a triangle looks to %v, its corner to %v", mesh.Name, f, g)
				}
			}
			if k, ok := p.Attributes[gltf.TANGENT]; ok {
				tangent, _ := modeler.ReadTangent(doc, doc.Accessors[k], nil)
				for i, g := range tangent {
					up := Vec{float64(n[i][1]*g[2] - n[i][2]*g[1]), float64(n[i][2]*g[0] - n[i][0]*g[2]), float64(n[i][0]*g[1] - n[i][1]*g[0])}
					if flat := math.Abs(float64(g[0]*n[i][0] + g[1]*n[i][1] + g[2]*n[i][2])); flat > 1e-6 || g[3] > 0 && up[1] < 0.99 {
						t.Fatalf("%s: tangent %v on normal %v: a texture's up is %v", mesh.Name, g, n[i], up)
					}
				}
			}
		}
	}
}

func checkTextures(t *testing.T, doc *gltf.Document) {
	t.Helper()
	for _, image := range doc.Images {
		view := doc.BufferViews[*image.BufferView]
		im, err := png.Decode(bytes.NewReader(doc.Buffers[view.Buffer].Data[view.ByteOffset:][:view.ByteLength]))
		if err != nil {
			t.Fatal(err)
		}
		if image.Name != "normals" {
			continue
		}
		for y := range im.Bounds().Dy() {
			r, g, b, _ := im.At(1, y).RGBA()
			code := func(v uint32) float64 { return float64(v>>8)/127.5 - 1 }
			x, u, z := code(r), code(g), code(b)
			if l := math.Sqrt(x*x + u*u + z*z); math.Abs(l-1) > 0.02 || z < -0.01 {
				t.Errorf("row %d: %.2f %.2f %.2f of length %.3f", y, x, u, z, l)
			}
		}
	}
}

// A regular lap's board leans a little down, its butt looks straight down and stands in
// the lowest row of the course over it, that is at the top of the period below.
func TestLapsNormals(t *testing.T) {
	shades := picture.Bevel(8, 0.6, 0.2).Shades(rows)
	lean := math.Atan2(0.4, 8) // the board's top stands further in
	for k, s := range shades[:rows-1] {
		if math.Abs(math.Atan2(s.Up, s.Out)-lean) > 1e-9 {
			t.Fatalf("row %d: %+v", k, s)
		}
	}
	if s := shades[rows-1]; s.Up > -0.8 || s.Open > 0.8 {
		t.Errorf("the butt: %+v", s)
	}
	if low, middle := shades[rows-8].Open, shades[rows/2].Open; low >= middle {
		t.Errorf("under the butt %.3f of the light, in the middle %.3f", low, middle)
	}
}
