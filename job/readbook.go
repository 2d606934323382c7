package job

import (
	"errors"

	"coilwright/document"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/steel"
)

// thicknesses of strip, 0 to 1 in: far beyond what a roll former takes (assumed).
var thicknesses = document.Range{Low: 1, High: measure.Inch}

func (r *reader) book(v document.Value) {
	o := v.Object(shopFields)
	b := &r.out.Book
	b.Title, b.Invented = o.Get("title").Text(), o.Get("invented").Bool()
	if s := o.Get("step"); s.Present() {
		b.Step = s.Length(document.Size)
	}
	b.Sliver = o.Get("sliver").Length(document.Depth)
	b.LongestPiece = o.Get("longest_piece").Length(document.CoilSize)
	r.receivers(o.Get("receivers"))
	b.Gap = gap(o.Get("gap"))
	r.panels(o.Get("panels"))
	r.textures(o.Get("texture"))
	r.colours(o.Get("colours"))
	b.Steel = stripOf(o.Get("steel"))
	r.coils(o.Get("coils"))
	r.mill(o.Get("mill"))
	b.Machine = machineOf(o.Get("machine"))
	b.FitToCut = fitToCut(o.Get("fit_to_cut"))
	b.Joint = joint(o.Get("joint"))
	joinable(b, o.Get("longest_piece"))
	b.Trim = trimOf(o.Get("trim"))
	b.Fasteners, b.Carrying = fastenersOf(o.Get("fasteners")), carryingOf(o.Get("carrying"))
	r.out.Prices, r.out.Offer = prices(o), offers(o.Get("offer"))
	forming(o, &b.Machine, r.out.Prices.Rates)
	for _, name := range []string{"receivers", "gap"} {
		if o.Present() && !o.Has(name) {
			o.Warnf("add "+name+", or use the demo book under it", "the shop's book has no %s: pieces are cut without that room at their ends", name)
		}
	}
}

func (r *reader) receivers(v document.Value) {
	r.out.Book.Receivers = map[string]steel.Receiver{}
	if !v.Present() {
		return
	}
	o := v.Object(receiverKeys)
	for _, key := range receiverKeys {
		if w := o.Get(key); w.Present() {
			f := w.Object(receiverFields)
			r.out.Book.Receivers[key] = steel.Receiver{
				Pocket: f.Get("pocket").Length(document.Anywhere), Cover: f.Get("cover").Length(document.Depth)}
		}
	}
}

func gap(v document.Value) steel.Gap {
	o := v.Object(gapFields)
	g := steel.Gap{
		Min: o.Get("min").Length(document.Depth), Allowance: o.Get("allowance").Length(document.Depth),
		AlphaPerF: o.Get("alpha_per_f").Exact(0, 0.001),
		HottestF:  o.Get("hottest_f").Exact(-200, 500), ColdestF: o.Get("coldest_f").Exact(-200, 500),
	}
	if g.HottestF != nil && g.ColdestF != nil && g.HottestF.Cmp(g.ColdestF) < 0 {
		o.Get("hottest_f").Errorf("write the steel's highest temperature here and its lowest as coldest_f", "the hottest steel is colder than the coldest")
	}
	return g
}

func (r *reader) panels(v document.Value) {
	seen := newIDs("panel")
	for i, w := range v.List() {
		r.out.Book.Panels = append(r.out.Book.Panels, panel(w, i, seen))
	}
}

func panel(v document.Value, i int, seen ids) steel.Panel {
	o := v.Object(panelFields)
	p := steel.Panel{ID: seen.take(o, i, true), Title: o.Get("title").Text(), Laps: 1}
	if p.Title == "" {
		p.Title = p.ID
	}
	p.Kind = steel.PanelKind(o.Need("kind").OneOf("kind of panel", panelNames))
	if l := o.Get("laps"); l.Present() {
		p.Laps = l.Int(1, 100)
	}
	p.Exposure = o.Need("exposure").Length(document.Size)
	p.BlankWidth = o.Get("blank_width").Length(document.Size)
	p.Thickness = o.Get("thickness").Length(thicknesses)
	p.Section = section(o.Get("cross_section"))
	p.Fixed = o.Get("fixed").OneOf("end that a panel is fixed at", []string{"top"})
	if p.Kind == steel.Counted {
		o.Need("piece_width")
	}
	p.PieceWidth = o.Get("piece_width").Length(document.Size)
	p.RatedPSF = o.Get("rated_psf").Number(0, 1000)
	return p
}

// section reads a cross-section and has its rules checked; a broken one is found
// at the span that breaks them.
func section(v document.Value) steel.Section {
	if !v.IsObject() {
		v.Map()
		return steel.Section{}
	}
	before := v.Errors()
	o := v.Object(sectionFields)
	d := steel.Drawing{Start: point(o.Get("start")), InsideRadius: o.Get("inside_radius").Length(document.Depth), K: o.Get("k").Number(0, 0.5)}
	spans := o.Need("spans")
	for _, w := range spans.List() {
		d.Spans = append(d.Spans, span(w))
	}
	d.Slots = slots(o.Get("nail_slots"))
	if v.Errors() != before {
		return steel.Section{}
	}
	s, err := steel.NewSection(d)
	var bad *steel.SectionError
	if errors.As(err, &bad) {
		at := v
		if bad.Span >= 0 {
			at = spans.List()[bad.Span]
		}
		at.Errorf(bad.Mend, "the cross-section cannot be formed: %s", bad.Rule)
	}
	return s
}

func span(v document.Value) steel.Span {
	o := v.Object(spanFields)
	s := steel.Span{To: point(o.Need("to")), Clockwise: o.Get("clockwise").Bool()}
	if c := o.Get("centre"); c.Present() {
		s.Arc, s.Centre = true, point(c)
	} else if o.Has("clockwise") {
		o.Errorf("add centre, or take clockwise away", "only an arc, which has a centre, runs clockwise")
	}
	return s
}

