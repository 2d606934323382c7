package sheet

import (
	"fmt"
	"time"

	"coilwright/draw"
	"coilwright/site"
)

// Size of one label and its code, in millimetres: two beside one another on a sheet,
// the code large enough that a phone reads it at arm's length.
const (
	labelHigh = 42.0
	labelCode = 34.0 // with its quiet zone of four modules
	labelPad  = 4.0
)

// Labels prints labels two in a row on letter or A4 sheets, to be cut apart along the
// dashed lines.
func Labels(title string, date time.Time, metric bool, labels []site.Label) ([]byte, error) {
	w, h := 215.9, 279.4
	if metric {
		w, h = 210, 297
	}
	doc := &draw.Document{Title: title + ", labels", Subject: "labels", Date: date}
	wide := (w - 2*margin) / 2
	rows := int((h - 2*margin) / labelHigh)
	var page *draw.Page
	for i, l := range labels {
		at := i % (2 * rows)
		if at == 0 {
			page = doc.Add(&draw.Page{Name: fmt.Sprintf("Labels, sheet %d", len(doc.Pages)+1), W: w, H: h})
		}
		box := draw.Rect{X: margin + wide*float64(at%2), Y: margin + labelHigh*float64(at/2), W: wide, H: labelHigh}
		if err := label(page, box, l); err != nil {
			return nil, err
		}
	}
	return doc.PDFBytes()
}

func label(page *draw.Page, box draw.Rect, l site.Label) error {
	code, err := site.CodeOf(l.Code)
	if err != nil {
		return err
	}
	page.Add(box.Path(draw.Pen{Width: 0.13, Dash: []float64{1.5, 1.5}}, draw.None))
	page.Add(codeGroup(code, box.X+labelPad, box.Y+(box.H-labelCode)/2))
	x, y := box.X+labelPad+labelCode+1, box.Y+9
	room := box.Right() - x - labelPad
	for i, text := range l.Lines {
		size := [...]float64{18, 15, 9}[min(i, 2)]
		page.Add(draw.Text{At: draw.Point{X: x, Y: y}, Text: draw.Fit(text, size, i < 2, room), Size: size, Bold: i < 2})
		y += 2.5 + 0.35*[...]float64{15, 9, 9}[min(i, 2)]
	}
	return nil
}

// bleed is by how much rows of modules lie over one another, in millimetres: without
// it a screen shows white hairs between them, which readers stumble over.
const bleed = 0.04

// codeGroup is a code's dark modules, each run of a row a rectangle of its own.
func codeGroup(c site.Code, x0, y0 float64) *draw.Group {
	unit := labelCode / float64(c.Side())
	g := &draw.Group{}
	for r := range c.Runs() {
		box := draw.Rect{X: x0 + unit*float64(r.X), Y: y0 + unit*float64(r.Y), W: unit * float64(r.Long), H: unit + bleed}
		g.Add(box.Path(draw.Pen{}, draw.Black))
	}
	return g
}
