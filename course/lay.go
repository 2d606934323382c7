package course

import (
	"fmt"
	"math/big"
	"slices"

	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
)

// Input is what a layout follows from.
type Input struct {
	House    house.House
	Scheme   scheme.Scheme
	Book     *steel.Book
	Units    measure.Units
	InstallF *big.Rat // temperature at hanging, degrees Fahrenheit
}

// Step is the shop's step: what lengths are rounded down to.
func (in Input) Step() measure.Length { return in.Book.StepIn(in.Units) }

// layer is the work in hand of one layout.
type layer struct {
	in      Input
	raw     bool
	step    measure.Length
	panels  []steel.Panel // by zone
	walls   []*walled
	old     []*walled // of the layout before, where it still holds; else nil
	cutter  plane.Cutter
	judging judging
	now     *laid // the wall in hand
	out     *Layout
}

// Lay lays in.Scheme out: datum, courses, pieces. With raw, set-backs and planned
// joints are left out, so that the shapes of a zone's pieces tile its region.
//
// Lengths: R is a piece's raw extent along its strip. Each end is drawn back by
// its receiver's pocket plus the gap of R, edges along the strip by the pocket
// alone, slanted ones square to themselves; what is left is rounded down to the
// step.
func Lay(in Input, raw bool) (*Layout, error) { return LayAfter(in, raw, nil) }

// LayAfter is Lay where a layout of nearly the same house is at hand: of walls that
// stayed as they were it takes over what still holds. The answer is Lay's, whatever
// the layout before is; nil is none.
func LayAfter(in Input, raw bool, before *Layout) (*Layout, error) {
	l, err := divided(in, raw, before)
	if err != nil {
		return nil, err
	}
	for i := range l.walls {
		if err := l.wall(i); err != nil {
			return nil, fmt.Errorf("wall %s: %w", in.House.Walls[i].ID, err)
		}
	}
	l.collect()
	l.total()
	l.keep()
	return l.out, nil
}

// LookAtHeights chooses the datum as Lay does and lays nothing out: the layout that
// it gives has a Datum and no pieces.
func LookAtHeights(in Input, before *Layout) (*Layout, error) {
	l, err := divided(in, true, before)
	if err != nil {
		return nil, err
	}
	l.keep()
	return l.out, nil
}

// divided begins a layout: walls divided among the zones, and the datum chosen.
func divided(in Input, raw bool, before *Layout) (*layer, error) {
	l := &layer{in: in, raw: raw, step: in.Step(), out: &Layout{Scheme: in.Scheme.ID, Raw: raw}}
	for _, z := range in.Scheme.Zones {
		p, ok := in.Book.Panel(z.Panel)
		if !ok {
			return nil, fmt.Errorf("zone %s: the shop's book has no panel %q", z.ID, z.Panel)
		}
		l.panels = append(l.panels, p)
	}
	var err error
	if l.out.Problems, err = l.divide(before); err != nil {
		return nil, err
	}
	l.out.Datum, err = l.chooseDatum()
	return l, err
}

// findOnDatum says of every share of a face whether its courses count from its own
// lowest line, and lists those that count from the house's datum.
func (l *layer) findOnDatum(f face) (on []share) {
	for i := range f.shares {
		sh := &f.shares[i]
		sh.own = sh.startsItself(l.in.Scheme.Zones[sh.zone], f.shares)
		if l.panels[sh.zone].Kind == steel.Horizontal && !sh.own {
			on = append(on, *sh)
		}
	}
	return on
}

// face lays one wall out, its lowest zone first.
func (l *layer) face(f face) error {
	l.now = &laid{raw: l.raw, datum: l.out.Datum.Datum}
	shares := slices.Clone(f.shares)
	slices.SortStableFunc(shares, func(a, b share) int {
		return int((a.region.Box().Min.Y - b.region.Box().Min.Y) / measure.Sixteenth)
	})
	for _, sh := range shares {
		if err := l.share(sh); err != nil {
			return fmt.Errorf("zone %s: %w", l.in.Scheme.Zones[sh.zone].ID, err)
		}
	}
	return nil
}

func (l *layer) share(sh share) error {
	z, p := l.in.Scheme.Zones[sh.zone], l.panels[sh.zone]
	out := ZoneOnWall{Zone: sh.zone, Wall: sh.wall, Region: sh.region, Area: sh.region.Area(), Vertical: p.Kind == steel.Vertical}
	if p.Kind == steel.Counted {
		out.Counted, out.Count = true, countOf(out.Area, p)
		l.now.zones = append(l.now.zones, out)
		return nil
	}
	origin := l.out.Datum.Datum
	if sh.own {
		origin = sh.low
	}
	parts, g, err := sh.cut(z, p, origin)
	if err != nil {
		return err
	}
	out.OwnStart, out.Origin = sh.own, origin
	out.Bands = bandsOf(parts, g, out.Vertical)
	pieces, err := l.pieces(sh, z, p, parts, g)
	if err != nil {
		return err
	}
	out.Pieces = make([]int, len(pieces))
	for i := range pieces {
		at := len(l.now.pieces) + i
		pieces[i].Number = fmt.Sprintf("%d-%d", sh.wall+1, at+1)
		out.Pieces[i] = at
	}
	l.now.pieces = append(l.now.pieces, pieces...)
	l.now.zones = append(l.now.zones, out)
	return nil
}

// countOf is how many counted pieces cover an area, rounded up.
func countOf(a measure.Area, p steel.Panel) int {
	one := p.Cover().Feet() * p.PieceWidth.Feet()
	if one <= 0 {
		return 0
	}
	n := int(a.SquareFeet() / one)
	for float64(n)*one < a.SquareFeet()*(1-1e-12) {
		n++
	}
	return n
}

func bandsOf(parts []plane.Part, g grid, vertical bool) []Band {
	var out []Band
	for _, p := range parts {
		b := Band{g.number(p.Band), g.lines[p.Band], g.lines[p.Band+1]}
		if vertical {
			b.Low, b.High = -b.High, -b.Low
		}
		if n := len(out); n == 0 || out[n-1].K != b.K {
			out = append(out, b)
		}
	}
	if vertical {
		slices.Reverse(out)
	}
	return out
}

func (l *layer) total() {
	t := &l.out.Totals
	for _, z := range l.out.Zones {
		t.Region = plane.AddAreas(t.Region, z.Area)
	}
	for _, p := range l.out.Pieces {
		t.Pieces++
		t.PanelLength += p.Length
		t.Slivers += p.Slivers
		t.Notches += len(p.Notches)
		if p.Rip > 0 {
			t.Rips++
		}
		for _, e := range p.Ends {
			if e.Receiver == Joint && e.Side == RightEnd {
				t.Joints++
			}
		}
	}
}
