package steel

import (
	"bytes"
	"encoding/json"
	"math/big"
	"strings"
	"testing"

	"coilwright/measure"
	"coilwright/plane"
)

// length is read as job files write it: a bare number of inches or a marked text.
type length measure.Length

func (l *length) UnmarshalJSON(b []byte) error {
	var text string
	got, err := measure.LengthFromNumber(string(b))
	if json.Unmarshal(b, &text) == nil {
		got, err = measure.ParseLength(text)
	}
	*l = length(got)
	return err
}

type place [2]length

func (p place) point() plane.Point {
	return plane.Point{X: measure.Length(p[0]), Y: measure.Length(p[1])}
}

// demo is what these tests look at of the book; the reader of jobs reads all.
type demo struct {
	Title     string
	Invented  bool
	Receivers map[string]struct{ Pocket, Cover length }
	Gap       struct {
		Min, Allowance length
		Alpha          json.Number `json:"alpha_per_f"`
		Hottest        float64     `json:"hottest_f"`
		Coldest        float64     `json:"coldest_f"`
	}
	Panels []struct {
		ID, Kind, Fixed     string
		Laps                int
		Exposure, Thickness length
		Blank               length `json:"blank_width"`
		PieceWidth          length `json:"piece_width"`
		Drawn               *cross `json:"cross_section"`
	}
	Texture, Colours []struct {
		ID     string
		SRGB   []int
		Linear []float64
	}
	Steel struct {
		Thickness length
		Density   json.Number `json:"density_lb_in3"`
		Basis     string
	}
	Coils []struct {
		ID, Lot, Colour          string
		Thickness, Width, Length length
		Weight                   json.Number `json:"weight_lb"`
		Outer                    length      `json:"outer_dia"`
		Inner                    length      `json:"inner_dia"`
	}
	Mill []struct {
		Colour, Price            string
		Thickness, Width, Length length
	}
	Longest *length `json:"longest_piece"`
	Joint   map[string]length
	Trim    map[string]json.RawMessage
	Machine map[string]any
	Fit     map[string]string `json:"fit_to_cut"`
}

type cross struct {
	Start  place
	Radius length `json:"inside_radius"`
	K      float64
	Spans  []struct {
		To        place
		Centre    *place
		Clockwise bool
	}
	Slots struct {
		Length, Width, Spacing length
		FromTop                length `json:"from_top"`
	} `json:"nail_slots"`
}

func (c cross) drawing() Drawing {
	d := Drawing{Start: c.Start.point(), InsideRadius: measure.Length(c.Radius), K: c.K}
	d.Slots = Slots{measure.Length(c.Slots.Length), measure.Length(c.Slots.Width), measure.Length(c.Slots.Spacing), measure.Length(c.Slots.FromTop)}
	for _, s := range c.Spans {
		span := Span{To: s.To.point(), Clockwise: s.Clockwise}
		if s.Centre != nil {
			span.Arc, span.Centre = true, s.Centre.point()
		}
		d.Spans = append(d.Spans, span)
	}
	return d
}

func readDemo(t *testing.T) demo {
	t.Helper()
	var d demo
	if err := json.NewDecoder(bytes.NewReader(DemoBook)).Decode(&d); err != nil {
		t.Fatal(err)
	}
	return d
}

// panels gives the book's formed panels by id.
func (d demo) panels(t *testing.T) map[string]Panel {
	out := map[string]Panel{}
	for _, p := range d.Panels {
		q := Panel{ID: p.ID, Kind: PanelKind(p.Kind), Laps: p.Laps, Exposure: measure.Length(p.Exposure), Fixed: p.Fixed,
			BlankWidth: measure.Length(p.Blank), Thickness: measure.Length(p.Thickness), PieceWidth: measure.Length(p.PieceWidth)}
		if p.Drawn != nil {
			q.Section = section(t, p.Drawn.drawing())
		}
		out[p.ID] = q
	}
	return out
}

