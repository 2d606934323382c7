package course

import (
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/steel"
)

// run is a stretch of a ring's edges that belong to one opening.
type run struct {
	opening int
	edges   []plane.Edge
	bites   bool // has a head or a sill: it is cut out of the piece's height
}

// runs finds the stretches of opening edges along an outer ring.
func runs(r plane.TaggedRing, o *outline) []run {
	n := len(r.Points)
	opening := func(i int) int {
		b, ok := o.at(r.Tags[i%n])
		if !ok {
			return -1
		}
		return b.opening
	}
	start := 0
	for start < n && opening(start) >= 0 && opening(start) == opening(start+n-1) {
		start++
	}
	var out []run
	for i := start; i < start+n; i++ {
		k := opening(i)
		if k < 0 {
			continue
		}
		if i == start || opening(i-1) != k {
			out = append(out, run{opening: k})
		}
		b, _ := o.at(r.Tags[i%n])
		last := &out[len(out)-1]
		last.edges = append(last.edges, r.Edge(i%n))
		last.bites = last.bites || b.receiver != steel.OpeningSide
	}
	return out
}

// notch describes a run as a cut-out, in the piece's own coordinates; a run that
// is only the piece's square end is none.
func (u run) notch(part plane.Part, at plane.Point, w house.Wall) (Notch, bool) {
	if len(u.edges) == 1 {
		e, box := u.edges[0], part.Outer.Points.Box()
		if e.From.X == e.To.X && (e.From.X == box.Min.X || e.From.X == box.Max.X) {
			return Notch{}, false
		}
		if e.From.Y == e.To.Y && (e.From.Y == box.Min.Y || e.From.Y == box.Max.Y) {
			return Notch{}, false
		}
	}
	points := plane.Ring{u.edges[0].From}
	square := true
	for _, e := range u.edges {
		points = append(points, e.To)
		square = square && (e.From.X == e.To.X || e.From.Y == e.To.Y)
	}
	b := points.Box()
	return Notch{
		Box:     plane.Box{Min: b.Min.Sub(at), Max: b.Max.Sub(at)},
		Opening: w.Openings[u.opening].ID,
		Square:  square && len(u.edges) <= 3,
	}, b.Width() > measure.Nanometre && b.Height() > measure.Nanometre
}

func holeNotch(h plane.TaggedRing, o *outline, at plane.Point, w house.Wall) Notch {
	b := h.Points.Box()
	n := Notch{Box: plane.Box{Min: b.Min.Sub(at), Max: b.Max.Sub(at)}, Inside: true, Square: len(h.Points) == 4}
	for i, t := range h.Tags {
		e := h.Edge(i)
		n.Square = n.Square && (e.From.X == e.To.X || e.From.Y == e.To.Y)
		if k, ok := o.at(t); ok && k.opening >= 0 {
			n.Opening = w.Openings[k.opening].ID
		}
	}
	return n
}
