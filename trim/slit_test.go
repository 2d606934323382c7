package trim_test

import (
	"context"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coilwright/guillotine"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/scheme"
	"coilwright/steel"
	"coilwright/trim"
)

// bender is the invented shop of bookOf with a brake and flat widths.
func bender() *steel.Book {
	b := bookOf()
	b.Step = in / 16
	b.Steel.Thickness = 19 * in / 1000
	b.FitToCut = steel.FitToCut{By: "tape", PlusMinus: in / 8, Over: "substrate"}
	b.Trim.CoilWidth, b.Trim.CoilLength, b.Trim.BrakeLength, b.Trim.BlankStep = 24*in, 50*ft, 126*in, in
	b.Trim.Girths = map[string]measure.Length{
		"j-channel": 11 * in / 4, "drip-cap": 3 * in, "fascia": 8 * in, "frieze": 3 * in / 2,
	}
	return b
}

func taped(id string) house.Wall {
	w := wall(id, rect(0, 0, 40, 9), plainEdges())
	w.Measured, w.Over = house.Pedigree{By: house.Tape, PlusMinus: in / 16}, house.Substrate
	return w
}

func line(k trim.Kind, wall int, runs ...measure.Length) trim.Line {
	l := trim.Line{Kind: k, What: k.What(), Wall: wall, From: "here", Runs: runs}
	for _, r := range runs {
		l.Length += r
	}
	return l
}

func slit(t reporter, h house.House, b *steel.Book, lines ...trim.Line) []trim.Slitting {
	t.Helper()
	all, err := trim.Slit(context.Background(), h, scheme.Scheme{TrimColour: "bone", Frieze: 6 * in}, b, measure.Imperial, lines, 100_000_000, guillotine.Slit)
	if err != nil {
		t.Errorf("%v", err)
	}
	for _, s := range all {
		judgeSlitting(t, s)
	}
	return all
}

// reporter is what the judge needs of a test.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
}

// judgeSlitting checks a plan on its own figures: every flat once, strips of its width
// side by side within the coil, lengths end to end within the blank, blanks within
// the brake and on the step, blanks of one setting together, coils not overdrawn.
func judgeSlitting(t reporter, s trim.Slitting) {
	t.Helper()
	cut := make([]int, len(s.Flats))
	used, total := make([]measure.Length, len(s.Coils)), measure.Length(0)
	settings, last := map[string]bool{}, ""
	for i, b := range s.Blanks {
		across, setting := measure.Length(0), ""
		for _, strip := range b.Strips {
			along := measure.Length(0)
			for _, k := range strip.Flats {
				cut[k]++
				along += s.Flats[k].Length
				if s.Flats[k].Width != strip.Width {
					t.Errorf("blank %d: a flat %s wide on a strip of %s", i, s.Flats[k].Width.Text(0), strip.Width.Text(0))
				}
			}
			if along != strip.Used || along > b.Length {
				t.Errorf("blank %d: a strip of %s on a blank of %s", i, along.Text(0), b.Length.Text(0))
			}
			across += strip.Width
			setting += strip.Width.Text(0) + " "
		}
		if across > s.Width || b.Length > s.Brake || b.Length%s.Step != 0 && b.Length != s.Brake {
			t.Errorf("blank %d: %s wide, %s long", i, across.Text(0), b.Length.Text(0))
		}
		if setting != last && settings[setting] {
			t.Errorf("blank %d comes back to setting %s", i, setting)
		}
		last, settings[setting] = setting, true
		if b.Setup != len(settings) || b.Number != i+1 {
			t.Errorf("blank %d is numbered %d, setting %d of %d", i, b.Number, b.Setup, len(settings))
		}
		total += b.Length
		if b.Coil >= 0 {
			used[b.Coil] += b.Length
		}
	}
	for k, n := range cut {
		if n != 1 && s.Note == "" {
			t.Errorf("%s is cut %d times", s.Flats[k].ID, n)
		}
	}
	bought := 0
	for i, c := range s.Coils {
		if c.Used != used[i] || c.Tail != c.Length-c.Used || c.Tail < 0 {
			t.Errorf("coil %s: used %s, tail %s, blanks take %s", c.ID, c.Used.Text(0), c.Tail.Text(0), used[i].Text(0))
		}
		if c.Bought {
			bought++
		}
	}
	if total != s.Length || s.Bound > s.Length || s.Setups != len(settings) || bought != s.Buy || s.Buy < s.BuyBound {
		t.Errorf("length %s of %s, bound %s, settings %d of %d, bought %d of %d", s.Length.Text(0), total.Text(0), s.Bound.Text(0), s.Setups, len(settings), s.Buy, bought)
	}
}

