package job

import (
	"encoding/json"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coilwright/examples"
	"coilwright/measure"
	"coilwright/opendata"
	"coilwright/price"
	"coilwright/problem"
	"coilwright/steel"
)

// The reader and the schema name the same fields.
func TestSchemaFieldsAreTheReaders(t *testing.T) {
	all, err := definitions()
	if err != nil {
		t.Fatal(err)
	}
	number := all["number"].(map[string]any)["anyOf"].([]any)[1]
	want := map[string][]string{
		"job": jobFields, "house": houseFields, "wall": wallFields, "opening": openingFields, "measured": measuredFields,
		"corner": cornerFields, "reading": readingFields, "photo": photoFields, "sun": sunFields, "reference": knownFields, "old": oldFields, "stroke": strokeFields, "scheme": schemeFields,
		"zone": zoneFields, "where": whereFields, "range": datumFields, "book": bookFields, "shop": shopFields,
		"receivers": receiverKeys, "receiver": receiverFields, "gap": gapFields, "panel": panelFields, "section": sectionFields,
		"span": spanFields, "slots": slotFields, "texture": textureFields, "colour": colourFields, "steel": steelFields,
		"coil": coilFields, "mill": millFields, "machine": machineFields, "fit": fitFields, "joint": jointFields, "trim": trimFields, "girths": girthKeys,
		"dated": datedFields, "tax": taxFields, "site": siteFields, "wind": windFields, "fasteners": fastenerFields, "carrying": carryingFields,
		"offer": offerFields, "letterhead": letterheadFields, "payment": paymentFields, "scope": scopeFields,
	}
	if got := fieldsOf(number); !slices.Equal(got, slices.Sorted(slices.Values(numberFields))) {
		t.Errorf("number: the schema has %v", got)
	}
	for name, fields := range want {
		if got := fieldsOf(all[name]); !slices.Equal(got, slices.Sorted(slices.Values(fields))) {
			t.Errorf("%s: the schema has %v, the reader %v", name, got, fields)
		}
	}
	for name, def := range all {
		if strict := def.(map[string]any)["additionalProperties"] == false; strict && want[name] == nil {
			t.Errorf("%s: no list of the reader's is held against it", name)
		}
	}
}

func fieldsOf(def any) []string {
	return slices.Sorted(maps.Keys(def.(map[string]any)["properties"].(map[string]any)))
}

// The words of the schema's lists are the reader's.
func TestSchemaWords(t *testing.T) {
	var words struct {
		Source, Over struct{ Enum []string }
		Wall         struct {
			Properties struct {
				Edges struct{ Items struct{ Enum []string } }
			}
		}
		Opening, Panel, Stroke struct {
			Properties struct{ Kind struct{ Enum []string } }
		}
	}
	if err := json.Unmarshal(defs, &words); err != nil {
		t.Fatal(err)
	}
	for _, c := range [][2][]string{{words.Source.Enum, sourceNames}, {words.Over.Enum, overNames}, {words.Wall.Properties.Edges.Items.Enum, edgeNames},
		{words.Opening.Properties.Kind.Enum, openingNames}, {words.Panel.Properties.Kind.Enum, panelNames},
		{words.Stroke.Properties.Kind.Enum, strokeNames}} {
		if !slices.Equal(c[0], c[1]) {
			t.Errorf("the schema has %v, the reader %v", c[0], c[1])
		}
	}
}

// The schema admits every text that is a length.
func TestSchemaLengths(t *testing.T) {
	var d struct {
		Length struct{ AnyOf []struct{ Pattern string } }
	}
	if err := json.Unmarshal(defs, &d); err != nil {
		t.Fatal(err)
	}
	pattern := regexp.MustCompile(d.Length.AnyOf[1].Pattern)
	for _, no := range []string{"", "32", "7 5/8", "5 furlongs", "1e3 in", "-", "'", "NaN"} {
		if pattern.MatchString(no) {
			t.Errorf("the schema admits %q", no)
		}
	}
	parts := []string{"-", "7", "12", ".", "'", "′", `"`, "″", " ", "/", "3/8", "in", "ft", "m", "mm", "0", "5"}
	rapid.Check(t, func(r *rapid.T) {
		s := strings.Join(rapid.SliceOfN(rapid.SampledFrom(parts), 1, 7).Draw(r, "parts"), "")
		if _, err := measure.ParseLength(s); err == nil && !pattern.MatchString(s) {
			r.Fatalf("the schema refuses %q", s)
		}
		l := measure.Length(rapid.Int64Range(-int64(measure.MaxHouse), int64(measure.MaxHouse)).Draw(r, "l"))
		for _, text := range []string{l.Text(measure.Imperial), l.Text(measure.Metric)} {
			if !pattern.MatchString(text) {
				r.Fatalf("the schema refuses %q", text)
			}
		}
	})
}

