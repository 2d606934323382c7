package job

import (
	"strconv"
	"strings"

	"coilwright/document"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

// Reading is a number read beside those that draw the house: how far two of its
// places are apart. It checks the others and never moves them.
type Reading struct {
	Between  [2]Place
	Names    [2]string // as written
	Length   measure.Length
	Measured house.Pedigree
}

// Place is one coordinate of the house: Axis 0 counts from a wall's left end, axis
// 1 from the level line. Opening is -1 for the wall's own outline; Wall is -1 for
// the level line itself.
type Place struct {
	Wall, Opening, Axis int
	At                  measure.Length
}

// levelName is the place that all heights are measured from.
const levelName = "level"

var (
	levelLine = Place{Wall: -1, Opening: -1, Axis: 1}
	nowhere   = Place{Wall: -2}
)

// owner is what a place belongs to: a wall, or an opening of one.
type owner struct{ wall, opening int }

// readings reads the list of further readings; the walls must have been read.
func (r *reader) readings(v document.Value) {
	list := v.List()
	if len(list) == 0 || !r.lettered {
		return
	}
	owners := r.owners()
	for _, e := range list {
		if !e.Present() {
			e.Errorf("write an object with between and length", "null stands where a reading should")
		}
		r.reading(e, owners)
	}
}

// owners lists what places may be named after: a wall, an opening by its own id
// and by its wall's before it.
func (r *reader) owners() map[string][]owner {
	out := map[string][]owner{}
	for i, w := range r.out.House.Walls {
		for j, o := range w.Openings {
			out[w.ID+"."+o.ID] = append(out[w.ID+"."+o.ID], owner{i, j})
			out[o.ID] = append(out[o.ID], owner{i, j})
		}
	}
	for i, w := range r.out.House.Walls {
		out[w.ID] = []owner{{i, -1}} // a wall goes before an opening of its name
	}
	return out
}

func (r *reader) reading(v document.Value, owners map[string][]owner) {
	o := v.Object(readingFields)
	before := r.found.Errors()
	out := Reading{Measured: house.Pedigree{By: house.Tape, PlusMinus: -1}}
	a, b := o.Need("between").Pair()
	for i, p := range []document.Value{a, b} {
		out.Names[i] = p.ID()
		out.Between[i] = r.place(p, out.Names[i], owners)
	}
	out.Length = o.Need("length").Length(document.Size)
	out.Measured = r.measured(o.Get("measured"), out.Measured)
	if !o.Present() || r.found.Errors() != before {
		return
	}
	from, to := out.Between[0], out.Between[1]
	switch {
	case from.Axis != to.Axis:
		o.Get("between").Errorf("name two places across the wall, or two heights", "%q and %q are not measured along one line", out.Names[0], out.Names[1])
	case from.Axis == 0 && from.Wall != to.Wall:
		o.Get("between").Errorf("name two places of one wall; heights may lie on two", "%q and %q lie on two walls", out.Names[0], out.Names[1])
	case from.At == to.At && (from.Opening == to.Opening && from.Wall == to.Wall || from.Wall == -1 || to.Wall == -1):
		o.Get("between").Errorf("name two places that lie apart", "%q and %q are the same place as drawn", out.Names[0], out.Names[1])
	default:
		r.out.Readings = append(r.out.Readings, out)
	}
}

// place finds a place by name: "south.left", "south.edge[2]", "S1.head" or
// "south.S1.head", "south.height[3]" (of its corner 3), or "level".
func (r *reader) place(v document.Value, name string, owners map[string][]owner) Place {
	if name == "" {
		return nowhere
	}
	if name == levelName {
		return levelLine
	}
	dot := strings.LastIndexByte(name, '.')
	found := owners[name[:max(dot, 0)]]
	first := r.out.House.Walls[0].ID
	switch {
	case len(found) == 0:
		v.Errorf("write a place like "+first+".right or "+first+".base, an opening's left, right, sill or head, or "+levelName,
			"%q begins with no wall's or opening's id and a dot", name)
	case len(found) > 1:
		v.Errorf("put the wall's id before it, as in "+r.out.House.Walls[found[0].wall].ID+"."+name, "%d openings are called %q", len(found), name[:dot])
	default:
		return r.part(v, found[0], name[dot+1:])
	}
	return nowhere
}

// part finds a place of its owner.
func (r *reader) part(v document.Value, of owner, name string) Place {
	w := r.out.House.Walls[of.wall]
	ring, low, high := w.Outline, "base", "top"
	if of.opening >= 0 {
		ring, low, high = w.Openings[of.opening].Outline, "sill", "head"
	}
	if len(ring) == 0 {
		return nowhere
	}
	at := func(axis int, l measure.Length) Place { return Place{of.wall, of.opening, axis, l} }
	box := ring.Box()
	switch name {
	case "left":
		return at(0, box.Min.X)
	case "right":
		return at(0, box.Max.X)
	case low:
		return at(1, box.Min.Y)
	case high:
		return at(1, box.Max.Y)
	}
	if e, ok := edgeNumber(name); ok && of.opening < 0 && e < len(ring) {
		return r.onEdge(v, of, ring, e)
	}
	for axis, kind := range [2]string{"across", "height"} {
		if k, ok := numbered(name, kind); ok && k < len(ring) {
			return at(axis, coordinate(ring[k], axis))
		}
	}
	mend := "write left, right, " + low + " or " + high
	if of.opening < 0 {
		mend += ", or edge[0] for a level or an upright edge, across[0] or height[0] for a corner"
	}
	v.Errorf(mend, "%q is no place of %q", name, strings.TrimSuffix(v.ID(), "."+name))
	return nowhere
}

// onEdge is where an upright edge stands, or how high a level one lies.
func (r *reader) onEdge(v document.Value, of owner, ring plane.Ring, e int) Place {
	a, b := ring[e], ring[(e+1)%len(ring)]
	switch {
	case a.X == b.X:
		return Place{of.wall, of.opening, 0, a.X}
	case a.Y == b.Y:
		return Place{of.wall, of.opening, 1, a.Y}
	}
	v.Errorf("name an edge that is level or upright", "edge[%d] slants", e)
	return nowhere
}

// edgeNumber reads "edge[2]".
func edgeNumber(name string) (int, bool) { return numbered(name, "edge") }

// numbered reads a kind's name with a number in brackets.
func numbered(name, kind string) (int, bool) {
	digits, ok := strings.CutPrefix(name, kind+"[")
	digits, closed := strings.CutSuffix(digits, "]")
	e, err := strconv.Atoi(digits)
	return e, ok && closed && err == nil && e >= 0 && strconv.Itoa(e) == digits
}
