package sheet

import (
	"encoding/json"
	"math/big"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coilwright/job"
	"coilwright/measure"
	"coilwright/price"
	"coilwright/steel"
)

var bookWriters = map[string]func(BookFile) ([]byte, error){"CSV": BookFile.CSV, "XLSX": BookFile.XLSX}

// readBack lays what a file holds over a bare book with two colours and reads it.
func readBack(t interface{ Fatal(...any) }, file []byte) job.Job {
	text, err := ReadBook(file, []string{"bone", "slate"})
	if err != nil {
		t.Fatal(err)
	}
	var over map[string]json.RawMessage
	if err := json.Unmarshal(text, &over); err != nil {
		t.Fatal(err)
	}
	over["currency"] = json.RawMessage(`"USD"`)
	over["colours"] = json.RawMessage(`[{"id":"bone"},{"id":"slate"}]`)
	whole, err := json.Marshal(over)
	if err != nil {
		t.Fatal(err)
	}
	j, found := job.ParseBook("back", whole)
	for _, p := range found {
		if strings.HasPrefix(p.Where, "$.mill") || strings.HasPrefix(p.Where, "$.prices") || strings.HasPrefix(p.Where, "$.rates") {
			t.Fatal(p)
		}
	}
	return j
}

// Any book written and read again is the same book, by either kind of file and in
// either kind of units: every figure, every coil, in their order.
func TestBookThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		file := drawnBook(t)
		kind := rapid.SampledFrom([]string{"CSV", "CSV", "CSV", "CSV", "CSV", "CSV", "CSV", "XLSX"}).Draw(t, "kind") // a workbook takes long
		text, err := bookWriters[kind](file)
		if err != nil {
			t.Fatal(kind, err)
		}
		sameBook(t, kind, readBack(t, text), file)
	})
}

func sameBook(t *rapid.T, kind string, back job.Job, file BookFile) {
	if !reflect.DeepEqual(back.Prices.Prices, file.Money.Prices) || !reflect.DeepEqual(back.Prices.Rates, file.Money.Rates) {
		t.Fatalf("%s: figures %v %v, want %v %v", kind, back.Prices.Prices, back.Prices.Rates, file.Money.Prices, file.Money.Rates)
	}
	if len(back.Book.Mill) != len(file.Mill) {
		t.Fatalf("%s: %d coils, want %d", kind, len(back.Book.Mill), len(file.Mill))
	}
	for i, m := range file.Mill {
		got := back.Book.Mill[i]
		if got.Price.Cmp(m.Price) != 0 {
			t.Fatalf("%s: price %s, want %s", kind, got.Price, m.Price)
		}
		got.Price, m.Price = nil, nil
		if !reflect.DeepEqual(got, m) {
			t.Fatalf("%s: coil %+v, want %+v", kind, got, m)
		}
	}
}

// drawnBook is a book of any figures and coils. Words are what a cell keeps as it is:
// without blanks at their ends and without an apostrophe in front, which is how a
// spreadsheet says that a text is no formula.
func drawnBook(t *rapid.T) BookFile {
	word := rapid.StringMatching(`([=+@-]?[A-Za-z0-9é"&,;|]([ A-Za-z0-9é"',;]{0,8}[A-Za-z0-9"é])?)?`)
	number := func(f *price.Figure) {
		f.Value, _ = price.Exact(big.NewRat(rapid.Int64Range(0, 1e9).Draw(t, "value"), []int64{1, 100, 1e6, 1e9}[rapid.IntRange(0, 3).Draw(t, "places")]))
	}
	figures := func(keys []price.Key) map[string]price.Figure {
		out := map[string]price.Figure{}
		for range rapid.IntRange(0, 5).Draw(t, "figures") {
			name := rapid.SampledFrom(keys).Draw(t, "key").Name + rapid.SampledFrom([]string{"", "_own"}).Draw(t, "own")
			if slices.Contains([]string{"margin", "markup", "crew", "day_hours"}, name) {
				continue // they have rules of their own
			}
			f := price.Figure{Written: true, Date: word.Draw(t, "date"), Supplier: word.Draw(t, "supplier"), Jobs: rapid.IntRange(0, 99).Draw(t, "jobs")}
			number(&f)
			out[name] = f
		}
		return out
	}
	size := func(most measure.Length, name string) measure.Length { // as a rule or a counter reads it, or any
		step := rapid.SampledFrom([]measure.Length{1, measure.Millimetre, measure.Inch / 64, measure.Inch, measure.Foot}).Draw(t, "step")
		if step > most {
			step = 1
		}
		return step * measure.Length(rapid.Int64Range(1, int64(most/step)).Draw(t, name))
	}
	b := BookFile{Money: price.Book{Prices: figures(price.PriceKeys), Rates: figures(price.RateKeys)}, Units: rapid.SampledFrom([]measure.Units{measure.Imperial, measure.Metric}).Draw(t, "units")}
	for range rapid.IntRange(0, 4).Draw(t, "coils") {
		m := steel.Mill{
			Colour: rapid.SampledFrom([]string{"any", "bone", "slate"}).Draw(t, "colour"), Title: word.Draw(t, "title"), Length: size(measure.MaxCoil, "length"),
			Price: big.NewRat(rapid.Int64Range(0, 1e12).Draw(t, "price"), 1000), LeadDays: rapid.IntRange(0, 400).Draw(t, "days"), Minimum: rapid.IntRange(0, 9).Draw(t, "minimum"),
			Date: word.Draw(t, "date"), Supplier: word.Draw(t, "supplier"),
		}
		if rapid.Bool().Draw(t, "sized") {
			m.Thickness, m.Width = size(measure.Inch, "thickness"), size(measure.MaxHouse, "width")
		}
		b.Mill = append(b.Mill, m)
	}
	return b
}

