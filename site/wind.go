package site

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"coilwright/hang"
	"coilwright/measure"
)

// always stands beside every word about wind.
const always = "A suggestion by the ASCE 7 and NDS formulas, nothing more: the code official, the panel maker's tested values for your nailing, or an engineer decide."

// asks lists what the job and the shop's book must state before wind is reckoned.
func (m *maker) asks() []PackAsk {
	out := []PackAsk{}
	ask := func(missing bool, field, what, where string) {
		if missing {
			out = append(out, PackAsk{field, what, where})
		}
	}
	w, f := m.j.Wind, m.j.Book.Fasteners
	ask(w.Edition == "", "house.site.edition", "edition of ASCE 7 that the local code names: 7-16 or 7-22", "ask the code official")
	ask(w.MPH == 0, "house.site.wind_mph", "basic wind speed in mph, from the code's map", "ask the code official")
	ask(w.Exposure == "", "house.site.exposure", "exposure: B among houses or trees, C in the open, D at a shore", "look around the house; the code official decides")
	ask(w.Height == 0, "house.site.mean_roof_height", "mean roof height", "measure from the ground to halfway between eave and ridge")
	ask(f.Diameter == 0 || f.Penetration == 0 || f.Gravity == 0, "shop.fasteners", "diameter of the nail, how deep it goes into the stud, specific gravity of the studs' wood", "the shop's book")
	return out
}

// inTheWind is the house as hang sees it, with what was not stated taken on the safe
// side; used tells all of it.
func (m *maker) inTheWind() (s hang.Site, used []PackInput) {
	w := m.j.Wind
	s = hang.Site{Edition: w.Edition, MPH: w.MPH, Exposure: w.Exposure, HeightFt: w.Height.Feet(), SlopeDeg: 45, Kzt: 1, Open: w.Open, LeastFt: w.Least.Feet()}
	add := func(what, value, from string) { used = append(used, PackInput{what, value, from}) }
	add("ASCE 7", string(w.Edition), "stated")
	add("basic wind speed", fmt.Sprintf("%g mph", w.MPH), "stated")
	add("exposure", w.Exposure, "stated")
	add("mean roof height", m.exact(w.Height), "stated")
	or := func(given *float64, into *float64, what, unit, otherwise string) {
		if given == nil {
			add(what, otherwise, "not stated: the safe side")
			return
		}
		*into = *given
		add(what, fmt.Sprintf("%g%s", *given, unit), "stated")
	}
	or(w.SlopeDeg, &s.SlopeDeg, "slope of the roof", "°", "steeper than 10°")
	or(w.GroundFt, &s.GroundFt, "ground above the sea", " ft", "0 ft")
	if w.Kzt == nil {
		add("topographic factor", "1", "not stated: LEVEL GROUND is taken; on a hill, ridge or cliff have it worked out")
	} else {
		s.Kzt = *w.Kzt
		add("topographic factor", fmt.Sprintf("%g", *w.Kzt), "stated")
	}
	openings := "closed in a storm"
	if w.Open {
		openings = "large ones may stand open"
	}
	add("openings", openings, "stated, or taken where not")
	if s.LeastFt == 0 {
		for _, wall := range m.j.House.Walls {
			s.LeastFt = max(s.LeastFt, wall.Outline.Box().Width().Feet())
		}
		add("least width of the house", fmt.Sprintf("%.1f ft", s.LeastFt), "not stated: its widest wall, which makes the corner strips no narrower")
	} else {
		add("least width of the house", m.exact(w.Least), "stated")
	}
	return s, used
}

