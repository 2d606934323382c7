package job_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coilwright/job"
	"coilwright/measure"
	"coilwright/problem"
)

// surveyed is an invented house of four walls, each with a window, in sixteenths of
// an inch: what a tape read, every place of the window from both of its wall's ends.
type surveyed struct {
	width, eave   [4]int
	x, y, w, h    [4]int
	seen          [4]int // x in the looking-glass
	whole         [4]int // the width once more
	toRight       [4]int // window's left side to the wall's right end
	rest, through [4]int // window's right side to the right end, and from the left end
	again         [4]int // x once more
}

// taped draws a house, each number off by at most the tape's own mark.
func taped(t *rapid.T) surveyed {
	off := func(v int) int { return v + rapid.IntRange(-1, 1).Draw(t, "off") }
	var s surveyed
	sides := [2]int{rapid.IntRange(20*192, 60*192).Draw(t, "long"), rapid.IntRange(20*192, 40*192).Draw(t, "deep")}
	eave := rapid.IntRange(8*192, 20*192).Draw(t, "eave")
	for i := range 4 {
		width := sides[i%2]
		x, w := rapid.IntRange(5*192, 7*192).Draw(t, "x"), rapid.IntRange(4*192, 6*192).Draw(t, "w")
		s.width[i], s.whole[i], s.eave[i] = off(width), off(width), off(eave)
		s.x[i], s.w[i], s.y[i], s.h[i] = off(x), off(w), off(2*192), off(3*192)
		s.seen[i] = off(width - x - w)
		s.toRight[i], s.rest[i], s.through[i], s.again[i] = off(width-x), off(width-x-w), off(x+w), off(x)
	}
	return s
}

// plants are the numbers that a blunder may be planted in, with their places; the
// third is not one number of the mirrored house.
func (s *surveyed) plants(i int) []planted {
	wall := fmt.Sprintf("$.house.walls[%d]", i)
	further := func(k int) string { return fmt.Sprintf("$.house.readings[%d].length", 5*i+k) }
	return []planted{
		{&s.width[i], wall + ".outline[1][0]", "the width of wall"}, {&s.eave[i], wall + ".outline[2][1]", "the top of wall"},
		{&s.x[i], wall + ".openings[0].at[0]", "the left side of window"}, {&s.w[i], wall + ".openings[0].size[0]", "the width of window"},
		{&s.whole[i], further(0), ".left to w"}, {&s.toRight[i], further(1), ".left to w"},
		{&s.rest[i], further(2), ".right to w"}, {&s.through[i], further(3), ".left to w"},
		{&s.again[i], further(4), ".left to o"},
	}
}

type planted struct {
	number       *int
	where, named string
}

// text is the house's job; mirrored it is the house in a looking-glass.
func (s *surveyed) text(mirrored bool) string {
	left, right := "left", "right"
	if mirrored {
		left, right = right, left
	}
	var walls, corners, more []string
	for i := range 4 {
		x, faces := s.x[i], (180+270*i)%360
		if mirrored {
			x, faces = s.seen[i], (360-faces)%360
		}
		walls = append(walls, fmt.Sprintf(`{ "id": "w%d", "faces_deg": %d, "outline": [[0,0],[%[3]s,0],[%[3]s,%[4]s],[0,%[4]s]],
  "edges": ["base","outside-corner","eave","outside-corner"], "measured": { "by": "tape", "plus_minus": "1/8 in" },
  "openings": [ { "id": "o%[1]d", "kind": "window", "at": [%[5]s,%[6]s], "size": [%[7]s,%[8]s] } ] }`,
			i, faces, in16(s.width[i]), in16(s.eave[i]), in16(x), in16(s.y[i]), in16(s.w[i]), in16(s.h[i])))
		corners = append(corners, fmt.Sprintf(`{ "between": ["w%d.%s","w%d.%s"] }`, i, right, (i+1)%4, left))
		for _, r := range []struct {
			from, to string
			read     int
		}{{fmt.Sprintf("w%d.", i) + left, fmt.Sprintf("w%d.", i) + right, s.whole[i]}, {fmt.Sprintf("o%d.", i) + left, fmt.Sprintf("w%d.", i) + right, s.toRight[i]},
			{fmt.Sprintf("o%d.", i) + right, fmt.Sprintf("w%d.", i) + right, s.rest[i]}, {fmt.Sprintf("w%d.", i) + left, fmt.Sprintf("w%d.o%d.", i, i) + right, s.through[i]},
			{fmt.Sprintf("w%d.", i) + left, fmt.Sprintf("o%d.", i) + left, s.again[i]}} {
			more = append(more, fmt.Sprintf(`{ "between": [%q,%q], "length": %s, "measured": { "plus_minus": "1/8 in" } }`, r.from, r.to, in16(r.read)))
		}
	}
	return `{ "format": "coilwright/job@1", "house": { "walls": [` + strings.Join(walls, ",\n") + `], "corners": [` + strings.Join(corners, ",") +
		`], "readings": [` + strings.Join(more, ",\n") + `] }, "schemes": [ { "id": "A", "zones": [ { "walls": ["w0"], "panel": "lap-double-4" } ] } ], "shop": { "use": "demo" } }`
}

