package sheet_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"coilwright/job"
	"coilwright/measure"
	"coilwright/sheet"
)

// Every piece that a coil gives, every blank and every flat of the demo stands on the
// coil plan, read back out of the PDF, and no piece's number stands on another word.
func TestCoilPlanTellsAll(t *testing.T) {
	j, found := job.Read("../examples/alder.json")
	if found.Fatal() {
		t.Fatal(found)
	}
	r, err := j.Run("A")
	if err != nil {
		t.Fatal(err)
	}
	slitting, err := j.SlitWithin(r.Layout, 200_000_000) // too little for a proof
	if err != nil {
		t.Fatal(err)
	}
	in, err := sheet.Of(&j, "A", r, slitting)
	if err != nil {
		t.Fatal(err)
	}
	files := papers(t, in)
	text := strings.Fields(pdfText(t, files["coil-plan.pdf"]))
	for _, c := range in.Run.Coils {
		for _, id := range c.Pieces {
			for _, p := range in.Layout.Pieces {
				if p.ID == id && !slices.Contains(text, p.Number) {
					t.Errorf("coil %s: %s is not on the plan", c.ID, p.Number)
				}
			}
		}
	}
	list := string(files["slitting.csv"])
	for _, q := range in.Slitting {
		if len(q.Blanks) == 0 {
			t.Error("the demo's trim has no plan")
		}
		for _, f := range q.Flats {
			if !slices.Contains(text, f.ID) || !strings.Contains(list, ","+f.ID+",") {
				t.Errorf("%s is missing on the plan or the list", f.ID)
			}
		}
		trims := strings.Join(strings.Fields(pdfText(t, files["coil-trim.pdf"])), " ")
		if q.Optimal {
			t.Error("proven: the words of a plan that is not are not judged")
		}
		for _, want := range []string{"no plan takes less than", fmt.Sprintf("To buy: %d of", q.Buy)} {
			if !strings.Contains(trims, want) {
				t.Errorf("the coil and trim list does not say %q", want)
			}
		}
	}
	clearNumbers(t, files["coil-plan.pdf"])
}

// clearNumbers looks for piece numbers that stand on another word.
func clearNumbers(t *testing.T, pdf []byte) {
	t.Helper()
	words, _ := wordsOf(t, pdf)
	for i, w := range words {
		for j, v := range words {
			if i != j && pieceNumber.MatchString(w.text) && overlap(w, v) {
				t.Errorf("page %d: %q stands on %q", w.page+1, w.text, v.text)
			}
		}
	}
}

// longCoil is papers of one coil with many pieces of all lengths.
func longCoil(t *testing.T, units measure.Units, length measure.Length, pieces int) sheet.Input {
	t.Helper()
	in := papersOf(t, units, 0, gable("south"))
	in.Book.Machine.ThreadingScrap, in.Book.Machine.CutLoss = 6*ft, measure.Inch/16
	like := in.Layout.Pieces[0]
	in.Layout.Pieces, in.Run = nil, sheet.Run{Setups: make([]sheet.Setup, 3)}
	c := sheet.Coil{ID: "C-9", Lot: "L", Colour: "slate", Length: length}
	for i := range pieces {
		p := like
		p.ID, p.Number = fmt.Sprint("p", i), fmt.Sprintf("1-%d", i+1)
		p.Length = 6*measure.Inch + measure.Length(i*i%89)*5*measure.Inch + measure.Length(i%5)*measure.Inch/8
		in.Layout.Pieces = append(in.Layout.Pieces, p)
		u := &in.Run.Setups[3*i/pieces]
		u.Panel, u.Pieces = fmt.Sprintf("panel-%d", 3*i/pieces), append(u.Pieces, p.ID)
		c.Pieces = append(c.Pieces, p.ID)
		c.Used += p.Length + in.Book.Machine.CutLoss
	}
	c.Used += 3 * in.Book.Machine.ThreadingScrap
	c.Tail = c.Length - c.Used
	in.Run.Coils = []sheet.Coil{c}
	return in
}

// A 1,000 ft coil with 60 pieces of 6 in to 37 ft, and one of 2,000 m with 100: every
// number is there, apart from every other word, on a few pages; and a coil of 100 km
// makes no more pages than it has pieces to show.
func TestLongCoilStaysReadable(t *testing.T) {
	for _, c := range []struct {
		units  measure.Units
		length measure.Length
		pieces int
		pages  int
	}{
		{measure.Imperial, 1200 * ft, 60, 4},
		{measure.Metric, 2000 * measure.Metre, 100, 5},
		{measure.Imperial, 100_000 * measure.Metre, 20, 2},
		{measure.Imperial, 100_000 * measure.Metre, 5000, 30},
	} {
		in := longCoil(t, c.units, c.length, c.pieces)
		if *keep != "" {
			keepPlan(t, in)
		}
		pdf, err := sheet.CoilPlanPDF(in)
		if err != nil {
			t.Fatal(err)
		}
		words, sizes := wordsOf(t, pdf)
		if len(sizes) > c.pages {
			t.Errorf("%d pieces take %d pages", c.pieces, len(sizes))
		}
		if c.pieces > 1000 {
			continue // a sketch at that scale; the run sheet names the pieces
		}
		clearNumbers(t, pdf)
		for _, p := range in.Layout.Pieces {
			if !slices.ContainsFunc(words, func(w word) bool { return w.text == p.Number }) {
				t.Errorf("%s is not on the plan", p.Number)
			}
		}
	}
}

// keepPlan writes the plan where -keep says, to look at it.
func keepPlan(t *testing.T, in sheet.Input) {
	t.Helper()
	pdf, err := sheet.CoilPlanPDF(in)
	if err != nil {
		t.Fatal(err)
	}
	name := fmt.Sprintf("long-%d.pdf", len(in.Layout.Pieces))
	if _, err := sheet.Write(filepath.Join(*keep, t.Name()), []sheet.File{{Name: name, Bytes: pdf}}); err != nil {
		t.Fatal(err)
	}
}