func (m *maker) wind() PackWind {
	out := PackWind{Asks: m.asks(), Inputs: []PackInput{}, Pulls: []PackPull{}, Nailing: []PackNailing{}, Slot: m.slot(), Text: always}
	if len(out.Asks) > 0 {
		out.Text = "The wind is not reckoned yet: see what has to be stated. " + always
		return out
	}
	s, used := m.inTheWind()
	if err := s.Check(); err != nil {
		out.Asks = append(out.Asks, PackAsk{"house.site", err.Error(), "the job's house"})
		return out
	}
	out.Known, out.Inputs = true, append(used, m.nailInputs()...)
	nail, studs := m.nail(), m.studs()
	field, edge := s.Wall(studs.Feet() * 1) // a nail's own area is far below the 10 sq ft under which nothing changes
	out.Pulls = append(out.Pulls, m.pull("field", "middle of a wall (zone 4)", field),
		m.pull("edge", fmt.Sprintf("within %s of a corner (zone 5)", m.feet(s.EdgeFt())), edge))
	for _, id := range m.panels() {
		panel, _ := m.j.Book.Panel(id)
		for zone, pull := range map[string]hang.Pull{"field": field, "edge": edge} {
			n := hang.Suggest(pull, panel.Cover(), studs, nail, panel.RatedPSF)
			out.Nailing = append(out.Nailing, PackNailing{id, zone, m.exact(n.Apart), tenth(n.Pulled), tenth(n.Holds), panel.RatedPSF, n.OK, n.Why})
		}
	}
	slices.SortFunc(out.Nailing, func(a, b PackNailing) int { return cmp.Or(cmp.Compare(a.Panel, b.Panel), cmp.Compare(b.Zone, a.Zone)) })
	return out
}

func (m *maker) pull(zone, what string, p hang.Pull) PackPull {
	return PackPull{zone, what, tenth(p.Out), tenth(hang.ASD * p.Out), tenth(p.Push)}
}

func (m *maker) nail() hang.Nail {
	f := m.j.Book.Fasteners
	return hang.Nail{Diameter: f.Diameter.Inches(), Penetration: f.Penetration.Inches(), Gravity: f.Gravity}
}

func (m *maker) nailInputs() []PackInput {
	f, from := m.j.Book.Fasteners, "the shop's book"
	if m.j.Book.Invented {
		from += " (invented)"
	}
	return []PackInput{
		{"nail", fmt.Sprintf("%s shank, %s into the stud", m.exact(f.Diameter), m.exact(f.Penetration)), from},
		{"studs", fmt.Sprintf("specific gravity %g, %s apart", f.Gravity, m.exact(m.studs())), from},
		{"panels", "their makers' tested pressures", from},
	}
}

// studs is the spacing of the book's studs; 16 in where it says nothing (common
// practice, no source).
func (m *maker) studs() measure.Length {
	if s := m.j.Book.Trim.StudSpacing; s > 0 {
		return s
	}
	return 16 * measure.Inch
}

// panels lists the panels of the scheme's pieces, in order of hanging.
func (m *maker) panels() []string {
	var out []string
	for i := range m.r.Layout.Pieces {
		if id := m.r.Layout.Pieces[i].Panel; !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// nails and slot say how a panel is nailed.
func (m *maker) nails() string {
	return "One nail to every stud, " + m.exact(m.studs()) + " apart, unless the panel maker or the code official asks for more."
}

func (m *maker) slot() string {
	clear := m.j.Book.Fasteners.HeadClear
	if clear == 0 {
		clear = measure.Inch / 32 // common practice, no source
	}
	return "In the middle of the slot, square to the wall, into a stud, the head " + m.exact(clear) + " clear: the panel must slide. The panel maker's figure wins."
}

// edgeStrip is the width of the strips at corners where the wind pulls hardest.
func (m *maker) edgeStrip() string {
	if len(m.asks()) > 0 {
		return ""
	}
	s, _ := m.inTheWind()
	if s.Check() != nil {
		return ""
	}
	return m.feet(s.EdgeFt())
}

func (m *maker) feet(f float64) string {
	return measure.Length(math.Round(f * float64(measure.Foot))).CeilTo(m.step).Text(m.j.Units)
}

func (m *maker) carrying() PackCarry {
	c := m.carry
	return PackCarry{
		Rule:    fmt.Sprintf("One person carries up to %s and %g lb; one more for each further %s or %g lb.", m.exact(c.Alone), tenth(c.PersonLb), m.exact(c.Person), tenth(c.PersonLb)),
		StopMPH: c.StopMPH,
		Text:    fmt.Sprintf("Gusts of %g mph or more: no long piece is carried or hung (the shop's book; the trained person on site may stop sooner).", c.StopMPH),
	}
}
