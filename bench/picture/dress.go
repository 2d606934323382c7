package picture

import (
	"encoding/json"
	"math"

	"coilwright/colour"
	"coilwright/photo"
	"coilwright/picture"
)

// Photo is the scene as a person would hand it in: photo, camera, mask, sun, the old
// lap measured at the wall, and a few clicks on white trim.
func (s *Scene) Photo() picture.Photo {
	t := s.Truth
	p := picture.Photo{
		Image: s.Before, Camera: t.Camera(), Mask: s.Soft,
		Sun: photo.Vec{X: t.Light.Sun[0], Y: t.Light.Sun[1], Z: t.Light.Sun[2]},
		Old: picture.Old{Face: picture.Face{Period: t.Old.Exposure, Points: places(t.Old.Profile)}, Datum: t.Old.Datum, Colour: t.Old.Albedo},
	}
	for _, w := range t.Walls {
		p.Walls = append(p.Walls, w.picture(t))
		p.References = append(p.References, s.clicks(w, p.Camera)...)
	}
	return p
}

func places(in [][2]float64) (out []picture.Place) {
	for _, p := range in {
		out = append(out, picture.Place{Y: p[0], Z: p[1]})
	}
	return out
}

// picture turns a wall of the truth into one of the renderer: its field is the
// outline less corner boards, frieze and openings.
func (w Wall) picture(t Truth) picture.Wall {
	out := picture.Wall{ID: w.ID, Plane: w.Plane(), Standoff: 1}
	for _, p := range w.Outline {
		out.Outline = append(out.Outline, picture.XY{X: p[0], Y: p[1]})
	}
	out.Field = append(out.Field, w.field(t.House.CornerBoard, t.House.Frieze))
	for _, o := range w.Openings {
		r := o.Rect
		out.Field = append(out.Field, picture.Ring{{X: r.X, Y: r.Y}, {X: r.X + r.W, Y: r.Y}, {X: r.X + r.W, Y: r.Y + r.H}, {X: r.X, Y: r.Y + r.H}})
	}
	for i, kind := range w.Edges {
		a, b := out.Outline[i], out.Outline[(i+1)%len(out.Outline)]
		switch kind {
		case "eave":
			out.Overhangs = append(out.Overhangs, picture.Overhang{From: a, To: b, Depth: t.House.Eave})
		case "rake":
			out.Overhangs = append(out.Overhangs, picture.Overhang{From: a, To: b, Depth: t.House.Rake})
		}
	}
	return out
}

// Dress gives the walls' dressings for one of the scene's new claddings.
func (s *Scene) Dress(id string) (out []picture.Dressing) {
	t := s.Truth
	for _, w := range s.Photo().Walls {
		var d picture.Dressing
		for _, z := range t.After[id].Zones {
			if z.Trim > 0 {
				d = append(d, picture.Zone{Region: between(w, z.below(), z.below()+z.Trim), Face: picture.Flat(0.8),
					Finish: picture.Finish{Colour: t.Trim, Gloss: 0.016, Roughness: 0.5}})
			}
			d = append(d, t.zone(w, z, z.below()))
		}
		out = append(out, d)
	}
	return out
}

// below is the height that a zone lies under, 0 where it takes the rest.
func (z Zone) below() float64 {
	var w struct{ Below float64 }
	if json.Unmarshal(z.Where, &w) != nil {
		return 0
	}
	return w.Below
}

// between is the wall's field between two heights, ring by ring.
func between(w picture.Wall, low, high float64) (out []picture.Ring) {
	for _, r := range w.Field {
		r = above(r, low, 1)
		r = above(r, -high, -1)
		if len(r) > 2 {
			out = append(out, r)
		}
	}
	return out
}

// above keeps of a ring what has sign x y over low (Sutherland and Hodgman's clip).
func above(r picture.Ring, low, sign float64) (out picture.Ring) {
	for i, a := range r {
		b := r[(i+1)%len(r)]
		ha, hb := sign*a.Y-low, sign*b.Y-low
		if ha >= 0 {
			out = append(out, a)
		}
		if (ha >= 0) != (hb >= 0) {
			s := ha / (ha - hb)
			out = append(out, picture.XY{X: a.X + s*(b.X-a.X), Y: a.Y + s*(b.Y-a.Y)})
		}
	}
	return out
}

// field is the outline less corner boards and frieze.
func (w Wall) field(board, frieze float64) (out picture.Ring) {
	width := w.Outline[1][0]
	put := func(x, y float64) { out = append(out, picture.XY{X: x, Y: y}) }
	put(board, 0)
	put(width-board, 0)
	side := w.Outline[2][1]
	if len(w.Outline) == 4 {
		put(width-board, side-frieze)
		put(board, side-frieze)
		return out
	}
	apex := w.Outline[3]
	slope := (apex[1] - side) / (width - apex[0])
	drop := frieze * math.Hypot(1, slope)
	put(width-board, side+board*slope-drop)
	put(apex[0], apex[1]-drop)
	put(board, side+board*slope-drop)
	return out
}

// clicks are places on white trim, in a wall's inches, where a person can see it: a
// few on each wall, lit and shaded.
func (s *Scene) clicks(w Wall, c photo.Camera) []picture.Reference {
	places := map[string][][2]float64{
		"alder front": {{412, 12}, {412, 20}, {412, 28}, {60, 34}, {75, 34}, {270, 34}, {412, 62}, {412, 70}, {412, 80}, {60, 92}, {75, 92}},
		"birch front": {{55, 31.5}, {60, 31.5}, {3, 40}, {3, 50}, {3, 60}},
		"birch right": {{2.5, 20}, {2.5, 40}, {2.5, 60}, {54, 40}, {54, 60}},
	}[s.Name+" "+w.ID]
	var out picture.Reference
	for _, p := range places {
		if at, ok := c.Project(w.Plane().At(p[0], p[1])); ok {
			out.Pixels = append(out.Pixels, at)
		}
	}
	out.Known = s.Truth.Trim
	return []picture.Reference{out}
}

func (t Truth) zone(w picture.Wall, z Zone, below float64) picture.Zone {
	out := picture.Zone{Region: w.Field, Origin: z.Datum,
		Finish: picture.Finish{Colour: colour.Linear(t.Albedo[z.Albedo].Linear), Gloss: 0.016, Roughness: 0.5}}
	if below > 0 {
		out.Region = between(w, -1e9, below)
	}
	switch z.Panel {
	case "dutch-double-5":
		var points [][2]float64
		json.Unmarshal(t.Profiles["dutch5"], &points)
		out.Face = picture.Face{Period: 5, Points: places(points)}
	case "lap-double-4":
		out.Face = picture.Bevel(4, 0.5, 0.05)
	case "vertical-12":
		out.Face = picture.Face{Period: 12, Points: []picture.Place{{Y: 0, Z: .55}, {Y: 1.5, Z: .55}, {Y: 1.5, Z: .05}, {Y: 12, Z: .05}}}
		out.Vertical = true
		// Battens stand over the seams of panels whose end ones are ripped alike.
		width := w.Outline[1].X
		out.Origin = (width-(math.Ceil(width/12)-2)*12)/2 - 0.75
	}
	return out
}
