package photo

import (
	"errors"
	"math"
	"slices"

	"coilwright/adjust"
)

// What is taken for granted about marks and cameras, each one standard deviation.
// All are common experience, no source, unless noted; photos and marks that
// contradict them say so in their residuals.
const (
	// MarkSigma is how well a person marks a corner when zoomed in, in pixels.
	MarkSigma = 1.0
	// statedFocal is the relative error of a focal length stated in pixels.
	statedFocal = 0.005
	// unknownFocal is the spread of focal lengths, as the logarithm, where none is
	// stated, about usualFocal times the picture's diagonal (a 28 mm lens on 43 mm).
	unknownFocal, usualFocal = 0.3, 0.65
	// centre is how far the optical axis misses the picture's middle, relative to
	// its longer side.
	centre = 0.003
	// bend1 and bend2 are the spread of k1 and k2: phones straighten their
	// pictures, to one percent or so at the corners.
	bend1, bend2 = 0.02, 0.01
	// bentLens is the spread of k1 where a person marks straight edges, as one does
	// where they are seen to bend.
	bentLens = 0.1
	// edgeSigma is how far off an edge a person marks, in pixels: any place along it
	// will do, so only one direction needs care.
	edgeSigma = 0.5
	// outOfPlumb is how far, in radians, edges of walls that look plumb or level
	// are off: an eighth of an inch in ten feet.
	outOfPlumb = 0.06 * math.Pi / 180
	// outOfSquare is the same for corners that a person says are square.
	outOfSquare = 0.3 * math.Pi / 180
	// closing is how far off, in inches, one place of two walls may come out: only
	// so that it has a weight.
	closing = 0.01
)

// Solve finds cameras, walls and sizes from the marks of one or more photos of
// one house: all marks of all photos in one least-squares adjustment (a bundle
// adjustment; Triggs and others, 2000), from a start by vanishing directions.
// Errors are *MarksError.
func Solve(photos ...Marks) (Solution, error) {
	if len(photos) == 0 {
		return Solution{}, wrong(0, "photo", "mark a photo", "there is no photo")
	}
	m, err := build(photos)
	if err != nil {
		return Solution{}, err
	}
	best := fitted{cost: math.Inf(1)}
	err = nil
	for _, lenses := range lensGuesses(photos) {
		f, failed := m.fit(lenses)
		if failed != nil {
			err = failed
		} else if f.cost < best.cost*(1-1e-9) {
			best = f
		}
	}
	if math.IsInf(best.cost, 1) {
		return Solution{}, err
	}
	return m.solution(best), nil
}

// lensGuesses are the lenses to start from: one where focal lengths are stated,
// several where one is not.
func lensGuesses(photos []Marks) [][]Lens {
	factors := []float64{1}
	for _, m := range photos {
		if m.Focal == 0 {
			factors = []float64{1, 0.7, 1.5, 2.2}
		}
	}
	var out [][]Lens
	for _, f := range factors {
		var lenses []Lens
		for _, m := range photos {
			l := Lens{Focal: m.Focal, CX: float64(m.Width) / 2, CY: float64(m.Height) / 2}
			if m.Focal == 0 {
				l.Focal = f * usualFocal * math.Hypot(float64(m.Width), float64(m.Height))
			}
			lenses = append(lenses, l)
		}
		out = append(out, lenses)
	}
	return out
}

// edge is an outline's edge that is taken for plumb or level.
type edge struct {
	wall, index int
	a, b        int // vertices
	plumb       bool
}

// fitted is the end of one least-squares adjustment.
type fitted struct {
	state  state
	number numbering
	fit    adjust.Fit
	rows   []adjust.Row
	edges  []edge
	cost   float64
}

// fit adjusts from one guess of the lenses. Edges that look plumb or level are
// taken so until the marks say otherwise.
func (m model) fit(lenses []Lens) (fitted, error) {
	start, err := m.guess(lenses)
	if err != nil {
		return fitted{}, err
	}
	edges := m.lookTrue(start)
	for {
		f, err := m.adjusted(start, edges)
		if err != nil {
			return fitted{}, err
		}
		i := m.worstEdge(f)
		if i < 0 {
			return f, nil
		}
		edges = slices.Delete(slices.Clone(edges), i, i+1)
		start = f.state
	}
}

