package proposal

import (
	"fmt"
	"slices"

	"coilwright/draw"
	"coilwright/measure"
	"coilwright/offer"
	"coilwright/steel"
)

// scope is what is done, by whom, and what is not.
func (p *paper) scope() error {
	p.section("What is done")
	scope, notIncluded := p.job.Offer.Around(p.job.Visit)
	for _, part := range []struct {
		by            offer.Doer
		heading, mark string
	}{
		{offer.ByShop, "By us", ""}, {offer.ByOwner, "By you", "other"}, {offer.ByUtility, "By the utility, or whoever it belongs to", "other"},
		{offer.ByAuthority, "To be asked of the local authority first", "ask"},
	} {
		p.scopePart(scope, part.by, part.heading, part.mark)
	}
	p.heading("Not included")
	for _, n := range notIncluded {
		p.item("out", n, "")
	}
	p.y += 2
	p.caution("A house painted before 1978 may hold lead, and old cladding may hold asbestos: ask a certified person before anything is disturbed. Hidden wires and pipes may run behind the wall. Metal cladding may need bonding by a licensed electrician. A stricter local rule wins.")
	return nil
}

func (p *paper) scopePart(scope []offer.Scope, by offer.Doer, heading, mark string) {
	first := true
	if old := p.job.Site.TearOff; old != "" && by == offer.ByShop {
		p.heading(heading)
		p.item(mark, "What hangs on the house now: "+old, "")
		first = false
	}
	for _, s := range scope {
		if s.By != by {
			continue
		}
		if first {
			p.heading(heading)
			first = false
		}
		p.item(mark, s.What, s.Note)
	}
}

// money is price, payments and days of each option.
func (p *paper) money() error {
	p.section("Price, payments and days")
	for _, o := range p.in.Options {
		p.need(60)
		p.heading(p.title(o))
		rows := [][]string{{"Price", money(o.Offer.Currency, o.Offer.Price)}}
		for _, t := range o.Offer.Taxes {
			rows = append(rows, []string{t.Title + ", " + t.Percent + " % of what it falls on", money(o.Offer.Currency, t.Amount)})
		}
		rows = append(rows, []string{"To pay in all", money(o.Offer.Currency, o.Offer.Total)})
		p.table([]column{{share: 70}, {share: 30, right: true, bold: true}}, rows)
		rows = nil
		for _, pay := range o.Offer.Payments {
			rows = append(rows, []string{pay.When, money(o.Offer.Currency, pay.Amount)})
		}
		p.table([]column{{title: "Payment", share: 70}, {title: "Amount", share: 30, right: true}}, rows)
	}
	v := p.job.Visit
	p.heading("Days")
	p.table([]column{{share: 30}, {share: 70, bold: true}}, [][]string{
		{"Start", or(v.Start, "to be agreed")}, {"Finish", or(v.Finish, "to be agreed")}, {"This offer stands until", dateText(p.in.Until)},
	})
	return nil
}

