package proposal

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"coilwright/draw"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/offer"
)

// Change is what a change order tells: the work as signed, the work as it would
// be, and what differs.
type Change struct {
	Job      *job.Job // as changed
	Before   offer.Offer
	After    Option
	Date     time.Time
	Until    time.Time
	Number   string
	Revision int64
	Signed   *Signed
	Logo     *Picture // of the letterhead; nil: none
}

// ChangeOrder draws a change order.
func ChangeOrder(in Change) ([]byte, error) {
	d, err := offer.Difference(in.Before, in.After.Offer)
	if err != nil {
		return nil, err
	}
	name := "Change of the work agreed"
	if in.After.Offer.Kind == offer.Remeasure {
		name = "Sizes of the bare wall: what they change"
	}
	p := newPaper(in.Job, name, in.Date, in.After.Scheme)
	p.in = Input{Job: in.Job, Options: []Option{in.After}, Date: in.Date, Until: in.Until, Number: in.Number, Revision: in.Revision, Signed: in.Signed}
	p.logo = in.Logo
	p.turn(name)
	p.letterhead()
	p.y += 10
	p.words(left, p.y+4, name, head, true, black)
	p.y += 9
	p.facts()
	if w := in.After.Offer.Why; w != "" {
		p.heading("Why")
		p.para(w, body, false, black)
	}
	p.differences(in, d)
	p.changedWalls(in.After, d)
	p.heading("What the price is to be paid in, from now on")
	var rows [][]string
	for _, pay := range in.After.Offer.Payments {
		rows = append(rows, []string{pay.When, money(d.Currency, pay.Amount)})
	}
	p.table([]column{{title: "Payment", share: 70}, {title: "Amount", share: 30, right: true}}, rows)
	p.para("What was asked for already counts: the next invoice settles the difference. All else stays as signed.", tiny, false, soft)
	return p.signedOrNot()
}

func (p *paper) signedOrNot() ([]byte, error) {
	p.need(110)
	p.heading("Agreed")
	o := p.in.Options[0]
	p.para("This change is known by the SHA-256 of its text; it takes the place of the one signed before.", tiny, false, soft)
	p.digest(o)
	if p.in.Signed != nil {
		p.signatures(p.in.Signed)
	} else {
		p.line("Owner")
		p.line("For " + p.job.Offer.Letterhead.Name)
	}
	return p.finish()
}

// differences is the table of both and what lies between.
func (p *paper) differences(in Change, d offer.Change) {
	a, b := in.Before, in.After.Offer
	p.heading("What differs")
	rows := [][]string{
		{"Pieces of panel", strconv.Itoa(len(a.Pieces)), strconv.Itoa(len(b.Pieces)), piecesText(d)},
		{"Panel", p.run(panel(a)), p.run(panel(b)), p.longer(panel(b) - panel(a))},
		{"Hours of work", a.Hours, b.Hours, signed(d.Hours)},
	}
	if a.SchemeTitle != b.SchemeTitle {
		rows = append(rows, []string{"Option", a.SchemeTitle, b.SchemeTitle, ""})
	}
	rows = append(rows, []string{"To pay in all, taxes included", money(d.Currency, a.Total), money(d.Currency, b.Total), signedMoney(d)})
	p.table([]column{{share: 28, bold: true}, {title: "as signed", share: 24, right: true}, {title: "as changed", share: 24, right: true}, {title: "difference", share: 24, right: true, bold: true}}, rows)
}

func panel(o offer.Offer) (nm int64) {
	for _, p := range o.Pieces {
		nm += p.LengthNM
	}
	return nm
}

// run is a length of panel in all, in feet or metres.
func (p *paper) run(nm int64) string {
	if p.job.Units == measure.Metric {
		return fmt.Sprintf("%.2f m", float64(nm)/1e9)
	}
	return offer.Feet(nm) + " ft"
}

// longer is a difference of such lengths.
func (p *paper) longer(nm int64) string {
	switch {
	case nm > 0:
		return "+" + p.run(nm)
	case nm == 0:
		return "none"
	}
	return p.run(nm)
}

// signedMoney is a difference of money with its sign.
func signedMoney(d offer.Change) string {
	if text := signed(d.Money); text == "none" {
		return text
	}
	if strings.HasPrefix(d.Money, "-") {
		return "-" + money(d.Currency, d.Money[1:])
	}
	return "+" + money(d.Currency, d.Money)
}

// signed shows the sign of a difference, both ways.
func signed(amount string) string {
	if strings.HasPrefix(amount, "-") {
		return amount
	}
	if strings.Trim(amount, "0.") == "" {
		return "none"
	}
	return "+" + amount
}

func piecesText(d offer.Change) string {
	var out []string
	for _, c := range []struct {
		n    int
		what string
	}{{len(d.Added), "new"}, {len(d.Removed), "gone"}, {len(d.Altered), "other in size or shape"}} {
		if c.n > 0 {
			out = append(out, fmt.Sprintf("%d %s", c.n, c.what))
		}
	}
	return or(strings.Join(out, ", "), "none")
}

// changedWalls draws the sides that change, what is other marked.
func (p *paper) changedWalls(o Option, d offer.Change) {
	other := map[string]bool{}
	for _, x := range d.Altered {
		other[x.After.ID] = true
	}
	for _, x := range d.Added {
		other[x.ID] = true
	}
	var walls []int
	for _, q := range o.Layout.Pieces {
		if other[q.ID] && !slices.Contains(walls, q.Wall) {
			walls = append(walls, q.Wall)
		}
	}
	if len(walls) == 0 {
		return
	}
	p.heading("Where: pieces that are new or other are hatched")
	wide := p.page.W - left - right
	scale := p.scaleFor(walls, wide-10, 60)
	for _, w := range walls {
		high := mm(p.job.House.Walls[w].Outline.Box().Height())/scale + sideWords
		p.need(high + 4)
		r := draw.Rect{X: left, Y: p.y, W: wide, H: high}
		p.side(o, w, r, scale)
		p.hatch(o, w, other, draw.Rect{X: r.X + 3, Y: r.Y + 10, W: r.W - 6, H: r.H - 17}, scale)
		p.y += high + 4
	}
}

func (p *paper) hatch(o Option, wall int, other map[string]bool, room draw.Rect, scale float64) {
	box := p.job.House.Walls[wall].Outline.Box()
	e := &elevation{p: p, o: o, wall: wall, scale: scale, box: box}
	e.at = draw.Point{X: room.X + (room.W-mm(box.Width())/scale)/2, Y: room.Bottom()}
	for _, q := range o.Layout.Pieces {
		if q.Wall != wall || !other[q.ID] {
			continue
		}
		on := q.OnWall()
		rings := [][]draw.Point{e.ring(on.Outer)}
		for _, h := range on.Holes {
			rings = append(rings, e.ring(h))
		}
		p.page.Layer("marks").Add(draw.Polygon(draw.Pen{Width: 0.25, Ink: black}, draw.White, rings...), draw.Hatch(rings, 45, 1.1, draw.Pen{Width: 0.2, Ink: black}))
	}
}