// The demo book's file reads as a person would write it.
func TestBookFileReads(t *testing.T) {
	j, _, _ := priced(t, "alder", "[]")
	text, err := BookFile{Money: j.Prices, Mill: j.Book.Mill, Units: measure.Imperial}.CSV()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"price,starter_ft,starter strip,ft,0.85,,,,,,,,,",
		`coil,,"Mill coil 15 3/4 in, 500 ft",coil,825.00,,,,any,0.019 in,15.75 in,500 ft,7,`,
	} {
		if !strings.Contains(string(text), want) {
			t.Errorf("no row %s in\n%s", want, text)
		}
	}
}

func TestBadBookFiles(t *testing.T) {
	head := "part,name,value,jobs\n"
	for text, want := range map[string]string{
		"":                                     "0 rows",
		"a,b\n1,2\n":                           `no column "part"`,
		head + "price,x,-1,\n":                 "row 2: the value of x",
		head + "price,x,1e99,\n":               "the value of x",
		head + "price,x,NaN,\n":                "the value of x",
		head + "price,x,\"1,5\",\n":            "the value of x",
		head + "cost,x,1,\n":                   `part is "cost"`,
		head + "price,,1,\n":                   "no name",
		head + "price,x,1,\nprice,x,2,\n":      "row 3: x stands there twice",
		head + "rate,x,1,many\n":               "jobs of x",
		"PK\x03\x04 this is no workbook, only": "no workbook",
		head + "price,\"x,1,\n":                "save it as CSV",
	} {
		if got, err := ReadBook([]byte(text), nil); err == nil || !strings.Contains(err.Error(), want) || got != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
	coil := "part,name,what,value,jobs,colour,thickness,width,length,lead_days,minimum\n"
	for text, want := range map[string]string{
		"coil,,,,,any,,,500 ft,,\n":            "row 2: the coil has no price",
		"coil,,Wide,-3,,any,,,500 ft,,\n":      `row 2: the value of "Wide" is "-3"`,
		"coil,,,10,,any,,,,,\n":                `the length of the coil is ""; write it with its unit`,
		"coil,,,10,,any,,,many,,\n":            `the length of the coil is "many"`,
		"coil,,,10,,any,,0 in,500 ft,,\n":      `the width of the coil is "0 in"`,
		"coil,,,10,,any,2 in,,500 ft,,\n":      `the thickness of the coil is "2 in"; write it with its unit, such as 0.019 in, up to 25.4 mm`,
		"coil,,,10,,pink,,,500 ft,,\n":         "the book does not list; write any or bone, slate",
		"coil,,,10,,any,,,500 ft,soon,\n":      `lead_days of the coil is "soon"`,
		"coil,,,10,,any,,,500 ft,,1001\n":      "minimum of the coil",
		"coil,,,10,3,any,,,500 ft,,\n":         "learned from no jobs",
		"coil,,,10,,any,,,500 ft,,\nbar,,,1\n": `row 3: part is "bar"; write price, rate or coil`,
	} {
		if got, err := ReadBook([]byte(coil+text), []string{"bone", "slate"}); err == nil || !strings.Contains(err.Error(), want) || got != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
	if got, ok := settled("0.84999999999999998"); !ok || got != "0.85" {
		t.Errorf("a float's tail: %s", got)
	}
}
