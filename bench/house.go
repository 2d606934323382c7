package bench

import (
	"fmt"
	"math/big"

	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/scheme"
	"coilwright/steel"
)

// taped is a reading fit to cut from.
var taped = house.Pedigree{By: house.Tape, PlusMinus: measure.Sixteenth}

// Facades is an invented row of walls, each a Facade of n openings, under one
// scheme of double 5 panels with a datum to be chosen.
func Facades(walls, n int) course.Input {
	in := course.Input{Book: book(), InstallF: big.NewRat(60, 1)}
	zone := scheme.Zone{ID: "field", Where: scheme.Where{Kind: scheme.Rest}, Panel: "double", Texture: "grain", Colour: "slate"}
	for i := range walls {
		in.House.Walls = append(in.House.Walls, wall(fmt.Sprintf("w%d", i+1), n))
		zone.Walls = append(zone.Walls, i)
	}
	in.Scheme = scheme.Scheme{ID: "A", Zones: []scheme.Zone{zone}, Datum: scheme.Datum{Low: -measure.Inch, High: measure.Inch}}
	return in
}

// Zoned gives in with a 6 in frieze, a zone below 30 in, another in the gables, and
// the rest: as an estimator would have it on the screen.
func Zoned(in course.Input) course.Input {
	field := in.Scheme.Zones[0]
	skirt, gable := field, field
	skirt.ID, skirt.Where = "skirt", scheme.Where{Kind: scheme.Below, Height: 30 * measure.Inch}
	gable.ID, gable.Where = "gable", scheme.Where{Kind: scheme.Gable}
	in.Scheme.Frieze = 6 * measure.Inch
	in.Scheme.Zones = []scheme.Zone{skirt, gable, field}
	return in
}

func wall(id string, n int) house.Wall {
	rings := Facade(n)
	w := house.Wall{
		ID: id, Outline: rings[0].Points, Measured: taped, Over: house.Substrate,
		Edges:    []house.EdgeKind{house.Base, house.OutsideCorner, house.Rake, house.Rake, house.OutsideCorner},
		Overhang: make([]measure.Length, 5),
		Readings: readings(5),
	}
	for i, r := range rings[1:] {
		w.Openings = append(w.Openings, house.Opening{
			ID: fmt.Sprintf("o%d", i+1), Kind: house.Window, Measured: taped,
			Outline: r.Points.Reversed(), Readings: readings(len(r.Points)),
		})
	}
	return w
}

func readings(corners int) [][2]house.Pedigree {
	r := make([][2]house.Pedigree, corners)
	for i := range r {
		r[i] = [2]house.Pedigree{taped, taped}
	}
	return r
}

// book is the least that a layout needs; all figures are invented.
func book() *steel.Book {
	receiver := steel.Receiver{Pocket: measure.Inch / 4, Cover: measure.Inch}
	b := &steel.Book{
		Title: "bench (invented)", Invented: true, Sliver: 3 * measure.Inch / 2,
		Receivers: map[string]steel.Receiver{
			steel.OpeningSide: receiver, steel.OpeningHead: receiver, steel.OpeningSill: receiver, steel.ZoneEdge: receiver,
		},
		Gap: steel.Gap{
			Min: measure.Inch / 8, AlphaPerF: big.NewRat(65, 10_000_000), // handbook value for steel
			HottestF: big.NewRat(170, 1), ColdestF: big.NewRat(-20, 1),
		},
		Panels: []steel.Panel{{
			ID: "double", Kind: steel.Horizontal, Laps: 2, Exposure: 5 * measure.Inch,
			Thickness: 19 * measure.Inch / 1000,
		}},
		Textures: []string{"grain"}, Colours: []steel.Colour{{ID: "slate"}},
		FitToCut: steel.FitToCut{By: string(house.Tape), PlusMinus: measure.Inch / 8, Over: string(house.Substrate)},
	}
	for _, k := range house.EdgeKinds {
		b.Receivers[string(k)] = receiver
	}
	return b
}
