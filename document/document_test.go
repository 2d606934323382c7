package document

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func parsed(t testing.TB, text string) (Value, *Findings) {
	t.Helper()
	f, err := Parse("t.json", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	found := &Findings{Main: "t.json"}
	return f.Read(found), found
}

func TestPlaces(t *testing.T) {
	v, found := parsed(t, "\ufeff{\n \"walls\": [1, {\"größe\": \"7\",\n  \"a b\": 0}]}")
	inner := v.Peek("walls").List()[1]
	inner.Peek("größe").Length(Size)
	inner.Peek("a b").Length(Size)
	want := []string{"$.walls[1]['größe'] (t.json:2:25)", "$.walls[1]['a b'] (t.json:3:10)"}
	for i, p := range found.List() {
		if got := p.Where + " " + p.What[strings.LastIndex(p.What, "("):]; got != want[i] {
			t.Errorf("place %d is %s, want %s", i, got, want[i])
		}
	}
	if found.Errors() != 2 {
		t.Errorf("found %v", found.List())
	}
}

// Numbers are read from their text: no float stands between.
func TestNumbersKeepTheirText(t *testing.T) {
	v, found := parsed(t, `[0.1, 123456789012.000000001, 1e3, -0, 89.375]`)
	l := v.List()
	if got := l[1].Exact(0, 1e15).FloatString(9); got != "123456789012.000000001" {
		t.Errorf("read %s", got)
	}
	if got := l[4].Length(Size); got != 2_270_125_000 {
		t.Errorf("89.375 in is %d nm", got)
	}
	if l[2].Int(0, 5000) != 1000 || l[3].Int(0, 1) != 0 || found.Errors() != 0 {
		t.Errorf("found %v", found.List())
	}
}

func TestOver(t *testing.T) {
	base, _ := parsed(t, `{"a": {"x": 1, "y": [1, 2]}, "b": 2, "c": 3}`)
	top, _ := parsed(t, `{"a": {"y": [9], "z": "\u00e9\n"}, "c": null, "d": {}}`)
	if got := string(top.Over(base).JSON()); got != `{"a":{"x":1,"y":[9],"z":"é\n"},"b":2,"c":null,"d":{}}` {
		t.Errorf("merged to %s", got)
	}
	if string(top.Over(Value{}).JSON()) != string(top.JSON()) || string(Value{}.Over(base).JSON()) != string(base.JSON()) {
		t.Error("merging with nothing changes something")
	}
}

func TestDepth(t *testing.T) {
	deep := func(n int) string { return strings.Repeat("[", n) + strings.Repeat("]", n) }
	if _, err := Parse("t", []byte(deep(MaxDepth))); err != nil {
		t.Error(err)
	}
	for _, n := range []int{MaxDepth + 1, 1_000_000} {
		if _, err := Parse("t", []byte(deep(n))); !errors.Is(err, ErrSyntax) {
			t.Errorf("depth %d: %v", n, err)
		}
	}
}

func TestTooManyValues(t *testing.T) {
	_, err := Parse("t", []byte("["+strings.Repeat("0,", MaxValues)+"0]"))
	if err == nil || !strings.Contains(err.Error(), "2000000 values") {
		t.Error(err)
	}
	if _, err = Parse("t", make([]byte, MaxSize+1)); err == nil || !strings.Contains(err.Error(), "64 MiB") {
		t.Error(err)
	}
}

// Names are compared whole in large objects too.
func TestTwiceInLargeObject(t *testing.T) {
	var b strings.Builder
	for i := range 40 {
		b.WriteString(`"` + strings.Repeat("k", i+1) + `":0,`)
	}
	for n, want := range map[int]bool{1: true, 16: true, 17: true, 40: true, 41: false} {
		_, err := Parse("t", []byte(`{`+b.String()+`"`+strings.Repeat("k", n)+`":0}`))
		if (err != nil) != want {
			t.Errorf("%d: %v", n, err)
		}
	}
}

// The standard library accepts whatever Parse accepts, with the same meaning; what
// Parse refuses beyond it is named here.
func FuzzParse(f *testing.F) {
	for _, s := range []string{`{"a":[1,2.5e-3,"x\u00e9\ud83d\ude00",true,null,{}]}`, `[]`, ` "\\" `, `-0.0E+1`, `{"a":1,"a":2}`, "\"\x00\"", `[1,]`, "\xef\xbb\xbf[]"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := Parse("t", data)
		plain := bytes.TrimPrefix(data, []byte("\ufeff"))
		if err != nil {
			var bad *SyntaxError
			if !errors.As(err, &bad) || bad.What == "" || bad.Mend == "" {
				t.Fatalf("not a clear error: %v", err)
			}
			if json.Valid(plain) && !strings.Contains(err.Error(), "twice") && !strings.Contains(err.Error(), "UTF-8") &&
				!strings.Contains(err.Error(), "escape") && !strings.Contains(err.Error(), "deep") {
				t.Fatalf("refused %q: %v", data, err)
			}
			return
		}
		out := file.Read(&Findings{}).JSON()
		if out == nil {
			out = []byte("null")
		}
		if !json.Valid(plain) || !same(t, out, plain) {
			t.Fatalf("%q became %q", data, out)
		}
	})
}

func same(t *testing.T, a, b []byte) bool {
	x, y := decoded(t, a), decoded(t, b)
	p, _ := json.Marshal(x)
	q, _ := json.Marshal(y)
	return bytes.Equal(p, q)
}

func decoded(t *testing.T, data []byte) (out any) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	if err := d.Decode(&out); err != nil {
		t.Fatal(err)
	}
	return out
}

// One slip is always found back where no other name is as near.
func TestNearest(t *testing.T) {
	names := []string{"outline", "edges", "openings", "measured", "overhang"}
	rapid.Check(t, func(r *rapid.T) {
		name := rapid.SampledFrom(names).Draw(r, "name")
		at := rapid.IntRange(0, len(name)-2).Draw(r, "at")
		b := []byte(name)
		switch rapid.IntRange(0, 2).Draw(r, "slip") {
		case 0:
			b[at], b[at+1] = b[at+1], b[at]
		case 1:
			b = append(b[:at], b[at+1:]...)
		case 2:
			b[at] = 'x'
		}
		if got := nearest(string(b), names); got != name {
			r.Fatalf("%s is taken for %q", b, got)
		}
	})
	if got := nearest("zzzzzz", names); got != "" {
		t.Errorf("zzzzzz is taken for %q", got)
	}
}
