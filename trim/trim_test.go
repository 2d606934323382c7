package trim_test

import (
	"math"
	"strings"
	"testing"

	"coilwright/course"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
	"coilwright/steel"
	"coilwright/trim"
)

// J-channel of a 3 x 5 ft window, 3/4 in face: 16 ft and four mitred ends make
// 16.25 ft all round; with a finish trim at the sill, two sides and a head with two
// mitred ends (common practice, no source).
func TestChannelOfOpening(t *testing.T) {
	for _, c := range []struct {
		panel           string
		channel, finish float64
	}{
		{"upright", 16.25 + 20 + 20, 0}, // and both bottom and top of the standing panels
		{"level", 13.125, 3 + 20},
	} {
		h := house.House{Walls: []house.Wall{wall("w", rect(0, 0, 20, 9), plainEdges(), window("A", rect(4, 2, 7, 7)))}}
		s, l := laid(t, h, []zone{{panel: c.panel, mask: all}})
		lines := trim.Quantities(h, s, bookOf(), l)
		wantLength(t, lines, trim.Channel, c.channel)
		wantLength(t, lines, trim.Finish, c.finish)
		wantLength(t, lines, trim.DripCap, 3)
		for _, x := range lines {
			if x.Kind == trim.DripCap && x.From != "w A" {
				t.Errorf("drip cap comes from %q", x.From)
			}
		}
	}
}

// Stock of 10 ft: short members share lengths, over openings in the house's total;
// what is longer is lapped by 1 in (arithmetic).
func TestStock(t *testing.T) {
	var openings []house.Opening
	for i := range 4 {
		x := 2 + 5*float64(i)
		openings = append(openings, window(string(rune('A'+i)), rect(x, 2, x+3, 7)))
	}
	h := house.House{Walls: []house.Wall{wall("w", rect(0, 0, 25, 9), plainEdges(), openings...)}}
	s, l := laid(t, h, []zone{{panel: "level", mask: all}})
	lines := trim.Quantities(h, s, bookOf(), l)
	for _, x := range lines {
		if x.Kind == trim.Channel && x.Pieces != 2 { // two 5 ft sides fill one, the head begins another
			t.Errorf("%s: %d lengths, want 2", x.From, x.Pieces)
		}
	}
	// Eight sides fill four lengths; three of four heads of 3 ft 1 1/2 in fit one.
	if n := sum(lines, trim.Channel).Pieces; n != 6 {
		t.Errorf("channel: %d lengths, want 6", n)
	}
	// 25 ft: two whole lengths, lapped, reach 19 ft 11 in; 5 ft 2 in with its lap remain.
	if x := sum(lines, trim.Starter); x.Pieces != 3 || x.Laps != 2*in {
		t.Errorf("starter: %d lengths, %s of laps; want 3 and 2 in", x.Pieces, x.Laps.Text(measure.Imperial))
	}
}

// No channel where openings touch each other or the wall's outline.
func TestTouchingOpenings(t *testing.T) {
	door := house.Opening{ID: "D", Kind: house.Door, Outline: rect(10, 0, 13, 7)}
	light := house.Opening{ID: "L", Kind: house.Other, Outline: rect(13, 0, 14, 7)} // sidelight
	h := house.House{Walls: []house.Wall{wall("w", rect(0, 0, 20, 9), plainEdges(), door, light)}}
	s, l := laid(t, h, []zone{{panel: "level", mask: all}})
	lines := trim.Quantities(h, s, bookOf(), l)
	// Door: left side and head, mitred where they meet; sidelight: head and right side.
	wantLength(t, lines, trim.Channel, 7+3+7+1+2*0.0625)
	wantLength(t, lines, trim.DripCap, 3)
	wantLength(t, lines, trim.Starter, 16)
	if got := sum(lines, trim.Starter).Runs; len(got) != 2 {
		t.Errorf("starter in %d runs, want 2", len(got))
	}
}

