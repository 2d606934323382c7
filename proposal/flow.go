package proposal

import (
	"fmt"
	"math"
	"time"

	"coilwright/colour"
	"coilwright/draw"
	"coilwright/job"
	"coilwright/measure"
)

// Room of a page, in millimetres. The strip of siding runs down the left edge.
const (
	strip  = 9.0
	left   = 22.0
	right  = 16.0
	top    = 16.0
	footed = 20.0
)

// Sizes of type in points: nothing that an owner must read is below body.
const (
	tiny  = 8.0
	body  = 10.0
	sub   = 12.0
	head  = 18.0
	title = 30.0
)

// Inks beside the steel's own colours.
var (
	black = draw.RGB(16, 20, 22)
	soft  = draw.RGB(72, 82, 87)
	line  = draw.RGB(150, 160, 164)
	wash  = draw.RGB(238, 241, 241)
)

// paper is one document in the making.
type paper struct {
	in     Input
	logo   *Picture // of the letterhead; nil: none
	job    *job.Job
	name   string
	doc    *draw.Document
	page   *draw.Page
	y      float64
	laps   draw.Ink // of the strip of siding
	column float64  // 0, or the width of a column that the flow keeps to
	at     float64  // where that column begins
	// wide are the pixel widths of the pictures so far. No two may be equal: the PDF
	// library writes pictures in the order of their widths, and equal ones in any.
	wide map[int]bool
}

func newPaper(j *job.Job, name string, date time.Time, scheme int) *paper {
	p := &paper{job: j, name: name, wide: map[int]bool{}, doc: &draw.Document{
		Title: fmt.Sprintf("%s, %s", name, j.Title), Subject: j.Offer.Letterhead.Name, Date: date,
	}}
	p.laps = draw.Grey(90)
	if zones := j.Schemes[scheme].Zones; len(zones) > 0 {
		p.laps = p.colour(zones[len(zones)-1].Colour)
	}
	return p
}

func (p *paper) size() (w, h float64) {
	if p.job.Units == measure.Metric {
		return 210, 297
	}
	return 215.9, 279.4
}

func (p *paper) width() float64 {
	if p.column > 0 {
		return p.column
	}
	return p.page.W - left - right
}

func (p *paper) x() float64 {
	if p.column > 0 {
		return p.at
	}
	return left
}

func (p *paper) bottom() float64 { return p.page.H - footed }

// turn starts a page; a named one has a bookmark.
func (p *paper) turn(bookmark string) {
	w, h := p.size()
	p.page = p.doc.Add(&draw.Page{Name: bookmark, W: w, H: h})
	for _, layer := range []string{"strip", "wash", "cards", "pictures", "walls", "marks", "text"} {
		p.page.Layer(layer) // what is added later to an earlier one lies under the rest
	}
	p.siding(draw.Rect{X: 0, Y: 0, W: strip, H: h}, 12)
	p.y = top
}

// section starts a page under a heading.
func (p *paper) section(text string) {
	p.turn(text)
	p.words(left, p.y+6, text, head, true, black)
	p.y += 12
}

// siding draws courses of Dutch lap in the scheme's own colour: the paper's edge
// looks like the wall it speaks of.
func (p *paper) siding(r draw.Rect, lap float64) {
	g := p.page.Layer("strip")
	g.Add(r.Path(draw.Pen{}, p.laps))
	for y := r.Bottom(); y > r.Y; y -= lap {
		cove := draw.Rect{X: r.X, Y: math.Max(r.Y, y-lap), W: r.W, H: lap * 0.16}
		g.Add(cove.Path(draw.Pen{}, mix(p.laps, black, 0.35)))
		g.Add(draw.Rect{X: r.X, Y: math.Max(r.Y, y-lap) + lap*0.16, W: r.W, H: lap * 0.1}.Path(draw.Pen{}, mix(p.laps, draw.White, 0.22)))
	}
}

// need makes room for h millimetres.
func (p *paper) need(h float64) {
	if p.page == nil || p.y+h > p.bottom() {
		p.turn("")
	}
}

func (p *paper) words(x, y float64, text string, size float64, bold bool, i draw.Ink) {
	p.page.Layer("text").Add(draw.Text{At: draw.Point{X: x, Y: y}, Text: text, Size: size, Bold: bold, Ink: i})
}

func (p *paper) wordsEnd(x, y float64, text string, size float64, bold bool, i draw.Ink) {
	p.page.Layer("text").Add(draw.Text{At: draw.Point{X: x, Y: y}, Text: text, Size: size, Bold: bold, Ink: i, Anchor: draw.End})
}

// lead is the distance of lines.
func lead(size float64) float64 { return size * 0.47 }

// para sets text over the width of the column.
func (p *paper) para(text string, size float64, bold bool, i draw.Ink) {
	for _, l := range draw.Wrap(text, size, bold, p.width()) {
		p.need(lead(size))
		p.y += lead(size)
		p.words(p.x(), p.y-0.9, l, size, bold, i)
	}
	p.y += 1.5
}

func (p *paper) heading(text string) {
	p.need(36)
	p.y += 8
	p.words(p.x(), p.y-2, text, sub, true, black)
	p.y += 1.2
}

