// Package trim counts what a scheme needs beside its panels: starter to fascia,
// nails, weather-resistive barrier. Everything is measured along the edges of the
// layout's own regions, so that each line names the edges and openings it came
// from.
//
// The rules of what trim stands where are common practice, no source, unless a
// comment names one; the panel maker's instructions and local code win.
package trim

import (
	"slices"

	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/scheme"
	"coilwright/steel"
)

// Kind is the stable id of a sort of trim.
type Kind string

// The kinds, in the order in which they go up.
const (
	WRB               Kind = "wrb"
	Tape              Kind = "tape"
	OutsidePost       Kind = "outside-post"
	InsidePost        Kind = "inside-post"
	PostFlat          Kind = "post-flat"
	Starter           Kind = "starter"
	Channel           Kind = "j-channel"
	DripCap           Kind = "drip-cap"
	Transition        Kind = "transition"
	TransitionUpright Kind = "transition-vertical-horizontal"
	Finish            Kind = "finish"
	Frieze            Kind = "frieze"
	Soffit            Kind = "soffit"
	Fascia            Kind = "fascia"
	PanelNails        Kind = "panel-nails"
	TrimNails         Kind = "trim-nails"
)

// noTrim is the kind of an edge that takes none here.
const noTrim Kind = ""

// houseWide is the wall of what belongs to no single one.
const houseWide = -1

// Kinds lists all, in order.
var Kinds = [...]Kind{
	WRB, Tape, OutsidePost, InsidePost, PostFlat, Starter, Channel, DripCap, Transition,
	TransitionUpright, Finish, Frieze, Soffit, Fascia, PanelNails, TrimNails,
}

var words = map[Kind]string{
	WRB: "weather-resistive barrier", Tape: "seam tape",
	OutsidePost: "outside corner post", InsidePost: "inside corner post", PostFlat: "corner post flat, embossed",
	Starter: "starter strip", Channel: "J-channel", DripCap: "drip cap",
	Transition: "transition trim", TransitionUpright: "transition trim, vertical to horizontal",
	Finish: "finish trim", Frieze: "frieze board", Soffit: "soffit", Fascia: "fascia",
	PanelNails: "nails, panels", TrimNails: "nails, trim",
}

// What is the kind in the words of the trade.
func (k Kind) What() string { return words[k] }

// Line is one quantity with where it came from.
type Line struct {
	Kind    Kind
	What    string           // the kind in words
	Wall    int              // index into House.Walls; -1 for the whole house
	Opening int              // 1 + index into the wall's Openings; 0 where it stands at none
	Length  measure.Length   // as it goes on the wall, mitred ends included
	Runs    []measure.Length // Length by unbroken runs
	Laps    measure.Length   // lost where a run is longer than the stock
	Count   int              // posts, nails, rows of barrier; 0 where not counted
	Area    measure.Area     // frieze, soffit, post flats, barrier; else zero
	Pieces  int              // stock lengths, or rolls, if this line were bought alone; 0 where not so bought
	From    string           // the edges and openings it came from
	Note    string           // what a person must know about it; mostly empty
}

// bill is the work in hand.
type bill struct {
	h      house.House
	s      scheme.Scheme
	b      *steel.Book
	l      *course.Layout
	walls  [][]border // by wall
	joined map[house.EdgeRef]bool
	lines  []Line
}

// Quantities counts the trim of a scheme laid out on a house, wall by wall and in
// the order of Kinds; [Totals] sums them up. A post shared by two walls stands on
// the first, as do the barrier's end laps around a ring of walls. What the book or
// the house does not tell is left out with a Note. No panic on any input; nothing
// where there is no book or layout.
//
// Lengths follow edges exactly, rounded once to the nearest nanometre where an
// edge is slanted. Stretches shorter than a few nanometres are none.
func Quantities(h house.House, s scheme.Scheme, b *steel.Book, l *course.Layout) []Line {
	lines, _ := QuantitiesAfter(h, s, b, l, nil)
	return lines
}

// Borders are what a count found along the edges of a layout, for the next count of
// nearly the same house.
type Borders struct {
	l     *course.Layout
	walls [][]border
}

// QuantitiesAfter is Quantities where the borders of the layout before are at hand; nil
// is none. The lines are the same.
func QuantitiesAfter(h house.House, s scheme.Scheme, b *steel.Book, l *course.Layout, before *Borders) ([]Line, *Borders) {
	if b == nil || l == nil {
		return nil, nil
	}
	t := &bill{h: h, s: s, b: b, l: l, joined: joinedEdges(h)}
	for i := range h.Walls {
		if before.holds(l, i) {
			t.walls = append(t.walls, before.walls[i])
			continue
		}
		t.walls = append(t.walls, t.bordersOf(i))
	}
	t.posts()
	for i := range h.Walls {
		t.alongZones(i)
		t.aroundOpenings(i)
		t.overhangs(i)
	}
	t.friezes()
	t.barrier()
	t.panelNails()
	t.trimNails()
	return inOrder(t.lines), &Borders{l, t.walls}
}

// holds says whether a wall's borders are those of a layout too: its pieces were taken
// over, and its zones and frieze stand in the same places of the lists.
func (f *Borders) holds(l *course.Layout, wall int) bool {
	if f == nil || wall >= len(f.walls) || !l.Stayed(f.l, wall) {
		return false
	}
	zone := func(z course.ZoneOnWall) bool { return z.Wall == wall }
	frieze := func(z course.FriezeOnWall) bool { return z.Wall == wall }
	return slices.IndexFunc(l.Zones, zone) == slices.IndexFunc(f.l.Zones, zone) &&
		slices.IndexFunc(l.Friezes, frieze) == slices.IndexFunc(f.l.Friezes, frieze)
}

// add puts a line on the bill; runs that are empty are none.
func (t *bill) add(k Kind, wall int, from string, runs ...measure.Length) *Line {
	l := Line{Kind: k, What: k.What(), Wall: wall, From: from}
	for _, r := range runs {
		l.Length += r
	}
	l.Runs = runs
	l.stock(t.b)
	t.lines = append(t.lines, l)
	return &t.lines[len(t.lines)-1]
}
