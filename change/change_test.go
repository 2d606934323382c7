package change_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coilwright/change"
)

// TestRFC holds the examples of RFC 6902, appendix A.
func TestRFC(t *testing.T) {
	for _, c := range []struct{ name, document, patch, want string }{
		{"A.1 adding an object member", `{"foo":"bar"}`, `[{"op":"add","path":"/baz","value":"qux"}]`, `{"baz":"qux","foo":"bar"}`},
		{"A.2 adding an array element", `{"foo":["bar","baz"]}`, `[{"op":"add","path":"/foo/1","value":"qux"}]`, `{"foo":["bar","qux","baz"]}`},
		{"A.3 removing an object member", `{"baz":"qux","foo":"bar"}`, `[{"op":"remove","path":"/baz"}]`, `{"foo":"bar"}`},
		{"A.4 removing an array element", `{"foo":["bar","qux","baz"]}`, `[{"op":"remove","path":"/foo/1"}]`, `{"foo":["bar","baz"]}`},
		{"A.5 replacing a value", `{"baz":"qux","foo":"bar"}`, `[{"op":"replace","path":"/baz","value":"boo"}]`, `{"baz":"boo","foo":"bar"}`},
		{"A.6 moving a value", `{"foo":{"bar":"baz","waldo":"fred"},"qux":{"corge":"grault"}}`, `[{"op":"move","from":"/foo/waldo","path":"/qux/thud"}]`, `{"foo":{"bar":"baz"},"qux":{"corge":"grault","thud":"fred"}}`},
		{"A.7 moving an array element", `{"foo":["all","grass","cows","eat"]}`, `[{"op":"move","from":"/foo/1","path":"/foo/3"}]`, `{"foo":["all","cows","eat","grass"]}`},
		{"A.8 testing a value: success", `{"baz":"qux","foo":["a",2,"c"]}`, `[{"op":"test","path":"/baz","value":"qux"},{"op":"test","path":"/foo/1","value":2}]`, `{"baz":"qux","foo":["a",2,"c"]}`},
		{"A.9 testing a value: error", `{"baz":"qux"}`, `[{"op":"test","path":"/baz","value":"bar"}]`, ""},
		{"A.10 adding a nested member object", `{"foo":"bar"}`, `[{"op":"add","path":"/child","value":{"grandchild":{}}}]`, `{"foo":"bar","child":{"grandchild":{}}}`},
		{"A.11 ignoring unrecognized elements", `{"foo":"bar"}`, `[{"op":"add","path":"/baz","value":"qux","xyz":123}]`, `{"foo":"bar","baz":"qux"}`},
		{"A.12 adding to a nonexistent target", `{"foo":"bar"}`, `[{"op":"add","path":"/baz/bat","value":"qux"}]`, ""},
		{"A.14 ~ escape ordering", `{"/":9,"~1":10}`, `[{"op":"test","path":"/~01","value":10}]`, `{"/":9,"~1":10}`},
		{"A.15 comparing strings and numbers", `{"/":9,"~1":10}`, `[{"op":"test","path":"/~01","value":"10"}]`, ""},
		{"A.16 adding an array value", `{"foo":["bar"]}`, `[{"op":"add","path":"/foo/-","value":["abc","def"]}]`, `{"foo":["bar",["abc","def"]]}`},
	} {
		var p change.Patch
		if err := json.Unmarshal([]byte(c.patch), &p); err != nil {
			t.Fatal(err)
		}
		got, err := change.Apply([]byte(c.document), p)
		switch {
		case c.want == "" && !errors.Is(err, change.ErrPatch):
			t.Errorf("%s: got %s, %v; want an error", c.name, got.Document, err)
		case c.want != "" && (err != nil || !change.Equal(got.Document, []byte(c.want))):
			t.Errorf("%s: got %s, %v; want %s", c.name, got.Document, err, c.want)
		}
	}
}

// TestTextIsKept: what a change does not touch keeps its order and its digits.
func TestTextIsKept(t *testing.T) {
	const document = `{"z":1.50,"a":{"n":1e2,"list":[10.0,"<&>"]},"m":0.1000}`
	got, err := change.Apply([]byte(document), change.Patch{{Op: change.Replace, Path: "/a/list/0", Value: []byte("11.0")}})
	if want := `{"z":1.50,"a":{"n":1e2,"list":[11.0,"<&>"]},"m":0.1000}`; err != nil || string(got.Document) != want {
		t.Errorf("got %s, %v; want %s", got.Document, err, want)
	}
}

