// Package draw is the one drawing model of Coilwright: pages of strokes, fills,
// hatches and real text in millimetres on paper, written as SVG, as PDF, and as
// plain text for the tests. It knows nothing of houses or panels.
//
// Coordinates are millimetres from the page's top left corner, x to the right and
// y down; sizes of text are points. The same model gives the same bytes: no clock,
// no chance, dates only from the caller.
package draw

import "time"

// Point is a place on the page, in millimetres.
type Point struct{ X, Y float64 }

// Rect is an upright rectangle on the page.
type Rect struct{ X, Y, W, H float64 }

// Right and Bottom are the far sides of the rectangle.
func (r Rect) Right() float64  { return r.X + r.W }
func (r Rect) Bottom() float64 { return r.Y + r.H }

// Inset draws all four sides in by d.
func (r Rect) Inset(d float64) Rect { return Rect{r.X + d, r.Y + d, r.W - 2*d, r.H - 2*d} }

// Ink is what a stroke or fill leaves on the paper: 0xAARRGGBB, where only a zero
// or full AA is used. The zero value leaves nothing.
type Ink uint32

// The inks of working drawings. They are told apart without colour.
const (
	None  Ink = 0
	Black Ink = 0xff000000
	White Ink = 0xffffffff
)

// Grey gives a neutral ink: 0 is black, 255 white.
func Grey(v uint8) Ink { return 0xff000000 | Ink(v)<<16 | Ink(v)<<8 | Ink(v) }

// RGB gives a coloured ink, for drawings that are not only for the crew.
func RGB(r, g, b uint8) Ink { return 0xff000000 | Ink(r)<<16 | Ink(g)<<8 | Ink(b) }

func (i Ink) rgb() (r, g, b int) { return int(i >> 16 & 255), int(i >> 8 & 255), int(i & 255) }

// Pen strokes a line. A zero width strokes nothing; a zero ink is black. Dash
// lists lengths on and off.
type Pen struct {
	Width float64
	Ink   Ink
	Dash  []float64
}

func (p Pen) ink() Ink {
	if p.Ink == None {
		return Black
	}
	return p.Ink
}

// Line is a run of points, joined last to first where Closed.
type Line struct {
	Points []Point
	Closed bool
}

// Item is what a page is made of: Path, Text, Image or *Group.
type Item interface{ item() }

// Path strokes and fills lines together; fills follow the even-odd rule, so that
// inner closed lines are holes.
type Path struct {
	Lines []Line
	Pen   Pen
	Fill  Ink
}

// Anchor says which point of a text stands at its place.
type Anchor int

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of real text. At is on its baseline; Turn is in degrees,
// counter-clockwise; Size is in points. A zero ink is black.
type Text struct {
	At     Point
	Text   string
	Size   float64
	Bold   bool
	Anchor Anchor
	Turn   float64
	Ink    Ink
}

func (t Text) ink() Ink {
	if t.Ink == None {
		return Black
	}
	return t.Ink
}

// Group is items that belong together. ID names it in the SVG, Title is what a
// pointer shows there; a non-nil Clip hides what lies outside.
type Group struct {
	ID    string
	Title string
	Clip  *Rect
	Items []Item
}

// Add appends items.
func (g *Group) Add(items ...Item) { g.Items = append(g.Items, items...) }

func (Path) item()   {}
func (Text) item()   {}
func (*Group) item() {}

// Page is one sheet of paper. Name is its bookmark and, made safe, the prefix of
// its ids.
type Page struct {
	Name string
	W, H float64
	Group
}

// Layer gives the page's own group of that id, added at the end if there is none:
// later layers lie on top.
func (p *Page) Layer(id string) *Group {
	for _, it := range p.Items {
		if g, ok := it.(*Group); ok && g.ID == id {
			return g
		}
	}
	g := &Group{ID: id}
	p.Add(g)
	return g
}

// Document is pages and what a reader's title bar shows. Date is printed nowhere,
// it only dates the file.
type Document struct {
	Title, Subject string
	Date           time.Time
	Pages          []*Page
}

// Add appends a page and gives it back.
func (d *Document) Add(p *Page) *Page {
	d.Pages = append(d.Pages, p)
	return p
}
