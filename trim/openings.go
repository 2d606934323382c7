package trim

import (
	"cmp"
	"math"
	"slices"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
)

// bent is the turn, in degrees, up to which J-channel and drip cap are bent on
// around a corner of an opening (the chords of an arch); a sharper corner is
// mitred (assumed).
const bent = 30

// sharp says whether the outline turns by more than bent at corner i.
func sharp(r plane.Ring, i int) bool {
	n := len(r)
	in, out := r[i].Sub(r[(i+n-1)%n]), r[(i+1)%n].Sub(r[i])
	along := plane.Dot(in, out)
	return along <= 0 || math.Abs(plane.Cross(in, out)) > along*math.Tan(bent*math.Pi/180)
}

// aroundOpenings counts J-channel, finish trim and drip cap of each opening of a
// wall. Edges that touch another opening or the wall's outline have no cladding
// beside them, so nothing stands there.
func (t *bill) aroundOpenings(wall int) {
	borders := t.walls[wall]
	for len(borders) > 0 {
		first := borders[0]
		n := slices.IndexFunc(borders, func(b border) bool {
			return b.of.thing != first.of.thing || b.of.index != first.of.index
		})
		if n < 0 {
			n = len(borders)
		}
		if first.of.thing == openingEdge {
			t.aroundOpening(wall, first.of.index, borders[:n])
		}
		borders = borders[n:]
	}
}

func (t *bill) aroundOpening(wall, opening int, borders []border) {
	o := t.h.Walls[wall].Openings[opening]
	ring := o.Outline.Reversed()
	kinds := map[Kind][]border{}
	for _, b := range borders {
		if k := t.besideOpening(ring, b); k != noTrim {
			kinds[k] = append(kinds[k], b)
		}
		if capped(o.Kind) && b.of.facesDown() {
			kinds[DripCap] = append(kinds[DripCap], b)
		}
	}
	for _, k := range []Kind{Channel, DripCap, Finish} {
		if len(kinds[k]) == 0 {
			continue
		}
		face := measure.Length(0)
		if k == Channel {
			face = max(t.b.Trim.JFace, 0)
		}
		t.add(k, wall, t.name(wall, borders[0]), members(ring, kinds[k], face)...).Opening = opening + 1
	}
}

// besideOpening is the trim beside one edge of an opening. A frieze board needs
// none. A sill takes finish trim where horizontal panels end under it on a level
// edge between true corners; all else takes J-channel.
func (t *bill) besideOpening(ring plane.Ring, b border) Kind {
	if b.zone == noZone {
		return noTrim
	}
	corners := sharp(ring, b.of.edge) && sharp(ring, (b.of.edge+1)%len(ring))
	if b.of.facesUp() && b.of.level() && corners && !upright(t.l.Zones[b.zone]) {
		return Finish
	}
	return Channel
}

// capped says which openings have a head that wants a drip cap.
func capped(k house.OpeningKind) bool {
	return k == house.Window || k == house.Door || k == house.GarageDoor
}

// members joins borders along a ring into the lengths that are cut: a stretch runs
// on over zones and around bent corners; where two meet at a sharp corner they are
// mitred, which takes one more face, on the more level of the two ("top over
// sides").
func members(ring plane.Ring, borders []border, face measure.Length) []measure.Length {
	bs := unionAlong(borders)
	n := len(ring)
	runs := make([]measure.Length, 0, len(bs))
	for i, b := range bs {
		if i > 0 && meets(n, bs[i-1], b) {
			if !sharp(ring, b.of.edge) {
				runs[len(runs)-1] += b.length()
				continue
			}
			runs = append(runs, b.length())
			mitre(runs, len(runs)-2, len(runs)-1, bs[i-1].of, b.of, face)
			continue
		}
		runs = append(runs, b.length())
	}
	if last := len(bs) - 1; last > 0 && meets(n, bs[last], bs[0]) {
		switch {
		case sharp(ring, bs[0].of.edge):
			mitre(runs, len(runs)-1, 0, bs[last].of, bs[0].of, face)
		case len(runs) > 1:
			runs[0] += runs[len(runs)-1]
			runs = runs[:len(runs)-1]
		}
	}
	return runs
}

// mitre adds a face to run a or run b, whichever lies on the more level edge.
func mitre(runs []measure.Length, a, b int, onA, onB source, face measure.Length) {
	if steepness(onA) < steepness(onB) {
		runs[a] += face
	} else {
		runs[b] += face
	}
}

func steepness(s source) float64 {
	d := s.to.Sub(s.from)
	return math.Atan2(math.Abs(float64(d.Y)), math.Abs(float64(d.X)))
}

// meets says that b begins at the corner where a ends.
func meets(n int, a, b border) bool {
	return (a.of.edge+1)%n == b.of.edge && b.low <= rounding && a.of.length()-a.high <= rounding
}

// unionAlong joins the stretches of different zones along each edge of a ring.
func unionAlong(borders []border) []border {
	bs := slices.Clone(borders)
	slices.SortFunc(bs, func(a, b border) int {
		return cmp.Or(cmp.Compare(a.of.edge, b.of.edge), cmp.Compare(a.low, b.low))
	})
	out := bs[:0]
	for _, b := range bs {
		if n := len(out); n > 0 && out[n-1].of.edge == b.of.edge && b.low-out[n-1].high <= rounding {
			out[n-1].high = max(out[n-1].high, b.high)
			continue
		}
		out = append(out, b)
	}
	return out
}