// lookTrue finds the edges of outlines that look plumb or level: within 8 degrees
// on the first guess, which is no better. The adjustment then tests each.
func (m model) lookTrue(s state) []edge {
	const near = 0.14
	var out []edge
	for wi, w := range m.walls {
		for i, a := range w.outline {
			b := w.outline[(i+1)%len(w.outline)]
			p, q := m.vertices[a], m.vertices[b]
			dx, dy := math.Abs(s.x[p.x]-s.x[q.x]), math.Abs(s.y[p.y]-s.y[q.y])
			switch {
			case w.free:
			case p.x != q.x && dx < near*dy:
				out = append(out, edge{wi, i, a, b, true})
			case p.y != q.y && dy < near*dx:
				out = append(out, edge{wi, i, a, b, false})
			}
		}
	}
	return out
}

// critical is Baarda's bound for a standardised residual (1968).
const critical = 3.29

// checkedEdge is the redundancy below which an edge taken for true is not let go: its
// lean would have to be over a hundred times what is left over of it to explain that,
// some degrees at least, and marks or lens being a little off are likelier. Let go, it
// would take what the photo's lens is known by along.
const checkedEdge = 0.01

// worstEdge is the edge taken for true that the marks contradict most; -1 where
// they contradict none, or a known length more: then the tape is the likelier blunder,
// and an edge let go would hide it.
func (m model) worstEdge(f fitted) int {
	worst, most := -1, critical
	for _, row := range m.lengthRows(f) {
		most = max(most, standardised(f, row))
	}
	for i := range f.edges {
		row := f.rows[i] // edges stand first
		if w := standardised(f, row); w > most && redundancy(f, row) >= checkedEdge {
			worst, most = i, w
		}
	}
	return worst
}

// lengthRows are the rows of the known lengths, in the order of m.lengths.
func (m model) lengthRows(f fitted) []adjust.Row {
	after := len(m.square) + 2*len(m.meet)
	return f.rows[len(f.rows)-after-len(m.lengths) : len(f.rows)-after]
}

func (m model) adjusted(start state, edges []edge) (fitted, error) {
	n := newNumbering(m, start.lines)
	rows := func(s state) []adjust.Row { return m.rows(n, s, edges) }
	end, fit, err := adjust.Nonlinear(adjust.Model[state]{Unknowns: n.count, Rows: rows, Move: n.move}, start)
	var open *adjust.UndeterminedError
	switch {
	case errors.As(err, &open):
		return fitted{}, m.open(n, open.Unknowns)
	case err != nil:
		return fitted{}, wrong(0, "points", "look at each mark again: each on its own corner, outlines counter-clockwise", "no camera can see these marks as walls")
	}
	f := fitted{end, n, fit, rows(end), edges, 0}
	f.cost = adjust.SquareSum(f.rows)
	return f, nil
}

// open says in a person's words which unknowns the marks leave open.
func (m model) open(n numbering, unknowns []int) error {
	for i, w := range m.walls {
		if i > 0 && (slices.Contains(unknowns, n.turn[i]) || n.origin[i] >= 0 && slices.Contains(unknowns, n.origin[i])) {
			return wrong(w.photo, "walls."+w.id, "measure a length on it from the ground, or mark the corner that it shares with a measured wall",
				"its place is not settled by the marks")
		}
	}
	return wrong(0, "walls", "mark another window or door, or measure one more length", "the marks do not settle camera and walls")
}

// rows are all equations at a state: edges first, then marks in the order of
// m.seen (two each), then the rest.
func (m model) rows(n numbering, s state, edges []edge) []adjust.Row {
	frames := m.frames(n, s)
	rows := make([]adjust.Row, 0, len(edges)+2*len(m.seen)+8*len(m.photos)+len(m.lengths))
	for _, e := range edges {
		rows = append(rows, m.edgeRow(n, s, e))
	}
	for _, k := range m.seen {
		p := m.vertex(n, s, frames, k.vertex)
		two := sightings(s.cams[k.photo], perCamera*k.photo, p, k.at, MarkSigma)
		rows = append(rows, two[0], two[1])
	}
	for i, l := range s.lines {
		rows = append(rows, straightRows(s.cams[l.photo], perCamera*l.photo, n.lines[i], l, edgeSigma)...)
	}
	for p := range m.photos {
		rows = append(rows, lensRows(m.photos[p], s.cams[p].Lens, perCamera*p+ofLens)...)
	}
	for _, l := range m.lengths {
		a, b := m.vertex(n, s, frames, l.a), m.vertex(n, s, frames, l.b)
		rows = append(rows, lengthRow(a, b, l.inches, l.sigma))
	}
	for _, k := range m.meet {
		a, b := m.vertex(n, s, frames, k.a), m.vertex(n, s, frames, k.b)
		rows = append(rows, differ(a, b, Vec{X: 1}), differ(a, b, Vec{Y: 1}))
	}
	for _, pair := range m.square {
		rows = append(rows, squareRow(n, s, pair))
	}
	return rows
}

