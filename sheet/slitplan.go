package sheet

import (
	"fmt"
	"strings"

	"coilwright/course"
	"coilwright/draw"
	"coilwright/measure"
	"coilwright/trim"
)

// cautionSlit stands where flat coil is slit and bent.
const cautionSlit = "SLIT AND BEND: strips have edges like knives: gloves, sleeves, eye protection. Two people carry a blank. Hands clear of the " +
	"slitter's wheels and the brake's nose. Read the plan on the bench, check the first blank with a tape."

// flatBlanks makes the blanks of panel coil pieces of the run, so that the machine's
// papers show them among the others.
func (s *set) flatBlanks() {
	for i := range s.Slitting {
		q := &s.Slitting[i]
		if q.From != trim.PanelCoil {
			continue
		}
		for _, b := range q.Blanks {
			s.piece[b.PieceID()] = &course.Piece{
				ID: b.PieceID(), Number: b.PieceNumber(), Panel: "flat", Texture: q.Texture, Colour: q.Colour,
				Thickness: q.Thickness, Length: b.Length, Fit: true,
			}
		}
	}
}

// slitList is the slitting plan in words and tables, on the coil and trim list.
func (s *set) slitList(p *paper) {
	for i := range s.Slitting {
		q := &s.Slitting[i]
		p.heading("Flat coil to slit and bend: " + s.flatCoil(q))
		if q.Note != "" {
			p.para(q.Note, normal, true)
		}
		if len(q.Blanks) > 0 {
			p.para(s.slitWords(q), normal, false)
			p.table(blankColumns, s.blankRows(q))
			p.table(flatColumns, s.flatRows(q))
		}
		for _, n := range q.Not {
			p.para(fmt.Sprintf("Not in the plan: %s, %s: %s.", n.What, n.From, n.Why), normal, false)
		}
	}
}

var (
	blankColumns = []column{
		{"blank", 14, 11, true, true}, {"cut off", 26, 11, true, true}, {"setting", 16, normal, false, true},
		{"slit into strips, side by side", 62, normal, false, false}, {"pieces, end to end in each strip", 74, 8, false, false},
	}
	flatColumns = []column{
		{"bent into", 44, normal, true, false}, {"strip", 22, normal, false, true}, {"length", 26, 10, true, true}, {"count", 14, normal, true, true},
		{"pieces", 44, 8, false, false}, {"for", 40, 8, false, false},
	}
)

// flatCoil names a coil that flat trim comes from.
func (s *set) flatCoil(q *trim.Slitting) string {
	text := orNone(q.Colour, "colour not chosen")
	if q.Texture != "" {
		text += " · " + q.Texture
	}
	if q.From == trim.PanelCoil {
		text += " · panel coil"
	}
	return text + " · " + s.strip(q.Thickness, q.Width)
}

// slitWords sum a plan up: what it takes, what must be bought, and how good it is.
func (s *set) slitWords(q *trim.Slitting) string {
	text := fmt.Sprintf("Takes %s of coil; blanks: %d, settings of the slitter: %d, slits: %d; waste %.1f per cent. ",
		s.long(q.Length), len(q.Blanks), q.Setups, q.Slits, q.WastePct())
	if q.Optimal {
		text += "No plan of such strips takes less. "
	} else {
		text += fmt.Sprintf("Proven: no plan takes less than %s; this one may be %s over the least. ", s.long(q.Bound), s.long(q.Gap()))
	}
	if q.From == trim.PanelCoil {
		return text + "It comes from panel coil."
	}
	switch {
	case q.Buy == 0:
		return text + "The coils on hand are enough."
	case q.Buy == q.BuyBound:
		return text + fmt.Sprintf("To buy: %d of %s; no plan buys fewer.", q.Buy, s.long(q.Each))
	}
	return text + fmt.Sprintf("To buy: %d of %s; proven: not fewer than %d.", q.Buy, s.long(q.Each), q.BuyBound)
}

