package job_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"coilwright/document"
	"coilwright/job"
	"coilwright/problem"
)

// good is the smallest job with one of everything that the cases below spoil.
const good = `{
 "format": "coilwright/job@1", "title": "t", "units": "imperial", "install_temp_f": 60,
 "house": {
  "walls": [
   { "id": "a", "outline": [["0","0"],["10'","0"],["10'","9'"],["0","9'"]],
     "edges": ["base","outside-corner","eave","outside-corner"], "faces_deg": 180, "overhang": "1'",
     "openings": [ { "id": "o1", "kind": "window", "at": ["1'","3'"], "size": ["3'","4'"] },
                   { "id": "o2", "kind": "door", "at": ["6'","0"], "size": ["3'","7'"] } ],
     "measured": { "by": "tape", "plus_minus": "1/8 in" }, "over": "substrate" },
   { "id": "b", "outline": [["0","0"],["10'","0"],["10'","9'"],["0","9'"]],
     "edges": ["base","outside-corner","eave","outside-corner"] } ],
  "corners": [ { "between": ["a.right","b.left"], "kind": "outside" } ],
  "photos": [ { "id": "front", "file": "front.jpg", "sun": "overcast" } ] },
 "schemes": [
  { "id": "A", "zones": [
     { "id": "low", "walls": ["a"], "where": {"below": "3'"}, "panel": "vertical-12", "texture": "smooth", "colour": "slate", "balance": "even" },
     { "id": "rest", "walls": "all", "where": "rest", "panel": "dutch-double-5", "start": "house" } ],
    "frieze": "6 in", "trim_colour": "bone", "datum": {"between": ["-1 in","1 in"]} },
  { "id": "B", "zones": [ { "panel": "lap-double-4" } ] } ],
 "shop": { "use": "demo", "coils": [ { "id": "c1", "lot": "L", "colour": "slate", "thickness": 0.019, "width": 15, "weight_lb": 500 } ],
   "mill": [ { "colour": "any", "length": "1000 ft", "price": "812.50", "lead_days": 9 } ] }
}`

func parse(text string) (job.Job, problem.List) {
	return job.Parse("bad.json", []byte(text), func(string) ([]byte, error) {
		return []byte(`{"gap": {"min": "x"}, "receivers": {}, "steel": {"density_lb_in3": 0.2836}}`), nil
	})
}

func TestGoodIsGood(t *testing.T) {
	if _, found := parse(good); len(found) > 0 {
		t.Fatal(found)
	}
}

