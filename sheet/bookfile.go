package sheet

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"github.com/xuri/excelize/v2"

	"coilwright/measure"
	"coilwright/price"
	"coilwright/steel"
)

// ErrBookFile is wrapped by errors about a file of prices and rates; each names
// the row and the mend.
var ErrBookFile = errors.New("the file of prices and rates cannot be read")

// bookHead names the columns, in any order when read. The unit, and what a price or
// rate is, are for people; of a coil, what is its title, and the columns from colour
// on are its own.
var bookHead = []string{"part", "name", "what", "unit", "value", "date", "supplier", "jobs",
	"colour", "thickness", "width", "length", "lead_days", "minimum"}

// The parts of a book that such a file holds.
const (
	pricePart = "price"
	ratePart  = "rate"
	coilPart  = "coil"
)

// BookFile is what a file of prices and rates holds of a shop's book: its money, and
// the coils that the mill sells, their sizes written in Units.
type BookFile struct {
	Money price.Book
	Mill  []steel.Mill
	Units measure.Units
}

// list is every price and rate that the book has or an estimate may ask for, and
// every coil of the mill.
func (w BookFile) list() list {
	b := w.Money
	rows := [][]any{make([]any, len(bookHead))}
	for i, h := range bookHead {
		rows[0][i] = h
	}
	for _, part := range []struct {
		name    string
		keys    []price.Key
		figures map[string]price.Figure
	}{{pricePart, price.PriceKeys, b.Prices}, {ratePart, price.RateKeys, b.Rates}} {
		known := map[string]bool{}
		for _, k := range part.keys {
			known[k.Name] = true
			rows = append(rows, figureRow(part.name, k, part.figures[k.Name]))
		}
		for _, name := range slices.Sorted(maps.Keys(part.figures)) {
			if !known[name] {
				rows = append(rows, figureRow(part.name, unlisted(part.name, name), part.figures[name]))
			}
		}
	}
	for _, m := range w.Mill {
		rows = append(rows, coilRow(m, w.Units))
	}
	return list{"prices", rows}
}

// figureRow is a row of a price or rate; a coil's columns stay empty.
func figureRow(part string, k price.Key, f price.Figure) []any {
	value, jobs := "", ""
	if f.Written {
		value = f.Value.String()
	}
	if f.Jobs > 0 {
		jobs = strconv.Itoa(f.Jobs)
	}
	return []any{part, k.Name, k.What, k.Unit, value, f.Date, f.Supplier, jobs, "", "", "", "", "", ""}
}

// CSV writes the file as CSV (RFC 4180).
func (w BookFile) CSV() ([]byte, error) { return w.list().csv() }

// XLSX writes the file as a workbook.
func (w BookFile) XLSX() ([]byte, error) {
	f := excelize.NewFile()
	defer f.Close() //nolint:errcheck // it only removes scratch files
	l := w.list()
	if err := f.SetSheetName("Sheet1", l.name); err != nil {
		return nil, err
	}
	for i, row := range l.rows {
		for k, v := range row {
			cell := fmt.Sprintf("%c%d", 'A'+k, i+1)
			err := f.SetCellStr(l.name, cell, printable(v.(string)))
			if i > 0 && bookHead[k] == "value" && v != "" {
				err = f.SetCellDefault(l.name, cell, v.(string))
			}
			if err != nil {
				return nil, err
			}
		}
	}
	if err := f.SetColWidth(l.name, "B", "C", 34); err != nil {
		return nil, err
	}
	out, err := f.WriteToBuffer()
	if err != nil {
		return nil, err
	}
	return inOrder(out.Bytes())
}

// unlisted is what is known of a figure of the shop's own name.
func unlisted(part, name string) price.Key {
	if part == ratePart {
		return price.RateKey(name)
	}
	return price.Key{Name: name}
}
