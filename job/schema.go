package job

import (
	_ "embed"
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"

	"coilwright/problem"
)

// defs is what the files that people write may hold, one definition an object.
//
//go:embed schema/defs.json
var defs []byte

// Schema is one JSON Schema (draft 2020-12), complete in itself.
type Schema struct {
	Name string // job, shop, marks; check, layout, run, compare
	JSON json.RawMessage
}

const draft = "https://json-schema.org/draft/2020-12/schema"

// CheckAnswer is `check --json`.
type CheckAnswer struct {
	Problems []problem.Problem `json:"problems"`
}

// Schemas describes the files that the program reads, then the answers that it
// gives with --json.
func Schemas() ([]Schema, error) {
	all, err := definitions()
	if err != nil {
		return nil, err
	}
	var out []Schema
	for _, f := range []struct{ name, def string }{{"job", "job"}, {"shop", "book"}, {"marks", "marks"}} {
		reached := map[string]any{}
		reach(all[f.def], all, reached)
		reached[f.def] = all[f.def]
		out, err = appendSchema(out, f.name, map[string]any{"$ref": "#/$defs/" + f.def, "$defs": reached})
		if err != nil {
			return nil, err
		}
	}
	for _, a := range []struct {
		name   string
		answer any
	}{{"check", CheckAnswer{}}, {"layout", LayoutAnswer{}}, {"run", RunAnswer{}}, {"compare", CompareAnswer{}}, {"recut", RecutAnswer{}}, {"price", PriceAnswer{}}, {"measure", MeasureAnswer{}}, {"tape", TapeAnswer{}}} {
		s := described(reflect.TypeOf(a.answer))
		s["title"] = "What coilwright " + a.name + " --json answers"
		if out, err = appendSchema(out, a.name, s); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// SchemaText is all schemas in one JSON object by their names, for people and
// other programs.
func SchemaText() ([]byte, error) {
	all, err := Schemas()
	if err != nil {
		return nil, err
	}
	byName := map[string]json.RawMessage{}
	for _, s := range all {
		byName[s.Name] = s.JSON
	}
	return indented(byName)
}

func appendSchema(out []Schema, name string, s map[string]any) ([]Schema, error) {
	s["$schema"] = draft
	s["$id"] = "urn:coilwright:" + name
	text, err := indented(s)
	return append(out, Schema{name, text}), err
}

func indented(v any) ([]byte, error) {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(v)
	return []byte(b.String()), err
}

// definitions reads defs and adds the job's shop: a book, and "use" beside it.
func definitions() (map[string]any, error) {
	var all map[string]any
	if err := json.Unmarshal(defs, &all); err != nil {
		return nil, err
	}
	shop := maps.Clone(all["book"].(map[string]any))
	fields := maps.Clone(shop["properties"].(map[string]any))
	fields["use"] = map[string]any{"type": "string", "minLength": 1,
		"description": "demo, or the file of a shop book; what stands beside it is laid over that book."}
	shop["properties"], shop["title"] = fields, "The job's shop book"
	all["shop"] = shop
	return all, nil
}

// reach gathers the definitions that s refers to.
func reach(s any, all, out map[string]any) {
	switch s := s.(type) {
	case []any:
		for _, e := range s {
			reach(e, all, out)
		}
	case map[string]any:
		for key, e := range s {
			name, ok := e.(string)
			name, isRef := strings.CutPrefix(name, "#/$defs/")
			if key == "$ref" && ok && isRef {
				if _, seen := out[name]; !seen {
					out[name] = all[name]
					reach(all[name], all, out)
				}
				continue
			}
			reach(e, all, out)
		}
	}
}

// described is the schema of an answer's type. Fields may be added in later
// versions, so other names are not forbidden.
func described(t reflect.Type) map[string]any {
	if t == reflect.TypeFor[json.Number]() {
		return map[string]any{"type": "number"}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return map[string]any{"anyOf": []any{described(t.Elem()), map[string]any{"type": "null"}}}
	case reflect.Struct:
		return describedStruct(t)
	case reflect.Slice:
		return map[string]any{"type": "array", "items": described(t.Elem())}
	case reflect.Array:
		return map[string]any{"type": "array", "minItems": t.Len(), "maxItems": t.Len(), "items": described(t.Elem())}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Int, reflect.Int64:
		return map[string]any{"type": "integer"}
	case reflect.Interface:
		return map[string]any{} // any value
	case reflect.Float64:
		return map[string]any{"type": "number"}
	}
	return map[string]any{"type": "string"}
}

func describedStruct(t reflect.Type) map[string]any {
	fields, needed := map[string]any{}, []string{}
	for i := range t.NumField() {
		tag, options, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		fields[tag] = described(t.Field(i).Type)
		if !slices.Contains(strings.Split(options, ","), "omitempty") {
			needed = append(needed, tag)
		}
	}
	return map[string]any{"type": "object", "properties": fields, "required": needed}
}