// The ids, laps and covers that jobs rely on.
func TestDemoPanels(t *testing.T) {
	panels := readDemo(t).panels(t)
	for id, want := range map[string]struct {
		kind  PanelKind
		laps  int
		cover measure.Length
	}{
		"dutch-double-5": {Horizontal, 2, 10}, "dutch-double-4": {Horizontal, 2, 8},
		"lap-double-5": {Horizontal, 2, 10}, "lap-double-4": {Horizontal, 2, 8},
		"lap-single-8": {Horizontal, 1, 8}, "lap-single-6": {Horizontal, 1, 6},
		"vertical-12": {Vertical, 1, 12}, "vertical-16": {Vertical, 1, 16}, "shake": {Counted, 1, 9},
	} {
		p, ok := panels[id]
		if !ok || p.Kind != want.kind || p.Laps != want.laps || p.Cover() != want.cover*measure.Inch {
			t.Errorf("%s: %v, %v %d laps, cover %v", id, ok, p.Kind, p.Laps, p.Cover())
		}
		if (p.Kind == Counted) != (p.PieceWidth > 0) || (p.Kind == Vertical) != (p.Fixed == "top") {
			t.Errorf("%s: piece width %v, fixed %q", id, p.PieceWidth, p.Fixed)
		}
		delete(panels, id)
	}
	if len(panels) != 0 {
		t.Errorf("panels nobody asked for: %v", panels)
	}
}

// A drawn section must account for the width that the shop states: it fits, and
// leaves less than 1/8 in.
func TestDemoBlankWidths(t *testing.T) {
	for id, p := range readDemo(t).panels(t) {
		if p.Kind == Counted {
			continue
		}
		computed, err := p.Developed()
		if err != nil {
			t.Errorf("%s: %v", id, err)
			continue
		}
		over := p.BlankWidth.CeilTo(measure.Sixteenth) - computed
		if computed <= 0 || over < 0 || over > measure.Inch/8 {
			t.Errorf("%s: stated %.4f in, computed %.4f in", id, p.BlankWidth.Inches(), computed.Inches())
		}
		if err := CheckThickness(id, p.Thickness); err != nil {
			t.Error(err)
		}
		n := p.Section.Slots()
		// 40 ft over the book's 190 F move 0.6 in; the nail's shank is 0.113 in.
		if move := moved(AlphaOfSteel(), 40*measure.Foot, 190); n.Length.Inches() < move+0.113 {
			t.Errorf("%s: a slot of %.3f in is short of %.3f in of movement and the nail", id, n.Length.Inches(), move)
		}
	}
}

// Where the next course hangs in the lock of the one below, the two painted faces
// stay a strip's thickness apart.
func TestDemoLocks(t *testing.T) {
	for id, p := range readDemo(t).panels(t) {
		if p.Kind == Counted {
			continue
		}
		below := p.Section.Points(measure.Inch / 5000)
		for _, q := range p.Section.Points(measure.Inch / 5000) {
			q.Y += p.Cover()
			if q.Y > p.Section.Box().Max.Y {
				continue
			}
			for i := 0; i+1 < len(below); i++ {
				if d := distance(q, below[i], below[i+1]); d < 0.019 {
					t.Errorf("%s: the next panel comes within %.4f in of this one at %.3f, %.3f", id, d, q.X.Inches(), q.Y.Inches())
				}
			}
		}
	}
}

// distance from q to the segment ab, in inches.
func distance(q, a, b plane.Point) float64 {
	u, v := inches(b.Sub(a)), inches(q.Sub(a))
	f := max(0, min(1, (u.x*v.x+u.y*v.y)/(u.x*u.x+u.y*u.y)))
	return vector{v.x - f*u.x, v.y - f*u.y}.length()
}

// Every strip that a panel needs is on a coil that can be had; two widths carry
// five of the six horizontal panels; stock of one colour and width does not side
// a house of 1500 sq ft, so that something must be bought.
func TestDemoStock(t *testing.T) {
	d := readDemo(t)
	widths, carried := map[measure.Length]bool{}, map[measure.Length]int{}
	for _, m := range d.Mill {
		if price, ok := new(big.Rat).SetString(m.Price); !ok || price.Sign() <= 0 || m.Colour != "any" || m.Length <= 0 {
			t.Errorf("mill offer %+v", m)
		}
		widths[measure.Length(m.Width)] = true
	}
	for id, p := range d.panels(t) {
		if p.Kind != Counted && !widths[p.BlankWidth] {
			t.Errorf("%s: no mill coil is %.4f in wide", id, p.BlankWidth.Inches())
		}
		carried[p.BlankWidth]++
	}
	if carried[14*measure.Inch] != 2 || carried[12*measure.Inch] != 3 {
		t.Errorf("panels by strip width: %v", carried)
	}
	type lot struct {
		colour string
		width  measure.Length
	}
	stock, colours := map[lot]measure.Length{}, map[string]bool{}
	for _, c := range d.Colours {
		colours[c.ID] = true
	}
	for _, c := range d.Coils {
		l := d.onCoil(t, c.ID)
		if !colours[c.Colour] || !widths[measure.Length(c.Width)] || l < 100*measure.Foot {
			t.Errorf("coil %s: %s, %v wide, %.0f ft", c.ID, c.Colour, c.Width, l.Feet())
		}
		stock[lot{c.Colour, measure.Length(c.Width)}] += l
	}
	if len(d.Coils) != 8 {
		t.Errorf("%d coils", len(d.Coils))
	}
	for k, l := range stock {
		if need := 1500 * 12 / 10.0; l.Feet() >= need { // of the widest horizontal cover
			t.Errorf("%v: %.0f ft side a whole house of %.0f ft", k, l.Feet(), need)
		}
	}
}

