package solid

import (
	"bytes"
	"math"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"coilwright/picture"
)

// GLB writes the model as a glTF 2.0 binary: metres, Y up, north away from whoever
// looks from +Z. A node stands for each wall, named after it; materials are named
// after the zone or the trim that wears them. The same model gives the same bytes.
func (m *Model) GLB() ([]byte, error) {
	w := writer{doc: gltf.NewDocument(), model: m}
	w.doc.Asset.Generator = "Coilwright"
	w.doc.Asset.Extras = map[string]any{"notes": append([]string{"an illustration; approve a physical sample"}, m.Notes...)}
	w.doc.Scenes[0].Name = m.Title
	if err := w.materials(); err != nil {
		return nil, err
	}
	for _, wall := range m.Walls {
		w.wall(wall)
	}
	var out bytes.Buffer
	err := gltf.NewEncoder(&out).Encode(w.doc)
	return out.Bytes(), err
}

// writer fills one document.
type writer struct {
	doc   *gltf.Document
	model *Model
}

// materials writes finishes and the textures of their reliefs.
func (w *writer) materials() error {
	normals, open := make([]int, len(w.model.Reliefs)), make([]int, len(w.model.Reliefs))
	if len(normals) > 0 {
		w.doc.Samplers = []*gltf.Sampler{{MagFilter: gltf.MagLinear, MinFilter: gltf.MinLinearMipMapLinear, WrapS: gltf.WrapRepeat, WrapT: gltf.WrapRepeat}}
	}
	for i, r := range w.model.Reliefs {
		var err error
		if normals[i], err = w.texture("normals", r.normals); err == nil {
			open[i], err = w.texture("occlusion", r.occlusion)
		}
		if err != nil {
			return err
		}
	}
	for _, f := range w.model.Materials {
		out := &gltf.Material{Name: f.Name, DoubleSided: true, PBRMetallicRoughness: metal(f.Finish)}
		if f.Relief >= 0 {
			out.NormalTexture = &gltf.NormalTexture{Index: gltf.Index(normals[f.Relief])}
			out.OcclusionTexture = &gltf.OcclusionTexture{Index: gltf.Index(open[f.Relief])}
		}
		w.doc.Materials = append(w.doc.Materials, out)
	}
	return nil
}

// metal is a finish in glTF's terms: paint, whose roughness is counted alike.
func metal(f picture.Finish) *gltf.PBRMetallicRoughness {
	c := [4]float64{3: 1}
	for k, v := range f.Colour {
		c[k] = math.Round(min(1, max(0, v))*1e6) / 1e6
	}
	return &gltf.PBRMetallicRoughness{BaseColorFactor: &c, MetallicFactor: gltf.Float(0), RoughnessFactor: gltf.Float(f.Roughness)}
}

func (w *writer) texture(name string, draw func() ([]byte, error)) (int, error) {
	file, err := draw()
	if err != nil {
		return 0, err
	}
	image, err := modeler.WriteImage(w.doc, name, "image/png", bytes.NewReader(file))
	if err != nil {
		return 0, err
	}
	w.doc.Textures = append(w.doc.Textures, &gltf.Texture{Name: name, Sampler: gltf.Index(0), Source: gltf.Index(image)})
	return len(w.doc.Textures) - 1, nil
}

// wall writes one wall as a node with a mesh.
func (w *writer) wall(in Wall) {
	mesh := &gltf.Mesh{Name: "wall " + in.ID}
	for i := range in.Meshes {
		if len(in.Meshes[i].Index) > 0 {
			mesh.Primitives = append(mesh.Primitives, w.primitive(&in.Meshes[i]))
		}
	}
	if len(mesh.Primitives) == 0 {
		return
	}
	w.doc.Meshes = append(w.doc.Meshes, mesh)
	w.doc.Nodes = append(w.doc.Nodes, &gltf.Node{Name: mesh.Name, Mesh: gltf.Index(len(w.doc.Meshes) - 1), Extras: map[string]any{"wall": in.ID}})
	w.doc.Scenes[0].Nodes = append(w.doc.Scenes[0].Nodes, len(w.doc.Nodes)-1)
}

func (w *writer) primitive(m *Mesh) *gltf.Primitive {
	out := &gltf.Primitive{Material: gltf.Index(m.Material), Attributes: gltf.PrimitiveAttributes{}}
	out.Attributes[gltf.POSITION] = modeler.WritePosition(w.doc, floats(m.At))
	out.Attributes[gltf.NORMAL] = modeler.WriteNormal(w.doc, floats(m.Normal))
	if len(m.UV) > 0 {
		uv, tangent := make([][2]float32, len(m.UV)), make([][4]float32, len(m.UV))
		for i, v := range m.UV {
			uv[i] = [2]float32{float32(v[0]), float32(v[1])}
			t := floats(m.Tangent[i : i+1])[0]
			tangent[i] = [4]float32{t[0], t[1], t[2], float32(m.Flip)}
		}
		out.Attributes[gltf.TANGENT] = modeler.WriteTangent(w.doc, tangent)
		out.Attributes[gltf.TEXCOORD_0] = modeler.WriteTextureCoord(w.doc, uv)
	}
	out.Indices = gltf.Index(modeler.WriteIndices(w.doc, m.Index))
	return out
}

func floats(in []Vec) [][3]float32 {
	out := make([][3]float32, len(in))
	for i, v := range in {
		out[i] = [3]float32{float32(v[0]), float32(v[1]), float32(v[2])}
	}
	return out
}