// Each case replaces one text of the good job; exactly one error must come of it,
// at the place and with the words.
func TestBadInput(t *testing.T) {
	big := strings.Repeat("9", 500)
	for _, c := range []struct{ old, new, where, what string }{
		// the text itself
		{`"mill": [`, "", "bad.json:21:", "stands where"},
		{`"lead_days": 9 } ] }` + "\n}", `"lead_days": 9`, "bad.json:21:", "the file ends"},
		{`"title": "t"`, `"title": "t`, "bad.json:2:", "stands where a comma"},
		{`"title": "t"`, "\"title\": \"t\n\"", "bad.json:2:", "line break"},
		{`"title": "t"`, `"title": "\ud800"`, "bad.json:2:", "not a character"},
		{`"title": "t"`, `"title": "` + "\xff" + `"`, "bad.json:2:", "not UTF-8"},
		{`"title": "t"`, `"title": "t", "title": "u"`, "bad.json:2:", "stands twice"},
		{`"title": "t"`, `"title": NaN`, "bad.json:2:", `"NaN" is not a JSON value`},
		{`"title": "t"`, `"title": ` + strings.Repeat("[", 100), "bad.json:2:", "64 deep"},
		{`"install_temp_f": 60`, `"install_temp_f": 060`, "bad.json:2:", "not a JSON number"},
		{`{ "panel": "lap-double-4" } ] } ],`, `{ "panel": "lap-double-4" } ] }, ],`, "bad.json:", "a comma stands before"},
		// the format
		{`job@1`, `job@2`, "$.format", `"coilwright/job@2"`},
		{`"format": "coilwright/job@1",`, ``, "$", `"format" is missing`},
		{`"coilwright/job@1"`, `7`, "$.format", "a number stands where a text should"},
		// fields
		{`"title": "t"`, `"titel": "t"`, "$.titel", "no field"},
		{`"title": "t"`, `"title": ["t"]`, "$.title", "a list stands where a text should"},
		{`"units": "imperial"`, `"units": "furlongs"`, "$.units", "no system of units"},
		{`"install_temp_f": 60`, `"install_temp_f": 1e308`, "$.install_temp_f", "out of range"},
		{`"install_temp_f": 60`, `"install_temp_f": -1e9999`, "$.install_temp_f", "out of range"},
		// walls
		{`{ "id": "b", "outline"`, `{ "id": "a", "outline"`, "$.house.walls[1].id", "also that of $.house.walls[0].id"},
		{`{ "id": "b", "outline"`, `{ "outline"`, "$.house.walls[1]", `"id" is missing`},
		{`["base","outside-corner","eave","outside-corner"] }`, `["base","outside-corner","eave"] }`, "$.house.walls[1].edges", "there are 3 edges"},
		{`["base","outside-corner","eave","outside-corner"] }`, `["base","outside-corner","eaves","outside-corner"] }`, "$.house.walls[1].edges[2]", "no edge kind"},
		{`"faces_deg": 180`, `"faces_deg": 720`, "$.house.walls[0].faces_deg", "out of range"},
		{`"overhang": "1'"`, `"overhang": "-1'"`, "$.house.walls[0].overhang", "below 0"},
		{`"overhang": "1'"`, `"overhang": ["1'"]`, "$.house.walls[0].overhang", "1 overhangs for 4 edges"},
		{`"over": "substrate"`, `"over": "brick"`, "$.house.walls[0].over", "no surface"},
		{`"by": "tape"`, `"by": "guess"`, "$.house.walls[0].measured.by", "no source"},
		{`"plus_minus": "1/8 in"`, `"plus_minus": -0.125`, "$.house.walls[0].measured.plus_minus", "below 0"},
		// lengths
		{`"at": ["1'","3'"]`, `"at": ["1'","3"]`, "$.house.walls[0].openings[0].at[1]", "no unit mark"},
		{`"at": ["1'","3'"]`, `"at": ["1'",{}]`, "$.house.walls[0].openings[0].at[1]", `"length" is missing`},
		{`"at": ["1'","3'"]`, `"at": ["1'",true]`, "$.house.walls[0].openings[0].at[1]", "true or false stands where a length should"},
		{`"at": ["1'","3'"]`, `"at": ["1'"]`, "$.house.walls[0].openings[0].at", "a list of 1"},
		{`"at": ["1'","3'"]`, `"at": ["1'",1e308]`, "$.house.walls[0].openings[0].at[1]", "not a length"},
		{`"at": ["1'","3'"]`, `"at": ["1'","NaN"]`, "$.house.walls[0].openings[0].at[1]", "not a length"},
		{`"at": ["1'","3'"]`, `"at": ["1'",` + big + `]`, "$.house.walls[0].openings[0].at[1]", "not a length"},
		{`"at": ["1'","3'"]`, `"at": ["1'","1001 m"]`, "$.house.walls[0].openings[0].at[1]", "beyond 1000 m"},
		{`"size": ["3'","4'"]`, `"size": ["3'","-4'"]`, "$.house.walls[0].openings[0].size[1]", "not a size"},
		{`"size": ["3'","4'"]`, `"size": ["0","4'"]`, "$.house.walls[0].openings[0].size[0]", "not a size"},
		{`"size": ["3'","4'"]`, `"size": null`, "$.house.walls[0].openings[0]", `"size" is missing`},
		{`"size": ["3'","4'"]`, `"size": ["3'","4'"], "outline": []`, "$.house.walls[0].openings[0]", "not both"},
		{`"at": ["1'","3'"], "size": ["3'","4'"]`, `"outline": [["1'","3'"],["2'","3'"]]`, "$.house.walls[0].openings[0].outline", "no area"},
		{`"at": ["1'","3'"], "size": ["3'","4'"] },`, `"measured": {} },`, "$.house.walls[0].openings[0]", "no place"},
		{`"id": "o2"`, `"id": "o1"`, "$.house.walls[0].openings[1].id", "also that of"},
		{`"kind": "door"`, `"kind": "dor"`, "$.house.walls[0].openings[1].kind", "no kind of opening"},
		// corners, photos
		{`"a.right"`, `"c.right"`, "$.house.corners[0].between[0]", "no wall's id"},
		{`"a.right"`, `"a.up"`, "$.house.corners[0].between[0]", "names no edge"},
		{`"a.right"`, `"a.edge[4]"`, "$.house.corners[0].between[0]", "no edge[4]"},
		{`"a.right"`, `"a.edge[99999999999999999999]"`, "$.house.corners[0].between[0]", "names no edge"},
		{`"a.right"`, `"b.left"`, "$.house.corners[0].between", "both of these are the same"},
		{`"kind": "outside"`, `"kind": "round"`, "$.house.corners[0].kind", "no kind of corner"},
		{`"sun": "overcast"`, `"sun": "bright"`, "$.house.photos[0].sun", "no word for the sun"},
		{`"sun": "overcast"`, `"strokes": [{"kind": "tree", "width_px": 4, "points": [[1,2]]}]`, "$.house.photos[0].strokes[0].kind", "no kind of stroke"},
		{`"sun": "overcast"`, `"strokes": [{"kind": "wall", "width_px": 0, "points": [[1,2]]}]`, "$.house.photos[0].strokes[0].width_px", ""},
		{`"sun": "overcast"`, `"strokes": [{"kind": "wall", "width_px": 4, "points": [[1,2],[1e9,0]]}]`, "$.house.photos[0].strokes[0].points[1][0]", ""},
		{`"sun": "overcast"`, `"sun": {"at": "noon", "lat": 1, "lon": 2}`, "$.house.photos[0].sun.at", "RFC 3339"},
		// schemes
		{`{ "id": "B", "zones"`, `{ "id": "A", "zones"`, "$.schemes[1].id", "also that of"},
		{`{ "id": "B", "zones"`, `{ "id": "", "zones"`, "$.schemes[1].id", "empty"},
		{`{ "id": "B", "zones"`, `{ "id": "B\u202e1", "zones"`, "$.schemes[1].id", "turns the direction"},
		{`{ "id": "B", "zones"`, `{ "id": "B\t1", "zones"`, "$.schemes[1].id", "control character"},
		{`{ "id": "B", "zones"`, `{ "id": "` + strings.Repeat("B", 4001) + `", "zones"`, "$.schemes[1].id", "too long"},
		{`"panel": "lap-double-4"`, `"panel": "lap-duoble-4"`, "$.schemes[1].zones[0].panel", "no panel of the shop's book"},
		{`"panel": "lap-double-4"`, `"start": "zone"`, "$.schemes[1].zones[0]", `"panel" is missing`},
		{`"texture": "smooth"`, `"texture": "rough"`, "$.schemes[0].zones[0].texture", "no texture"},
		{`"colour": "slate", "balance"`, `"colour": "pink", "balance"`, "$.schemes[0].zones[0].colour", "no colour"},
		{`"trim_colour": "bone"`, `"trim_colour": "bon"`, "$.schemes[0].trim_colour", "no colour"},
		{`"walls": ["a"]`, `"walls": ["z"]`, "$.schemes[0].zones[0].walls[0]", "no wall"},
		{`"walls": ["a"]`, `"walls": [null]`, "$.schemes[0].zones[0].walls[0]", "null stands"},
		{`"walls": "all"`, `"walls": "some"`, "$.schemes[0].zones[1].walls", "no set of walls"},
		{`"where": {"below": "3'"}`, `"where": {}`, "$.schemes[0].zones[0].where", "one of below, above and outline"},
		{`"where": {"below": "3'"}`, `"where": {"below": "3'", "above": "1'"}`, "$.schemes[0].zones[0].where", "one of below, above and outline"},
		{`"where": "rest"`, `"where": "roof"`, "$.schemes[0].zones[1].where", "no place of a zone"},
		{`"balance": "even"`, `"balance": "odd"`, "$.schemes[0].zones[0].balance", "no balance"},
		{`"start": "house"`, `"start": "grade"`, "$.schemes[0].zones[1].start", "no start"},
		{`"frieze": "6 in"`, `"frieze": "-6 in"`, "$.schemes[0].frieze", "below 0"},
		{`["-1 in","1 in"]`, `["1 in","-1 in"]`, "$.schemes[0].datum.between", "ends below"},
		// the shop
		{`"use": "demo"`, `"use": "other.json"`, "other.json: $.gap.min", "not a length"},
		{`"use": "demo"`, `"use": 3`, "$.shop.use", "a number stands"},
		{`"weight_lb": 500`, `"weight_lb": -500`, "$.shop.coils[0].weight_lb", "out of range"},
		{`"weight_lb": 500`, `"weight_lb": 500, "length": "9 ft"`, "$.shop.coils[0]", "given in one way"},
		{`"use": "demo",`, `"use": "demo", "trim": {"wrb_width": "9 ft", "wrb_lap": "9 ft"},`, "$.shop.trim.wrb_lap", "leaves nothing of a row"},
		{`"use": "demo",`, `"use": "demo", "trim": {"wrb_roll": "9 ft", "wrb_end_lap": "10 ft"},`, "$.shop.trim.wrb_end_lap", "leaves nothing of a roll"},
		{`"use": "demo",`, `"use": "demo", "rates": {"crew": "0"},`, "$.shop.rates.crew", "no work is ever done"},
		{`"use": "demo",`, `"use": "demo", "rates": {"day_hours": 0},`, "$.shop.rates.day_hours", "no work is ever done"},
		{`"weight_lb": 500`, `"length": "9 ft", "plus_minus": "9 ft"`, "$.shop.coils[0].plus_minus", "less than its length"},
		{`"weight_lb": 500`, `"outer_dia": 20, "inner_dia": 20`, "$.shop.coils[0].outer_dia", "larger than its inner"},
		{`"weight_lb": 500`, `"length": "100001 m"`, "$.shop.coils[0].length", "not a length"},
		{`"weight_lb": 500`, `"weight_lb": 1000000`, "$.shop.coils[0]", "longer than 100 km"},
		{`"price": "812.50"`, `"price": "a lot"`, "$.shop.mill[0].price", "not a decimal"},
		{`"lead_days": 9`, `"lead_days": 1.5`, "$.shop.mill[0].lead_days", "not a whole number"},
		{`"use": "demo",`, `"use": "demo", "prises": {},`, "$.shop.prises", "no field"},
		{`"use": "demo",`, `"use": "demo", "receivers": {"eve": {}},`, "$.shop.receivers.eve", "no field"},
		{`"use": "demo",`, `"use": "demo", "currency": "dollars",`, "$.shop.currency", "no currency code"},
		{`"use": "demo",`, `"use": "demo", "step": 0,`, "$.shop.step", "not a size"},
		{`"use": "demo",`, `"use": "demo", "fit_to_cut": {"by": "eye"},`, "$.shop.fit_to_cut.by", "no source"},
		{`"use": "demo",`, `"use": "demo", "texture": [{"id": "grain"}, {"id": "smooth"}, {"id": "grain"}],`, "$.shop.texture[2].id", "also that of"},
	} {
		if strings.Count(good, c.old) != 1 {
			t.Fatalf("%q stands %d times in the good job", c.old, strings.Count(good, c.old))
		}
		_, found := parse(strings.Replace(good, c.old, c.new, 1))
		if len(found) != 1 || !found.Fatal() {
			t.Errorf("%s: found %v", c.new, found)
			continue
		}
		p := found[0]
		if !strings.HasPrefix(p.Where, c.where) || !strings.Contains(p.What, c.what) || p.Mend == "" {
			t.Errorf("%s:\n got %s\nwant %s: %s", c.new, p, c.where, c.what)
		}
		if !strings.Contains(p.String(), ".json") {
			t.Errorf("%s: names no file", p)
		}
	}
}