func (s *set) blankRows(q *trim.Slitting) [][]string {
	var rows [][]string
	for _, b := range q.Blanks {
		var strips, pieces []string
		for _, t := range b.Strips {
			strips = append(strips, s.text(t.Width))
			pieces = append(pieces, strings.Join(flatIDs(q, t), "+"))
		}
		rows = append(rows, []string{fmt.Sprint(b.Number), s.exact(b.Length), fmt.Sprint(b.Setup), strings.Join(strips, " | "), strings.Join(pieces, " | ")})
	}
	return rows
}

func flatIDs(q *trim.Slitting, t trim.FlatStrip) []string {
	var out []string
	for _, k := range t.Flats {
		out = append(out, q.Flats[k].ID)
	}
	return out
}

// flatRows gathers flats that are bent alike for one place.
func (s *set) flatRows(q *trim.Slitting) [][]string {
	type key struct {
		what, from    string
		width, length measure.Length
	}
	ids := map[key][]string{}
	var order []key
	for _, f := range q.Flats {
		k := key{f.What, f.From, f.Width, f.Length}
		if len(ids[k]) == 0 {
			order = append(order, k)
		}
		ids[k] = append(ids[k], f.ID)
	}
	var rows [][]string
	for _, k := range order {
		rows = append(rows, []string{k.what, s.text(k.width), s.exact(k.length), fmt.Sprint(len(ids[k])), strings.Join(ids[k], " "), k.from})
	}
	return rows
}

// slitPictures draws every blank to scale: strips side by side, lengths end to end.
func (s *set) slitPictures(p *paper) {
	for i := range s.Slitting {
		q := &s.Slitting[i]
		if len(q.Blanks) == 0 {
			continue
		}
		p.heading("Flat coil to slit: " + s.flatCoil(q))
		p.caution(cautionSlit)
		p.para(s.slitWords(q), normal, false)
		setup := 0
		for _, b := range q.Blanks {
			if b.Setup != setup {
				setup = b.Setup
				p.need(18 + s.blankHeight(p, q))
				s.slitSetup(p, q, b)
			}
			s.blankPicture(p, q, b)
		}
	}
}

// gutter is the room left of a blank for the widths of its strips, in millimetres.
const gutter = 17.0

// blankScale is how many millimetres of paper one nanometre of blank has: the brake's
// length fills the line, and a wide coil still fits the page.
func (s *set) blankScale(p *paper, q *trim.Slitting) float64 {
	return min((p.width()-gutter)/float64(max(1, q.Brake)), 90/float64(max(1, q.Width)))
}

func (s *set) blankHeight(p *paper, q *trim.Slitting) float64 {
	return float64(q.Width)*s.blankScale(p, q) + 9
}

func (s *set) slitSetup(p *paper, q *trim.Slitting, first trim.Blank) {
	n := 0
	for _, b := range q.Blanks {
		if b.Setup == first.Setup {
			n++
		}
	}
	var widths []string
	for _, t := range first.Strips {
		widths = append(widths, s.text(t.Width))
	}
	blanks := "blanks"
	if n == 1 {
		blanks = "blank"
	}
	p.y += 3
	p.page.Layer("text").Add(draw.Text{At: draw.Point{X: p.left(), Y: p.y + 3}, Size: 10, Bold: true,
		Text: draw.Fit(fmt.Sprintf("SLIT %s  (setting %d, %d %s)", strings.Join(widths, " + "), first.Setup, n, blanks), 10, true, p.width())})
	p.y += 5
}