// A round window has no sill: channel is bent all round, one run, no mitre. A
// triangle has a sill, two slopes and one mitre at the top.
func TestRoundAndTriangular(t *testing.T) {
	var round plane.Ring
	for i := range 24 {
		sin, cos := math.Sincos((float64(i) - 0.5) * math.Pi / 12)
		round = append(round, at(5+1.5*cos, 4+1.5*sin))
	}
	triangle := plane.Ring{at(10, 4), at(14, 4), at(12, 5.5)}
	h := house.House{Walls: []house.Wall{wall("w", rect(0, 0, 20, 9), plainEdges(), window("R", round), window("T", triangle))}}
	s, l := laid(t, h, []zone{{panel: "level", mask: all}})
	var perimeter float64
	for i, p := range round {
		d := round[(i+1)%len(round)].Sub(p)
		perimeter += math.Hypot(float64(d.X), float64(d.Y))
	}
	for _, x := range trim.Quantities(h, s, bookOf(), l) {
		switch {
		case x.Kind == trim.Channel && x.From == "w R":
			if len(x.Runs) != 1 || math.Abs(float64(x.Length)-perimeter) > 24 {
				t.Errorf("round: %d runs, %s, want one of %.4f ft", len(x.Runs), x.Length.Text(measure.Imperial), perimeter/float64(ft))
			}
		case x.Kind == trim.Channel && x.From == "w T":
			if want := 5*ft + 3*in/4; x.Length != want { // slopes 2.5 ft each
				t.Errorf("triangle: %s, want %s", x.Length.Text(measure.Imperial), want.Text(measure.Imperial))
			}
		case x.Kind == trim.Finish && x.From == "w T" && x.Length != 4*ft:
			t.Errorf("triangle's sill: %s", x.Length.Text(measure.Imperial))
		case x.Kind == trim.Finish && x.From == "w R":
			t.Errorf("a round window got a sill trim")
		}
	}
}

// pieceOf is one course by hand, ends in posts 1/8 in deep with 1/4 in of gap.
func pieceOf(x0, y, x1 float64) course.Piece {
	p := course.Piece{At: at(x0, y), Extent: at(x1-x0, 0).X, Gaps: [2]measure.Length{in / 4, in / 4}}
	p.At.X += in/8 + in/4
	p.Extent -= 2 * (in/8 + in/4)
	p.Ends = []course.End{{Side: course.LeftEnd, Pocket: in / 8}, {Side: course.RightEnd, Pocket: in / 8}}
	return p
}

// 40 ft at 16 in crosses 31 studs; 14 courses of a 9 ft wall at 8 in cover take 434
// nails (arithmetic; spacing as the studs': 2018 IRC table R703.3(1)). 9 ft / 8 in
// = 13.5, so 14 courses.
func TestPanelNails(t *testing.T) {
	h := house.House{Walls: []house.Wall{wall("w", rect(0, 0, 40, 9), plainEdges())}}
	s, l := laid(t, h, []zone{{panel: "level", mask: all}})
	courses := int((9 * ft).CeilTo(8*in) / (8 * in))
	if courses != 14 {
		t.Fatalf("%d courses", courses)
	}
	for k := range courses {
		l.Pieces = append(l.Pieces, pieceOf(0, float64(k)*8/12, 40))
	}
	lines := trim.Quantities(h, s, bookOf(), l)
	if n := sum(lines, trim.PanelNails).Count; n != 434 {
		t.Errorf("%d nails, want 434", n)
	}
	wantLength(t, lines, trim.Starter, 40)
}

// An end away from a stud takes a nail of its own.
func TestNailsAtPieceEnds(t *testing.T) {
	h := house.House{Walls: []house.Wall{wall("w", rect(0, 0, 40, 9), plainEdges())}}
	s, l := laid(t, h, []zone{{panel: "level", mask: all}})
	l.Pieces = []course.Piece{pieceOf(0, 0, 10)} // 0 to 120 in: studs 0..112, end 8 in past
	if n := sum(trim.Quantities(h, s, bookOf(), l), trim.PanelNails).Count; n != 9 {
		t.Errorf("%d nails, want 8 studs and 1 end", n)
	}
}

