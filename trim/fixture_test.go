package trim_test

import (
	"testing"

	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
	"coilwright/trim"
)

const (
	ft = measure.Foot
	in = measure.Inch
)

// bookOf is an invented shop's trim.
func bookOf() *steel.Book {
	return &steel.Book{
		Invented: true,
		Panels: []steel.Panel{
			{ID: "level", Kind: steel.Horizontal, Laps: 2, Exposure: 4 * in},
			{ID: "upright", Kind: steel.Vertical, Laps: 1, Exposure: 12 * in},
			{ID: "shake", Kind: steel.Counted, Laps: 1, Exposure: 8 * in, PieceWidth: 40 * in},
		},
		Trim: steel.Trim{
			StockLength: 10 * ft, JFace: 3 * in / 4, PostFlat: 10 * in, Lap: in,
			StudSpacing: 16 * in, NailSpacing: 12 * in,
			WRBWidth: 9 * ft, WRBRoll: 100 * ft, WRBLap: 2 * in, WRBEndLap: 6 * in, TapeRoll: 55 * ft,
		},
	}
}

// at is a point in feet.
func at(x, y float64) plane.Point {
	return plane.Point{X: measure.FromInches(12 * x), Y: measure.FromInches(12 * y)}
}

// rect is a rectangle in feet.
func rect(x0, y0, x1, y1 float64) plane.Ring {
	return plane.Ring{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)}
}

// plainEdges are those of a rectangle of wall.
func plainEdges() []house.EdgeKind {
	return []house.EdgeKind{house.Base, house.OutsideCorner, house.Eave, house.OutsideCorner}
}

func wall(id string, outline plane.Ring, edges []house.EdgeKind, openings ...house.Opening) house.Wall {
	return house.Wall{ID: id, Outline: outline, Edges: edges, Openings: openings}
}

func window(id string, outline plane.Ring) house.Opening {
	return house.Opening{ID: id, Kind: house.Window, Outline: outline}
}

// zone is a zone of a layout, from a mask: it takes the mask's share of the wall
// less its openings.
type zone struct {
	panel string
	mask  plane.Ring
	own   bool
}

// laid makes a layout by hand: on each wall the zones' masks, less the openings;
// no pieces.
func laid(t testing.TB, h house.House, zones ...[]zone) (scheme.Scheme, *course.Layout) {
	t.Helper()
	var s scheme.Scheme
	l := &course.Layout{}
	for i, list := range zones {
		w := h.Walls[i]
		for _, z := range list {
			g, err := plane.Common(plane.Region{{Outer: w.Outline}}, plane.Region{{Outer: z.mask}})
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range w.Openings {
				if g, err = plane.Minus(g, plane.Region{{Outer: o.Outline}}); err != nil {
					t.Fatal(err)
				}
			}
			l.Zones = append(l.Zones, course.ZoneOnWall{
				Zone: len(s.Zones), Wall: i, Region: g, Area: g.Area(),
				Vertical: z.panel == "upright", Counted: z.panel == "shake",
				OwnStart: z.own, Origin: g.Box().Min.Y,
			})
			s.Zones = append(s.Zones, scheme.Zone{ID: z.panel, Walls: []int{i}, Panel: z.panel})
		}
	}
	return s, l
}

// all is a mask larger than any wall here.
var all = plane.Ring{at(-1000, -1000), at(1000, -1000), at(1000, 1000), at(-1000, 1000)}

// sum is the house's total of one kind; zero where there is none.
func sum(lines []trim.Line, k trim.Kind) trim.Line {
	for _, l := range trim.Totals(lines, bookOf()) {
		if l.Kind == k {
			return l
		}
	}
	return trim.Line{Kind: k}
}

// wantLength compares the total of a kind with feet.
func wantLength(t *testing.T, lines []trim.Line, k trim.Kind, feet float64) {
	t.Helper()
	if got := sum(lines, k).Length; got != measure.FromInches(12*feet) {
		t.Errorf("%s: %s, want %s", k, got.Text(measure.Imperial), measure.FromInches(12*feet).Text(measure.Imperial))
	}
}
