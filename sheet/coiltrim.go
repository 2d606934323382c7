package sheet

import (
	"fmt"

	"coilwright/measure"
)

// coilAndTrim is what the office and the trailer need to have: coils with what is
// cut from them, coils to buy, trim.
func (s *set) coilAndTrim() *paper {
	p := s.newPaper("Coil and trim list", cautionTip)
	p.need(0)
	p.heading("Coils, in the order they are loaded")
	if len(s.Run.Coils) == 0 {
		p.para("No coil is planned.", normal, false)
	} else {
		p.table(coilColumns, s.coilRows())
	}
	p.heading("To buy")
	if len(s.Run.Buy) == 0 {
		p.para("Nothing: the stock is enough, or no run is planned.", normal, false)
	} else {
		p.table(buyColumns, s.buyRows())
	}
	p.heading("Trim, fasteners and weather barrier")
	if len(s.Trim) == 0 {
		p.para("No trim is listed.", normal, false)
	} else {
		p.table(trimColumns, s.trimRows())
	}
	s.slitList(p)
	return p
}

var (
	coilColumns = []column{
		{"coil", 46, 10, true, false}, {"lot", 20, normal, false, false}, {"colour", 20, normal, false, false}, {"strip", 30, normal, false, false},
		{"holds", 22, normal, false, true}, {"taken", 22, normal, true, true}, {"tail", 22, normal, false, true}, {"pieces", 14, normal, false, true},
	}
	buyColumns = []column{
		{"count", 16, large, true, true}, {"colour", 36, normal, false, false}, {"strip", 50, normal, false, false}, {"length each", 36, normal, false, true},
		{"price", 36, normal, false, true},
	}
	trimColumns = []column{
		{"what", 58, 10, true, false}, {"quantity", 22, 10, true, true}, {"unit", 54, normal, false, false}, {"counted from", 56, 8, false, false},
	}
)

// strip is thickness by width of flat strip.
func (s *set) strip(thickness, width measure.Length) string {
	if width <= 0 {
		return s.thick(thickness)
	}
	return s.thick(thickness) + " x " + width.Near(s.Units, s.step)
}

func (s *set) coilRows() [][]string {
	var rows [][]string
	for _, c := range s.Run.Coils {
		rows = append(rows, []string{
			s.coilName(c), orNone(c.Lot, "-"), orNone(c.Colour, "-"), s.strip(c.Thickness, c.Width),
			s.long(c.Length), s.long(c.Used), s.long(c.Tail), fmt.Sprint(len(c.Pieces)),
		})
	}
	return rows
}

func (s *set) buyRows() [][]string {
	var rows [][]string
	for _, b := range s.Run.Buy {
		rows = append(rows, []string{fmt.Sprint(b.Count), orNone(b.Colour, "any"), s.strip(b.Thickness, b.Width), s.long(b.Length), orNone(b.Price, "-")})
	}
	return rows
}

func (s *set) trimRows() [][]string {
	var rows [][]string
	for _, t := range s.Trim {
		rows = append(rows, []string{t.What, t.Quantity, t.Unit, t.From})
	}
	return rows
}
