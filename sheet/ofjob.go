package sheet

import (
	"fmt"
	"slices"
	"strconv"

	"coilwright/coil"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/trim"
)

// Of hands what was worked out of scheme id to the papers. Date and Revision are
// the caller's.
func Of(j *job.Job, id string, r *job.RunResult, slitting []trim.Slitting) (Input, error) {
	n, err := j.Scheme(id)
	if err != nil {
		return Input{}, err
	}
	lines, err := j.Trim(id, r.Layout)
	if err != nil {
		return Input{}, err
	}
	in := Input{
		Title: j.Title, Units: j.Units, InstallTempF: j.InstallTempF,
		House: &j.House, Scheme: &j.Schemes[n], Book: &j.Book, Layout: r.Layout,
		Run: paperRun(j, r), Slitting: slitting,
	}
	tape, err := j.Tape(id)
	if err != nil {
		return Input{}, err
	}
	in.Tape = &tape
	for _, t := range trim.Totals(lines, &j.Book) {
		in.Trim = append(in.Trim, LineOf(t, lines, j.Units))
	}
	return in, nil
}

func paperRun(j *job.Job, r *job.RunResult) Run {
	var out Run
	for _, s := range r.Plan.Runs {
		out.Setups = append(out.Setups, Setup{
			Panel: s.Setup.Panel, Texture: s.Setup.Texture, Colour: s.Setup.Colour,
			Thickness: s.Setup.Thickness, Pieces: s.Pieces, Minutes: s.Minutes,
		})
	}
	for _, c := range r.Plan.Reels {
		out.Coils = append(out.Coils, Coil{
			ID: c.ID, Lot: c.Lot, Colour: c.Colour, Thickness: c.Thickness, Width: c.Width, Bought: c.Bought, Nth: c.Nth,
			Length: c.Length, Used: c.Used, Tail: c.Tail, Pieces: c.Pieces,
		})
	}
	for _, b := range r.Plan.Buy {
		out.Buy = append(out.Buy, paperBuy(j, b))
	}
	for _, l := range r.LeftOut {
		out.LeftOut = append(out.LeftOut, LeftOut{Piece: l.ID, Why: l.Why})
	}
	if r.OnWord != nil {
		out.OnWord = &OnWord{Name: r.OnWord.Name}
		for _, l := range r.OnWord.Pieces {
			out.OnWord.Pieces = append(out.OnWord.Pieces, OnWordPiece{LeftOut{Piece: l.ID, Why: l.Why}, l.Name, l.Reason})
		}
	}
	return out
}

func paperBuy(j *job.Job, b coil.Purchase) Buy {
	return Buy{
		Colour: b.Colour, Thickness: b.Thickness, Width: b.Width, Length: b.Length,
		Count: b.Count, Price: j.PriceText(b.Price),
	}
}

// LineOf says a quantity the way it is bought: by the piece where it comes so,
// else by its count, its area or its length.
func LineOf(t trim.Line, walls []trim.Line, u measure.Units) TrimLine {
	out := TrimLine{What: t.What, From: t.From}
	for _, note := range notes(t.Kind, walls) {
		out.From += "; " + note
	}
	unit := "lengths"
	if t.Kind == trim.WRB || t.Kind == trim.Tape {
		unit = "rolls"
	}
	along := t.Length.CeilTo(u.Step()).Text(u)
	switch {
	case t.Pieces > 0 && t.Length > 0:
		out.Quantity, out.Unit = strconv.Itoa(t.Pieces), unit+" for "+along
	case t.Pieces > 0:
		out.Quantity, out.Unit = strconv.Itoa(t.Pieces), unit
	case t.Count > 0:
		out.Quantity, out.Unit = strconv.Itoa(t.Count), "pieces"
	case t.Area != (measure.Area{}):
		out.Quantity, out.Unit = areaText(t.Area, u)
	case t.Length > 0:
		out.Quantity = along
	default:
		out.Quantity = "not counted"
	}
	return out
}

// notes gives what the walls' own lines of a kind say beside their quantity, once.
func notes(k trim.Kind, walls []trim.Line) []string {
	var out []string
	for _, l := range walls {
		if l.Kind == k && l.Note != "" && !slices.Contains(out, l.Note) {
			out = append(out, l.Note)
		}
	}
	return out
}

func areaText(a measure.Area, u measure.Units) (quantity, unit string) {
	if u == measure.Metric {
		return fmt.Sprintf("%.1f", a.SquareMetres()), "m²"
	}
	return fmt.Sprintf("%.1f", a.SquareFeet()), "sq ft"
}
