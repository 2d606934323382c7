package price

import (
	"fmt"

	"github.com/govalues/decimal"

	"coilwright/course"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/trim"
)

var (
	sixty = decimal.MustNew(60, 0)
	ten   = decimal.MustNew(10, 0)
)

// The works that an estimate counts hours of, as its lines name them.
const (
	Forming     = "forming"
	Hanging     = "hanging panels"
	HangingTrim = "hanging trim"
	Barrier     = "weather barrier"
	Scaffold    = "moving the scaffold"
	Travel      = "travel"
)

// Works lists them in the order of an estimate.
var Works = [...]string{Forming, Hanging, HangingTrim, Barrier, Scaffold, Travel}

// hours adds the crew's time and what runs with the days. The rates are the shop's
// own; how they combine is common practice, no source.
func (s *sheet) hours() {
	hanger, operator := s.rate("hanger_hour"), s.rate("operator_hour")
	total := s.labour(Forming, s.forming(), operator, "operator_hour", "coil plan: set-ups and feed", byArea)
	total = s.add(total, s.labour(Hanging, s.hanging(), hanger, "hanger_hour", "pieces: length, height, ends, notches", byArea))
	total = s.add(total, s.labour(HangingTrim, s.trimHours(), hanger, "hanger_hour", "trim list: feet", byLength))
	total = s.add(total, s.labour(Barrier, s.barrierHours(), hanger, "hanger_hour", "walls' net area", byArea))
	if moves := s.moves(); moves > 0 {
		each := s.rate("scaffold_move_hours")
		total = s.add(total, s.labour(Scaffold, s.mul(s.whole(moves), each), hanger, "hanger_hour", fmt.Sprintf("%d moves", moves), fixed))
	}
	s.days(total, hanger)
	s.tearOff()
}

// labour adds hours at an hour's price and gives the hours back.
func (s *sheet) labour(what string, hours, hour decimal.Decimal, key, from string, g growth) decimal.Decimal {
	s.line(Line{Kind: Labour, What: what, Key: key, Quantity: hours, Unit: "hour", UnitPrice: hour, From: from, grows: g})
	return hours
}

func (s *sheet) forming() decimal.Decimal {
	minutes := decimal.Zero
	for _, r := range s.work.Plan.Runs {
		minutes = s.add(minutes, s.keep(decimal.NewFromFloat64(r.Minutes)))
	}
	return s.quo(minutes, sixty)
}

// hanging is minutes by piece, foot, cut end and notch, more of them higher up.
func (s *sheet) hanging() decimal.Decimal {
	piece, foot := s.rate("hang_minutes_piece"), s.rate("hang_minutes_ft")
	end, notch, high := s.rate("hang_minutes_cut_end"), s.rate("hang_minutes_notch"), s.rate("hang_high_share")
	minutes := decimal.Zero
	for _, p := range s.work.Layout.Pieces {
		m := s.add(piece, s.mul(foot, s.feet(p.Length)))
		m = s.add(m, s.mul(end, s.whole(cutEnds(p))))
		m = s.add(m, s.mul(notch, s.whole(len(p.Notches))))
		if up := p.At.Y - 10*measure.Foot; up > 0 {
			m = s.add(m, s.mul(m, s.mul(high, s.quo(s.feet(up), ten))))
		}
		minutes = s.add(minutes, m)
	}
	return s.quo(minutes, sixty)
}

// cutEnds counts the ends of a piece that are not square.
func cutEnds(p course.Piece) int {
	n := 0
	for _, e := range p.Ends {
		if (e.Side == course.LeftEnd || e.Side == course.RightEnd) && e.Angle != 90 {
			n++
		}
	}
	return n
}

func (s *sheet) trimHours() decimal.Decimal {
	feet := decimal.Zero
	for _, t := range s.work.Trim {
		if pricedBy[t.Kind].unit == "ft" {
			feet = s.add(feet, s.feet(t.Length))
		}
	}
	return s.quo(s.mul(feet, s.rate("trim_minutes_ft")), sixty)
}

// covered is the area that the scheme covers.
func (s *sheet) covered() measure.Area {
	var a measure.Area
	for _, z := range s.work.Layout.Zones {
		a = plane.AddAreas(a, z.Area)
	}
	return a
}

func (s *sheet) squares() decimal.Decimal {
	return s.round(s.quo(s.squareFeet(s.covered()), decimal.Hundred), 2)
}

func (s *sheet) barrierHours() decimal.Decimal {
	for _, t := range s.work.Trim {
		if t.Kind == trim.WRB && t.Pieces > 0 {
			return s.quo(s.mul(s.squares(), s.rate("wrb_minutes_square")), sixty)
		}
	}
	return decimal.Zero
}

// moves counts scaffold places: one for each width that a scaffold serves of every
// wall that reaches above 10 ft, unless the job says how many.
func (s *sheet) moves() int {
	if s.work.Site.ScaffoldMoves >= 0 {
		return s.work.Site.ScaffoldMoves
	}
	n := 0
	for _, w := range s.work.House.Walls {
		box := w.Outline.Box()
		if box.Max.Y <= 10*measure.Foot {
			continue
		}
		serves := s.rate("scaffold_width_ft")
		if !serves.IsPos() {
			return 0
		}
		places, _, ok := s.quo(s.feet(box.Width()), serves).Ceil(0).Int64(0)
		if ok {
			n += int(places)
		}
	}
	return n
}

// days adds travel and the trailer for the days that the hours fill.
func (s *sheet) days(hours, hanger decimal.Decimal) {
	crew, long := s.rate("crew"), s.rate("day_hours")
	if !crew.IsPos() || !long.IsPos() {
		return
	}
	days := s.quo(hours, s.mul(crew, long)).Ceil(0)
	from := fmt.Sprintf("%s hours, %s people, %s hours a day", s.round(hours, 1), crew, long)
	s.labour(Travel, s.mul(s.mul(days, crew), s.rate("travel_hours_day")), hanger, "travel_hours_day", from, fixed)
	s.line(Line{Kind: Other, What: "machine and trailer", Key: "trailer_day", Quantity: days, Unit: "day", UnitPrice: s.rate("trailer_day"), From: from})
	if rent := s.book.Prices["rental_day"]; rent.Written {
		s.line(Line{Kind: Other, What: "rented lift or scaffold", Key: "rental_day", Quantity: days, Unit: "day", UnitPrice: rent.Value, From: from})
	}
}

func (s *sheet) tearOff() {
	if s.work.Site.TearOff == "" {
		return
	}
	s.line(Line{Kind: Other, What: "tearing off " + s.work.Site.TearOff, Key: "tear_off_square", Quantity: s.squares(), Unit: "square",
		UnitPrice: s.rate("tear_off_square"), From: "walls' net area", grows: byArea})
	if fee := s.book.Prices["disposal_square"]; fee.Written {
		s.line(Line{Kind: Other, What: "disposal fee for " + s.work.Site.TearOff, Key: "disposal_square", Quantity: s.squares(), Unit: "square",
			UnitPrice: fee.Value, From: "walls' net area", grows: byArea})
	}
}