func point(v document.Value) plane.Point {
	x, y := v.Pair()
	return plane.Point{X: x.Length(document.Anywhere), Y: y.Length(document.Anywhere)}
}

func slots(v document.Value) steel.Slots {
	o := v.Object(slotFields)
	return steel.Slots{
		Length: o.Need("length").Length(document.Size), Width: o.Need("width").Length(document.Size),
		Spacing: o.Need("spacing").Length(document.Size), FromTop: o.Need("from_top").Length(document.Depth),
	}
}

func (r *reader) textures(v document.Value) {
	seen := newIDs("texture")
	for i, w := range v.List() {
		o := w.Object(textureFields)
		o.Get("title").Text()
		r.out.Book.Textures = append(r.out.Book.Textures, seen.take(o, i, true))
	}
}

func (r *reader) colours(v document.Value) {
	seen := newIDs("colour")
	for i, w := range v.List() {
		r.out.Book.Colours = append(r.out.Book.Colours, colour(w, i, seen))
	}
}

// fitToCut is by tape, 1/8 in or better, over the substrate, where the book does
// not say otherwise (the contract's demo rule).
func fitToCut(v document.Value) steel.FitToCut {
	o := v.Object(fitFields)
	f := steel.FitToCut{By: string(house.Tape), PlusMinus: measure.Inch / 8, Over: string(house.Substrate)}
	if by := o.Get("by"); by.Present() {
		f.By = by.OneOf("source of a measurement", sourceNames)
	}
	if pm := o.Get("plus_minus"); pm.Present() {
		f.PlusMinus = pm.Length(document.Depth)
	}
	if over := o.Get("over"); over.Present() {
		f.Over = over.OneOf("surface that sizes are taken over", overNames)
	}
	return f
}

func joint(v document.Value) steel.Joint {
	o := v.Object(jointFields)
	return steel.Joint{Lap: o.Get("lap").Length(document.Depth), Stagger: o.Get("stagger").Length(document.Depth),
		ClearOfOpening: o.Get("clear_of_opening").Length(document.Depth)}
}

// shortestLongest is the least that a shop's longest piece may be (assumed: a slip
// below).
const shortestLongest = measure.Foot

// shortestBrake is the least length of a brake (assumed: a slip below).
const shortestBrake = measure.Foot

// joinable refuses a longest piece that planned joints could not fill a course with:
// each takes its laps and is rounded down to the step.
func joinable(b *steel.Book, v document.Value) {
	if least := max(shortestLongest, 4*b.Joint.Lap, 4*b.Step); b.LongestPiece > 0 && b.LongestPiece < least {
		v.Errorf("write a length of at least "+least.Text(measure.Imperial)+", or a shorter lap of the joint",
			"a longest piece of %s is too short for planned joints: it has to be 1' or more, four laps of the joint and four steps", b.LongestPiece.Text(measure.Imperial))
	}
}

func trimOf(v document.Value) steel.Trim {
	o := v.Object(trimFields)
	size := func(name string) measure.Length { return o.Get(name).Length(document.Depth) }
	t := steel.Trim{
		StockLength: size("stock_length"), JFace: size("j_face"), PostFlat: size("post_flat"), Lap: size("lap"),
		StudSpacing: size("stud_spacing"), CoilWidth: size("coil_width"), BrakeLength: size("brake_length"),
		CoilLength: o.Get("coil_length").Length(document.CoilSize), BlankStep: size("blank_step"), Girths: girths(o.Get("girths")),
		PostFlatFrom: o.Get("post_flat_from").OneOf("coil that corner flats come from", flatNames),
		WRBWidth:     size("wrb_width"), WRBRoll: size("wrb_roll"), WRBLap: size("wrb_lap"), WRBEndLap: size("wrb_end_lap"),
		TapeRoll: size("tape_roll"), NailSpacing: size("nail_spacing"),
	}
	if least := max(shortestBrake, 2*t.Lap); t.BrakeLength > 0 && t.BrakeLength < least {
		o.Get("brake_length").Errorf("write the length that the brake bends, or 0 where the shop bends nothing",
			"a brake of %s is too short to bend trim on: it has to be 1' or more, and two laps of trim", t.BrakeLength.Text(measure.Imperial))
	}
	rollLaps(o, t)
	return t
}

// rollLaps refuses laps of the weather barrier that leave nothing of a row or a roll.
func rollLaps(o document.Object, t steel.Trim) {
	if t.WRBWidth > 0 && t.WRBLap >= t.WRBWidth {
		o.Get("wrb_lap").Errorf("write how far one row runs over the next, such as 6 in, or mend wrb_width",
			"a lap of %s leaves nothing of a row %s wide", t.WRBLap.Text(measure.Imperial), t.WRBWidth.Text(measure.Imperial))
	}
	if t.WRBRoll > 0 && t.WRBEndLap >= t.WRBRoll {
		o.Get("wrb_end_lap").Errorf("write how far one roll runs over the next, such as 6 in, or mend wrb_roll",
			"an end lap of %s leaves nothing of a roll %s long", t.WRBEndLap.Text(measure.Imperial), t.WRBRoll.Text(measure.Imperial))
	}
}

// girths reads the flat widths of trim that the shop bends itself.
func girths(v document.Value) map[string]measure.Length {
	out := map[string]measure.Length{}
	if !v.Present() {
		return out
	}
	o := v.Object(girthKeys)
	for _, key := range girthKeys {
		if g := o.Get(key); g.Present() {
			out[key] = g.Length(document.Depth)
		}
	}
	return out
}
