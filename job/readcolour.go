package job

import (
	colours "coilwright/colour"
	"coilwright/document"
	"coilwright/steel"
)

// colour reads a colour by one of lab, srgb and linear.
func colour(v document.Value, i int, seen ids) steel.Colour {
	o := v.Object(colourFields)
	c := steel.Colour{ID: seen.take(o, i, true), Title: o.Get("title").Text()}
	if c.ID == steel.AnyColour {
		o.Get("id").Errorf("give the colour another id", "%q means all colours in the list of mill coils", steel.AnyColour)
	}
	if c.Title == "" {
		c.Title = c.ID
	}
	count := 0
	for _, way := range []string{"lab", "srgb", "linear"} {
		if o.Has(way) {
			count++
		}
	}
	illuminant := o.Get("illuminant").OneOf("illuminant", []string{"D65", "D50"})
	switch {
	case !o.Present():
	case count != 1:
		o.Errorf("write one of lab, srgb and linear", "a colour is given in one way, this one in %d", count)
	case o.Has("lab"):
		under := colours.D65
		if illuminant == "D50" {
			under = colours.D50
		}
		c.Linear = lab(o.Get("lab")).Linear(under).Clipped()
	case o.Has("srgb"):
		for k, w := range o.Get("srgb").Tuple(3) {
			c.Linear[k] = colours.Decode(w.Number(0, 255) / 255)
		}
	default:
		for k, w := range o.Get("linear").Tuple(3) {
			c.Linear[k] = w.Number(0, 1)
		}
	}
	if illuminant != "" && !o.Has("lab") {
		o.Get("illuminant").Errorf("take illuminant away", "only a lab colour has an illuminant")
	}
	return c
}

func lab(v document.Value) (out colours.Lab) {
	if t := v.Tuple(3); t != nil {
		out = colours.Lab{L: t[0].Number(0, 100), A: t[1].Number(-200, 200), B: t[2].Number(-200, 200)}
	}
	return out
}