// judge is an independent validator, Debian's python3-jsonschema. It prints one
// line for each file that does not fit, and checks the schemas themselves.
const judge = `
import json, sys
from jsonschema import Draft202012Validator as V
schemas = json.load(open(sys.argv[1]))
for s in schemas.values(): V.check_schema(s)
for arg in sys.argv[2:]:
    name, path = arg.split("=", 1)
    for e in list(V(schemas[name]).iter_errors(json.load(open(path))))[:1]: print(path, e.json_path, e.message[:200])
`

// validate runs the judge over files given as schema=path; it skips where there is
// no judge.
func validate(t *testing.T, files ...string) string {
	t.Helper()
	python := ""
	for _, p := range []string{"/usr/bin/python3", "python3"} {
		if python == "" && exec.Command(p, "-c", "from jsonschema import Draft202012Validator").Run() == nil {
			python = p
		}
	}
	if python == "" {
		t.Skip("no independent validator: apt-get install -y python3-jsonschema")
	}
	text, err := SchemaText()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "schemas.json")
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(python, append([]string{"-c", judge, path}, files...)...).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return string(out)
}

func TestExamplesFitTheSchema(t *testing.T) {
	dir := t.TempDir()
	all, err := fs.Glob(examples.Files, "*.json")
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	add := func(schema, name string, data []byte) {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, schema+"="+path)
	}
	for _, name := range all {
		data, err := examples.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		add("job", name, data)
	}
	add("shop", "demo-book.json", steel.DemoBook)
	if out := validate(t, files...); out != "" {
		t.Errorf("not what the schema says:\n%s", out)
	}
	files = nil
	spoilt := strings.Replace(string(examples.Demo), `"eave"`, `"eaves"`, 1)
	add("job", "spoilt.json", []byte(spoilt))
	if out := validate(t, files...); !strings.Contains(out, "eaves") {
		t.Errorf("the judge lets a wrong edge kind pass: %s", out)
	}
}

// The answers on the demo fit their schemas.
func TestAnswersFitTheSchema(t *testing.T) {
	j, found := Parse("alder.json", examples.Demo, nil)
	if found.Fatal() {
		t.Fatal(found)
	}
	dir := t.TempDir()
	var files []string
	add := func(name string, answer any) {
		data, err := json.Marshal(answer)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(dir, name+".json")
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, name+"="+path)
	}
	add("check", CheckAnswer{append(problem.List{}, j.Check()...)})
	r, err := j.Run("A")
	if err != nil {
		t.Fatal(err)
	}
	add("layout", j.LayoutAnswer(r.Layout))
	add("run", j.RunAnswer(r, slitting(t, &j, r)))
	e, err := j.Price("A")
	if err != nil {
		t.Fatal(err)
	}
	prices, err := j.PriceAnswer([]price.Estimate{e})
	if err != nil {
		t.Fatal(err)
	}
	add("price", prices)
	list, err := j.Tape()
	if err != nil {
		t.Fatal(err)
	}
	add("tape", list)
	if out := validate(t, files...); out != "" {
		t.Errorf("not what the schema says:\n%s", out)
	}
}

// The marks of the rendered scenes fit the schema of marks.
func TestSceneMarksFitTheSchema(t *testing.T) {
	marks, _ := filepath.Glob(filepath.Join(opendata.Need(t, "marks of the truth scenes", "scenes"), "*", "marks.json"))
	if len(marks) == 0 {
		t.Fatal("no scene has marks")
	}
	for i, m := range marks {
		marks[i] = "marks=" + m
	}
	if out := validate(t, marks...); out != "" {
		t.Errorf("not what the schema says:\n%s", out)
	}
}
