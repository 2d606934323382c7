// Package house is the measured house: walls as faces with kinds of edges,
// openings, the corners that join walls, and the pedigree of every number.
// It knows nothing of panels, schemes or files.
package house

import (
	"coilwright/measure"
	"coilwright/plane"
)

// EdgeKind is what stands along one edge of a wall's outline.
type EdgeKind string

// The kinds of edges.
const (
	Base          EdgeKind = "base"
	Eave          EdgeKind = "eave"
	Rake          EdgeKind = "rake"
	OutsideCorner EdgeKind = "outside-corner"
	InsideCorner  EdgeKind = "inside-corner"
	Abuts         EdgeKind = "abuts" // meets another material
	Open          EdgeKind = "open"
)

// EdgeKinds lists all, in the order of the contract.
var EdgeKinds = [...]EdgeKind{Base, Eave, Rake, OutsideCorner, InsideCorner, Abuts, Open}

// OpeningKind is what fills an opening.
type OpeningKind string

// The kinds of openings.
const (
	Window     OpeningKind = "window"
	Door       OpeningKind = "door"
	GarageDoor OpeningKind = "garage-door"
	Vent       OpeningKind = "vent"
	Light      OpeningKind = "light"
	Meter      OpeningKind = "meter"
	Other      OpeningKind = "other"
)

// OpeningKinds lists all, in the order of the contract.
var OpeningKinds = [...]OpeningKind{Window, Door, GarageDoor, Vent, Light, Meter, Other}

// Source is where a number comes from, weakest first.
type Source string

// The sources.
const (
	Assumed Source = "assumed"
	Plan    Source = "plan"
	Photo   Source = "photo"
	Tape    Source = "tape"
)

// Sources lists all, weakest first.
var Sources = [...]Source{Assumed, Plan, Photo, Tape}

// Rank orders sources: a higher rank is a better source.
func (s Source) Rank() int {
	for i, t := range Sources {
		if s == t {
			return i
		}
	}
	return 0
}

// Pedigree is how a number is known. PlusMinus is the 95 % half-width (1.96
// sigma); negative means that none was stated. Adjusted says that nobody read the
// number itself: it was worked out from all readings.
type Pedigree struct {
	By        Source
	PlusMinus measure.Length
	Adjusted  bool
}

// Word says how a number is known: measured by tape, assumed.
func (s Source) Word() string {
	if s == Assumed {
		return string(s)
	}
	return "measured by " + string(s)
}

// Unstated is the pedigree of a number of which nothing is known.
var Unstated = Pedigree{By: Assumed, PlusMinus: -1}

// Worse gives the less trustworthy of two pedigrees: the weaker source, then the
// wider plus-minus, an unstated one being widest.
func Worse(a, b Pedigree) Pedigree {
	if ra, rb := a.By.Rank(), b.By.Rank(); ra != rb {
		if ra < rb {
			return a
		}
		return b
	}
	if a.PlusMinus < 0 || b.PlusMinus >= 0 && a.PlusMinus >= b.PlusMinus {
		return a
	}
	return b
}

// Over is what a wall's sizes were taken over.
type Over string

// Only sizes over the substrate are fit to cut from.
const (
	Substrate   Over = "substrate"
	OldCladding Over = "old-cladding"
)

// Wall is one face. Outline runs counter-clockwise seen from outside; Edges[i]
// is the kind of the edge from corner i to i+1; Readings[i] are the pedigrees of
// corner i's x and y.
type Wall struct {
	ID       string
	Outline  plane.Ring
	Edges    []EdgeKind
	Readings [][2]Pedigree
	FacesDeg *float64 // compass bearing that the face looks to, nil if unknown
	Openings []Opening
	Measured Pedigree
	Over     Over
	// Overhang is the depth of soffit over each eave and rake edge, by edge;
	// zero where unknown.
	Overhang []measure.Length
	// Plumb and Level are edges that a person found to be so.
	Plumb, Level []int
}

// Opening is a hole in a wall, at its casing's outer edge; Outline runs
// counter-clockwise in the wall's coordinates.
type Opening struct {
	ID       string
	Kind     OpeningKind
	Outline  plane.Ring
	Readings [][2]Pedigree
	Measured Pedigree
}

// EdgeRef names one edge: House.Walls[Wall].Edges[Edge].
type EdgeRef struct{ Wall, Edge int }

// Corner joins two walls along their upright edges.
type Corner struct {
	Between [2]EdgeRef
	Outside bool // else an inside corner
}

// House is everything measured of one house.
type House struct {
	Walls   []Wall
	Corners []Corner
}

// Edge gives the two ends of edge i of the outline.
func (w Wall) Edge(i int) (from, to plane.Point) {
	return w.Outline[i], w.Outline[(i+1)%len(w.Outline)]
}
