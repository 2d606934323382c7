package sheet

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Limits of a file of prices: far beyond any shop's.
const (
	mostBookRows  = 20_000
	mostBookUnzip = 32 << 20
	mostJobs      = 1_000_000
)

// ReadBook reads prices, rates and coils from CSV or XLSX (told apart by their first
// bytes) and gives them as the part of a book that lies over another: JSON with
// prices, rates and, where the file has any coil, mill: a list that stands in place
// of the other book's. Prices and rates without a value are left out. colours are
// those that a coil may have; none given: any. Errors wrap [ErrBookFile].
func ReadBook(file []byte, colours []string) (json.RawMessage, error) {
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
	out := bookRead{Prices: map[string]any{}, Rates: map[string]any{}}
	for i, row := range rows[1:] {
		if err := out.take(bookRow{at, row}, colours); err != nil {
			return nil, fmt.Errorf("%w: row %d: %w", ErrBookFile, i+2, err)
		}
	}
	return json.Marshal(out)
}

// bookRead is what was read so far.
type bookRead struct {
	Prices map[string]any   `json:"prices"`
	Rates  map[string]any   `json:"rates"`
	Mill   []map[string]any `json:"mill,omitempty"`
}

// bookRow is one row and where its columns are.
type bookRow struct {
	at  map[string]int
	row []string
}

func (r bookRow) cell(name string) string {
	if i, ok := r.at[name]; ok && i < len(r.row) {
		return strings.TrimPrefix(strings.TrimSpace(r.row[i]), "'")
	}
	return ""
}

// empty says that nothing stands in the row.
func (r bookRow) empty() bool {
	return !slices.ContainsFunc(r.row, func(s string) bool { return strings.TrimSpace(s) != "" })
}

// count reads a whole number of at least 0; none where the cell is empty.
func (r bookRow) count(into map[string]any, name, of string, most int) error {
	text := r.cell(name)
	if text == "" {
		return nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > most {
		return fmt.Errorf("%s of %s is %q; write a whole number from 0 to %d", name, of, text, most)
	}
	into[name] = n
	return nil
}

func (b *bookRead) take(r bookRow, colours []string) error {
	switch part := strings.ToLower(r.cell("part")); {
	case r.empty():
		return nil
	case part == pricePart:
		return takeFigure(b.Prices, r)
	case part == ratePart:
		return takeFigure(b.Rates, r)
	case part == coilPart:
		c, err := readCoil(r, colours)
		b.Mill = append(b.Mill, c)
		return err
	case r.cell("value") == "":
		return nil // a heading or a note
	}
	return fmt.Errorf("part is %q; write %s, %s or %s", r.cell("part"), pricePart, ratePart, coilPart)
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

func takeFigure(out map[string]any, r bookRow) error {
	value, name := r.cell("value"), r.cell("name")
	switch {
	case value == "":
		return nil
	case name == "":
		return errors.New("it has no name; write the book's name of the figure")
	case out[name] != nil:
		return fmt.Errorf("%s stands there twice; leave one", name)
	}
	figure, err := r.dated(name)
	if err != nil {
		return err
	}
	figure["value"], err = r.value(name)
	out[name] = figure
	return err
}

// dated reads where a figure came from.
func (r bookRow) dated(of string) (map[string]any, error) {
	out := map[string]any{}
	for _, k := range []string{"date", "supplier"} {
		if text := r.cell(k); text != "" {
			out[k] = text
		}
	}
	return out, r.count(out, "jobs", of, mostJobs)
}

func (r bookRow) value(of string) (string, error) {
	value, ok := settled(r.cell("value"))
	if !ok {
		return "", fmt.Errorf("the value of %s is %q; write a number of at least 0 with a point, such as 1.25", of, r.cell("value"))
	}
	return value, nil
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