// in16 is sixteenths as decimal inches, exactly.
func in16(n int) string { return fmt.Sprintf("%.4f", float64(n)/16) }

// misfits are the findings of readings that do not fit.
func misfits(t interface{ Fatalf(string, ...any) }, text string) problem.List {
	j, found := job.Parse("house.json", []byte(text), nil)
	if found.Fatal() {
		t.Fatalf("%v", found)
	}
	var out problem.List
	for _, p := range j.Check() {
		if strings.Contains(p.What, "does not fit the rest") || strings.Contains(p.What, "do not close") || strings.Contains(p.What, "weighed") {
			out = append(out, p)
		}
	}
	return out
}

// A house whose readings agree within their plus-minus has no misread number.
func TestCleanHouse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := taped(t)
		for _, mirrored := range []bool{false, true} {
			if found := misfits(t, s.text(mirrored)); len(found) > 0 {
				t.Fatalf("mirrored %v: %v", mirrored, found)
			}
		}
	})
}

// One number misread by 2 in or more is found at its place, named, and what fits is
// what stands there; in the mirrored house too.
func TestPlantedBlunder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := taped(t)
		kind := rapid.IntRange(0, 8).Draw(t, "kind")
		p := s.plants(rapid.IntRange(0, 3).Draw(t, "wall"))[kind]
		truth := *p.number
		*p.number += rapid.IntRange(32, 12*16).Draw(t, "by") * rapid.SampledFrom([]int{-1, 1}).Draw(t, "sign")
		for _, mirrored := range []bool{false, true} {
			if mirrored && kind == 2 {
				break
			}
			found := misfits(t, s.text(mirrored))
			if len(found) != 1 || found[0].Where != p.where || found[0].Severity != problem.Warning {
				t.Fatalf("mirrored %v: %v, want one at %s", mirrored, found, p.where)
			}
			if !mirrored && !strings.Contains(found[0].What, p.named) {
				t.Fatalf("%q does not name %s", found[0].What, p.named)
			}
			_, after, _ := strings.Cut(found[0].What, "does not fit the rest; ")
			fits, err := measure.ParseLength(strings.TrimSuffix(after, " would"))
			if off := fits - measure.Length(truth)*measure.Sixteenth; err != nil || off.Abs() > measure.Inch/2 {
				t.Fatalf("%q: it read %s in, %v", found[0].What, in16(truth), err)
			}
		}
	})
}

// Where only two walls check each other, both are named.
func TestLookAlikes(t *testing.T) {
	found := misfits(t, strings.Replace(box4, `[[0,0],[240,0],[240,96],[0,96]]`, `[[0,0],[228,0],[228,96],[0,96]]`, 1))
	if len(found) != 1 || found[0].Where != "$.house.walls[0].outline[1][0]" ||
		found[0].What != `the tape for the width of wall south (19') does not fit the rest; 20' would` ||
		!strings.Contains(found[0].Mend, `the width of wall north (20') or the house's being square`) {
		t.Errorf("%v", found)
	}
	if found := misfits(t, box4); len(found) > 0 {
		t.Errorf("%v", found)
	}
	// A compass off by two degrees everywhere is no misread wall.
	turned := strings.NewReplacer(`"faces_deg": 180`, `"faces_deg": 182`, `"faces_deg": 0`, `"faces_deg": 359`).Replace(box4)
	if found := misfits(t, turned); len(found) > 0 {
		t.Errorf("%v", found)
	}
}

