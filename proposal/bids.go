package proposal

import (
	"fmt"
	"strings"

	"coilwright/draw"
	"coilwright/measure"
	"coilwright/price"
	"coilwright/trim"
)

// likeForLike is a sheet to hold bids side by side: what each of them must say
// before prices can be compared. This offer's column is filled in from this house.
func (p *paper) likeForLike() error {
	p.section("Like for like: compare every bid by the same questions")
	p.para("A price alone tells little. Ask each bidder the same questions and write the answers down. Ours are filled in for "+p.title(p.in.Options[0])+".", body, false, soft)
	rows, err := p.answers(p.in.Options[0])
	if err != nil {
		return err
	}
	p.bids(rows)
	p.para("Gauge numbers differ from table to table: ask for the decimal thickness, and whether it is of the bare metal or with its coating. Joints depend on the lengths that can be formed or bought: count them on your own walls.", tiny, false, soft)
	return nil
}

// bids sets the rows with two empty columns ruled for a pen.
func (p *paper) bids(rows [][2]string) {
	cols := []column{{title: "Ask for", share: 30, bold: true}, {title: "This offer", share: 34}, {title: "Bid 2", share: 18}, {title: "Bid 3", share: 18}}
	from := p.y
	var cells [][]string
	for _, r := range rows {
		cells = append(cells, []string{r[0], r[1], "", ""})
	}
	page := p.page
	p.table(cols, cells)
	if p.page != page {
		from = top // the rest of it stands on a page of its own
	}
	x := left
	for _, c := range cols {
		x += c.share
		p.page.Layer("wash").Add(draw.Polyline(draw.Pen{Width: 0.13, Ink: line}, draw.Point{X: x, Y: from}, draw.Point{X: x, Y: p.y - 3}))
	}
}

func (p *paper) answers(o Option) ([][2]string, error) {
	lines, err := p.job.Trim(p.job.Schemes[o.Scheme].ID, o.Layout)
	if err != nil {
		return nil, err
	}
	var longest measure.Length
	for _, q := range o.Layout.Pieces {
		longest = max(longest, q.Length)
	}
	return [][2]string{
		{"Price with all taxes", money(o.Offer.Currency, o.Offer.Total)},
		{"Steel thickness, decimal", p.thickness(o)},
		{"Weight of the panel, flat", p.weight(o)},
		{"Coating, and whose warranty", or(p.job.Offer.Coating, "ask us")},
		{"Panels", p.panelNames(o)},
		{"Longest piece in one length", p.text(longest)},
		{"Joints on this house", fmt.Sprint(o.Layout.Totals.Joints)},
		{"Strips below a sliver", fmt.Sprint(o.Layout.Totals.Slivers)},
		{"Waste of steel", p.waste(o)},
		{"Weather barrier", p.barrier(lines)},
		{"Trim at corners and openings", p.trimNames(lines)},
		{"Fastening", "slots' middle, into studs, free to move"},
		{"Old cladding off and carted away", p.tearOff()},
		{"Who does the work", ""},
		{"Insurance and licence shown", or(p.job.Offer.Letterhead.Licence, "")},
		{"Workmanship warranty, years", ""},
	}, nil
}

func (p *paper) tearOff() string {
	if t := p.job.Site.TearOff; t != "" {
		return "yes: " + t
	}
	return "as the scope says"
}

// panelsOf are the formed panels of an option, once each.
func (p *paper) panelsOf(o Option) []string {
	var out []string
	seen := map[string]bool{}
	for _, z := range p.job.Schemes[o.Scheme].Zones {
		if !seen[z.Panel] {
			seen[z.Panel] = true
			out = append(out, z.Panel)
		}
	}
	return out
}

func (p *paper) panelNames(o Option) string {
	var out []string
	for _, id := range p.panelsOf(o) {
		if b, ok := p.job.Book.Panel(id); ok {
			out = append(out, b.Title+", "+p.text(b.Exposure)+" to the lap")
		}
	}
	return strings.Join(out, "\n")
}

func (p *paper) thickness(o Option) string {
	var out []string
	for _, q := range o.Layout.Pieces {
		text := fmt.Sprintf("%.4f in", q.Thickness.Inches())
		if p.job.Units == measure.Metric {
			text = fmt.Sprintf("%.3f mm", mm(q.Thickness))
		}
		if len(out) == 0 || out[len(out)-1] != text {
			out = appendNew(out, text)
		}
	}
	return strings.Join(out, ", ") + p.basis()
}

// basis says whether thickness counts the coating.
func (p *paper) basis() string {
	switch p.job.Book.Steel.Basis {
	case "base":
		return ", bare metal"
	case "total":
		return ", with its coating"
	}
	return ""
}

func appendNew(all []string, text string) []string {
	for _, a := range all {
		if a == text {
			return all
		}
	}
	return append(all, text)
}

// weight is of the flat strip, by the book's density.
func (p *paper) weight(o Option) string {
	if p.job.Book.Steel.Density == nil || len(o.Layout.Pieces) == 0 {
		return "ask us"
	}
	d, _ := p.job.Book.Steel.Density.Float64()
	lb := d * o.Layout.Pieces[0].Thickness.Inches() * 144
	if p.job.Units == measure.Metric {
		return fmt.Sprintf("%.2f kg/m²", lb*0.45359237/0.09290304) // both exact by definition
	}
	return fmt.Sprintf("%.2f lb/sq ft", lb)
}

// waste is what is lost at cuts and threading, of the steel off the coils.
func (p *paper) waste(o Option) string {
	used := 0.0
	for _, l := range o.Estimate.Lines {
		if l.Kind == price.Material && l.Key == "mill" {
			f, _ := l.Quantity.Float64()
			used += f
		}
	}
	if used == 0 {
		return "none: no coil"
	}
	return fmt.Sprintf("%.1f %% of the length off the coils", 100*max(0, used-o.Layout.Totals.PanelLength.Feet())/used)
}

func (p *paper) barrier(lines []trim.Line) string {
	t := p.job.Book.Trim
	for _, l := range lines {
		if l.Kind == trim.WRB {
			return "yes, laps " + p.text(t.WRBLap) + ", ends " + p.text(t.WRBEndLap) + ", seams taped"
		}
	}
	return "none"
}

func (p *paper) trimNames(lines []trim.Line) string {
	var out []string
	for _, l := range lines {
		switch l.Kind {
		case trim.OutsidePost, trim.InsidePost, trim.Channel, trim.DripCap, trim.Starter, trim.Finish, trim.Frieze:
			out = appendNew(out, l.What)
		}
	}
	return strings.Join(out, ", ")
}
