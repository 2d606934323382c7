package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"coilwright/course"
	"coilwright/draw"
)

// list is one table as data: the first row names the columns.
type list struct {
	name string
	rows [][]any // string, int or float64
}

// lists writes each list as CSV and all as one workbook.
func (s *set) lists() ([]File, error) {
	all := []list{s.pieceData(), s.runData(), s.coilData(), s.trimData(), s.slitData()}
	var files []File
	for _, l := range all {
		b, err := l.csv()
		if err != nil {
			return nil, fmt.Errorf("writing %s.csv: %w", l.name, err)
		}
		files = append(files, File{l.name + ".csv", b})
	}
	b, err := s.workbook(all)
	if err != nil {
		return nil, fmt.Errorf("writing lists.xlsx: %w", err)
	}
	return append(files, File{"lists.xlsx", b}), nil
}

func (s *set) pieceData() list {
	rows := [][]any{{
		"number", "id", "wall", "zone", "course", "panel", "texture", "colour", "length", "length_in", "rip_in", "left_receiver", "left_cut", "left_gap_in",
		"right_receiver", "right_cut", "right_gap_in", "notches", "measured", "fit_to_cut", "warnings",
	}}
	for i := range s.Layout.Pieces {
		p := &s.Layout.Pieces[i]
		fit := "yes"
		if !p.Fit {
			fit = "no"
		}
		rows = append(rows, []any{
			p.Number, p.ID, s.House.Walls[p.Wall].ID, s.Scheme.Zones[p.Zone].ID, p.Course, p.Panel, p.Texture, p.Colour, s.exact(p.Length), p.Length.Inches(),
			p.Rip.Inches(), stands(p, course.LeftEnd), s.cuts(p, course.LeftEnd), p.Gaps[0].Inches(),
			stands(p, course.RightEnd), s.cuts(p, course.RightEnd), p.Gaps[1].Inches(), s.notchList(p), string(p.Measured.By), fit, strings.Join(p.Warnings, "; "),
		})
	}
	return list{"pieces", rows}
}

func (s *set) runData() list {
	rows := [][]any{{"order", "setup", "panel", "texture", "colour", "number", "id", "length", "length_in", "coil"}}
	n := 0
	for i, u := range s.Run.Setups {
		for _, id := range u.Pieces {
			p, ok := s.piece[id]
			if !ok {
				continue
			}
			coil := ""
			if c, ok := s.coilOf[id]; ok {
				coil = s.Run.Coils[c].ID
			}
			n++
			rows = append(rows, []any{n, i + 1, u.Panel, u.Texture, u.Colour, p.Number, p.ID, s.exact(p.Length), p.Length.Inches(), coil})
		}
	}
	return list{"run", rows}
}

func (s *set) coilData() list {
	rows := [][]any{{"what", "id", "lot", "colour", "thickness_in", "width_in", "length_ft", "used_ft", "tail_ft", "count", "price"}}
	for _, c := range s.Run.Coils {
		what := "stock"
		if c.Bought {
			what = "to buy"
		}
		rows = append(rows, []any{what, c.ID, c.Lot, c.Colour, c.Thickness.Inches(), c.Width.Inches(), c.Length.Feet(), c.Used.Feet(), c.Tail.Feet(), 1, ""})
	}
	for _, b := range s.Run.Buy {
		rows = append(rows, []any{"order", "", "", b.Colour, b.Thickness.Inches(), b.Width.Inches(), b.Length.Feet(), "", "", b.Count, b.Price})
	}
	return list{"coils", rows}
}

func (s *set) trimData() list {
	rows := [][]any{{"what", "quantity", "unit", "from"}}
	for _, t := range s.Trim {
		rows = append(rows, []any{t.What, t.Quantity, t.Unit, t.From})
	}
	return list{"trim", rows}
}

func (l list) csv() ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true // RFC 4180
	for _, row := range l.rows {
		cells := make([]string, len(row))
		for i, v := range row {
			cells[i] = csvCell(v)
		}
		if err := w.Write(cells); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

func csvCell(v any) string {
	switch v := v.(type) {
	case int:
		return strconv.Itoa(v)
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return harmless(fmt.Sprint(v))
}

// harmless keeps a spreadsheet from taking a text for a formula: what begins with
// = + - @, after any blanks, gets an apostrophe, and control signs go out.
func harmless(text string) string {
	text = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, string(draw.Missing)))
	if strings.IndexAny(strings.TrimLeft(text, " \u00a0\u3000\ufeff"), "=+-@＝＋－＠") == 0 {
		return "'" + text
	}
	return text
}

// cellLimit is the most signs that a cell of a workbook holds (ECMA-376 readers).
const cellLimit = 32767

// workbook writes the lists as sheets of one XLSX; texts are texts, never formulas.
func (s *set) workbook(all []list) ([]byte, error) {
	f := excelize.NewFile()
	defer f.Close() //nolint:errcheck // it only removes scratch files
	stamp := s.Date.UTC().Format(time.RFC3339)
	if err := f.SetDocProps(&excelize.DocProperties{Title: draw.Clean(s.Title), Creator: "Coilwright", Created: stamp, Modified: stamp}); err != nil {
		return nil, err
	}
	for i, l := range all {
		if i == 0 {
			if err := f.SetSheetName("Sheet1", l.name); err != nil {
				return nil, err
			}
		} else if _, err := f.NewSheet(l.name); err != nil {
			return nil, err
		}
		if err := l.stream(f); err != nil {
			return nil, err
		}
	}
	b, err := f.WriteToBuffer()
	if err != nil {
		return nil, err
	}
	return inOrder(b.Bytes())
}

// inOrder packs a zip file anew, its parts by name: the library's order changes
// from run to run.
func inOrder(packed []byte) ([]byte, error) {
	r, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return nil, err
	}
	slices.SortFunc(r.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) })
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range r.File {
		if err := w.Copy(f); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

func (l list) stream(f *excelize.File) error {
	w, err := f.NewStreamWriter(l.name)
	if err != nil {
		return err
	}
	bold, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return err
	}
	if err := w.SetColWidth(1, len(l.rows[0]), 15); err != nil {
		return err
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	for i, row := range l.rows {
		cells := make([]any, len(row))
		for k, v := range row {
			if text, ok := v.(string); ok {
				v = printable(text)
			}
			cells[k] = v
			if i == 0 {
				cells[k] = excelize.Cell{StyleID: bold, Value: v}
			}
		}
		if err := w.SetRow(fmt.Sprintf("A%d", i+1), cells); err != nil {
			return err
		}
	}
	return w.Flush()
}

// printable takes out what XML cannot hold and what a cell cannot.
func printable(text string) string {
	text = strings.TrimPrefix(harmless(text), "'")
	if r := []rune(text); len(r) > cellLimit {
		return string(r[:cellLimit])
	}
	return text
}