// TestRefused holds what cannot be done; nothing is half done, nothing grows without end.
func TestRefused(t *testing.T) {
	const document = `{"a":[1,2],"b":{"c":"x"}}`
	large := `"` + strings.Repeat("x", change.MostBytes/3) + `"`
	for _, patch := range []string{
		`[{"op":"remove","path":""}]`, `[{"op":"remove","path":"/q"}]`, `[{"op":"replace","path":"/a/2","value":1}]`,
		`[{"op":"add","path":"/a/3","value":1}]`, `[{"op":"add","path":"/a/01","value":1}]`, `[{"op":"add","path":"/a/-1","value":1}]`,
		`[{"op":"add","path":"a","value":1}]`, `[{"op":"add","path":"/b/c/d","value":1}]`, `[{"op":"add","path":"/a/~2","value":1}]`,
		`[{"op":"move","from":"/b","path":"/b/c"}]`, `[{"op":"add","path":"/x"}]`, `[{"op":"spin","path":"/a","value":1}]`,
		`[{"op":"add","path":"/x","value":` + large + `},{"op":"copy","from":"/x","path":"/y"},{"op":"copy","from":"/x","path":"/w"}]`,
		`[` + strings.Repeat(`{"op":"copy","from":"","path":"/a/-"},`, 30) + `{"op":"copy","from":"","path":"/a/-"}]`,
	} {
		var p change.Patch
		if err := json.Unmarshal([]byte(patch), &p); err != nil {
			t.Fatal(err)
		}
		if got, err := change.Apply([]byte(document), p); !errors.Is(err, change.ErrPatch) {
			t.Errorf("%.80s: got %.80s, %v; want a refusal", patch, got.Document, err)
		}
	}
	if _, err := change.Apply([]byte(`{"a":1,"a":2}`), change.Patch{{Op: change.Remove, Path: "/a"}}); err == nil {
		t.Error("a name twice in one object was let through")
	}
}

// Values are alike whatever their layout and the order of names; numbers by what they are
// worth, or by their text where nobody could work that out in time.
func TestEqual(t *testing.T) {
	for _, c := range []struct {
		a, b  string
		alike bool
	}{
		{`1`, `1.0`, true}, {`10`, `1e1`, true}, {`1`, `2`, false}, {`-0`, `0`, true}, {`1`, `"1"`, false}, {`1e400`, `10e399`, true},
		{`1e99999`, `1e99999`, true}, {`1e99999`, `10e99998`, false}, {`1e99999`, `2e99999`, false},
		{`"a"`, `"\u0061"`, true}, {`"a"`, `"b"`, false}, {`true`, `false`, false}, {`null`, `false`, false},
		{`{"a":1,"b":2}`, `{ "b": 2.0, "a": 1 }`, true}, {`{"a":1,"b":2}`, `{"a":1,"b":3}`, false}, {`{"a":1}`, `{"a":1,"b":2}`, false}, {`[1,2]`, `[2,1]`, false},
	} {
		if got := change.Equal([]byte(c.a), []byte(c.b)); got != c.alike {
			t.Errorf("%s and %s: alike %v, want %v", c.a, c.b, got, c.alike)
		}
	}
}

// documents draws a small document like a job: named things in lists.
func documents(t *rapid.T) []byte {
	names := rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"title", "a", "b/c", "d~e", "0", "é"}), 1, 4, rapid.ID)
	value := rapid.OneOf(
		rapid.Map(rapid.SampledFrom([]string{`"x"`, `"7' 5\""`, "1.50", "true", "null", "{}", "[]"}), func(s string) json.RawMessage { return json.RawMessage(s) }),
		rapid.Map(rapid.SliceOfN(rapid.SampledFrom([]string{`1`, `"y"`, `[1,2]`, `{"id":"w"}`}), 0, 4), func(s []string) json.RawMessage {
			return json.RawMessage("[" + strings.Join(s, ",") + "]")
		}),
	)
	o := map[string]json.RawMessage{"walls": json.RawMessage(`[{"id":"s","openings":[{"at":["1","2"]},{"at":["3","4"]}]},{"id":"e","openings":[]},{"id":"n"}]`)}
	for _, n := range names.Draw(t, "names") {
		o[n] = value.Draw(t, "value of "+n)
	}
	b, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// patches draws a patch that can mostly be carried out on a document.