func or(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

// hanging tells how the steel will be hung on this house.
func (p *paper) hanging() error {
	p.section("How it will be hung")
	p.heading("The weather barrier and the fastening")
	for _, t := range p.job.Offer.Practice {
		p.item("", t, "")
	}
	nails := "Nails into the studs, wherever they stand."
	if every := p.job.Book.Trim.StudSpacing; every > 0 {
		nails = fmt.Sprintf("Nails into the studs, looked for every %s; where the studs stand otherwise the nails follow them.", p.text(every))
	}
	p.item("", nails, "the panel maker's instructions win")
	p.gaps()
	p.faces()
	return nil
}

// gaps tells what room the ends have and why, in this house's own figures.
func (p *paper) gaps() {
	p.heading("Room for the steel to move")
	least, most, longest := p.room()
	g := p.job.Book.Gap
	if g.AlphaPerF == nil || g.HottestF == nil || g.ColdestF == nil || longest == 0 {
		return
	}
	alpha, _ := g.AlphaPerF.Float64()
	hot, _ := g.HottestF.Float64()
	cold, _ := g.ColdestF.Float64()
	hung, _ := p.job.InstallTempF.Float64()
	moves := measure.FromInches(alpha * longest.Inches() * (hot - cold))
	p.para(fmt.Sprintf("Steel grows in the sun and shrinks in the cold. The longest piece on your house, %s, moves by about %s between %s and %s. "+
		"Hung at about %s, its ends stand back %s to %s inside their trim: enough never to press, and covered when it is coldest.",
		p.text(longest), p.text(moves), p.degrees(cold), p.degrees(hot), p.degrees(hung), p.text(least), p.text(most)), body, false, black)
}

// degrees is a temperature of Fahrenheit in the job's own units.
func (p *paper) degrees(f float64) string {
	if p.job.Units == measure.Metric {
		return fmt.Sprintf("%.0f °C", (f-32)/1.8)
	}
	return fmt.Sprintf("%.0f °F", f)
}

// room is the least and the greatest gap of all options' pieces, and the longest piece.
func (p *paper) room() (least, most, longest measure.Length) {
	for _, o := range p.in.Options {
		for _, q := range o.Layout.Pieces {
			longest = max(longest, q.Length)
			for _, g := range q.Gaps {
				if g > 0 && (least == 0 || g < least) {
					least = g
				}
				most = max(most, g)
			}
		}
	}
	return least, most, longest
}

// faces draws the cross-section of each panel that the options use, three in a row.
func (p *paper) faces() {
	p.heading("The panels, in section")
	seen := map[string]bool{}
	x, room := left, 0.0
	p.need(58)
	for _, o := range p.in.Options {
		for _, z := range p.job.Schemes[o.Scheme].Zones {
			panel, ok := p.job.Book.Panel(z.Panel)
			if !ok || seen[z.Panel] || len(panel.Face(measure.Inch/50)) < 2 {
				continue
			}
			seen[z.Panel] = true
			if x+50 > p.page.W-right {
				x, p.y = left, p.y+room
				p.need(58)
			}
			room = p.face(panel, x, z.Colour)
			x += 54
		}
	}
	p.y += room
}

// face stands a section up with its sizes, and gives the height that it took.
func (p *paper) face(panel steel.Panel, x float64, colour string) float64 {
	const high = 44.0
	pts := panel.Face(measure.Inch / 50)
	k := high / mm(pts[len(pts)-1].Height)
	g := p.page.Layer("walls")
	g.Add(draw.Rect{X: x + 2, Y: p.y + 2, W: 3, H: high}.Path(draw.Pen{Width: 0.15, Ink: soft}, wash))
	lines := make([]draw.Point, len(pts))
	for i, f := range pts {
		lines[i] = draw.Point{X: x + 5 + k*mm(f.Depth), Y: p.y + 2 + high - k*mm(f.Height)}
	}
	g.Add(draw.Polyline(draw.Pen{Width: 1.1, Ink: black}, lines...), draw.Polyline(draw.Pen{Width: 0.6, Ink: p.colour(colour)}, lines...))
	y := p.y + 7
	says := []string{panel.Title, "covers " + p.text(panel.Cover())}
	if panel.Exposure != panel.Cover() {
		says = slices.Insert(says, 1, "shows "+p.text(panel.Exposure)+" to the lap")
	}
	for _, text := range says {
		for _, l := range draw.Wrap(text, tiny, false, 34) {
			p.words(x+18, y, l, tiny, false, black)
			y += 3.9
		}
	}
	return high + 8
}

// agreed is what is agreed in words: warranty, terms, rights.
func (p *paper) agreed() error {
	b := p.job.Offer
	p.section("What we stand for, and your rights")
	p.heading("Warranty, in the shop's words")
	p.para(b.Warranty, body, false, black)
	p.heading("Terms")
	for _, t := range b.Terms {
		p.item("", t, "")
	}
	p.heading("Your right to cancel, in the shop's words")
	p.para(b.Cancellation, body, false, black)
	p.caution("Whoever signs at home may have a legal right to cancel within days, whatever this paper says. Local law decides; ask your local consumer office. Do not sign where anything is left blank.")
	p.heading("While the work goes on")
	p.caution("Keep children, pets and cars away from ladders, scaffold, machine and cut steel: edges are sharp, pieces are long, and the wind takes them. Long metal near overhead power lines can kill: the lines' owner decides what is safe.")
	return nil
}
