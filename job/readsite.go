package job

import (
	"coilwright/document"
	"coilwright/hang"
	"coilwright/measure"
	"coilwright/steel"
)

// Wind is what the wind on a house depends on, as stated in house.site: a zero or
// nil where the job says nothing, so that it can be asked for.
type Wind struct {
	Edition  hang.Edition
	MPH      float64
	Exposure string
	Height   measure.Length // mean roof height
	Least    measure.Length // least width of the house
	SlopeDeg *float64       // of the roof
	GroundFt *float64       // above the sea
	Kzt      *float64       // topographic factor
	Open     bool           // large openings that may stand open
}

// windOf reads house.site. The limits are those of package hang's method, which says
// again what of it cannot be.
func windOf(v document.Value) Wind {
	o := v.Object(windFields)
	return Wind{
		Edition: hang.Edition(o.Get("edition").OneOf("edition of ASCE 7", editionNames)),
		MPH:     o.Get("wind_mph").Number(85, 300), Exposure: o.Get("exposure").OneOf("exposure", exposureNames),
		Height: o.Get("mean_roof_height").Length(document.Size), Least: o.Get("least_width").Length(document.Size),
		SlopeDeg: stated(o.Get("roof_slope_deg"), 0, 89), GroundFt: stated(o.Get("ground_ft"), -1500, 30_000),
		Kzt: stated(o.Get("kzt"), 1, 10), Open: o.Get("partly_open").Bool(),
	}
}

// stated is a number, or nil where there is none.
func stated(v document.Value, low, high float64) *float64 {
	if !v.Present() {
		return nil
	}
	n := v.Number(low, high)
	return &n
}

func fastenersOf(v document.Value) steel.Fasteners {
	o := v.Object(fastenerFields)
	return steel.Fasteners{
		Diameter: o.Get("diameter").Length(thicknesses), Penetration: o.Get("penetration").Length(document.Depth),
		Gravity: o.Get("gravity").Number(0.2, 1), HeadClear: o.Get("head_clear").Length(document.Depth),
	}
}

func carryingOf(v document.Value) steel.Carrying {
	o := v.Object(carryingFields)
	return steel.Carrying{
		Alone: o.Get("alone").Length(document.Size), Person: o.Get("person").Length(document.Size),
		PersonLb: o.Get("person_lb").Number(1, 500), StopMPH: o.Get("stop_mph").Number(0, 100),
	}
}