// onCoil works a coil's length out of whichever way it is given.
func (d demo) onCoil(t *testing.T, id string) measure.Length {
	t.Helper()
	for _, c := range d.Coils {
		if c.ID != id {
			continue
		}
		l, err := measure.Length(c.Length), error(nil)
		if c.Weight != "" {
			l, err = CoilLengthFromWeight(number(string(c.Weight)), measure.Length(c.Thickness), measure.Length(c.Width), number(string(d.Steel.Density)))
		} else if c.Outer > 0 {
			l, err = CoilLengthFromDiameters(measure.Length(c.Outer), measure.Length(c.Inner), measure.Length(c.Thickness))
		}
		if err != nil {
			t.Error(err)
		}
		return l
	}
	return 0
}

// A 40 ft piece hung at 60 F stays in every receiver on the coldest day, by the
// contract's rule, worked here in floats; a vertical panel of 20 ft fixed at its
// top takes all of it at its bottom.
func TestDemoReceivers(t *testing.T) {
	d := readDemo(t)
	alpha, _ := d.Gap.Alpha.Float64()
	near(t, "alpha", alpha, float(AlphaOfSteel()), 1e-15)
	in := func(l length) float64 { return measure.Length(l).Inches() }
	for _, c := range []struct{ r, share float64 }{{480, 0.5}, {240, 1}} {
		need := in(d.Gap.Allowance) + alpha*c.r*c.share*(d.Gap.Hottest-60)
		g := measure.FromInches(max(in(d.Gap.Min), need)).CeilTo(measure.Sixteenth).Inches()
		for key, r := range d.Receivers {
			if out := in(r.Pocket) + g + alpha*c.r*c.share*(60-d.Gap.Coldest); out > in(r.Cover) {
				t.Errorf("%s: drawn back %.4f in, covered %.4f", key, out, in(r.Cover))
			}
		}
	}
	for _, key := range []string{"base", "eave", "rake", "outside-corner", "inside-corner", "abuts", "open", OpeningSide, OpeningHead, OpeningSill, ZoneEdge} {
		if _, ok := d.Receivers[key]; !ok {
			t.Errorf("no receiver %s", key)
		}
	}
}

func TestDemoIsWhole(t *testing.T) {
	d := readDemo(t)
	if !d.Invented || !strings.Contains(d.Title, "invented") || d.Longest != nil || d.Steel.Basis != string(Total) {
		t.Errorf("%q invented %v, longest %v, basis %q", d.Title, d.Invented, d.Longest, d.Steel.Basis)
	}
	if len(d.Colours) != 8 || len(d.Texture) != 2 {
		t.Errorf("%d colours, %d textures", len(d.Colours), len(d.Texture))
	}
	for _, key := range []string{"stock_length", "j_face", "post_flat", "lap", "stud_spacing", "coil_width", "coil_length",
		"brake_length", "blank_step", "wrb_width", "wrb_roll", "wrb_lap", "wrb_end_lap", "tape_roll", "nail_spacing"} {
		var l length
		if err := json.Unmarshal(d.Trim[key], &l); err != nil || l <= 0 {
			t.Errorf("trim has no %s: %v", key, err)
		}
	}
	if d.Fit["by"] != "tape" || d.Fit["over"] != "substrate" || d.Fit["plus_minus"] != "1/8 in" {
		t.Errorf("fit to cut: %v", d.Fit)
	}
	near(t, "density", float(number(string(d.Steel.Density))), float(DensityOfSteel()), 1e-12)
}
