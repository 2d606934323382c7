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

// hours adds the crew's time and what runs with the days. The rates are the shop's
// own; how they combine is common practice, no source.
func (s *sheet) hours() {
	hanger, operator := s.rate("hanger_hour"), s.rate("operator_hour")
	total := s.tearOff(hanger)
	total = s.add(total, s.labour(Line{Work: Forming, Quantity: s.forming(), UnitPrice: operator, Key: "operator_hour", From: "coil plan: set-ups and feed", Pieces: s.formed(), grows: byArea}))
	total = s.add(total, s.labour(Line{Work: Hanging, Quantity: s.hanging(), UnitPrice: hanger, Key: "hanger_hour", From: "pieces: length, height, ends, notches", Pieces: s.hung(), grows: byArea}))
	total = s.add(total, s.labour(Line{Work: HangingTrim, Quantity: s.trimHours(), UnitPrice: hanger, Key: "hanger_hour", From: "trim list: feet", grows: byLength}))
	total = s.add(total, s.labour(Line{Work: Barrier, Quantity: s.barrierHours(), UnitPrice: hanger, Key: "hanger_hour", From: "walls' net area", grows: byArea}))
	if moves := s.moves(); moves > 0 {
		each := s.rate("scaffold_move_hours")
		hours := s.mul(s.whole(moves), each)
		s.part(Scaffold, "scaffold_move_hours", hours)
		total = s.add(total, s.labour(Line{Work: Scaffold, Quantity: hours, UnitPrice: hanger, Key: "hanger_hour", From: fmt.Sprintf("%d moves", moves), grows: fixed}))
	}
	s.days(total, hanger)
}

// labour adds a work's hours, called after it unless the line says what, and gives them back.
func (s *sheet) labour(l Line) decimal.Decimal {
	l.Kind, l.Unit = Labour, "hour"
	if l.What == "" {
		l.What = l.Work
	}
	s.line(l)
	return l.Quantity
}

// formed are the pieces of the coil plan, reel by reel.
func (s *sheet) formed() (ids []string) {
	for _, r := range s.work.Plan.Reels {
		ids = append(ids, r.Pieces...)
	}
	return ids
}

// hung are the pieces of the layout.
func (s *sheet) hung() (ids []string) {
	for _, p := range s.work.Layout.Pieces {
		ids = append(ids, p.ID)
	}
	return ids
}

// part notes which rate plans how many hours of a work.
func (s *sheet) part(work, rate string, hours decimal.Decimal) {
	if hours.IsPos() {
		s.out.Parts = append(s.out.Parts, Part{work, rate, number(hours)})
	}
}

// forming is what the coil plan takes: the change of the machine at each set-up, and
// the feed.
func (s *sheet) forming() decimal.Decimal {
	minutes := decimal.Zero
	for _, r := range s.work.Plan.Runs {
		minutes = s.add(minutes, s.keep(decimal.NewFromFloat64(r.Minutes)))
	}
	if len(s.work.Plan.Runs) > 0 {
		setUps := s.mul(s.whole(len(s.work.Plan.Runs)), s.rate(SetUpMinutes))
		if setUps.Cmp(minutes) > 0 {
			setUps = minutes
		}
		s.rate(FeedFtPerMinute)
		s.part(Forming, SetUpMinutes, s.quo(setUps, sixty))
		s.part(Forming, FeedFtPerMinute, s.quo(s.sub(minutes, setUps), sixty))
	}
	return s.quo(minutes, sixty)
}

// hanging is minutes by piece, foot, cut end and notch, more of them higher up.
func (s *sheet) hanging() decimal.Decimal {
	rates := [...]string{"hang_minutes_piece", "hang_minutes_ft", "hang_minutes_cut_end", "hang_minutes_notch"}
	minutes, higher, each, parts := decimal.Zero, decimal.Zero, [len(rates)]decimal.Decimal{}, [len(rates)]decimal.Decimal{}
	for i, rate := range rates {
		each[i] = s.rate(rate)
	}
	high := s.rate(HighShare)
	for _, p := range s.work.Layout.Pieces {
		counts := [...]decimal.Decimal{decimal.One, s.feet(p.Length), s.whole(cutEnds(p)), s.whole(len(p.Notches))}
		own := decimal.Zero
		for i := range rates {
			m := s.mul(each[i], counts[i])
			own, parts[i] = s.add(own, m), s.add(parts[i], m)
		}
		if up := p.At.Y - 10*measure.Foot; up > 0 {
			more := s.mul(own, s.mul(high, s.quo(s.feet(up), ten)))
			own, higher = s.add(own, more), s.add(higher, more)
		}
		minutes = s.add(minutes, own)
	}
	for i, rate := range rates {
		s.part(Hanging, rate, s.quo(parts[i], sixty))
	}
	s.part(Hanging, HighShare, s.quo(higher, sixty))
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
	hours := s.quo(s.mul(feet, s.rate("trim_minutes_ft")), sixty)
	s.part(HangingTrim, "trim_minutes_ft", hours)
	return hours
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
			hours := s.quo(s.mul(s.squares(), s.rate("wrb_minutes_square")), sixty)
			s.part(Barrier, "wrb_minutes_square", hours)
			return hours
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
	travel := s.mul(s.mul(days, crew), s.rate("travel_hours_day"))
	s.part(Travel, "travel_hours_day", travel)
	s.labour(Line{Work: Travel, Quantity: travel, UnitPrice: hanger, Key: "travel_hours_day", From: from, grows: fixed})
	s.line(Line{Kind: Other, What: "machine and trailer", Key: "trailer_day", Quantity: days, Unit: "day", UnitPrice: s.rate("trailer_day"), From: from})
	if rent := s.book.Prices["rental_day"]; rent.Written {
		s.line(Line{Kind: Other, What: "rented lift or scaffold", Key: "rental_day", Quantity: days, Unit: "day", UnitPrice: rent.Value, From: from})
	}
}
