package job

import (
	"math"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/photo"
	"coilwright/plane"
)

// photoNumber is a number on its way into the job file.
type photoNumber struct {
	at    measure.Length
	known house.Pedigree // PlusMinus 0: it is so by how walls are drawn, not measured
}

// number rounds a measured size no finer than is known of it.
func (d *photoDrawer) number(s photo.Size) photoNumber {
	step := stepOf(s, d.units)
	plusMinus := measure.FromInches(math.Max(0, s.PlusMinus())).CeilTo(step)
	if s.Sigma == 0 {
		plusMinus = 0
	}
	return photoNumber{measure.FromInches(s.Value).RoundTo(step), house.Pedigree{By: house.Photo, PlusMinus: plusMinus}}
}

func (n photoNumber) text(u measure.Units) string {
	if n.known.PlusMinus > 0 {
		return n.at.Text(u) + " ± " + n.known.PlusMinus.Text(u)
	}
	return n.at.Text(u)
}

// value is the number as a job file holds it, with its own pedigree.
func (n photoNumber) value(u measure.Units) any {
	text := n.at.Text(u)
	if n.at == 0 {
		text = "0"
	}
	if n.known.PlusMinus == 0 {
		return text
	}
	return map[string]any{"length": text, "measured": pedigreeText(n.known, u)}
}

func pedigreeText(p house.Pedigree, u measure.Units) map[string]any {
	out := map[string]any{"by": string(p.By)}
	if p.PlusMinus > 0 {
		out["plus_minus"] = p.PlusMinus.Text(u)
	}
	return out
}

func (d *photoDrawer) written(numbers [][2]photoNumber) []any {
	var out []any
	for _, n := range numbers {
		out = append(out, []any{n[0].value(d.units), n[1].value(d.units)})
	}
	return out
}

func ringOf(numbers [][2]photoNumber) plane.Ring {
	var out plane.Ring
	for _, n := range numbers {
		out = append(out, plane.Point{X: n[0].at, Y: n[1].at})
	}
	return out
}

// leastSlope is from which rise over run an edge counts as a rake: below it water
// does not run off, so it was level when it was built (1/2 in 12; common practice,
// no source).
const leastSlope = 0.5 / 12

// EdgeWords says what each edge of a measured wall looks like, in the trade's words.
func EdgeWords(w photo.Wall) []house.EdgeKind {
	out := make([]house.EdgeKind, len(w.Corners))
	for k, a := range w.Corners {
		b := w.Corners[(k+1)%len(w.Corners)]
		dx, dy := b[0].Value-a[0].Value, b[1].Value-a[1].Value
		switch {
		case math.Abs(dy) > 4*math.Abs(dx): // plumb, or it leans as the photo's noise makes it
			out[k] = house.OutsideCorner
		case dx > 0:
			out[k] = house.Base
		case math.Abs(dy) < leastSlope*math.Abs(dx):
			out[k] = house.Eave
		default:
			out[k] = house.Rake
		}
	}
	return out
}

// edgeKinds are the kinds of a new wall's edges; where two walls meet at an inside
// corner on the photo, theirs are that.
func edgeKinds(s Solved, w photo.Wall) []house.EdgeKind {
	out := EdgeWords(w)
	for _, p := range s.Photos {
		for _, c := range p.Marks.Corners {
			for _, edge := range c.Between {
				if e := namedEdge(w, out, edge); e >= 0 && !c.Outside {
					out[e] = house.InsideCorner
				}
			}
		}
	}
	return out
}

// namedEdge finds the upright edge that "south.right" or ".left" names, -1 where it
// is of another wall.
func namedEdge(w photo.Wall, kinds []house.EdgeKind, name string) int {
	best := -1
	for e, kind := range kinds {
		a, b := w.Corners[e], w.Corners[(e+1)%len(w.Corners)]
		rises := b[1].Value > a[1].Value
		if kind != house.OutsideCorner && kind != house.InsideCorner {
			continue
		}
		outer := best < 0 || a[0].Value > w.Corners[best][0].Value
		if name == w.ID+".right" && rises && outer || name == w.ID+".left" && !rises && (best < 0 || !outer) {
			best = e
		}
	}
	return best
}
