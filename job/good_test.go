package job_test

import (
	"math"
	"strings"
	"testing"

	"coilwright/house"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/plane"
	"coilwright/scheme"
)

// bare is a job with nothing but what the contract requires.
const bare = `{ "format": "coilwright/job@1",
 "house": { "walls": [ { "id": "a", "outline": [[0,0],[120,0],[120,96]], "edges": ["base","outside-corner","rake"] } ] },
 "schemes": [ { "id": "A", "zones": [ { "panel": "lap-double-4" } ] } ], "shop": { "use": "demo" } }`

func sound(t *testing.T, text string) job.Job {
	t.Helper()
	j, found := parse(text)
	if found.Fatal() {
		t.Fatal(found)
	}
	return j
}

func TestDefaults(t *testing.T) {
	j := sound(t, bare)
	if f, _ := j.InstallTempF.Float64(); j.Units != measure.Imperial || f != 60 {
		t.Errorf("units %s, %v F", j.Units, j.InstallTempF)
	}
	w := j.House.Walls[0]
	if w.Measured != house.Unstated || w.Over != house.Substrate || w.FacesDeg != nil || w.Readings[0][1] != house.Unstated {
		t.Errorf("wall %+v", w)
	}
	s := j.Schemes[0]
	if s.Datum != (scheme.Datum{}) || s.Frieze != 0 || s.TrimColour != "" {
		t.Errorf("scheme %+v", s)
	}
	z := s.Zones[0]
	if len(z.Walls) != 1 || z.Where.Kind != scheme.Rest || z.Texture != "smooth" || z.Colour != "slate" || z.Start != "" || z.Balance != scheme.Even || z.ID != "#1" {
		t.Errorf("zone %+v", z)
	}
}

// Null is the same as leaving a field out.
func TestNullIsAbsent(t *testing.T) {
	for _, field := range []string{"title", "units", "install_temp_f"} {
		sound(t, strings.Replace(bare, `"house"`, `"`+field+`": null, "house"`, 1))
	}
	for _, field := range []string{"faces_deg", "openings", "measured", "over", "overhang"} {
		sound(t, strings.Replace(bare, `"outline"`, `"`+field+`": null, "outline"`, 1))
	}
	for _, field := range []string{"id", "walls", "where", "texture", "colour", "thickness", "start", "balance"} {
		sound(t, strings.Replace(bare, `"panel"`, `"`+field+`": null, "panel"`, 1))
	}
	j := sound(t, strings.Replace(bare, `"use"`, `"longest_piece": null, "coils": null, "use"`, 1))
	if j.Book.LongestPiece != 0 || len(j.Book.Coils) != 0 || len(j.Book.Panels) == 0 {
		t.Errorf("book %+v", j.Book)
	}
}

// A number inherits its opening's pedigree, an opening its wall's; a corner that
// two numbers make has the worse of them.
func TestPedigree(t *testing.T) {
	inch := measure.Inch
	tape, photo := house.Pedigree{By: house.Tape, PlusMinus: inch / 8}, house.Pedigree{By: house.Photo, PlusMinus: inch / 2}
	j := sound(t, strings.NewReplacer(
		`"at": ["1'","3'"]`, `"at": ["1'",{"length": "3'", "measured": {"by": "photo", "plus_minus": "1/2 in"}}]`,
		`"kind": "door",`, `"kind": "door", "measured": {"by": "plan"},`,
		`"outline": [["0","0"],["10'","0"],["10'","9'"],["0","9'"]],
     "edges": ["base","outside-corner","eave","outside-corner"] }`,
		`"outline": [["0","0"],[{"length": "10'", "measured": {"plus_minus": 1}},"0"],["10'","9'"],["0","9'"]],
     "edges": ["base","outside-corner","eave","outside-corner"] }`).Replace(good))
	o := j.House.Walls[0].Openings
	if got := o[0].Readings; got[0] != [2]house.Pedigree{tape, photo} || got[2] != [2]house.Pedigree{tape, photo} || o[0].Measured != tape {
		t.Errorf("readings %v of %v", got, o[0].Measured)
	}
	if o[0].Outline[0] != (plane.Point{X: 12 * inch, Y: 36 * inch}) {
		t.Errorf("outline %v", o[0].Outline)
	}
	if got := o[1].Readings[3][1]; got != (house.Pedigree{By: house.Plan, PlusMinus: -1}) {
		t.Errorf("door known by %v", got)
	}
	if got := j.House.Walls[1].Readings[1][0]; got != (house.Pedigree{By: house.Assumed, PlusMinus: inch}) {
		t.Errorf("wall b known by %v", got)
	}
}

