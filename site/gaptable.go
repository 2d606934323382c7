package site

import (
	"math"
	"math/big"

	"coilwright/measure"
)

// Columns and rows of a wall's gap table.
const (
	gapDegrees = 5                 // degrees Fahrenheit from row to row
	gapColumn  = 10 * measure.Foot // of pieces' length; 3 m in metric
	gapMetric  = 3 * measure.Metre
	mostGaps   = 8 // columns: beyond, the last one holds all that is longer
)

// gapTable is the gap at each end of a wall's pieces for every 5 °F: a column holds
// pieces up to a length, and tells what the longest of them needs, which is enough for
// all.
func (m *maker) gapTable(wall int) PackGapTable {
	out := PackGapTable{Columns: []string{}, Rows: []PackGapRow{}}
	var ends []measure.Length
	longest, sh := measure.Length(0), big.NewRat(1, 2)
	for i := range m.r.Layout.Pieces {
		p := &m.r.Layout.Pieces[i]
		if p.Wall != wall {
			continue
		}
		longest = max(longest, p.Raw)
		if s := share(m.panel(p)); s.Cmp(sh) > 0 {
			sh = s // one that is held at an end asks for more
		}
	}
	column := gapColumn
	if m.j.Units == measure.Metric {
		column = gapMetric
	}
	for end := column; end-column < longest; end += column {
		if len(ends) == mostGaps-1 {
			end = longest.CeilTo(column)
		}
		ends = append(ends, end)
		out.Columns = append(out.Columns, "up to "+m.exact(end))
	}
	low := math.Floor(m.gaps.lowest/gapDegrees) * gapDegrees
	for t := int64(low); len(ends) > 0 && t <= int64(math.Ceil(float(m.gaps.g.HottestF))); t += gapDegrees {
		at := big.NewRat(t, 1)
		row := PackGapRow{TempF: float64(t), Temp: m.temperature(at)}
		for _, end := range ends {
			row.Gaps = append(row.Gaps, m.exact(m.gaps.at(end, sh, at)))
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}