// box is a house of four walls joined in a ring.
func box(width, depth, height float64) house.House {
	var h house.House
	for i, id := range []string{"south", "east", "north", "west"} {
		w := width
		if i%2 == 1 {
			w = depth
		}
		h.Walls = append(h.Walls, wall(id, rect(0, 0, w, height), plainEdges()))
		h.Corners = append(h.Corners, house.Corner{
			Between: [2]house.EdgeRef{{Wall: i, Edge: 1}, {Wall: (i + 1) % 4, Edge: 3}}, Outside: true,
		})
	}
	return h
}

func zonesAll(panel string, n int) [][]zone {
	out := make([][]zone, n)
	for i := range out {
		out[i] = []zone{{panel: panel, mask: all}}
	}
	return out
}

// Laps of IRC R703.2 (2 in upper over lower, 6 in at joints): an 18 ft wall takes 3
// rows of a 9 ft roll, since two reach 17.83 ft; around 140 ft, 3 x 140.5 = 421.5
// ft, 5 rolls of 100 ft (arithmetic).
func TestBarrier(t *testing.T) {
	h := box(40, 30, 18)
	s, l := laid(t, h, zonesAll("level", 4)...)
	lines := trim.Quantities(h, s, bookOf(), l)
	wantLength(t, lines, trim.WRB, 421.5)
	if n := sum(lines, trim.WRB).Pieces; n != 5 {
		t.Errorf("%d rolls, want 5", n)
	}
	for _, x := range lines {
		if x.Kind == trim.WRB && x.Count != 0 && x.Count != 3 {
			t.Errorf("%s: %d rows, want 3", x.From, x.Count)
		}
	}
	wantLength(t, lines, trim.Tape, 2*140+3*9)
	for _, c := range []struct{ height, feet float64 }{{9, 140.5}, {17.83, 2 * 140.5}, {17.84, 421.5}} {
		h := box(40, 30, c.height)
		s, l := laid(t, h, zonesAll("level", 4)...)
		wantLength(t, trim.Quantities(h, s, bookOf(), l), trim.WRB, c.feet)
	}
}

// Each corner's post counts once though two walls share it; 18 ft from 10 ft stock
// takes two lengths, lapped by 1 in, and the flat is formed with the lap in it.
func TestPosts(t *testing.T) {
	h := box(40, 30, 18)
	h.Walls[1].Outline = rect(0, -2, 30, 18) // grade falls along the east wall
	h.Corners[3].Outside = false
	s, l := laid(t, h, zonesAll("level", 4)...)
	lines := trim.Quantities(h, s, bookOf(), l)
	out, inner := sum(lines, trim.OutsidePost), sum(lines, trim.InsidePost)
	if out.Count != 3 || inner.Count != 1 {
		t.Errorf("%d outside and %d inside posts, want 3 and 1", out.Count, inner.Count)
	}
	wantLength(t, lines, trim.OutsidePost, 20+20+18)
	wantLength(t, lines, trim.InsidePost, 18)
	// 18 ft: a whole length and 8 ft 1 in; 20 ft: two, and 2 in for the laps' sake.
	if inner.Pieces != 2 || inner.Laps != in {
		t.Errorf("18 ft post: %d lengths, %s of laps", inner.Pieces, inner.Laps.Text(measure.Imperial))
	}
	flat := sum(lines, trim.PostFlat)
	if want := 76*ft + 1*in + 1*in + 2*in + 2*in; flat.Length != want {
		t.Errorf("flats: %s, want %s", flat.Length.Text(measure.Imperial), want.Text(measure.Imperial))
	}
	if want := flat.Length.Feet() * 10 / 12; math.Abs(flat.Area.SquareFeet()-want) > 1e-9 {
		t.Errorf("flats: %.6f sq ft, want %.6f", flat.Area.SquareFeet(), want)
	}
}