// Wall ids may hold dots; the longest that fits is meant. Right and left are the
// outermost upright corner edges.
func TestEdgeNames(t *testing.T) {
	j := sound(t, `{ "format": "coilwright/job@1", "house": { "walls": [
	 { "id": "a", "outline": [[0,0],[9,0],[9,9],[0,9]], "edges": ["base","outside-corner","eave","abuts"] },
	 { "id": "a.right", "outline": [[0,0],[5,0],[5,5],[9,5],[9,9],[0,9]], "edges": ["base","inside-corner","base","outside-corner","eave","inside-corner"] } ],
	 "corners": [ { "between": ["a.right","a.right.left"], "kind": "inside" }, { "between": ["a.right.right","a.edge[3]"] }, { "between": ["a.edge[1]","a.right.edge[1]"] } ] },
	 "schemes": [ { "id": "A", "zones": [] } ], "shop": { "use": "demo" } }`)
	want := [][2]house.EdgeRef{{{Wall: 0, Edge: 1}, {Wall: 1, Edge: 5}}, {{Wall: 1, Edge: 3}, {Wall: 0, Edge: 3}}, {{Wall: 0, Edge: 1}, {Wall: 1, Edge: 1}}}
	for k, c := range j.House.Corners {
		if c.Between != want[k] || c.Outside != (k > 0) {
			t.Errorf("corner %d is %v", k, c)
		}
	}
}

// Objects merge key by key, lists are replaced, and coils of colours that are no
// longer listed are left out with a warning each list.
func TestOverrides(t *testing.T) {
	text := strings.Replace(bare, `"use": "demo"`, `"use": "demo", "gap": {"min": "1/4 in"}, "receivers": {"eave": {"pocket": "1 in"}},
	 "colours": [ {"id": "moss", "linear": [0.1, 0.2, 0.1]} ],
	 "coils": [ {"id": "c1", "colour": "slate", "thickness": 0.019, "width": 15, "length": "100 ft"}, {"id": "c2", "colour": "moss", "thickness": 0.019, "width": 15, "length": "100 ft"} ],
	 "mill": [ {"colour": "barn", "length": "100 ft", "price": 1}, {"colour": "any", "length": "100 ft", "price": 2} ], "prices": {"hour": "65"}`, 1)
	j, found := parse(text)
	if found.Fatal() || len(found) != 2 || !strings.Contains(found[0].What, "c1 (slate)") || !strings.Contains(found[1].What, "barn") {
		t.Fatalf("found %v", found)
	}
	plain := sound(t, bare).Book
	b := j.Book
	if b.Gap.Min != measure.Inch/4 || b.Gap.Allowance != plain.Gap.Allowance || b.Gap.AlphaPerF.Cmp(plain.Gap.AlphaPerF) != 0 {
		t.Errorf("gap %v", b.Gap)
	}
	if b.Receivers["eave"].Pocket != measure.Inch || b.Receivers["eave"].Cover != plain.Receivers["eave"].Cover || b.Receivers["rake"] != plain.Receivers["rake"] {
		t.Errorf("receivers %v", b.Receivers)
	}
	if len(b.Coils) != 1 || b.Coils[0].ID != "c2" || len(b.Mill) != 1 || b.Mill[0].Price.RatString() != "2" {
		t.Errorf("coils %v, mill %v", b.Coils, b.Mill)
	}
	if hour := j.Prices.Prices["hour"]; hour.Value.String() != "65" || j.Prices.Prices["starter_ft"].Value.String() != "0.85" || j.Schemes[0].Zones[0].Colour != "moss" {
		t.Errorf("prices %v, colour %s", j.Prices, j.Schemes[0].Zones[0].Colour)
	}
}

// checks.md 1.12a: OD 36, ID 20, t 0.0190, w 16 in gives 3086.48 ft and 3193.2 lb
// (density 0.2836 lb/in3), each to 0.01 %.
func TestCoilLength(t *testing.T) {
	for _, size := range []string{`"outer_dia": 36, "inner_dia": 20`, `"weight_lb": 3193.2`} {
		j := sound(t, strings.Replace(bare, `"use"`, `"coils": [ {"colour": "slate", "thickness": 0.019, "width": 16, `+size+`} ], "steel": {"density_lb_in3": 0.2836}, "use"`, 1))
		if got := j.Book.Coils[0].Length.Feet(); math.Abs(got/3086.48-1) > 1e-4 {
			t.Errorf("%s: %.2f ft", size, got)
		}
	}
}

// White is white under both lights; the red of sRGB is L*a*b* 53.24, 80.09, 67.20
// under D65 and 54.29, 80.81, 69.89 under D50 (values in common use, from memory).
func TestColours(t *testing.T) {
	for entry, want := range map[string][3]float64{
		`"lab": [100, 0, 0]`:                                   {1, 1, 1},
		`"lab": [100, 0, 0], "illuminant": "D50"`:              {1, 1, 1},
		`"lab": [53.24, 80.09, 67.20]`:                         {1, 0, 0},
		`"lab": [54.29, 80.81, 69.89], "illuminant": "D50"`:    {1, 0, 0},
		`"srgb": [255, 0, 128]`:                                {1, 0, 0.21586},
		`"linear": [0.25, 0.5, 1]`:                             {0.25, 0.5, 1},
		`"lab": [50, 0, 0], "illuminant": "D65", "title": "x"`: {0.18419, 0.18419, 0.18419},
	} {
		j := sound(t, strings.Replace(bare, `"use"`, `"colours": [ {"id": "c", `+entry+`} ], "mill": [], "coils": [], "use"`, 1))
		for i, got := range j.Book.Colours[0].Linear {
			if math.Abs(got-want[i]) > 1e-3 {
				t.Errorf("%s: %v, want %v", entry, j.Book.Colours[0].Linear, want)
				break
			}
		}
	}
}
