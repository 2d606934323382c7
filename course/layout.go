// Package course lays a scheme out on a house: datum, courses, and every piece
// with its exact shape, set-backs and gaps.
package course

import (
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/problem"
)

// Side says where a piece's edge lies: an end across the strip or slanted to it,
// or an edge along it.
type Side string

// The sides of a piece in its own coordinates (x along the strip).
const (
	LeftEnd  Side = "left"
	RightEnd Side = "right"
	TopEdge  Side = "top"
	LowEdge  Side = "bottom"
)

// Receiver kinds that are not book entries: Lock is the next course or panel,
// Joint a planned joint.
const (
	Lock  = "lock"
	Joint = "joint"
)

// End is what stands at one end of a piece. Angle is the end's slope to the
// strip in degrees: 90 is a square cut, less is a rake cut.
type End struct {
	Side     Side
	Receiver string // edge kind, opening side, "zone" or "joint"
	Angle    float64
	Pocket   measure.Length
	Gap      measure.Length
	Cover    measure.Length // how far the receiver hides the piece
}

// Notch is a cut-out of a piece, by its box in the piece's own coordinates,
// measured from the piece's left end and lower edge.
type Notch struct {
	Box     plane.Box
	Opening string // the opening's id; empty where it is not an opening's
	Inside  bool   // a hole: it touches no edge of the piece
	Square  bool   // its outline is the box itself
}

// Piece is one panel cut to length for one place. Shape is in the piece's own
// coordinates: x from its left end along the strip, y up from its lower edge; for
// a vertical panel the wall turned clockwise. At is the lower left corner of its
// box on the wall.
type Piece struct {
	ID        string
	Number    string // short, for labels and drawings: wall's number-piece's number
	Wall      int
	Zone      int // index into Scheme.Zones
	Course    int
	Panel     string
	Texture   string
	Colour    string
	Thickness measure.Length
	Vertical  bool
	At        plane.Point
	Length    measure.Length // rounded down to the step
	Extent    measure.Length // exact
	Raw       measure.Length // R: extent before set-backs
	Cover     measure.Length
	Rip       measure.Length // height across the strip where less than cover, else 0
	Shape     plane.Polygon
	Gaps      [2]measure.Length // left, right
	Ends      []End
	Notches   []Notch
	Measured  house.Pedigree
	Fit       bool // fit to cut by the shop's rule
	Slivers   int
	Warnings  []string
}

// OnWall gives the piece's polygon in the wall's own coordinates.
func (p Piece) OnWall() plane.Polygon {
	move := func(r plane.Ring) plane.Ring {
		out := make(plane.Ring, len(r))
		for i, q := range r {
			if p.Vertical {
				q = plane.Point{X: p.Across() - q.Y, Y: q.X}
			}
			out[i] = q.Add(p.At)
		}
		return out
	}
	out := plane.Polygon{Outer: move(p.Shape.Outer)}
	for _, h := range p.Shape.Holes {
		out.Holes = append(out.Holes, move(h))
	}
	return out
}

// Across is the piece's extent across the strip.
func (p Piece) Across() measure.Length { return p.Shape.Outer.Box().Height() }

// Band is one course of a zone on a wall: the band [Low, High] of course K
// (for vertical zones in x).
type Band struct {
	K         int
	Low, High measure.Length
}

// ZoneOnWall is what one zone takes of one wall.
type ZoneOnWall struct {
	Zone, Wall int
	Region     plane.Region
	Area       measure.Area
	Vertical   bool
	Counted    bool
	Count      int // pieces of a counted panel
	Bands      []Band
	Pieces     []int          // indexes into Layout.Pieces
	OwnStart   bool           // its courses count from its own lowest line
	Origin     measure.Length // where course 1 of a horizontal zone starts
}

// FriezeOnWall is the frieze board's region on one wall.
type FriezeOnWall struct {
	Wall   int
	Region plane.Region
}

// Totals of a layout.
type Totals struct {
	Pieces      int
	Region      measure.Area
	PanelLength measure.Length // sum of cut lengths
	Joints      int
	Slivers     int
	Rips        int
	Notches     int
}

// DatumChoice tells what choosing the datum gained.
type DatumChoice struct {
	Datum                measure.Length
	Plain                measure.Length
	Chosen               bool // false: the scheme fixed it
	Best, AtPlain, Worst Score
	WorstDatum           measure.Length
	Looked               int           // heights looked at
	Heights              []HeightScore // those, ascending; empty where the scheme fixed it
}

// HeightScore is one height that course 1 could start at.
type HeightScore struct {
	At    measure.Length
	Score Score
}

// Score is how good a datum is, in the order of what matters.
type Score struct {
	Slivers, RipsAndNotches int
	Steel                   int64 // raw lengths by blank widths, in square sixteenths of an inch
}

// Layout is a scheme laid out on a house.
type Layout struct {
	Scheme   string
	Raw      bool
	Datum    DatumChoice
	Zones    []ZoneOnWall
	Friezes  []FriezeOnWall
	Pieces   []Piece // in hanging order: wall by wall, zone by zone, bottom up
	Totals   Totals
	Problems problem.List

	kept *kept
}
