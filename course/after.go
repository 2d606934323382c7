package course

import (
	"cmp"
	"fmt"
	"math/big"
	"reflect"
	"slices"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/problem"
	"coilwright/scheme"
)

// kept is what a layout leaves for the next one of nearly the same house.
type kept struct {
	in    Input
	walls []*walled
}

// walled is one wall's part of a layout, but for its pieces. It follows from the wall,
// the scheme and the book alone; nobody changes it once the layout stands.
type walled struct {
	face    face
	onDatum []share
	scores  map[measure.Length]Score // of the heights that were looked at
	laid    *laid                    // nil where the heights alone were wanted
}

// laid is what hangs on one wall. Indexes of pieces count from the wall's own first.
type laid struct {
	raw    bool
	datum  measure.Length
	zones  []ZoneOnWall
	pieces []Piece
	found  problem.List
}

// divide gives every zone its region on every wall, taken over where the layout
// before has it, and says which zones take nothing and which walls stay bare.
func (l *layer) divide(before *Layout) (problem.List, error) {
	l.old = before.stayed(l.in)
	for i, w := range l.in.House.Walls {
		out := &walled{scores: map[measure.Length]Score{}}
		if old := l.old[i]; old != nil {
			out.face, out.onDatum = old.face, old.onDatum
		} else {
			var err error
			if out.face, err = divideWall(w, i, l.in.Scheme); err != nil {
				return nil, fmt.Errorf("wall %s: %w", w.ID, err)
			}
			out.onDatum = l.findOnDatum(out.face)
		}
		l.walls = append(l.walls, out)
	}
	return untaken(l.in.House, l.in.Scheme, l.walls), nil
}

// stayed gives, for each wall of a house, its part of a layout if that still holds.
func (l *Layout) stayed(in Input) []*walled {
	out := make([]*walled, len(in.House.Walls))
	if l == nil || l.kept == nil || !l.kept.goesFor(in) {
		return out
	}
	for i := range min(len(out), len(l.kept.walls)) {
		if sameWall(&l.kept.in.House.Walls[i], &in.House.Walls[i]) {
			out[i] = l.kept.walls[i]
		}
	}
	return out
}

// goesFor says whether all but the walls and the datum's range is as it was.
func (k *kept) goesFor(in Input) bool {
	a, b := k.in.Scheme, in.Scheme
	a.Datum, b.Datum = scheme.Datum{}, scheme.Datum{}
	return k.in.Units == in.Units && sameRat(k.in.InstallF, in.InstallF) &&
		reflect.DeepEqual(a, b) && (k.in.Book == in.Book || reflect.DeepEqual(k.in.Book, in.Book))
}

func sameRat(a, b *big.Rat) bool {
	return a == b || a != nil && b != nil && a.Cmp(b) == 0
}

// sameWall compares what a layout follows from; where a wall faces, how far its roof
// hangs over and what was found plumb is not looked at.
func sameWall(a, b *house.Wall) bool {
	return a.ID == b.ID && a.Measured == b.Measured && a.Over == b.Over && slices.Equal(a.Outline, b.Outline) &&
		slices.Equal(a.Edges, b.Edges) && slices.Equal(a.Readings, b.Readings) &&
		slices.EqualFunc(a.Openings, b.Openings, func(o, p house.Opening) bool {
			return o.ID == p.ID && o.Kind == p.Kind && o.Measured == p.Measured && slices.Equal(o.Outline, p.Outline) && slices.Equal(o.Readings, p.Readings)
		})
}

// untaken warns of zones that take nothing and of walls that stay bare. The place of
// a zone is given within its scheme, as zones[k]; whoever knows the scheme's own
// place puts it before.
func untaken(h house.House, s scheme.Scheme, walls []*walled) (found problem.List) {
	took := make([]bool, len(s.Zones))
	for i, w := range walls {
		for _, sh := range w.face.shares {
			took[sh.zone] = true
		}
		if a := w.face.bare.Area().SquareFeet(); a > 1e-6 {
			found.Warnf(fmt.Sprintf("$.house.walls[%d]", i), `let a zone with "where": "rest" take it, if it is to be clad`,
				"scheme %s leaves %.2f sq ft of wall %s without a zone", s.ID, a, h.Walls[i].ID)
		}
	}
	for k, ok := range took {
		if !ok {
			found.Warnf(fmt.Sprintf("zones[%d]", k), "change its walls or its where, or leave it out",
				"zone %s covers nothing", s.Zones[k].ID)
		}
	}
	return found
}

// wall lays one wall out, or takes over what hung on it, laid in the same way from the
// same datum.
func (l *layer) wall(i int) error {
	w := l.walls[i]
	if old := l.old[i]; old != nil && old.laid != nil && old.laid.raw == l.raw && old.laid.datum == l.out.Datum.Datum {
		w.laid = old.laid
		return nil
	}
	err := l.face(w.face)
	w.laid = l.now
	return err
}

// collect puts the walls' pieces together, in hanging order.
func (l *layer) collect() {
	n, zones := 0, 0
	for _, w := range l.walls {
		n, zones = n+len(w.laid.pieces), zones+len(w.laid.zones)
	}
	l.out.Pieces, l.out.Zones = make([]Piece, 0, n), make([]ZoneOnWall, 0, zones)
	for _, w := range l.walls {
		if len(w.face.frieze) > 0 {
			l.out.Friezes = append(l.out.Friezes, FriezeOnWall{w.face.wall, w.face.frieze})
		}
		for _, z := range w.laid.zones {
			z.Pieces = counted(z.Pieces, len(l.out.Pieces))
			l.out.Zones = append(l.out.Zones, z)
		}
		l.out.Pieces = append(l.out.Pieces, w.laid.pieces...)
		l.out.Problems = append(l.out.Problems, w.laid.found...)
	}
}

// counted gives a wall's pieces the indexes that they have among all.
func counted(own []int, first int) []int {
	if first == 0 || own == nil {
		return own
	}
	out := make([]int, len(own))
	for i, n := range own {
		out[i] = n + first
	}
	return out
}

func (l *layer) keep() { l.out.kept = &kept{l.in, l.walls} }

// Stayed says whether a layout took a wall's pieces over from the one before.
func (l *Layout) Stayed(before *Layout, wall int) bool {
	if l.kept == nil || before == nil || before.kept == nil || wall < 0 || wall >= min(len(l.kept.walls), len(before.kept.walls)) {
		return false
	}
	laid := l.kept.walls[wall].laid
	return laid != nil && laid == before.kept.walls[wall].laid
}

// PiecesOf gives the stretch [from, to) of a layout's pieces that hangs on a wall.
func (l *Layout) PiecesOf(wall int) (from, to int) {
	find := func(w int) int {
		i, _ := slices.BinarySearchFunc(l.Pieces, w, func(p Piece, w int) int { return cmp.Compare(p.Wall, w) })
		return i
	}
	return find(wall), find(wall + 1)
}
