package sheet

import (
	"fmt"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"coilwright/draw"
	"coilwright/price"
)

// Estimates writes priced schemes as a workbook, a sheet each. Quantities, unit
// prices and shares are figures; every amount and sum is a live formula with the
// rounding rule of package price, so that a spreadsheet works all of it out again.
// titles and all go together.
func Estimates(title string, date time.Time, b price.Book, titles []string, all []price.Estimate) ([]byte, error) {
	places, err := b.Places()
	if err != nil {
		return nil, err
	}
	f := excelize.NewFile()
	defer f.Close() //nolint:errcheck // it only removes scratch files
	stamp := date.UTC().Format(time.RFC3339)
	if err := f.SetDocProps(&excelize.DocProperties{Title: draw.Clean(title), Creator: "Coilwright", Created: stamp, Modified: stamp}); err != nil {
		return nil, err
	}
	for i, e := range all {
		name := tabName(e.Scheme, i)
		if i == 0 {
			err = f.SetSheetName("Sheet1", name)
		} else {
			_, err = f.NewSheet(name)
		}
		if err != nil {
			return nil, err
		}
		t := &tab{f: f, name: name, places: places, book: b, e: e}
		t.write(titles[i])
		if t.err != nil {
			return nil, fmt.Errorf("writing the estimate of scheme %s: %w", e.Scheme, t.err)
		}
	}
	out, err := f.WriteToBuffer()
	if err != nil {
		return nil, err
	}
	return inOrder(out.Bytes())
}

// tabName is a sheet's name: spreadsheets allow 31 letters and not all of them.
func tabName(scheme string, i int) string {
	if word := fileWord(scheme); word != "" {
		return fmt.Sprintf("%d-%.24s", i+1, word)
	}
	return fmt.Sprintf("%d", i+1)
}

// tab is one scheme's sheet in the making.
type tab struct {
	f      *excelize.File
	name   string
	places int
	book   price.Book
	e      price.Estimate
	err    error
}

func (t *tab) keep(err error) {
	if t.err == nil {
		t.err = err
	}
}

func (t *tab) text(cell, s string) { t.keep(t.f.SetCellStr(t.name, cell, printable(s))) }

// figure writes a decimal's own digits as a number.
func (t *tab) figure(cell string, d fmt.Stringer) {
	t.keep(t.f.SetCellDefault(t.name, cell, d.String()))
}

func (t *tab) formula(cell, format string, args ...any) {
	t.keep(t.f.SetCellFormula(t.name, cell, fmt.Sprintf(format, args...)))
}

// firstRow is that of the first line.
const firstRow = 5

func (t *tab) write(title string) {
	t.text("A1", fmt.Sprintf("Scheme %s: %s", t.e.Scheme, title))
	t.text("A2", "Every amount here is worked out by the spreadsheet: quantity x unit price, rounded to the currency's smallest unit, halves away from zero.")
	for i, head := range []string{"kind", "what", "quantity", "unit", "unit price", "amount in " + t.e.Currency, "where the quantity comes from", "name in the book"} {
		t.text(fmt.Sprintf("%c%d", 'A'+i, firstRow-1), head)
	}
	for i, l := range t.e.Lines {
		r := firstRow + i
		t.text(fmt.Sprintf("A%d", r), string(l.Kind))
		t.text(fmt.Sprintf("B%d", r), l.What)
		t.figure(fmt.Sprintf("C%d", r), l.Quantity)
		t.text(fmt.Sprintf("D%d", r), l.Unit)
		t.figure(fmt.Sprintf("E%d", r), l.UnitPrice)
		t.formula(fmt.Sprintf("F%d", r), "ROUND(C%d*E%d,%d)", r, r, t.places)
		t.text(fmt.Sprintf("G%d", r), l.From)
		t.text(fmt.Sprintf("H%d", r), l.Key)
	}
	t.sums(firstRow + len(t.e.Lines))
	t.looks(firstRow + len(t.e.Lines) + 7 + len(t.e.Taxes))
}

// sums stand under the lines; at is the first free row.
func (t *tab) sums(at int) {
	last := max(at-1, firstRow)
	row := at + 1
	put := func(what string, share fmt.Stringer, formula string, args ...any) int {
		r := row
		row++
		t.text(fmt.Sprintf("B%d", r), what)
		if share != nil {
			t.figure(fmt.Sprintf("E%d", r), share)
		}
		t.formula(fmt.Sprintf("F%d", r), formula, args...)
		return r
	}
	direct := put("direct cost", nil, "SUM(F%d:F%d)", firstRow, last)
	overhead := put("overhead, share of direct cost", t.book.Rates["overhead"].Value, "ROUND(F%d*E%d,%d)", direct, row, t.places)
	cost := put("cost", nil, "F%d+F%d", direct, overhead)
	asked := t.asked(put, cost, row)
	put("margin", nil, "F%d-F%d", asked, cost)
	taxed := row
	for _, x := range t.book.Taxes {
		on := "0"
		for _, k := range x.On {
			on += fmt.Sprintf(`+SUMIF(A%d:A%d,"%s",F%d:F%d)`, firstRow, last, k, firstRow, last)
			for _, key := range x.Except {
				on += fmt.Sprintf(`-SUMIFS(F%d:F%d,A%d:A%d,"%s",H%d:H%d,"%s")`, firstRow, last, firstRow, last, k, firstRow, last, strings.ReplaceAll(key, `"`, `""`))
			}
		}
		put(x.Title+", share", x.Share, "ROUND(IF(F%d=0,0,(%s)/F%d*F%d)*E%d,%d)", direct, on, direct, asked, row, t.places)
	}
	if row == taxed {
		put("total", nil, "F%d", asked)
		return
	}
	put("total", nil, "F%d+SUM(F%d:F%d)", asked, taxed, row-1)
}

// asked is the price by mark-up or by margin, as the book has it.
func (t *tab) asked(put func(string, fmt.Stringer, string, ...any) int, cost, row int) int {
	if m := t.book.Rates["markup"]; m.Written {
		return put("price; mark-up as a share of the cost", m.Value, "ROUND(F%d*(1+E%d),%d)", cost, row, t.places)
	}
	return put("price; margin as a share of it", t.book.Rates["margin"].Value, "ROUND(F%d/(1-E%d),%d)", cost, row, t.places)
}

func (t *tab) looks(last int) {
	money := fmt.Sprintf("#,##0.%0*d", t.places, 0)
	if t.places == 0 {
		money = "#,##0"
	}
	amount, err := t.f.NewStyle(&excelize.Style{CustomNumFmt: &money})
	t.keep(err)
	bold, err := t.f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	t.keep(err)
	t.keep(t.f.SetCellStyle(t.name, fmt.Sprintf("F%d", firstRow), fmt.Sprintf("F%d", last), amount))
	t.keep(t.f.SetCellStyle(t.name, "A1", "A1", bold))
	t.keep(t.f.SetCellStyle(t.name, fmt.Sprintf("A%d", firstRow-1), fmt.Sprintf("H%d", firstRow-1), bold))
	for col, width := range map[string]float64{"A": 10, "B": 42, "C": 11, "D": 9, "E": 12, "F": 16, "G": 44, "H": 20} {
		t.keep(t.f.SetColWidth(t.name, col, col, width))
	}
	t.keep(t.f.SetPanes(t.name, &excelize.Panes{Freeze: true, YSplit: firstRow - 1, TopLeftCell: fmt.Sprintf("A%d", firstRow), ActivePane: "bottomLeft"}))
}
