package sheet

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"coilwright/price"
)

// ErrBookFile is wrapped by errors about a file of prices and rates; each names
// the row and the mend.
var ErrBookFile = errors.New("the file of prices and rates cannot be read")

// bookHead names the columns, in any order when read; unit and what are for people.
var bookHead = []string{"part", "name", "what", "unit", "value", "date", "supplier", "jobs"}

// The parts of a book that such a file holds.
const (
	pricePart = "price"
	ratePart  = "rate"
)

// bookList is every price and rate that the book has or an estimate may ask for.
func bookList(b price.Book) list {
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
				rows = append(rows, figureRow(part.name, price.Key{Name: name}, part.figures[name]))
			}
		}
	}
	return list{"prices", rows}
}

func figureRow(part string, k price.Key, f price.Figure) []any {
	value, jobs := "", ""
	if f.Written {
		value = f.Value.String()
	}
	if f.Jobs > 0 {
		jobs = strconv.Itoa(f.Jobs)
	}
	return []any{part, k.Name, k.What, k.Unit, value, f.Date, f.Supplier, jobs}
}

// BookCSV writes a book's prices and rates as CSV (RFC 4180).
func BookCSV(b price.Book) ([]byte, error) { return bookList(b).csv() }

// BookXLSX writes a book's prices and rates as a workbook.
func BookXLSX(b price.Book) ([]byte, error) {
	f := excelize.NewFile()
	defer f.Close() //nolint:errcheck // it only removes scratch files
	l := bookList(b)
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

// Limits of a file of prices: far beyond any shop's.
const (
	mostBookRows  = 20_000
	mostBookUnzip = 32 << 20
)

// ReadBook reads prices and rates from CSV or XLSX (told apart by their first
// bytes) and gives them as the part of a book that lies over another: JSON with
// prices and rates. Rows without a value are left out.
func ReadBook(file []byte) (json.RawMessage, error) {
	rows, err := bookRows(file)
	if err != nil {
		return nil, err
	}
	if len(rows) < 2 || len(rows) > mostBookRows {
		return nil, fmt.Errorf("%w: it has %d rows; write a row of names, then one row for each figure", ErrBookFile, len(rows))
	}
	at, err := bookColumns(rows[0])
	if err != nil {
		return nil, err
	}
	out := map[string]map[string]any{"prices": {}, "rates": {}}
	for i, row := range rows[1:] {
		if err := takeFigure(out, at, row); err != nil {
			return nil, fmt.Errorf("%w: row %d: %w", ErrBookFile, i+2, err)
		}
	}
	return json.Marshal(out)
}

func bookRows(file []byte) ([][]string, error) {
	if !bytes.HasPrefix(file, []byte("PK")) {
		r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(file, []byte("\ufeff"))))
		r.FieldsPerRecord = -1
		var rows [][]string
		for len(rows) <= mostBookRows {
			row, err := r.Read()
			if errors.Is(err, io.EOF) {
				return rows, nil
			}
			if err != nil {
				return nil, fmt.Errorf("%w: %w; save it as CSV or XLSX", ErrBookFile, err)
			}
			rows = append(rows, row)
		}
		return rows, nil
	}
	f, err := excelize.OpenReader(bytes.NewReader(file), excelize.Options{RawCellValue: true, UnzipSizeLimit: mostBookUnzip, UnzipXMLSizeLimit: mostBookUnzip})
	if err != nil {
		return nil, fmt.Errorf("%w: it is no workbook: %w; save it as XLSX or CSV", ErrBookFile, err)
	}
	defer f.Close() //nolint:errcheck // read only
	rows, err := f.GetRows(f.GetSheetName(0))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrBookFile, err)
	}
	return rows, nil
}

// bookColumns finds the columns by their names.
func bookColumns(head []string) (map[string]int, error) {
	at := map[string]int{}
	for i, h := range head {
		at[strings.ToLower(strings.TrimSpace(h))] = i
	}
	for _, need := range []string{"part", "name", "value"} {
		if _, ok := at[need]; !ok {
			return nil, fmt.Errorf("%w: row 1 has no column %q; name part, name and value there", ErrBookFile, need)
		}
	}
	return at, nil
}

// plainNumber is a decimal of at most nine places, with or without an exponent's help.
var plainNumber = regexp.MustCompile(`^[0-9]{1,10}(\.[0-9]{1,9})?$`)

func takeFigure(out map[string]map[string]any, at map[string]int, row []string) error {
	cell := func(name string) string {
		if i, ok := at[name]; ok && i < len(row) {
			return strings.TrimPrefix(strings.TrimSpace(row[i]), "'")
		}
		return ""
	}
	value, name := cell("value"), cell("name")
	part := map[string]string{pricePart: "prices", ratePart: "rates"}[strings.ToLower(cell("part"))]
	switch {
	case value == "" || name == "" && cell("part") == "":
		return nil
	case part == "":
		return fmt.Errorf("part is %q; write %s or %s", cell("part"), pricePart, ratePart)
	case name == "":
		return errors.New("it has no name; write the book's name of the figure")
	case out[part][name] != nil:
		return fmt.Errorf("%s stands there twice; leave one", name)
	}
	value, ok := settled(value)
	if !ok {
		return fmt.Errorf("the value of %s is %q; write a number of at least 0 with a point, such as 1.25", name, cell("value"))
	}
	figure := map[string]any{"value": value}
	for _, k := range []string{"date", "supplier"} {
		if text := cell(k); text != "" {
			figure[k] = text
		}
	}
	if jobs := cell("jobs"); jobs != "" {
		n, err := strconv.Atoi(jobs)
		if err != nil || n < 0 {
			return fmt.Errorf("jobs of %s is %q; write a whole number", name, jobs)
		}
		figure["jobs"] = n
	}
	out[part][name] = figure
	return nil
}

// settled gives a number's plain text. A workbook may hold 0.85 as
// 0.84999999999999998: the shortest text of that float is what was typed.
func settled(value string) (string, bool) {
	if plainNumber.MatchString(value) {
		return value, true
	}
	x, err := strconv.ParseFloat(value, 64)
	if err != nil {
		return "", false
	}
	short := strconv.FormatFloat(x, 'f', -1, 64)
	return short, plainNumber.MatchString(short)
}
