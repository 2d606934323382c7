package picture

import (
	"math"
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

// Sizes of trim as it is seen, in inches, where the book has none (assumed).
const (
	channelFace = 0.5  // of a J-channel, around an opening
	postFace    = 3.0  // of a corner post, on each of its two walls
	seam        = 1.5  // of transition trim between two zones
	trimDepth   = 0.75 // of trim's front over the sheathing
)

// Wear dresses the given walls of the house, in their order: the courses as they are
// laid out, joints, and, where the scheme has a colour for it, the trim.
func (o Outfit) Wear(walls []int) []Dressing {
	out := make([]Dressing, len(walls))
	for i, w := range walls {
		out[i] = append(out[i], o.trim(w)...)
		out[i] = append(out[i], o.joints(w)...)
		for _, z := range o.Layout.Zones {
			if z.Wall == w && len(z.Region) > 0 {
				out[i] = append(out[i], o.zone(z)...)
			}
		}
	}
	return out
}

// finish looks a colour of the book up; the book's first where it is not named.
func (o Outfit) finish(id string) Finish {
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

// zone is the cladding of one zone on one wall; shake brings its gaps along.
func (o Outfit) zone(z course.ZoneOnWall) []Zone {
	s := o.Scheme.Zones[z.Zone]
	panel, _ := o.Book.Panel(s.Panel)
	out := Zone{Region: rings(z.Region), Face: FaceOf(panel), Origin: z.Origin.Inches(), Vertical: z.Vertical,
		Finish: o.finish(s.Colour), Grain: o.grained(s.Texture)}
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
		for x := left + 3*(1+chanceAt(row, -1)); x < right && len(all) < 20_000; x += 6.5 + 2.5*chanceAt(row, k) {
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
			f := o.finish(p.Colour)
			f.Colour = f.Colour.Scale(0.8)
			out = append(out, Zone{Region: []Ring{{{x - 0.25, y0}, {x, y0}, {x, y1}, {x - 0.25, y1}}}, Face: Flat(0.5), Finish: f})
		}
	}
	return out
}

// trim is the new trim of a wall, drawn only where the scheme gives it a colour:
// channels around openings and along rakes and eaves, corner posts, frieze,
// transitions between zones.
func (o Outfit) trim(w int) []Zone {
	if o.Scheme.TrimColour == "" {
		return nil
	}
	var all []Ring
	wall := o.House.Walls[w]
	for _, h := range wall.Openings {
		all = append(all, frame(ringOf(h.Outline), channelFace)...)
	}
	for i, kind := range wall.Edges {
		a, b := wall.Edge(i)
		switch kind {
		case house.OutsideCorner, house.InsideCorner:
			all = append(all, board(xy(a), xy(b), postFace))
		case house.Rake, house.Eave, house.Abuts:
			all = append(all, board(xy(a), xy(b), channelFace))
		}
	}
	for _, f := range o.Layout.Friezes {
		if f.Wall == w {
			all = append(all, rings(f.Region)...)
		}
	}
	all = append(all, o.transitions(w)...)
	var out []Zone
	for _, r := range all { // one by one: where two meet they do not cancel
		out = append(out, Zone{Region: []Ring{r}, Face: Flat(trimDepth), Finish: o.finish(o.Scheme.TrimColour)})
	}
	return out
}

// frame is the four boards around a ring, outside it.
func frame(r Ring, wide float64) (out []Ring) {
	for i, a := range r {
		b := r[(i+1)%len(r)]
		d := unit(a, b)
		out = append(out, board(XY{b.X + wide*d.X, b.Y + wide*d.Y}, XY{a.X - wide*d.X, a.Y - wide*d.Y}, wide))
	}
	return out
}

// board is a strip along a line, on its left.
func board(a, b XY, wide float64) Ring {
	d := unit(a, b)
	return Ring{a, b, {b.X - wide*d.Y, b.Y + wide*d.X}, {a.X - wide*d.Y, a.Y + wide*d.X}}
}

func unit(a, b XY) XY {
	l := max(1e-9, math.Hypot(b.X-a.X, b.Y-a.Y))
	return XY{(b.X - a.X) / l, (b.Y - a.Y) / l}
}

// transitions are strips along the level lines at which one zone sits on another.
func (o Outfit) transitions(w int) (out []Ring) {
	type level struct{ x0, x1, y float64 }
	var tops, bottoms []level
	for _, z := range o.Layout.Zones {
		if z.Wall != w {
			continue
		}
		for _, r := range rings(z.Region) {
			for i, a := range r {
				if b := r[(i+1)%len(r)]; a.Y == b.Y && a.X < b.X {
					bottoms = append(bottoms, level{a.X, b.X, a.Y})
				} else if a.Y == b.Y {
					tops = append(tops, level{b.X, a.X, a.Y})
				}
			}
		}
	}
	for _, t := range tops {
		for _, b := range bottoms {
			if x0, x1 := max(t.x0, b.x0), min(t.x1, b.x1); math.Abs(t.y-b.y) < 1e-6 && x1 > x0 {
				out = append(out, board(XY{x0, t.y}, XY{x1, t.y}, seam))
			}
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
