package sheet

import (
	"fmt"

	"coilwright/draw"
	"coilwright/measure"
	"coilwright/problem"
)

// firstSheet tells the crew what house, what scheme, how much, and what to mind
// before anything is touched.
func (s *set) firstSheet() *paper {
	p := s.newPaper("First sheet", cautionLift)
	p.need(0)
	p.para(draw.Fit(s.Title, 16, true, p.width()), 16, true)
	p.para(draw.Fit(fmt.Sprintf("Scheme %s: %s", s.Scheme.ID, s.Scheme.Title), large, false, p.width()), large, false)
	p.caution(cautionLead)
	p.caution(cautionBond)
	p.caution("CHECK every drawing against the house before cutting. Gaps are worked out for panels hung at " + s.temperature() +
		"; on a much colder or hotter day have them worked out again.")
	s.firstTotals(p)
	s.firstWalls(p)
	s.firstProblems(p)
	return p
}

func (s *set) firstTotals(p *paper) {
	t, d := s.Layout.Totals, s.Layout.Datum
	p.heading("What hangs")
	rows := [][]string{
		{"pieces", fmt.Sprint(t.Pieces)},
		{"wall covered", s.area(t.Region)},
		{"panel cut", s.long(t.PanelLength)},
		{"planned joints", fmt.Sprint(t.Joints)},
		{"slivers", fmt.Sprint(t.Slivers)},
		{"datum", s.text(d.Datum) + " from level 0" + chosen(d.Chosen)},
		{"lengths are cut to", s.step.Text(s.Units) + ", rounded down"},
	}
	if d.Chosen && d.AtPlain != d.Best {
		rows = append(rows, []string{"plain datum " + s.text(d.Plain), fmt.Sprintf("would give %d slivers, %d rips and notches; this one gives %d and %d",
			d.AtPlain.Slivers, d.AtPlain.RipsAndNotches, d.Best.Slivers, d.Best.RipsAndNotches)})
	}
	p.table([]column{{"", 45, normal, false, false}, {"", 145, normal, true, false}}, rows)
}

func chosen(c bool) string {
	if c {
		return ", chosen as the best in its range"
	}
	return ", as the scheme fixes it"
}

func (s *set) firstWalls(p *paper) {
	p.heading("Walls")
	type sum struct {
		pieces int
		length measure.Length
	}
	sums := make([]sum, len(s.House.Walls))
	for i := range s.Layout.Pieces {
		q := &s.Layout.Pieces[i]
		sums[q.Wall].pieces++
		sums[q.Wall].length += q.Length
	}
	areas := make([]float64, len(s.House.Walls))
	for _, z := range s.Layout.Zones {
		areas[z.Wall] += z.Area.SquareMetres()
	}
	var rows [][]string
	for i, w := range s.House.Walls {
		area := fmt.Sprintf("%.1f sq ft", areas[i]/squareFoot)
		if s.Units == measure.Metric {
			area = fmt.Sprintf("%.2f m²", areas[i])
		}
		rows = append(rows, []string{
			fmt.Sprint(i + 1), w.ID, fmt.Sprint(len(w.Openings)), area, fmt.Sprint(sums[i].pieces), s.long(sums[i].length),
			string(w.Measured.By) + plusMinus(s, w.Measured.PlusMinus),
		})
	}
	p.table([]column{
		{"No.", 10, normal, true, false}, {"wall", 50, normal, true, false}, {"openings", 18, normal, false, true}, {"covered", 30, normal, false, true},
		{"pieces", 18, normal, false, true}, {"panel", 28, normal, false, true}, {"measured by", 36, normal, false, false},
	}, rows)
}

const squareFoot = 0.3048 * 0.3048 // m2, exact from the inch's definition

func plusMinus(s *set, l measure.Length) string {
	if l < 0 {
		return ""
	}
	return " ±" + l.Text(s.Units)
}

func (s *set) firstProblems(p *paper) {
	var rows [][]string
	for _, f := range s.Layout.Problems {
		if f.Severity == problem.Warning || f.Severity == problem.Error {
			rows = append(rows, []string{f.Where, f.What, f.Mend})
		}
	}
	if len(rows) == 0 {
		return
	}
	p.heading("Mind before you start")
	p.table([]column{{"where", 50, 8, false, false}, {"what", 75, normal, true, false}, {"mend", 65, normal, false, false}}, rows)
}
