package job_test

import (
	"strings"
	"testing"

	"coilwright/job"
	"coilwright/steel"
)

func TestBookVersion(t *testing.T) {
	for text, want := range map[string]int64{"book@1": 1, "book@907": 907, job.BookName(3): 3, "book@": 0, "book@0": 0, "book@-1": 0, "book@+1": 0, "demo": 0, "book@1.5": 0, "xbook@1": 0, "book@99999999999999999999": 0} {
		if n, ok := job.BookVersion(text); ok != (want > 0) || ok && n != want {
			t.Errorf("%s: %d %v", text, n, ok)
		}
	}
}

// A book is judged by itself: every figure that cannot be is named with its place.
func TestBadBooks(t *testing.T) {
	if _, found := job.ParseBook("book", steel.DemoBook); len(found) > 0 {
		t.Fatal(found)
	}
	for name, c := range map[string][3]string{
		"negative":   {`"starter_ft": "0.85"`, `"starter_ft": "-0.85"`, "$.prices.starter_ft"},
		"absurd":     {`"hanger_hour": "46.00"`, `"hanger_hour": 1e12`, "$.rates.hanger_hour"},
		"no number":  {`"crew": "3"`, `"crew": "three"`, "$.rates.crew"},
		"all margin": {`"margin": "0.28"`, `"margin": "1"`, "$.rates.margin"},
		"both":       {`"margin": "0.28"`, `"margin": "0.28", "markup": "0.3"`, "$.rates.markup"},
		"tax of all": {`"machine":`, `"taxes": [{"title": "x", "share": "1", "on": ["material"]}], "machine":`, "$.taxes[0].share"},
		"tax on":     {`"machine":`, `"taxes": [{"title": "x", "share": "0.1", "on": ["land"]}], "machine":`, "$.taxes[0].on[0]"},
		"deposit":    {`"share": "0.4"`, `"share": "0.5"`, "$.offer.payments"},
		"currency":   {`"currency": "USD"`, `"currency": "Thaler"`, "$.currency"},
		"days":       {`"days_valid": 30`, `"days_valid": 0`, "$.offer.days_valid"},
		"field":      {`"currency":`, `"colourful": 1, "currency":`, "$.colourful"},
		"all lap":    {`"sliver":`, `"longest_piece": "2 in", "sliver":`, "$.longest_piece"},
		"long lap":   {`"joint": {"lap": "1 in",`, `"longest_piece": "10'", "joint": {"lap": "31 in",`, "$.longest_piece"},
		"all step":   {`"sliver":`, `"longest_piece": "10'", "step": "31 in", "sliver":`, "$.longest_piece"},
		"hot":        {`"hottest_f": `, `"hottest_f": -`, "$.gap.hottest_f"},
		"brake":      {`"brake_length": "10' 6\""`, `"brake_length": "11 in"`, "$.trim.brake_length"},
		"coil":       {`"price": "525.00"`, `"price": "-525.00"`, "$.mill["},
	} {
		text := strings.Replace(string(steel.DemoBook), c[0], c[1], 1)
		if text == string(steel.DemoBook) {
			t.Fatalf("%s: nothing was spoilt", name)
		}
		_, found := job.ParseBook("book", []byte(text))
		if !found.Fatal() || !strings.Contains(found[0].Where, c[2]) || found[0].Mend == "" {
			t.Errorf("%s: %v", name, found)
		}
	}
	for _, text := range []string{"", "[]", "null", "{", `"x"`} {
		if _, found := job.ParseBook("book", []byte(text)); !found.Fatal() {
			t.Errorf("%q was taken for a book", text)
		}
	}
}
