package change_test

import (
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	jsonpatch "github.com/evanphx/json-patch/v5"

	"coilwright/change"
)

func sorted(m map[string]any) []string { return slices.Sorted(maps.Keys(m)) }

func text(p change.Patch) string {
	b, _ := json.Marshal(p)
	return string(b)
}

// judged is what the library makes of a patch.
func judged(document []byte, p change.Patch) ([]byte, error) {
	decoded, err := jsonpatch.DecodePatch([]byte(text(p)))
	if err != nil {
		return nil, err
	}
	options := jsonpatch.NewApplyOptions()
	options.SupportNegativeIndices = false
	return decoded.ApplyWithOptions(document, options)
}

func apply(t *testing.T, document, patch string) change.Applied {
	t.Helper()
	var p change.Patch
	if err := json.Unmarshal([]byte(patch), &p); err != nil {
		t.Fatal(err)
	}
	got, err := change.Apply([]byte(document), p)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// alike compares two documents as values.
func alike(a, b []byte) bool {
	var x, y any
	return json.Unmarshal(a, &x) == nil && json.Unmarshal(b, &y) == nil && reflect.DeepEqual(x, y)
}

// unordered writes a document with the entries of each list in the order of their text.
func unordered(document []byte) string {
	var v any
	if json.Unmarshal(document, &v) != nil {
		return ""
	}
	return inOrder(v)
}

func inOrder(v any) string {
	var parts []string
	switch v := v.(type) {
	case []any:
		for _, e := range v {
			parts = append(parts, inOrder(e))
		}
		slices.Sort(parts)
		return "[" + strings.Join(parts, ",") + "]"
	case map[string]any:
		for _, k := range sorted(v) {
			parts = append(parts, k+":"+inOrder(v[k]))
		}
		return "{" + strings.Join(parts, ",") + "}"
	}
	b, _ := json.Marshal(v)
	return string(b)
}
