package proposal

import (
	"fmt"
	"maps"
	"strings"

	"coilwright/draw"
	"coilwright/measure"
	"coilwright/price"
)

// sideBySide compares the options: one side of the house in each, what each is, and
// what it adds or saves and why.
func (p *paper) sideBySide() error {
	if len(p.in.Options) < 2 {
		return nil
	}
	p.section("The options side by side")
	const per = 3
	for from := 0; from < len(p.in.Options); from += per {
		if from > 0 {
			p.turn("")
		}
		if err := p.columns(p.in.Options[from:min(from+per, len(p.in.Options))]); err != nil {
			return err
		}
	}
	p.column = 0
	p.para("Every option is priced from its own pieces: the same quantities that would be formed and hung on your house.", tiny, false, soft)
	return nil
}

func (p *paper) columns(options []Option) error {
	const gap = 6.0
	wide := (p.page.W - left - right - gap*float64(len(options)-1)) / float64(len(options))
	walls, start, lowest := p.telling(), p.y, p.y
	titled := start
	column := func(i int, y float64) { p.column, p.at, p.y = wide, left+float64(i)*(wide+gap), y }
	for i, o := range options {
		column(i, start)
		for _, w := range walls {
			high := 56 - 10*float64(len(walls))
			room := draw.Rect{X: p.at, Y: p.y, W: wide, H: high}
			p.page.Layer("wash").Add(room.Path(draw.Pen{}, wash))
			inner := draw.Rect{X: room.X + 4, Y: room.Y + 3, W: room.W - 8, H: room.H - 7}
			p.drawWall(o, w, inner, p.scaleFor(walls, inner.W, inner.H))
			p.y += high
		}
		p.y += 2
		p.para(p.title(o), sub, true, black)
		titled = max(titled, p.y)
	}
	for i, o := range options {
		column(i, titled) // so that the prices stand in one line
		if err := p.describe(o); err != nil {
			return err
		}
		lowest = max(lowest, p.y)
	}
	p.column, p.y = 0, lowest+4
	return nil
}

// telling are the sides that show the options: the one that shows most of their zones,
// and where it does not show all the one that shows most of the rest.
func (p *paper) telling() []int {
	type zone struct{ option, zone int }
	on := make([]map[zone]bool, len(p.job.House.Walls))
	for k, o := range p.in.Options {
		for _, z := range o.Layout.Zones {
			if on[z.Wall] == nil {
				on[z.Wall] = map[zone]bool{}
			}
			on[z.Wall][zone{k, z.Zone}] = true
		}
	}
	var out []int
	shown := map[zone]bool{}
	for range 2 {
		best, most := p.widest(), 0
		for w, zones := range on {
			more := 0
			for z := range zones {
				if !shown[z] {
					more++
				}
			}
			if more > most || more == most && w == p.widest() {
				best, most = w, more
			}
		}
		if most == 0 {
			break
		}
		out = append(out, best)
		maps.Copy(shown, on[best])
	}
	return out
}

// leftOpen says how far the measurements of so many walls carry into a price, as far as they
// state it.
func leftOpen(e price.Estimate, walls int) string {
	about := money(e.Currency, e.Doubt.PlusMinus.String()) + " for what the measurements leave open"
	switch len(e.Doubt.Unknown) {
	case 0:
		return "give or take " + about
	case walls:
		return "the measurements do not say yet how far they may be off"
	}
	return "give or take " + about + ", and more from walls that are not measured yet"
}

func (p *paper) describe(o Option) error {
	p.para(money(o.Estimate.Currency, o.Estimate.Total.String()), 15, true, black)
	p.para(leftOpen(o.Estimate, len(p.job.House.Walls))+"; your price stays as written", tiny, false, soft)
	for _, z := range p.job.Schemes[o.Scheme].Zones {
		p.swatch(z.Colour, p.material(z.Panel, z.Texture, z.Colour))
	}
	if t := p.job.Schemes[o.Scheme].TrimColour; t != "" {
		p.swatch(t, "trim: "+p.colourName(t))
	}
	p.y += 1
	p.para(fmt.Sprintf("%d pieces, %d joints", o.Layout.Totals.Pieces, o.Layout.Totals.Joints), body, false, black)
	return p.against(o)
}

// swatch is a colour with its words.
func (p *paper) swatch(colour, text string) {
	lines := draw.Wrap(text, body, false, p.width()-8)
	p.page.Layer("cards").Add(draw.Rect{X: p.x(), Y: p.y + 1, W: 5, H: 3.8}.Path(draw.Pen{Width: 0.2, Ink: black}, p.colour(colour)))
	for _, l := range lines {
		p.y += lead(body)
		p.words(p.x()+7.5, p.y-0.9, l, body, false, black)
	}
	p.y += 1
}