// blankPicture draws one blank with its tick box.
func (s *set) blankPicture(p *paper, q *trim.Slitting, b trim.Blank) {
	scale, h := s.blankScale(p, q), s.blankHeight(p, q)
	p.need(h)
	g := p.page.Layer("rules")
	g.Add(draw.TickBox(draw.Point{X: p.left(), Y: p.y + 0.6}, 4))
	text := fmt.Sprintf("BLANK %d   cut off %s", b.Number, s.exact(b.Length))
	if b.Coil >= 0 {
		text += "   from " + q.Coils[b.Coil].ID
	} else if q.From == trim.PanelCoil {
		text += "   (" + b.PieceNumber() + " of the run)"
	}
	p.page.Layer("text").Add(draw.Text{At: draw.Point{X: p.left() + 6, Y: p.y + 4}, Text: draw.Fit(text, 9, true, p.width()-6), Size: 9, Bold: true})
	frame := draw.Rect{X: p.left() + gutter, Y: p.y + 6, W: float64(b.Length) * scale, H: float64(q.Width) * scale}
	s.scrap(g, frame)
	y := frame.Y
	for _, t := range b.Strips {
		s.stripPicture(p, q, t, draw.Rect{X: frame.X, Y: y, W: frame.W, H: float64(t.Width) * scale}, scale)
		y += float64(t.Width) * scale
		g.Add(draw.Polyline(medium, draw.Point{X: frame.X, Y: y}, draw.Point{X: frame.Right(), Y: y}))
	}
	g.Add(frame.Path(heavy, draw.None))
	p.y += h
}

// scrap fills what may stay waste; strips are drawn over it.
func (s *set) scrap(g *draw.Group, r draw.Rect) {
	ring := []draw.Point{{X: r.X, Y: r.Y}, {X: r.Right(), Y: r.Y}, {X: r.Right(), Y: r.Bottom()}, {X: r.X, Y: r.Bottom()}}
	g.Add(draw.Hatch([][]draw.Point{ring}, 45, 1.6, draw.Pen{Width: 0.12, Ink: draw.Grey(120)}))
}

func (s *set) stripPicture(p *paper, q *trim.Slitting, t trim.FlatStrip, r draw.Rect, scale float64) {
	g, words := p.page.Layer("rules"), p.page.Layer("text")
	base := r.Y + r.H/2 + draw.CapHeight(barType)/2
	words.Add(draw.Text{At: draw.Point{X: r.X - 1.5, Y: base}, Text: draw.Fit(s.text(t.Width), barType, false, gutter-2), Size: barType, Anchor: draw.End})
	x := r.X
	for _, k := range t.Flats {
		f := q.Flats[k]
		box := draw.Rect{X: x, Y: r.Y, W: float64(f.Length) * scale, H: r.H}
		g.Add(box.Path(thin, draw.White))
		long := fmt.Sprintf("%s  %s  %s", f.ID, f.What, s.exact(f.Length))
		for _, text := range []string{long, f.ID + "  " + s.exact(f.Length), f.ID} {
			if draw.Width(text, barType, true)+1 <= box.W || text == f.ID {
				words.Add(draw.Text{At: draw.Point{X: box.X + box.W/2, Y: base}, Text: draw.Fit(text, barType, true, box.W-0.4), Size: barType, Bold: true, Anchor: draw.Middle})
				break
			}
		}
		x += box.W
	}
}

// slitData is the plan as a list: one row for each piece of flat strip.
func (s *set) slitData() list {
	rows := [][]any{{"blank", "setting", "coil", "blank_length_in", "strip", "strip_width_in", "piece", "bent_into", "from", "length", "length_in", "part", "parts"}}
	for i := range s.Slitting {
		q := &s.Slitting[i]
		for _, b := range q.Blanks {
			coil := q.From
			if b.Coil >= 0 {
				coil = q.Coils[b.Coil].ID
			}
			for k, t := range b.Strips {
				for _, n := range t.Flats {
					f := q.Flats[n]
					rows = append(rows, []any{b.Number, b.Setup, coil, b.Length.Inches(), k + 1, t.Width.Inches(), f.ID, f.What, f.From, s.exact(f.Length), f.Length.Inches(), f.Part, f.Parts})
				}
			}
		}
	}
	return list{"slitting", rows}
}
