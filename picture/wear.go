package picture

import (
	"slices"

	"coilwright/colour"
	"coilwright/course"
	"coilwright/house"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
)

// Outfit is a scheme laid out on a house, as it is to be shown.
type Outfit struct {
	House  house.House
	Scheme scheme.Scheme
	Book   *steel.Book
	Layout *course.Layout
}

// Wear dresses the given walls of the house, in their order: the courses as they are
// laid out, joints, and, where the scheme has a colour for it, the trim.
func (o Outfit) Wear(walls []int) []Dressing {
	out := make([]Dressing, len(walls))
	for i, w := range walls {
		out[i] = append(out[i], o.trim(w)...)
		out[i] = append(out[i], o.joints(w)...)
		for _, z := range o.Layout.Zones {
			if z.Wall == w && len(z.Region) > 0 {
				out[i] = append(out[i], o.Clad(z)...)
			}
		}
	}
	return out
}

// Finish looks a colour of the book up; the book's first where it is not named.
func (o Outfit) Finish(id string) Finish {
	for _, c := range o.Book.Colours {
		if c.ID == id || id == "" {
			return LowGloss(colour.Linear(c.Linear))
		}
	}
	return LowGloss(colour.Linear{0.5, 0.5, 0.5})
}

// grained says whether a texture is embossed: any but smooth.
func (o Outfit) grained(id string) bool {
	if id == "" && len(o.Book.Textures) > 0 {
		id = o.Book.Textures[0]
	}
	return id != "" && id != "smooth"
}

// Clad is the cladding of one zone on one wall, last; shake brings its gaps along.
func (o Outfit) Clad(z course.ZoneOnWall) []Zone {
	s := o.Scheme.Zones[z.Zone]
	panel, _ := o.Book.Panel(s.Panel)
	out := Zone{Region: rings(z.Region), Face: FaceOf(panel), Origin: z.Origin.Inches(), Vertical: z.Vertical,
		Finish: o.Finish(s.Colour), Grain: o.grained(s.Texture)}
	switch {
	case z.Vertical:
		out.Origin = seams(z.Bands, panel.Cover().Inches())
	case z.Counted:
		box := z.Region.Box()
		out.Face = Bevel(max(1, panel.Cover().Inches()), 0.5, 0.15)
		out.Origin = box.Min.Y.Inches()
		out.Grain = true
		return append(shakeGaps(out, box), out)
	}
	return []Zone{out}
}

// seams is where a vertical panel starts: the second one is whole on its left, the
// first may be ripped there.
func seams(bands []course.Band, cover float64) float64 {
	switch {
	case len(bands) > 1:
		return bands[1].Low.Inches()
	case len(bands) == 1:
		return bands[0].High.Inches() - cover
	}
	return 0
}

// shakeGaps are the upright gaps between shakes, 4 to 9 in apart as hand-split ones
// come (assumed), the same at every drawing.
func shakeGaps(z Zone, box plane.Box) []Zone {
	const wide = 0.25 // seen as one gap and the shade beside it
	var all []Ring
	left, right := box.Min.X.Inches(), box.Max.X.Inches()
	row := int64(0)
	for y := box.Min.Y.Inches(); y < box.Max.Y.Inches(); y += z.Face.Period {
		k := int64(0)
		for x := left + 3*(1+Chance(row, -1)); x < right && len(all) < 20_000; x += 6.5 + 2.5*Chance(row, k) {
			all = append(all, Ring{{x, y}, {x + wide, y}, {x + wide, y + z.Face.Period}, {x, y + z.Face.Period}})
			k++
		}
		row++
	}
	gap := z
	gap.Finish.Colour = z.Finish.Colour.Scale(0.55)
	gap.Region = within(all, z.Region)
	return []Zone{gap}
}

// within keeps the rings whose middles lie inside a region.
func within(all, region []Ring) (out []Ring) {
	for _, r := range all {
		if m := mean(r); inside(region, m.X, m.Y) {
			out = append(out, r)
		}
	}
	return out
}

// joints are the planned joints of a wall's pieces: the upper piece's end is seen as
// a thin line.
func (o Outfit) joints(w int) (out []Zone) {
	for _, p := range o.Layout.Pieces {
		if p.Wall != w || p.Vertical {
			continue
		}
		for _, e := range p.Ends {
			if e.Receiver != course.Joint || e.Side != course.RightEnd {
				continue
			}
			box := p.OnWall().Outer.Box()
			x, y0, y1 := box.Max.X.Inches(), box.Min.Y.Inches(), box.Max.Y.Inches()
			f := o.Finish(p.Colour)
			f.Colour = f.Colour.Scale(0.8)
			out = append(out, Zone{Region: []Ring{{{x - 0.25, y0}, {x, y0}, {x, y1}, {x - 0.25, y1}}}, Face: Flat(0.5), Finish: f})
		}
	}
	return out
}

// rings lists a region's outlines and holes; inside is where the number is odd.
func rings(g plane.Region) (out []Ring) {
	for _, r := range g.Rings() {
		out = append(out, ringOf(r))
	}
	return slices.Clip(out)
}
