package sheet_test

import (
	"fmt"
	"math"
	"math/big"
	"testing"
	"time"

	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/problem"
	"coilwright/scheme"
	"coilwright/sheet"
	"coilwright/steel"
)

const (
	in = measure.Inch
	ft = measure.Foot
)

func rect(x, y, w, h measure.Length) plane.Ring {
	return plane.Ring{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

// gable is an invented wall, 32 ft by 9 ft with a 17 ft gable, two windows, a door
// and a small vent.
func gable(id string) house.Wall {
	tape := house.Pedigree{By: house.Tape, PlusMinus: in / 8}
	return house.Wall{
		ID: id, Measured: tape, Over: house.Substrate,
		Outline: plane.Ring{{X: 0, Y: 0}, {X: 32 * ft, Y: 0}, {X: 32 * ft, Y: 9 * ft}, {X: 16 * ft, Y: 17 * ft}, {X: 0, Y: 9 * ft}},
		Edges:   []house.EdgeKind{house.Base, house.OutsideCorner, house.Rake, house.Rake, house.OutsideCorner},
		Openings: []house.Opening{
			{ID: "S1", Kind: house.Window, Outline: rect(6*ft, 3*ft, 3*ft, 4*ft+6*in), Measured: tape},
			{ID: "S2", Kind: house.Door, Outline: rect(20*ft, 0, 3*ft+2*in, 6*ft+10*in), Measured: tape},
			{ID: "S3", Kind: house.Window, Outline: rect(24*ft, 3*ft+2*in+in/8, 2*ft+6*in, 3*ft+8*in), Measured: tape},
			{ID: "V1", Kind: house.Vent, Outline: rect(15*ft+6*in, 13*ft, ft, ft+3*in), Measured: tape},
		},
	}
}

// synthetic lays walls out without set-backs, through the library's booleans: not
// the program's own layout, only something of its shape to draw.
type synthetic struct {
	t      *testing.T
	house  house.House
	scheme scheme.Scheme
	out    course.Layout
	units  measure.Units
	shake  measure.Length // height of a counted zone below the top
}

func (y *synthetic) minus(a, b plane.Region) plane.Region {
	r, err := plane.Minus(a, b)
	if err != nil {
		y.t.Fatal(err)
	}
	return r
}

func (y *synthetic) common(a, b plane.Region) plane.Region {
	r, err := plane.Common(a, b)
	if err != nil {
		y.t.Fatal(err)
	}
	return r
}

func region(r plane.Ring) plane.Region { return plane.Region{{Outer: r}} }

func (y *synthetic) wall(w int, skirt measure.Length) {
	wall := y.house.Walls[w]
	net := region(wall.Outline)
	for _, o := range wall.Openings {
		net = y.minus(net, region(o.Outline))
	}
	b := wall.Outline.Box()
	below := region(rect(b.Min.X, b.Min.Y-ft, b.Width(), skirt+ft-b.Min.Y))
	n := 0
	if skirt > 0 {
		y.zone(w, 0, y.common(net, below), true, 12*in, &n)
	}
	rest := y.minus(net, below)
	if f := y.scheme.Frieze; f > 0 {
		top := region(rect(b.Min.X, b.Max.Y-f, b.Width(), f))
		y.out.Friezes = append(y.out.Friezes, course.FriezeOnWall{Wall: w, Region: y.common(rest, top)})
		rest = y.minus(rest, top)
	}
	if y.shake > 0 {
		high := region(rect(b.Min.X, b.Max.Y-y.shake, b.Width(), y.shake))
		z := y.common(rest, high)
		y.out.Zones = append(y.out.Zones, course.ZoneOnWall{Zone: 2, Wall: w, Region: z, Area: z.Area(), Counted: true, Count: 84})
		rest = y.minus(rest, high)
	}
	y.zone(w, 1, rest, false, 10*in, &n)
}

func (y *synthetic) zone(w, zone int, r plane.Region, vertical bool, cover measure.Length, n *int) {
	b := r.Box()
	z := course.ZoneOnWall{Zone: zone, Wall: w, Region: r, Area: r.Area(), Vertical: vertical}
	lo, hi := b.Min.Y, b.Max.Y
	if vertical {
		lo, hi = b.Min.X, b.Max.X
	}
	first := lo
	if !vertical {
		first = lo.FloorTo(cover) - in*5/8
	}
	for k := 1; first+measure.Length(k-1)*cover < hi; k++ {
		low := first + measure.Length(k-1)*cover
		z.Bands = append(z.Bands, course.Band{K: k, Low: low, High: low + cover})
		strip := rect(b.Min.X, low, b.Width(), cover)
		if vertical {
			strip = rect(low, b.Min.Y, cover, b.Height())
		}
		for _, p := range y.common(r, region(strip)) {
			*n++
			z.Pieces = append(z.Pieces, len(y.out.Pieces))
			y.out.Pieces = append(y.out.Pieces, y.piece(w, zone, k, *n, p, vertical, cover))
		}
	}
	y.out.Zones = append(y.out.Zones, z)
}

func (y *synthetic) piece(w, zone, k, n int, on plane.Polygon, vertical bool, cover measure.Length) course.Piece {
	z := y.scheme.Zones[zone]
	b := on.Outer.Box()
	p := course.Piece{
		ID: fmt.Sprintf("w%d-%d", w+1, n), Number: fmt.Sprintf("%d-%d", w+1, n), Wall: w, Zone: zone, Course: k,
		Panel: z.Panel, Texture: z.Texture, Colour: z.Colour, Vertical: vertical, At: b.Min, Cover: cover,
		Gaps: [2]measure.Length{in / 4, in / 4}, Fit: true, Measured: house.Pedigree{By: house.Tape, PlusMinus: in / 8},
	}
	own := func(r plane.Ring) (out plane.Ring) {
		for _, q := range r {
			q = q.Sub(b.Min)
			if vertical {
				q = plane.Point{X: q.Y, Y: b.Width() - q.X}
			}
			out = append(out, q)
		}
		return out
	}
	p.Shape.Outer = own(on.Outer)
	for _, h := range on.Holes {
		p.Shape.Holes = append(p.Shape.Holes, own(h))
	}
	box := p.Shape.Outer.Box()
	p.Extent, p.Length = box.Width(), box.Width().FloorTo(y.units.Step())
	if box.Height() < cover {
		p.Rip = box.Height()
	}
	p.Ends = []course.End{end(p.Shape.Outer, course.LeftEnd), end(p.Shape.Outer, course.RightEnd)}
	for _, o := range y.house.Walls[w].Openings {
		if c := y.common(region(o.Outline), region(b2ring(b))); len(c) > 0 && !vertical {
			cb := c.Box()
			p.Notches = append(p.Notches, course.Notch{Box: plane.Box{Min: cb.Min.Sub(b.Min), Max: cb.Max.Sub(b.Min)}, Opening: o.ID, Square: true})
		}
	}
	return p
}

func b2ring(b plane.Box) plane.Ring { return rect(b.Min.X, b.Min.Y, b.Width(), b.Height()) }

// end finds the slope of the outermost edge on one side.
func end(r plane.Ring, side course.Side) course.End {
	e := course.End{Side: side, Receiver: string(house.OutsideCorner), Angle: 90, Pocket: in / 2, Gap: in / 4, Cover: in}
	box := r.Box()
	for i, a := range r {
		b := r[(i+1)%len(r)]
		d := b.Sub(a)
		atSide := side == course.LeftEnd && (a.X == box.Min.X || b.X == box.Min.X) && d.Y < 0 ||
			side == course.RightEnd && (a.X == box.Max.X || b.X == box.Max.X) && d.Y > 0
		if atSide && d.X != 0 {
			e.Angle = math.Abs(math.Atan2(float64(d.Y), float64(d.X))) * 180 / math.Pi
			if e.Angle > 90 {
				e.Angle = 180 - e.Angle
			}
			e.Receiver = string(house.Rake)
		}
	}
	return e
}

// papersOf is a whole input over some walls; units only change how it is printed.
func papersOf(t *testing.T, units measure.Units, skirt measure.Length, walls ...house.Wall) sheet.Input {
	t.Helper()
	y := &synthetic{t: t, units: units, house: house.House{Walls: walls}, scheme: scheme.Scheme{
		ID: "A", Title: "Dutch lap, slate", Frieze: 0,
		Zones: []scheme.Zone{
			{ID: "skirt", Panel: "vertical-12", Texture: "smooth", Colour: "slate"},
			{ID: "field", Panel: "dutch-double-5", Texture: "grain", Colour: "slate"},
			{ID: "band", Panel: "shake", Texture: "grain", Colour: "barn"},
		},
	}}
	if units == measure.Metric { // so that both kinds of wall are drawn
		y.scheme.Frieze, y.shake = 15*in/2, 20*in
	}
	for w := range walls {
		y.wall(w, skirt)
	}
	y.out.Scheme, y.out.Datum = "A", course.DatumChoice{Datum: -in * 5 / 8, Chosen: true}
	for i := range y.out.Pieces {
		y.out.Totals.Pieces++
		y.out.Totals.PanelLength += y.out.Pieces[i].Length
	}
	for _, z := range y.out.Zones {
		y.out.Totals.Region = plane.AddAreas(y.out.Totals.Region, z.Area)
	}
	y.out.Problems.Warnf("$.house.walls[0]", "look at the corner again", "lines of this wall do not meet those of its neighbour")
	_ = problem.Warning
	if len(y.out.Pieces) > 3 {
		y.out.Pieces[3].Warnings = []string{"a sliver of 1 1/4 in above the door"}
		y.out.Pieces[4].Fit = false
	}
	return sheet.Input{
		Title: "Alder Row 7 (invented)", Units: units, InstallTempF: big.NewRat(60, 1), Date: time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC), Revision: "3",
		House: &y.house, Scheme: &y.scheme, Layout: &y.out, Run: runOf(&y.out),
		Book: &steel.Book{Title: "demo (invented)", Sliver: in * 3 / 2},
		Trim: []sheet.TrimLine{{"J-channel", "9", "lengths of 12' 6\"", "4 openings, laps 1\""}, {"starter strip", "3", "lengths", "base of wall south, 28' 10\""}},
	}
}

func runOf(l *course.Layout) sheet.Run {
	r := sheet.Run{Cautions: []sheet.Caution{{Where: "steps", Text: "Invented shop: check the coil's thickness with a micrometer before threading."}}}
	setup := map[int]int{}
	for i := range l.Pieces {
		p := &l.Pieces[i]
		k, ok := setup[p.Zone]
		if !ok {
			k = len(r.Setups)
			setup[p.Zone] = k
			r.Setups = append(r.Setups, sheet.Setup{Panel: p.Panel, Texture: p.Texture, Colour: p.Colour, Thickness: in * 179 / 10000, Minutes: 12.5})
			r.Coils = append(r.Coils, sheet.Coil{
				ID: fmt.Sprintf("C%d", k+1), Lot: "L-2207", Colour: p.Colour, Thickness: in * 179 / 10000, Width: in * 14, Length: 900 * ft, Bought: k == 1,
			})
		}
		r.Setups[k].Pieces = append(r.Setups[k].Pieces, p.ID)
		c := &r.Coils[k]
		c.Pieces, c.Used = append(c.Pieces, p.ID), c.Used+p.Length
		c.Tail = c.Length - c.Used
	}
	r.Buy = []sheet.Buy{{Colour: "slate", Thickness: in * 179 / 10000, Width: 14 * in, Length: 900 * ft, Count: 1, Price: "1 240.00"}}
	return r
}