// item sets a line of a list behind its mark.
func (p *paper) item(mark, text, note string) {
	const hang = 7.0
	lines := draw.Wrap(text, body, false, p.width()-hang)
	var small []string
	if note != "" {
		small = draw.Wrap(note, tiny, false, p.width()-hang)
	}
	p.need(float64(len(lines))*lead(body) + float64(len(small))*lead(tiny) + 1.4)
	p.mark(p.x()+1.6, p.y+lead(body)-2.4, mark)
	for _, l := range lines {
		p.y += lead(body)
		p.words(p.x()+hang, p.y-0.9, l, body, false, black)
	}
	for _, l := range small {
		p.y += lead(tiny)
		p.words(p.x()+hang, p.y-0.9, l, tiny, false, soft)
	}
	p.y += 1.4
}

// mark is a small sign in front of a list's line, told apart by shape.
func (p *paper) mark(x, y float64, kind string) {
	g := p.page.Layer("marks")
	switch kind {
	case "out":
		g.Add(draw.Polyline(draw.Pen{Width: 0.5, Ink: soft}, draw.Point{X: x - 1.4, Y: y}, draw.Point{X: x + 1.4, Y: y}))
	case "ask":
		g.Add(draw.Polygon(draw.Pen{Width: 0.4, Ink: black}, draw.White, []draw.Point{{X: x, Y: y - 1.5}, {X: x + 1.6, Y: y + 1.2}, {X: x - 1.6, Y: y + 1.2}}))
	case "other":
		g.Add(draw.Rect{X: x - 1.2, Y: y - 1.2, W: 2.4, H: 2.4}.Path(draw.Pen{Width: 0.4, Ink: black}, draw.White))
	default:
		g.Add(draw.Rect{X: x - 1.2, Y: y - 1.2, W: 2.4, H: 2.4}.Path(draw.Pen{}, black))
	}
}

// caution sets a warning in a box beside its sign.
func (p *paper) caution(text string) {
	lines := draw.Wrap(text, body, false, p.width()-15)
	h := float64(len(lines))*lead(body) + 4
	p.need(h + 2)
	r := draw.Rect{X: p.x(), Y: p.y, W: p.width(), H: h}
	g := p.page.Layer("marks")
	g.Add(r.Path(draw.Pen{Width: 0.35, Ink: black}, draw.None))
	at := draw.Point{X: r.X + 6, Y: r.Y + h/2}
	g.Add(draw.Polygon(draw.Pen{Width: 0.5, Ink: black}, draw.White, []draw.Point{{X: at.X, Y: at.Y - 2.6}, {X: at.X + 2.9, Y: at.Y + 2.1}, {X: at.X - 2.9, Y: at.Y + 2.1}}),
		draw.Polyline(draw.Pen{Width: 0.5, Ink: black}, draw.Point{X: at.X, Y: at.Y - 0.9}, draw.Point{X: at.X, Y: at.Y + 0.7}),
		draw.Circle(draw.Point{X: at.X, Y: at.Y + 1.35}, 0.3, draw.Pen{}, black))
	for i, l := range lines {
		p.words(r.X+12, r.Y+1+lead(body)*float64(i+1)-0.6, l, body, false, black)
	}
	p.y += h + 2.5
}

// finish writes the foot of every page, now that their number is known.
func (p *paper) finish() ([]byte, error) {
	l := p.job.Offer.Letterhead
	for i, page := range p.doc.Pages {
		g := page.Layer("foot")
		y := page.H - 11
		g.Add(draw.Polyline(draw.Pen{Width: 0.2, Ink: line}, draw.Point{X: left, Y: y - 4}, draw.Point{X: page.W - right, Y: y - 4}))
		state := fmt.Sprintf("%s · page %d of %d", p.job.Title, i+1, len(p.doc.Pages))
		w := draw.Width(state, tiny, false)
		g.Add(draw.Text{At: draw.Point{X: page.W - right, Y: y}, Text: state, Size: tiny, Anchor: draw.End, Ink: soft},
			draw.Text{At: draw.Point{X: left, Y: y}, Text: draw.Fit(joined(l.Name, l.Phone, l.Licence), tiny, false, page.W-left-right-w-6), Size: tiny, Ink: soft})
	}
	return p.doc.PDFBytes()
}

// ink encodes linear light for paper's readers: sRGB.
func ink(linear [3]float64) draw.Ink {
	var c [3]uint8
	for i, v := range linear {
		c[i] = uint8(math.Round(255 * colour.Encode(math.Min(math.Max(v, 0), 1))))
	}
	return draw.RGB(c[0], c[1], c[2])
}

// mix goes from a to b by a share.
func mix(a, b draw.Ink, share float64) draw.Ink {
	part := func(shift int) uint8 {
		x, y := float64(a>>shift&255), float64(b>>shift&255)
		return uint8(math.Round(x + (y-x)*share))
	}
	return draw.RGB(part(16), part(8), part(0))
}

// dark says whether white words read better than black on an ink.
func dark(i draw.Ink) bool {
	return 0.299*float64(i>>16&255)+0.587*float64(i>>8&255)+0.114*float64(i&255) < 140
}