func patches(t *rapid.T, document []byte, name string) change.Patch {
	paths := places(document)
	var p change.Patch
	for range rapid.IntRange(1, 4).Draw(t, name+" length") {
		at := rapid.SampledFrom(paths).Draw(t, name+" path")
		op := change.Op{Op: rapid.SampledFrom([]string{"add", "remove", "replace", "move", "copy"}).Draw(t, name+" op"), Path: at}
		switch op.Op {
		case "add":
			op.Path += rapid.SampledFrom([]string{"", "/-", "/0", "/1", "/new"}).Draw(t, name+" where")
			op.Value = json.RawMessage(rapid.SampledFrom([]string{`"A"`, `{"id":"q"}`, `[5]`}).Draw(t, name+" value"))
		case "replace":
			op.Value = json.RawMessage(rapid.SampledFrom([]string{`"R"`, `7.250`, `{"id":"r"}`}).Draw(t, name+" value"))
		case "move", "copy":
			op.From = rapid.SampledFrom(paths).Draw(t, name+" from")
		}
		p = append(p, op)
	}
	return p
}

// places lists every place below the top of a document.
func places(document []byte) []string {
	var v any
	if err := json.Unmarshal(document, &v); err != nil {
		panic(err)
	}
	var out []string
	var walk func(path string, v any)
	escape := strings.NewReplacer("~", "~0", "/", "~1")
	walk = func(path string, v any) {
		if path != "" {
			out = append(out, path)
		}
		switch v := v.(type) {
		case map[string]any:
			for _, k := range sorted(v) {
				walk(path+"/"+escape.Replace(k), v[k])
			}
		case []any:
			for i, e := range v {
				walk(path+"/"+string(rune('0'+i)), e)
			}
		}
	}
	walk("", v)
	return out
}

// TestAgainstLibrary compares with github.com/evanphx/json-patch, which shares no
// code with this package.
func TestAgainstLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		document := documents(t)
		p := patches(t, document, "patch")
		for _, op := range p {
			if op.Op == change.Move && strings.HasPrefix(op.Path, op.From+"/") {
				return // RFC 6902 section 4.4 forbids it; the library lets some through
			}
		}
		got, err := change.Apply(document, p)
		want, judgeErr := judged(document, p)
		if (err == nil) != (judgeErr == nil) {
			t.Fatalf("%s on %s: %v, the library says %v", text(p), document, err, judgeErr)
		}
		if err == nil && !alike(got.Document, want) {
			t.Fatalf("%s on %s: got %s, the library %s", text(p), document, got.Document, want)
		}
	})
}

// TestInverse: the inverse brings the document back, and done, which has neither
// moves nor copies, does the same as the patch.
func TestInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		document := documents(t)
		got, err := change.Apply(document, patches(t, document, "patch"))
		if err != nil {
			t.Skip()
		}
		back, err := change.Apply(got.Document, got.Inverse)
		if err != nil || !alike(back.Document, document) {
			t.Fatalf("back to %s, %v; was %s", back.Document, err, document)
		}
		again, err := change.Apply(document, got.Done)
		if err != nil || !alike(again.Document, got.Document) {
			t.Fatalf("done gives %s, %v; was %s", again.Document, err, got.Document)
		}
	})
}

// TestAgain: changes carried out one by one, and all of them once more at once, give the
// same document to the letter: names that are written in an unusual way, what tests and
// copies looked into, and angle brackets stay as they stand.
func TestAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		document := unusual(documents(t))
		now, done := document, []change.Patch{}
		for range rapid.IntRange(1, 6).Draw(t, "changes") {
			if len(places(now)) == 0 {
				break // all of it was taken out
			}
			got, err := change.Apply(now, patches(t, now, "patch"))
			if err != nil {
				continue
			}
			now, done = got.Document, append(done, got.Done)
		}
		again, err := change.Again(document, done...)
		if err != nil || !bytes.Equal(again, now) {
			t.Fatalf("%v on %s: once more gives %s, %v; was %s", done, document, again, err, now)
		}
	})
}