// By hand: a fascia of 32 ft on a brake of 10 ft 6 in, lapped 1 in, takes four lengths,
// 387 in together; three brake lengths would leave 9 in, less than a foot, which is
// shared with the third: 126, 126, 67 1/2, 67 1/2. Three strips of 8 in fill the coil:
// one blank of 126, one of 68.
func TestSlitFascia(t *testing.T) {
	s := slit(t, house.House{Walls: []house.Wall{taped("south")}}, bender(), line(trim.Fascia, 0, 32*ft))[0]
	var lengths []measure.Length
	for _, f := range s.Flats {
		lengths = append(lengths, f.Length)
	}
	want := []measure.Length{126 * in, 126 * in, 135 * in / 2, 135 * in / 2}
	if len(lengths) != 4 || lengths[0] != want[0] || lengths[1] != want[1] || lengths[2] != want[2] || lengths[3] != want[3] {
		t.Errorf("lengths %v, want %v", lengths, want)
	}
	if s.Length != 194*in || !s.Optimal || s.Buy != 1 || s.BuyBound != 1 || s.Colour != "bone" || s.Width != 24*in {
		t.Errorf("%s of coil, proven %v, %d to buy", s.Length.Text(0), s.Optimal, s.Buy)
	}
}

// A frieze board of 6 in is bent from 7 1/2 in; corner flats have their laps already.
func TestSlitWidths(t *testing.T) {
	s := slit(t, house.House{Walls: []house.Wall{taped("south")}}, bender(),
		line(trim.Frieze, 0, 10*ft), line(trim.PostFlat, 0, 9*ft), line(trim.Starter, 0, 30*ft), line(trim.Soffit, 0, 30*ft))[0]
	if len(s.Flats) != 2 || s.Flats[0].Width != 15*in/2 || s.Flats[1].Width != 10*in {
		t.Errorf("flats %+v", s.Flats)
	}
}

// Corner flats from panel coil are a plan of their own, of the first formed zone.
func TestSlitPostsFromPanelCoil(t *testing.T) {
	b := bender()
	b.Trim.PostFlatFrom = trim.PanelCoil
	b.Textures = []string{"grain"}
	b.Panels[0].BlankWidth, b.Panels[0].Thickness = 14*in, in/50
	sch := scheme.Scheme{Zones: []scheme.Zone{{Panel: "shake", Colour: "barn"}, {Panel: "level", Colour: "slate"}}}
	all, err := trim.Slit(context.Background(), house.House{Walls: []house.Wall{taped("south")}}, sch, b, measure.Imperial,
		[]trim.Line{line(trim.PostFlat, 0, 9*ft, 8*ft), line(trim.Fascia, 0, 9*ft)}, 10_000_000, guillotine.Slit)
	if err != nil || len(all) != 2 || all[0].From != trim.TrimCoil || all[1].From != trim.PanelCoil {
		t.Fatalf("%d plans", len(all))
	}
	p := all[1]
	judgeSlitting(t, p)
	if p.Colour != "slate" || p.Texture != "grain" || p.Width != 14*in || p.Thickness != in/50 || p.Length != 17*ft || len(p.Coils) != 0 || !p.Optimal {
		t.Errorf("%+v", p)
	}
}