// A corner edge that no corner names counts on its own, and says so.
func TestPostUnjoined(t *testing.T) {
	h := house.House{Walls: []house.Wall{wall("w", rect(0, 0, 20, 9), plainEdges())}}
	s, l := laid(t, h, []zone{{panel: "level", mask: all}})
	n := 0
	for _, x := range trim.Quantities(h, s, bookOf(), l) {
		if x.Kind == trim.OutsidePost {
			n++
			if x.Count != 1 || x.Length != 9*ft || !strings.Contains(x.Note, "house.corners") {
				t.Errorf("%+v", x)
			}
		}
	}
	if n != 2 {
		t.Errorf("%d posts, want 2", n)
	}
}

// gable is worked by hand: 24 ft wide, 9 ft to the rakes' feet, peak at 18 ft, so
// each rake is sqrt(12^2 + 9^2) = 15 ft; a standing skirt to 3 ft; a 3 x 4 ft window
// at 5 ft; 1 ft of overhang on the left rake alone.
func gable() (house.House, [][]zone) {
	w := wall("g", plane.Ring{at(0, 0), at(24, 0), at(24, 9), at(12, 18), at(0, 9)},
		[]house.EdgeKind{house.Base, house.InsideCorner, house.Rake, house.Rake, house.OutsideCorner},
		window("A", rect(10, 5, 13, 9)))
	w.Overhang = []measure.Length{0, 0, 0, ft, 0}
	return house.House{Walls: []house.Wall{w}}, [][]zone{{
		{panel: "upright", mask: rect(-1, -1, 25, 3)},
		{panel: "level", mask: rect(-1, 3, 25, 20), own: true},
	}}
}

func TestGableByHand(t *testing.T) {
	h, zones := gable()
	s, l := laid(t, h, zones...)
	lines := trim.Quantities(h, s, bookOf(), l)
	wantLength(t, lines, trim.Starter, 24)                       // of the upper zone, on the skirt
	wantLength(t, lines, trim.TransitionUpright, 24)             // once, though two zones share it
	wantLength(t, lines, trim.Transition, 0)                     // none
	wantLength(t, lines, trim.Channel, 24+2*15+(4+3+4)+2*0.0625) // skirt's bottom, rakes, window
	wantLength(t, lines, trim.Finish, 3)                         // the sill
	wantLength(t, lines, trim.DripCap, 3)
	wantLength(t, lines, trim.OutsidePost, 9)
	wantLength(t, lines, trim.InsidePost, 9)
	wantLength(t, lines, trim.Fascia, 15)
	if a := sum(lines, trim.Soffit).Area; a != rect(0, 0, 15, 1).Area() {
		t.Errorf("soffit %.3f sq ft, want 15", a.SquareFeet())
	}
	// Rows of 8 ft 10 in: 18 ft takes 3; the third begins at 17.667 ft, where the gable
	// is 24 x (18-17.667)/9 = 0.8889 ft wide; two upright ends' laps.
	wide := math.Abs(sum(lines, trim.WRB).Length.Feet() - (24 + 24 + 24*(1./3)/9 + 3*0.5))
	if wide > 1e-6 {
		t.Errorf("barrier is off by %.9f ft", wide)
	}
	for _, x := range lines {
		if x.Kind == trim.Soffit && !strings.Contains(x.Note, "g.edge[2] (rake)") {
			t.Errorf("unknown overhang is not said: %q", x.Note)
		}
	}
}