// TestText: encoding/json reads a patch's text as the same patch, values to the letter.
func TestText(t *testing.T) {
	values := rapid.SampledFrom([]string{"", `"<&>\u0041"`, `"é` + "\u2028" + `"`, "7.10", `{"b":[1]}`, "null"})
	words := rapid.OneOf(rapid.SampledFrom([]string{"", "/a~1b", `/"q"\`, "/<é>\u2028", "/n/-"}), rapid.String())
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) change.Op {
			op := change.Op{Op: words.Draw(t, "op"), Path: words.Draw(t, "path"), From: words.Draw(t, "from"), InList: rapid.Bool().Draw(t, "in list")}
			if v := values.Draw(t, "value"); v != "" {
				op.Value = json.RawMessage(v)
			}
			return op
		}), 0, 4).Draw(t, "patch")
		read := change.Patch{}
		if err := json.Unmarshal([]byte(change.Patch(p).Text()), &read); err != nil || !slices.EqualFunc(read, p, sameOp) {
			t.Fatalf("%+v is read as %+v, %v", p, read, err)
		}
	})
}

func sameOp(a, b change.Op) bool {
	return a.Op == b.Op && a.Path == b.Path && a.From == b.From && a.InList == b.InList && string(a.Value) == string(b.Value)
}

// unusual writes the names of a document's members in another way that JSON allows.
func unusual(document []byte) []byte {
	for _, name := range []string{"a", "b", "id", "walls"} {
		document = bytes.ReplaceAll(document, []byte(`"`+name+`":`), []byte(fmt.Sprintf(`"\u%04x%s":`, name[0], name[1:])))
	}
	return document
}

// TestMergeMeets: where two people's changes do not clash, it does not matter whose
// came first. (Transformation property 1 of Ressel and others, 1996; entries put
// into one list at one place may stand in either order.)
func TestMergeMeets(t *testing.T) {
	merged := 0
	rapid.Check(t, func(t *rapid.T) {
		document := documents(t)
		a, errA := change.Apply(document, patches(t, document, "a"))
		b, errB := change.Apply(document, patches(t, document, "b"))
		if errA != nil || errB != nil {
			t.Skip()
		}
		bOver, clashB := b.Done.Over(a.Done)
		aOver, clashA := a.Done.Over(b.Done)
		if len(clashA) > 0 || len(clashB) > 0 {
			if (len(clashA) > 0) != (len(clashB) > 0) {
				t.Fatalf("a %s b %s: clash only one way: %v %v", text(a.Done), text(b.Done), clashA, clashB)
			}
			return
		}
		merged++
		ab, err := change.Apply(a.Document, bOver)
		if err != nil {
			t.Fatalf("b %s after a %s: %v", text(bOver), text(a.Done), err)
		}
		ba, err := change.Apply(b.Document, aOver)
		if err != nil {
			t.Fatalf("a %s after b %s: %v", text(aOver), text(b.Done), err)
		}
		if !alike(ab.Document, ba.Document) && !(putIn(a.Done, b.Done) && unordered(ab.Document) == unordered(ba.Document)) {
			t.Fatalf("on %s\na %s\nb %s\na then b %s\nb then a %s", document, text(a.Done), text(b.Done), ab.Document, ba.Document)
		}
	})
	if merged == 0 {
		t.Error("no two changes were merged: the test shows nothing")
	}
}

// putIn says whether both put entries into lists.
func putIn(a, b change.Patch) bool {
	into := func(p change.Patch) bool {
		return slices.ContainsFunc(p, func(o change.Op) bool { return o.InList && o.Op == change.Add })
	}
	return into(a) && into(b)
}

// TestMergeByHand holds merges that a person would expect.
func TestMergeByHand(t *testing.T) {
	const document = `{"title":"T","walls":[{"id":"s","w":"30'"},{"id":"e","w":"20'"},{"id":"n","w":"30'"}]}`
	for _, c := range []struct{ name, theirs, yours, want string }{
		{"two places", `[{"op":"replace","path":"/title","value":"U"}]`, `[{"op":"replace","path":"/walls/1/w","value":"21'"}]`,
			`{"title":"U","walls":[{"id":"s","w":"30'"},{"id":"e","w":"21'"},{"id":"n","w":"30'"}]}`},
		{"a wall before yours was taken out", `[{"op":"remove","path":"/walls/0"}]`, `[{"op":"replace","path":"/walls/1/w","value":"21'"}]`,
			`{"title":"T","walls":[{"id":"e","w":"21'"},{"id":"n","w":"30'"}]}`},
		{"a wall was put before yours", `[{"op":"add","path":"/walls/1","value":{"id":"x"}}]`, `[{"op":"remove","path":"/walls/1"}]`,
			`{"title":"T","walls":[{"id":"s","w":"30'"},{"id":"x"},{"id":"n","w":"30'"}]}`},
		{"both add a wall at the end", `[{"op":"add","path":"/walls/-","value":{"id":"x"}}]`, `[{"op":"add","path":"/walls/-","value":{"id":"y"}}]`,
			`{"title":"T","walls":[{"id":"s","w":"30'"},{"id":"e","w":"20'"},{"id":"n","w":"30'"},{"id":"x"},{"id":"y"}]}`},
		{"both say the same", `[{"op":"replace","path":"/walls/0/w","value":"31'"}]`, `[{"op":"replace","path":"/walls/0/w","value":"31'"}]`,
			`{"title":"T","walls":[{"id":"s","w":"31'"},{"id":"e","w":"20'"},{"id":"n","w":"30'"}]}`},
		{"both take out one wall, you change another", `[{"op":"remove","path":"/walls/0"}]`, `[{"op":"remove","path":"/walls/0"},{"op":"replace","path":"/walls/0/w","value":"9'"}]`,
			`{"title":"T","walls":[{"id":"e","w":"9'"},{"id":"n","w":"30'"}]}`},
		{"clash: one place", `[{"op":"replace","path":"/walls/0/w","value":"31'"}]`, `[{"op":"replace","path":"/walls/0/w","value":"32'"}]`, ""},
		{"clash: your wall is gone", `[{"op":"remove","path":"/walls/1"}]`, `[{"op":"replace","path":"/walls/1/w","value":"21'"}]`, ""},
		{"clash: you take out the wall that they changed", `[{"op":"replace","path":"/walls/1/w","value":"21'"}]`, `[{"op":"remove","path":"/walls/1"}]`, ""},
		{"clash: you replace the list that they added to", `[{"op":"add","path":"/walls/0","value":{}}]`, `[{"op":"replace","path":"/walls","value":[]}]`, ""},
	} {
		theirs, yours := apply(t, document, c.theirs), apply(t, document, c.yours)
		moved, clashes := yours.Done.Over(theirs.Done)
		if c.want == "" {
			if len(clashes) == 0 {
				t.Errorf("%s: merged to %s; want a clash", c.name, text(moved))
			}
			continue
		}
		got, err := change.Apply(theirs.Document, moved)
		if err != nil || len(clashes) > 0 || !change.Equal(got.Document, []byte(c.want)) {
			t.Errorf("%s: got %s, %v, %v; want %s", c.name, got.Document, clashes, err, c.want)
		}
	}
}

// TestBetween: the difference of two documents names the places that were changed.
func TestBetween(t *testing.T) {
	before := []byte(`{"title":"T","walls":[{"id":"s","w":1},{"id":"e","w":2}],"n":[1,2]}`)
	after := []byte(`{"title":"U","walls":[{"id":"e","w":3},{"id":"q"}],"n":[1,2,3]}`)
	var got []string
	for _, d := range change.Between(before, after) {
		got = append(got, d.Path+" "+string(d.Before)+" "+string(d.After))
	}
	want := "/title \"T\" \"U\"|/walls/0/w 2 3|/walls/1  {\"id\":\"q\"}|/walls/0 {\"id\":\"s\",\"w\":1} |/n/2  3"
	if strings.Join(got, "|") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, "|"), want)
	}
	if d := change.Between(before, []byte(` {"n":[1,2.0], "walls":[{"w":1,"id":"s"},{"id":"e","w":2e0}], "title":"T"}`)); len(d) != 0 {
		t.Errorf("equal documents differ: %v", d)
	}
}

// FuzzApply looks for patches on which the package panics or breaks the document.
func FuzzApply(f *testing.F) {
	f.Add([]byte(`{"a":[1,{"b":2}]}`), []byte(`[{"op":"add","path":"/a/-","value":1},{"op":"move","from":"/a/0","path":"/c"}]`))
	f.Add([]byte(`[]`), []byte(`[{"op":"copy","from":"","path":"/0"}]`))
	f.Fuzz(func(t *testing.T, document, patch []byte) {
		var p change.Patch
		if !json.Valid(document) || json.Unmarshal(patch, &p) != nil {
			t.Skip()
		}
		got, err := change.Apply(document, p)
		if err == nil && !json.Valid(got.Document) {
			t.Errorf("the document was broken: %q", got.Document)
		}
	})
}

// TestBroken: text that is no JSON is refused, never read out of bounds.
func TestBroken(t *testing.T) {
	for _, document := range []string{"", "{", "[", `{"a`, `{"a"`, `{"a":`, `{"a":1`, `{"a":"x\`, `{"a" 1}`, `[1 2]`, `[1,`, `{"a":[}`, `{"a":{"b":[1,2}`, `{a:1}`, `{"a":1,}`, "\x00", `{"\u12":1}`} {
		for _, path := range []string{"/a", "/a/b", "/0", "/b"} {
			for _, op := range []string{change.Remove, change.Add, change.Replace} {
				if got, err := change.Apply([]byte(document), change.Patch{{Op: op, Path: path, Value: []byte("1")}}); err == nil {
					t.Errorf("%s %s in %q gave %q", op, path, document, got.Document)
				}
			}
		}
		change.Between([]byte(document), []byte(`{"a":1}`)) // does not panic
	}
}
