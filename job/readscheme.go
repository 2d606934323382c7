package job

import (
	"slices"

	"coilwright/document"
	"coilwright/house"
	"coilwright/scheme"
)

func (r *reader) schemes(v document.Value) {
	list := v.List()
	if v.IsList() && len(list) == 0 {
		v.Errorf("add a scheme", "the job has no schemes")
	}
	seen := newIDs("scheme")
	for i, s := range list {
		r.out.Schemes = append(r.out.Schemes, r.scheme(s, i, seen))
	}
}

func (r *reader) scheme(v document.Value, i int, seen ids) scheme.Scheme {
	o := v.Object(schemeFields)
	s := scheme.Scheme{ID: seen.take(o, i, true), Title: o.Get("title").Text()}
	s.Frieze = o.Get("frieze").Length(document.Depth)
	s.TrimColour = r.bookID(o.Get("trim_colour"), "colour", r.colourIDs())
	s.Datum = r.datum(o.Get("datum"))
	zones := map[string]bool{}
	for j, z := range o.Need("zones").List() {
		zone := r.zone(z, j)
		if zones[zone.ID] {
			z.Warnf("give each zone of a scheme an id of its own", "the id %q stands twice in this scheme", zone.ID)
		}
		zones[zone.ID] = true
		s.Zones = append(s.Zones, zone)
	}
	return s
}

// datum reads one height or {"between": [low, high]}.
func (r *reader) datum(v document.Value) scheme.Datum {
	if !v.IsObject() {
		d := v.Length(document.Anywhere)
		return scheme.Datum{Low: d, High: d}
	}
	between := v.Object(datumFields).Need("between")
	a, b := between.Pair()
	d := scheme.Datum{Low: a.Length(document.Anywhere), High: b.Length(document.Anywhere)}
	if d.Low > d.High {
		between.Errorf("write the lower height first", "the range of the datum ends below its beginning")
	}
	return d
}

// zone reads one zone. Without texture or colour it has the book's first.
func (r *reader) zone(v document.Value, j int) scheme.Zone {
	o := v.Object(zoneFields)
	z := scheme.Zone{ID: newIDs("zone").take(o, j, false), Balance: scheme.Even}
	z.Walls = r.zoneWalls(o.Get("walls"))
	z.Where = r.where(o.Get("where"))
	z.Panel = r.bookID(o.Need("panel"), "panel", r.panelIDs())
	z.Texture = r.bookID(o.Get("texture"), "texture", r.out.Book.Textures)
	if z.Texture == "" && len(r.out.Book.Textures) > 0 {
		z.Texture = r.out.Book.Textures[0]
	}
	z.Colour = r.bookID(o.Get("colour"), "colour", r.colourIDs())
	if z.Colour == "" && len(r.out.Book.Colours) > 0 {
		z.Colour = r.out.Book.Colours[0].ID
	}
	if t := o.Get("thickness"); t.Present() {
		z.Thickness = t.Length(thicknesses)
	}
	z.Start = scheme.Start(o.Get("start").OneOf("start of a zone", startNames))
	if b := o.Get("balance"); b.Present() {
		z.Balance = scheme.Balance(b.OneOf("balance of a vertical zone", balanceNames))
	}
	return z
}

// bookID reads a name that the book must hold; nothing is found wrong with it
// where the book itself could not be read.
func (r *reader) bookID(v document.Value, what string, known []string) string {
	id := v.ID()
	if id == "" || !r.booked || slices.Contains(known, id) {
		return id
	}
	return v.OneOf(what+" of the shop's book", known)
}

func (r *reader) panelIDs() []string {
	var out []string
	for _, p := range r.out.Book.Panels {
		out = append(out, p.ID)
	}
	return out
}

func (r *reader) colourIDs() []string {
	var out []string
	for _, c := range r.out.Book.Colours {
		out = append(out, c.ID)
	}
	return out
}

// zoneWalls reads "all" or a list of wall ids.
func (r *reader) zoneWalls(v document.Value) []int {
	walls := r.out.House.Walls
	var out []int
	if !v.IsList() {
		if v.Present() {
			v.OneOf("set of walls", []string{"all"})
		}
		for i := range walls {
			out = append(out, i)
		}
		return out
	}
	place, known := make(map[string]int, len(walls)), make([]string, len(walls))
	for i, w := range walls {
		place[w.ID], known[i] = i, w.ID
	}
	for _, e := range v.List() {
		if !e.Present() {
			e.Errorf("write a wall's id", "null stands where a wall's id should")
		}
		id := e.ID()
		i, ok := place[id]
		switch {
		case ok && slices.Contains(out, i):
			e.Warnf("take it away", "the wall %q stands twice in this list", id)
		case ok:
			out = append(out, i)
		case id != "" && r.lettered:
			e.OneOf("wall of this house", known)
		}
	}
	slices.Sort(out)
	return out
}

// where reads a zone's place; without one it is the rest.
func (r *reader) where(v document.Value) scheme.Where {
	if !v.Present() {
		return scheme.Where{Kind: scheme.Rest}
	}
	if v.IsText() {
		return scheme.Where{Kind: scheme.WhereKind(v.OneOf("place of a zone", []string{"gable", "rest"}))}
	}
	before := r.found.Errors()
	o := v.Object(whereFields)
	var w scheme.Where
	count := 0
	for _, kind := range []scheme.WhereKind{scheme.Below, scheme.Above, scheme.Outline} {
		if !o.Has(string(kind)) {
			continue
		}
		count++
		w.Kind = kind
		if kind == scheme.Outline {
			w.Ring, _ = r.ring(o.Get("outline"), house.Unstated)
		} else {
			w.Height = o.Get(string(kind)).Length(document.Anywhere)
		}
	}
	if v.IsObject() && count != 1 && r.found.Errors() == before {
		v.Errorf(`write {"below": L}, {"above": L}, {"outline": [...]}, "gable" or "rest"`, "a zone's place is one of below, above and outline")
	}
	return w
}