// edgeRow says that an edge is plumb or level: run over rise is nothing.
func (m model) edgeRow(n numbering, s state, e edge) adjust.Row {
	p, q := m.vertices[e.a], m.vertices[e.b]
	off, long := s.x[q.x]-s.x[p.x], s.y[q.y]-s.y[p.y]
	offAt, longAt := [2]int{n.x[p.x], n.x[q.x]}, [2]int{n.y[p.y], n.y[q.y]}
	if !e.plumb {
		off, long, offAt, longAt = long, off, longAt, offAt
	}
	if long == 0 {
		long = 1e-9 // an edge of no length: any slope fits it
	}
	row := adjust.Row{Value: -off / long, Sigma: outOfPlumb}
	for k, sign := range [2]float64{-1, 1} {
		if offAt[k] >= 0 {
			row.Terms = append(row.Terms, adjust.Term{At: offAt[k], By: sign / long})
		}
		if longAt[k] >= 0 {
			row.Terms = append(row.Terms, adjust.Term{At: longAt[k], By: -sign * off / (long * long)})
		}
	}
	return row
}

// lensRows say what is known of a lens beforehand.
func lensRows(m Marks, l Lens, base int) []adjust.Row {
	focal, sigma := m.Focal, m.FocalSigma/max(m.Focal, 1e-9)
	switch {
	case focal == 0:
		focal, sigma = usualFocal*math.Hypot(float64(m.Width), float64(m.Height)), unknownFocal
	case sigma == 0:
		sigma = statedFocal
	}
	bend := bend1
	if len(m.Straight) > 0 {
		bend = bentLens
	}
	off := centre * float64(max(m.Width, m.Height))
	known := func(k int, value, sigma float64) adjust.Row {
		return adjust.Row{Terms: []adjust.Term{{At: base + k, By: 1}}, Value: value, Sigma: sigma}
	}
	return []adjust.Row{
		known(0, math.Log(focal/l.Focal), sigma),
		known(1, float64(m.Width)/2-l.CX, off), known(2, float64(m.Height)/2-l.CY, off),
		known(3, -l.K1, bend), known(4, -l.K2, bend2),
	}
}

// lengthRow says how far apart two places are.
func lengthRow(a, b place, inches, sigma float64) adjust.Row {
	d := b.at.Sub(a.at)
	long := d.Len()
	row := adjust.Row{Value: inches - long, Sigma: sigma}
	if long > 0 {
		row.Terms = difference(a, b, d.Scale(1/long))
	}
	return row
}

// differ says that two places are one, along one direction.
func differ(a, b place, way Vec) adjust.Row {
	return adjust.Row{Terms: difference(a, b, way), Value: -way.Dot(b.at.Sub(a.at)), Sigma: closing}
}

// difference gives the terms of b - a along a direction.
func difference(a, b place, way Vec) []adjust.Term {
	var out []adjust.Term
	for _, d := range b.slope {
		out = append(out, adjust.Term{At: d.unknown, By: way.Dot(d.by)})
	}
	for _, d := range a.slope {
		out = append(out, adjust.Term{At: d.unknown, By: -way.Dot(d.by)})
	}
	return out
}

// squareRow says that two walls stand at a right angle.
func squareRow(n numbering, s state, pair [2]int) adjust.Row {
	turn := s.turn[pair[1]] - s.turn[pair[0]]
	row := adjust.Row{Value: math.Remainder(math.Pi/2-turn, math.Pi), Sigma: outOfSquare}
	for k, sign := range [2]float64{-1, 1} {
		if at := n.turn[pair[k]]; at >= 0 {
			row.Terms = append(row.Terms, adjust.Term{At: at, By: sign})
		}
	}
	return row
}