// Every prefix of a job is an error and never a panic.
func TestTruncated(t *testing.T) {
	for i := range len(good) - 1 {
		if _, found := parse(good[:i]); !found.Fatal() || len(found) != 1 {
			t.Fatalf("cut at %d: %v", i, found)
		}
	}
}

func TestSuggestions(t *testing.T) {
	for old, want := range map[string][2]string{
		`"title": "t"`:            {`"titel": "t"`, `"title"`},
		`"panel": "lap-double-4"`: {`"panel": "lap-doubel-4"`, `"lap-double-4"`},
		`"walls": "all"`:          {`"walls": "al"`, `"all"`},
	} {
		_, found := parse(strings.Replace(good, old, want[0], 1))
		if len(found) != 1 || !strings.Contains(found[0].Mend, "did you mean "+want[1]) {
			t.Errorf("%s: %v", want[0], found)
		}
	}
}

// A hundred megabytes cost neither their size nor time; the file is sparse.
func TestHugeFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "huge.json")
	if err := os.WriteFile(path, []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(path, 100<<20); err != nil {
		t.Fatal(err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, found := job.Read(path)
	runtime.ReadMemStats(&after)
	if len(found) != 1 || !found.Fatal() || !strings.Contains(found[0].What, "larger than 64 MiB") {
		t.Errorf("found %v", found)
	}
	if used := after.TotalAlloc - before.TotalAlloc; used > 1<<20 {
		t.Errorf("refusing it took %d bytes", used)
	}
}

// Many findings end; they do not grow with the file.
func TestManyFindings(t *testing.T) {
	var b bytes.Buffer
	b.WriteString(`{"format": "coilwright/job@1"`)
	for i := range 100_000 {
		b.WriteString(`,"x` + strings.Repeat("y", i%7) + string(rune('a'+i%26)) + strings.Repeat("z", i/26%50) + string(rune('a'+i/1300%26)) + strings.Repeat("q", i/33800) + `": 1`)
	}
	b.WriteString("}")
	_, found := job.Parse("many.json", b.Bytes(), nil)
	if len(found) > 101 || !found.Fatal() {
		t.Errorf("%d findings", len(found))
	}
}

func TestMissingFiles(t *testing.T) {
	dir := t.TempDir()
	if _, found := job.Read(filepath.Join(dir, "none.json")); len(found) != 1 || !strings.Contains(found[0].What, "no such file") {
		t.Errorf("found %v", found)
	}
	if _, found := job.Read(dir); len(found) != 1 || !strings.Contains(found[0].What, "folder") {
		t.Errorf("found %v", found)
	}
	path := filepath.Join(dir, "job.json")
	if err := os.WriteFile(path, []byte(strings.Replace(good, `"use": "demo"`, `"use": "shop.json"`, 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	_, found := job.Read(path)
	if len(found) != 1 || found[0].Where != "$.shop.use" || !strings.Contains(found[0].What, "shop.json: there is no such file") {
		t.Errorf("found %v", found)
	}
	if _, err := document.Load(filepath.Join(dir, "none.json")); !errors.Is(err, os.ErrNotExist) || !errors.Is(err, document.ErrFile) {
		t.Errorf("error %v", err)
	}
}
