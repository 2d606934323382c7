package solid

import (
	"coilwright/house"
	"coilwright/measure"
	"coilwright/picture"
	"coilwright/plane"
)

// openings closes each opening a little behind the sheathing: glass in windows, a plain
// leaf in doors and whatever else there is.
func (b *builder) openings() error {
	for _, o := range b.outfit.House.Walls[b.wall].Openings {
		name, f := "glass", glass
		if o.Kind != house.Window {
			name, f = "door or fixture", leaf
		}
		if err := b.mesh(name, f, -1).fill(b.frame, plane.Region{{Outer: o.Outline}}, -reveal, nil); err != nil {
			return err
		}
		sides := b.mesh("reveal", white, -1)
		for i, p := range o.Outline {
			q := o.Outline[(i+1)%len(o.Outline)]
			px, py, qx, qy := p.X.Inches(), p.Y.Inches(), q.X.Inches(), q.Y.Inches()
			sides.quad(b.frame.at(px, py, 0), b.frame.at(qx, qy, 0), b.frame.at(qx, qy, -reveal), b.frame.at(px, py, -reveal))
		}
	}
	return nil
}

func ringOf(r picture.Ring) plane.Ring {
	out := make(plane.Ring, len(r))
	for i, p := range r {
		out[i] = plane.Point{X: measure.FromInches(p.X), Y: measure.FromInches(p.Y)}
	}
	if !out.CounterClockwise() {
		return out.Reversed()
	}
	return out
}
