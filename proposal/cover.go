package proposal

import (
	"fmt"
	"strings"
	"time"

	"coilwright/draw"
)

// dateText is unambiguous in every country.
func dateText(t time.Time) string { return t.Format("2 January 2006") }

// letterhead heads the first page and gives the height that it took.
func (p *paper) letterhead() {
	l := p.job.Offer.Letterhead
	at, y := left, p.y+5
	if p.logo != nil {
		room := draw.Rect{X: left, Y: p.y - 4, W: 34, H: 15}
		if p.photo(*p.logo, room) == nil {
			at += 39
		}
	}
	p.words(at, y, l.Name, 14, true, black)
	for _, text := range append(append([]string{}, l.Address...), joined(l.Phone, l.Mail), l.Licence) {
		if text != "" {
			p.wordsEnd(p.page.W-right, y, text, tiny, false, soft)
			y += 3.9
		}
	}
	p.y = y + 2
	p.rule(0.4)
}

func (p *paper) cover() error {
	p.turn("Offer")
	p.letterhead()
	p.y += 14
	p.words(left, p.y+4, "Steel siding for your house", title, true, black)
	p.y += 14
	p.words(left, p.y, p.job.Title, sub, false, soft)
	p.y += 9
	p.facts()
	p.coverPicture()
	p.cards()
	return nil
}

// facts are who, when and until when.
func (p *paper) facts() {
	v := p.job.Visit
	rows := [][2]string{{"For", strings.Join(append([]string{v.Owner}, v.Address...), ", ")}, {"Date", dateText(p.in.Date)}}
	if p.in.Signed == nil {
		rows = append(rows, [2]string{"Stands until", dateText(p.in.Until)})
	}
	rows = append(rows, [2]string{"Start", v.Start}, [2]string{"Finish", v.Finish}, [2]string{"Number", p.in.Number})
	for _, r := range rows {
		if strings.Trim(r[1], ", ") == "" {
			continue
		}
		p.y += 5
		p.words(left, p.y, r[0], body, false, soft)
		p.words(left+27, p.y, draw.Fit(strings.Trim(r[1], ", "), body, true, p.page.W-left-27-right), body, true, black)
	}
	p.y += 6
}

// coverPicture is the first photograph, or else the widest side as it would look.
func (p *paper) coverPicture() {
	room := draw.Rect{X: left, Y: p.y, W: p.page.W - left - right, H: p.bottom() - 52 - p.y}
	if len(p.in.Pictures) > 0 {
		if p.photo(p.in.Pictures[0], room) == nil {
			p.y = room.Bottom() + 4
			return
		}
	}
	w := p.widest()
	inner := draw.Rect{X: room.X + 4, Y: room.Y + 6, W: room.W - 8, H: room.H - 14}
	p.page.Layer("wash").Add(room.Path(draw.Pen{}, wash))
	p.drawWall(p.in.Options[0], w, inner, p.scaleFor([]int{w}, inner.W, inner.H))
	p.y = room.Bottom() + 4
}

func (p *paper) widest() int {
	best, area := 0, -1.0
	for i, w := range p.job.House.Walls {
		b := w.Outline.Box()
		if a := mm(b.Width()) * mm(b.Height()); a > area {
			best, area = i, a
		}
	}
	return best
}

// cards are the options with their prices, side by side.
func (p *paper) cards() {
	const gap = 4.0
	tall := 40.0
	if len(p.in.Options) == 1 { // its title fits one line
		tall = 30
	}
	n := float64(min(len(p.in.Options), 4))
	w := (p.page.W - left - right - gap*(n-1)) / n
	for i, o := range p.in.Options {
		if i >= 4 {
			break
		}
		r := draw.Rect{X: left + float64(i)*(w+gap), Y: p.y, W: w, H: tall}
		p.card(o, r)
	}
	p.y += tall + 2
}

func (p *paper) card(o Option, r draw.Rect) {
	g := p.page.Layer("cards")
	g.Add(r.Path(draw.Pen{Width: 0.3, Ink: black}, draw.White))
	zones := p.job.Schemes[o.Scheme].Zones
	for i, z := range zones {
		s := draw.Rect{X: r.X + float64(i)*r.W/float64(len(zones)), Y: r.Y, W: r.W / float64(len(zones)), H: 7}
		g.Add(s.Path(draw.Pen{Width: 0.15, Ink: black}, p.colour(z.Colour)))
	}
	y := r.Y + 12
	for _, l := range clamp(draw.Wrap(p.title(o), body, true, r.W-6), 2) {
		p.words(r.X+3, y, l, body, true, black)
		y += lead(body)
	}
	p.words(r.X+3, r.Bottom()-10, money(o.Estimate.Currency, o.Estimate.Total.String()), 13, true, black)
	p.words(r.X+3, r.Bottom()-4, p.taxWords(o), tiny, false, soft)
}

func clamp(lines []string, n int) []string { return lines[:min(n, len(lines))] }

func (p *paper) taxWords(o Option) string {
	if len(o.Estimate.Taxes) == 0 {
		return ""
	}
	return "taxes included"
}

// photo fits a photograph into a room.
func (p *paper) photo(pic Picture, room draw.Rect) error {
	if pic.Image == nil {
		return fmt.Errorf("picture %q holds nothing", pic.Caption)
	}
	data, w, h, err := draw.Photo(pic.Image, p.apart(pic.Image.Bounds().Dx(), pic.Image.Bounds().Dy()))
	if err != nil {
		return fmt.Errorf("picture %q: %w", pic.Caption, err)
	}
	p.wide[w] = true
	at := room.Within(float64(w), float64(h))
	at.Y = room.Y
	p.page.Layer("pictures").Add(draw.Image{At: at, JPEG: data, Alt: pic.Caption})
	return nil
}

// mostPixels along a photograph's longer side: 200 to the inch over the page.
const mostPixels = 1500

// apart is how many pixels a picture's longer side may have so that no other one
// is as wide.
func (p *paper) apart(w, h int) int {
	most := min(mostPixels, max(w, h))
	for most > mostPixels/2 {
		if wide, _ := draw.PhotoSize(w, h, most); !p.wide[wide] {
			break
		}
		most--
	}
	return most
}

// pictures shows the photographs after the first, two to a page.
func (p *paper) pictures() error {
	rest := p.in.Pictures[min(1, len(p.in.Pictures)):]
	for i, pic := range rest {
		if i%2 == 0 {
			if i == 0 {
				p.section("Pictures")
			} else {
				p.turn("")
			}
		}
		room := draw.Rect{X: left, Y: p.y, W: p.page.W - left - right, H: 106}
		if err := p.photo(pic, room); err != nil {
			return err
		}
		p.words(left, room.Bottom()+5, draw.Fit(pic.Caption, body, false, room.W), body, false, soft)
		p.y = room.Bottom() + 10
	}
	return nil
}
