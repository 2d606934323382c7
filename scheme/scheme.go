// Package scheme says which panel goes where: one option that an owner can
// choose. It knows the house, not the courses.
package scheme

import (
	"coilwright/measure"
	"coilwright/plane"
)

// WhereKind is how a zone says what it takes of what earlier zones left.
type WhereKind string

// The ways to say where.
const (
	Below   WhereKind = "below"   // under a height in the wall's own y
	Above   WhereKind = "above"   // over a height
	Gable   WhereKind = "gable"   // above the lowest end of the wall's rake edges
	Outline WhereKind = "outline" // inside a ring
	Rest    WhereKind = "rest"    // all that is left
)

// Where is a zone's place. Height serves Below and Above, Ring serves Outline.
type Where struct {
	Kind   WhereKind
	Height measure.Length
	Ring   plane.Ring
}

// Start is what a horizontal zone's courses count from.
type Start string

// StartDefault is "zone" where the zone's bottom is another zone, else "house".
const (
	StartDefault Start = ""
	StartHouse   Start = "house"
	StartZone    Start = "zone"
)

// Balance is how a vertical zone's end panels are ripped.
type Balance string

// The balances; Even is the default.
const (
	Even  Balance = "even"
	Left  Balance = "left"
	Right Balance = "right"
)

// Zone is one panel in one place on some walls.
type Zone struct {
	ID        string
	Walls     []int // indexes into House.Walls, ascending
	Where     Where
	Panel     string         // id in the shop's book
	Texture   string         // id, empty: the book's first
	Colour    string         // id, empty: the book's first
	Thickness measure.Length // 0: the shop's for that panel
	Start     Start
	Balance   Balance
}

// Datum is where course 1 starts: a height, or a range to choose from.
type Datum struct{ Low, High measure.Length }

// Free says whether the datum is to be chosen.
func (d Datum) Free() bool { return d.Low < d.High }

// Middle is the plain datum.
func (d Datum) Middle() measure.Length { return d.Low + (d.High-d.Low)/2 }

// Scheme is one option. Zones are read in order.
type Scheme struct {
	ID, Title  string
	Zones      []Zone
	Frieze     measure.Length
	TrimColour string
	Datum      Datum
}