// What is not measured well enough is not slit, and the plan says so; what is wider
// than the coil neither.
func TestSlitLeavesOut(t *testing.T) {
	south, north := taped("south"), taped("north")
	north.Measured = house.Pedigree{By: house.Photo, PlusMinus: in}
	south.Openings = []house.Opening{window("S1", rect(3, 3, 6, 6))}
	south.Openings[0].Measured = house.Unstated
	b := bender()
	b.Trim.Girths["starter"] = 30 * in
	atWindow := line(trim.DripCap, 0, 3*ft)
	atWindow.Opening = 1
	s := slit(t, house.House{Walls: []house.Wall{south, north}}, b, line(trim.Fascia, 0, 9*ft), line(trim.Fascia, 1, 9*ft), atWindow, line(trim.Starter, 0, 3*ft))[0]
	if len(s.Flats) != 1 || len(s.Not) != 3 {
		t.Fatalf("%d flats, left out %+v", len(s.Flats), s.Not)
	}
	for i, want := range []string{"photo", "assumed", "wider"} {
		if !strings.Contains(s.Not[i].Why, want) {
			t.Errorf("left out %+v, want %s", s.Not[i], want)
		}
	}
}

// What is on hand is used before anything is bought; a book that names no coil to buy says that they do not
// suffice; without a brake nothing is bent.
func TestSlitStock(t *testing.T) {
	h := house.House{Walls: []house.Wall{taped("south")}}
	b := bender()
	b.Coils = []steel.Coil{{ID: "T-1", Lot: "A", Colour: "bone", Width: 24 * in, Length: 20 * ft}, {ID: "T-2", Colour: "slate", Width: 24 * in, Length: 90 * ft}}
	s := slit(t, h, b, line(trim.Fascia, 0, 32*ft))[0]
	if len(s.Coils) != 1 || s.Coils[0].ID != "T-1" || s.Buy != 0 || s.BuyBound != 0 {
		t.Errorf("coils %+v", s.Coils)
	}
	b.Coils[0].Length, b.Trim.CoilLength = 12*ft, 0
	if s := slit(t, h, b, line(trim.Fascia, 0, 32*ft))[0]; s.Note == "" || len(s.Coils) != 0 {
		t.Errorf("note %q, coils %+v", s.Note, s.Coils)
	}
	b.Trim.CoilWidth = 0
	if s := slit(t, h, b, line(trim.Fascia, 0, 32*ft))[0]; s.Note == "" {
		t.Error("no width of coil, and no word of it")
	}
	b.Trim.BrakeLength = 0
	if all := slit(t, h, b, line(trim.Fascia, 0, 32*ft)); all != nil {
		t.Errorf("no brake, yet %+v", all)
	}
}

// Whatever the runs: lengths within the brake, as few as can be, lapped, covering the
// run and no more than a step over it.
func TestSplitRuns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := bender()
		b.Trim.BrakeLength = measure.Length(rapid.IntRange(24, 300).Draw(t, "brake")) * in
		b.Trim.Lap = measure.Length(rapid.IntRange(0, 4).Draw(t, "lap")) * in
		run := measure.Length(rapid.Int64Range(1, int64(80*ft)).Draw(t, "run"))
		s := slit(t, house.House{Walls: []house.Wall{taped("south")}}, b, line(trim.Fascia, 0, run))[0]
		n, sum := len(s.Flats), measure.Length(0)
		for i, f := range s.Flats {
			sum += f.Length
			if f.Length > b.Trim.BrakeLength || f.Part != i+1 || f.Parts != n || n > 1 && f.Length < ft {
				t.Fatalf("part %+v of %d", f, n)
			}
		}
		sum -= measure.Length(n-1) * b.Trim.Lap
		fewer := measure.Length(n-1)*b.Trim.BrakeLength - measure.Length(max(0, n-2))*b.Trim.Lap
		if sum < run || sum >= run+b.Step || fewer >= run {
			t.Fatalf("%d lengths cover %s of %s; one fewer reach %s", n, sum.Text(0), run.Text(0), fewer.Text(0))
		}
	})
}