// A frieze takes the eave; the field ends under it.
func TestFrieze(t *testing.T) {
	h := house.House{Walls: []house.Wall{wall("w", rect(0, 0, 20, 9), plainEdges(), window("A", rect(4, 3, 7, 8.5)))}}
	s, l := laid(t, h, []zone{{panel: "level", mask: rect(-1, -1, 30, 8.5)}})
	l.Friezes = []course.FriezeOnWall{{Wall: 0, Region: plane.Region{{Outer: rect(0, 8.5, 20, 9)}}}}
	lines := trim.Quantities(h, s, bookOf(), l)
	wantLength(t, lines, trim.Frieze, 20)
	wantLength(t, lines, trim.Finish, 17+3) // under the board, and the sill
	wantLength(t, lines, trim.Channel, 11)  // sides; the head touches the board
	wantLength(t, lines, trim.DripCap, 3)
	wantLength(t, lines, trim.OutsidePost, 18)
	if a := sum(lines, trim.Frieze).Area; a != rect(0, 0, 20, 0.5).Area() {
		t.Errorf("frieze %.3f sq ft, want 10", a.SquareFeet())
	}
}

// 1 square is 100 sq ft, exact; 15 x 40 ft are 6 squares.
func TestSquares(t *testing.T) {
	h := house.House{Walls: []house.Wall{wall("w", rect(0, 0, 40, 9), plainEdges())}}
	h.Walls[0].Overhang = []measure.Length{0, 0, 15 * ft, 0}
	s, l := laid(t, h, []zone{{panel: "level", mask: all}})
	if a := sum(trim.Quantities(h, s, bookOf(), l), trim.Soffit).Area; math.Abs(a.Squares()-6) > 1e-12 {
		t.Errorf("%.12f squares, want 6", a.Squares())
	}
}

// Nothing to count, or nonsense to count it from: never a panic.
func TestNothing(t *testing.T) {
	h := box(40, 30, 18)
	s, l := laid(t, h, zonesAll("level", 4)...)
	l.Zones = append(l.Zones, course.ZoneOnWall{Zone: 99, Wall: 99}, course.ZoneOnWall{Zone: -1, Wall: -1, Counted: true, Count: 3})
	l.Friezes = append(l.Friezes, course.FriezeOnWall{Wall: 77})
	l.Pieces = append(l.Pieces, course.Piece{Wall: -5}, course.Piece{Wall: 50})
	h.Corners = append(h.Corners, house.Corner{Between: [2]house.EdgeRef{{Wall: 9, Edge: 9}, {Wall: -1, Edge: -1}}})
	h.Walls = append(h.Walls, house.Wall{ID: "none"}, house.Wall{ID: "short", Outline: rect(0, 0, 1, 1)}, house.Wall{Edges: plainEdges()})
	books := []*steel.Book{nil, {}, bookOf()}
	odd := bookOf()
	odd.Trim = steel.Trim{StockLength: 1, Lap: 1, WRBWidth: 3, WRBLap: 2, StudSpacing: 1, NailSpacing: 1, JFace: -5, PostFlat: -5}
	for _, b := range append(books, odd) {
		for _, l := range []*course.Layout{nil, {}, l} {
			for _, h := range []house.House{{}, h} {
				for _, s := range []scheme.Scheme{{}, s} {
					trim.Totals(trim.Quantities(h, s, b, l), b)
				}
			}
		}
	}
}

// What the book does not tell is said, not guessed.
func TestMissingFigures(t *testing.T) {
	h := box(40, 30, 18)
	s, l := laid(t, h, zonesAll("level", 4)...)
	notes := map[trim.Kind]string{}
	for _, x := range trim.Quantities(h, s, &steel.Book{}, l) {
		if x.Wall == -1 {
			notes[x.Kind] = x.Note
		}
		if x.Pieces != 0 {
			t.Errorf("%s: %d lengths of no stock", x.Kind, x.Pieces)
		}
	}
	for _, k := range []trim.Kind{trim.WRB, trim.PanelNails, trim.TrimNails} {
		if !strings.HasPrefix(notes[k], "not counted") {
			t.Errorf("%s: note %q", k, notes[k])
		}
	}
}