// box4 is an invented house of four taped walls and nothing read twice.
const box4 = `{ "format": "coilwright/job@1", "house": { "walls": [
 { "id": "south", "faces_deg": 180, "outline": [[0,0],[240,0],[240,96],[0,96]], "edges": ["base","outside-corner","eave","outside-corner"], "measured": {"by": "tape", "plus_minus": "1/8 in"} },
 { "id": "east", "faces_deg": 90, "outline": [[0,0],[120,0],[120,96],[0,96]], "edges": ["base","outside-corner","eave","outside-corner"], "measured": {"by": "tape", "plus_minus": "1/8 in"} },
 { "id": "north", "faces_deg": 0, "outline": [[0,0],[240,0],[240,96],[0,96]], "edges": ["base","outside-corner","eave","outside-corner"], "measured": {"by": "tape", "plus_minus": "1/8 in"} },
 { "id": "west", "faces_deg": 270, "outline": [[0,0],[120,0],[120,96],[0,96]], "edges": ["base","outside-corner","eave","outside-corner"], "measured": {"by": "tape", "plus_minus": "1/8 in"} } ],
 "corners": [ { "between": ["south.right","east.left"] }, { "between": ["east.right","north.left"] }, { "between": ["north.right","west.left"] }, { "between": ["west.right","south.left"] } ] },
 "schemes": [ { "id": "A", "zones": [ { "panel": "lap-double-4" } ] } ], "shop": { "use": "demo" } }`

func TestBadReadings(t *testing.T) {
	walls := strings.Replace(bare, `"edges": ["base","outside-corner","rake"] }`,
		`"edges": ["base","outside-corner","rake"], "openings": [ {"id": "o", "at": [90,10], "size": [10,10]} ] }`, 1)
	with := func(reading string) string {
		return strings.Replace(walls, `"house": { "walls"`, `"house": { "readings": [`+reading+`], "walls"`, 1)
	}
	for _, c := range [][3]string{
		{`null`, "", "null stands"},
		{`{ "length": 1 }`, "", `"between" is missing`},
		{`{ "between": ["a.left","o.left"] }`, "", `"length" is missing`},
		{`{ "between": ["a.left","o.left"], "length": 0 }`, ".length", "not a size"},
		{`{ "between": ["a.left","o.left"], "length": 9, "by": "tape" }`, ".by", "no field"},
		{`{ "between": ["a.left"], "length": 9 }`, ".between", "a list of 1"},
		{`{ "between": ["a.left","p.left"], "length": 9 }`, ".between[1]", "no wall's or opening's id"},
		{`{ "between": ["a.left","left"], "length": 9 }`, ".between[1]", "no wall's or opening's id"},
		{`{ "between": ["a.left","o.base"], "length": 9 }`, ".between[1]", "no place of"},
		{`{ "between": ["a.left","a.sill"], "length": 9 }`, ".between[1]", "no place of"},
		{`{ "between": ["a.left","a.edge[3]"], "length": 9 }`, ".between[1]", "no place of"},
		{`{ "between": ["a.left","a.edge[2]"], "length": 9 }`, ".between[1]", "slants"},
		{`{ "between": ["a.left","o.sill"], "length": 9 }`, ".between", "not measured along one line"},
		{`{ "between": ["a.right","a.edge[1]"], "length": 9 }`, ".between", "the same place"},
		{`{ "between": ["level","a.base"], "length": 9 }`, ".between", "the same place"},
		{`{ "between": ["a.left","o.left"], "length": 9, "measured": {"by": "eye"} }`, ".measured.by", "no source"},
	} {
		_, found := parse(with(c[0]))
		if len(found) != 1 || !found.Fatal() || found[0].Where != "$.house.readings[0]"+c[1] || !strings.Contains(found[0].What, c[2]) || found[0].Mend == "" {
			t.Errorf("%s: %v", c[0], found)
		}
	}
	text := with(`{ "between": ["level","a.o.head"], "length": "20 in" }`)
	if j := sound(t, text); len(j.Readings) != 1 || j.Readings[0].Length != 20*measure.Inch || j.Readings[0].Measured.By != "tape" {
		t.Errorf("%+v", j.Readings)
	}
}