// against tells what an option adds to the first, or saves, and why: by what the
// greatest differences are about. The shop's own costs are not told.
func (p *paper) against(o Option) error {
	first := p.in.Options[0]
	if o.Scheme == first.Scheme {
		p.para("The others are told against this one.", tiny, false, soft)
		return nil
	}
	less, err := o.Estimate.Total.Sub(first.Estimate.Total)
	if err != nil {
		return err
	}
	p.para(more(o.Estimate.Currency, less.String())+" than "+p.title(first), body, true, black)
	all, err := price.Differences(first.Estimate, o.Estimate)
	if err != nil {
		return err
	}
	var adds, saves []string
	for _, d := range all {
		if d.Amount.IsNeg() && len(saves) < 3 {
			saves = append(saves, d.What)
		} else if d.Amount.IsPos() && len(adds) < 3 {
			adds = append(adds, d.What)
		}
	}
	if len(adds) > 0 {
		p.para("More goes into: "+strings.Join(adds, ", ")+".", body, false, black)
	}
	if len(saves) > 0 {
		p.para("Less goes into: "+strings.Join(saves, ", ")+".", body, false, black)
	}
	return nil
}

// material names a panel as the trade does.
func (p *paper) material(panel, texture, colour string) string {
	name := panel
	if b, ok := p.job.Book.Panel(panel); ok {
		name = b.Title
	}
	return joined(name, texture, p.colourName(colour))
}

func (p *paper) colourName(id string) string {
	for _, c := range p.job.Book.Colours {
		if c.ID == id && c.Title != "" {
			return strings.ToLower(c.Title)
		}
	}
	return id
}

// sides draws every side of the house in each option, at one scale.
func (p *paper) sides() error {
	walls := make([]int, len(p.job.House.Walls))
	for i := range walls {
		walls[i] = i
	}
	p.section("Every side of the house")
	p.para("The lines are the courses as they will hang. Colours on paper and screens only come near the steel: see a sample in daylight.", tiny, false, soft)
	for _, o := range p.in.Options {
		p.need(70)
		p.heading(p.title(o))
		p.para(p.tally(o), body, false, soft)
		p.sideDrawings(o, walls)
	}
	return nil
}

// sideWords is the height of what stands over and under a side's drawing.
const sideWords = 20.0

func (p *paper) sideDrawings(o Option, walls []int) {
	wide := (p.page.W - left - right - 6) / 2
	scale, high := p.scaleFor(walls, wide-10, 78), 0.0
	for _, w := range walls {
		high = max(high, mm(p.job.House.Walls[w].Outline.Box().Height())/scale)
	}
	high += sideWords
	for i, w := range walls {
		if i > 0 && i%2 == 0 && p.y+high+6 > p.bottom() {
			p.turn("")
			p.heading(p.title(o))
		}
		p.side(o, w, draw.Rect{X: left + float64(i%2)*(wide+6), Y: p.y, W: wide, H: high}, scale)
		if i%2 == 1 || i == len(walls)-1 {
			p.y += high + 6
		}
	}
}

func (p *paper) side(o Option, w int, r draw.Rect, scale float64) {
	p.page.Layer("wash").Add(r.Path(draw.Pen{}, wash))
	p.drawWall(o, w, draw.Rect{X: r.X + 3, Y: r.Y + 10, W: r.W - 6, H: r.H - 17}, scale)
	box := p.job.House.Walls[w].Outline.Box()
	p.words(r.X+3, r.Y+6, draw.Fit(p.job.House.Walls[w].ID, body, true, r.W/2), body, true, black)
	p.wordsEnd(r.Right()-3, r.Y+6, p.text(box.Width())+" wide, "+p.text(box.Height())+" high", tiny, false, soft)
}

func (p *paper) text(l measure.Length) string {
	return l.CeilTo(p.job.Units.Step()).Text(p.job.Units)
}

// tally says how much there is of an option.
func (p *paper) tally(o Option) string {
	t := o.Layout.Totals
	area := fmt.Sprintf("%.0f sq ft", t.Region.SquareFeet())
	if p.job.Units == measure.Metric {
		area = fmt.Sprintf("%.1f m²", t.Region.SquareMetres())
	}
	return fmt.Sprintf("%s of wall, %d pieces of panel, %d joints.", area, t.Pieces, t.Joints)
}
