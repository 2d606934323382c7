package draw

import (
	"bytes"
	"fmt"
	"io"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

const family = "go"

// PDF writes the document as PDF with the letters it uses embedded, a bookmark
// per named page, and the given date as its only date.
func (d *Document) PDF(w io.Writer) error {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: 210, Ht: 297}})
	f.SetCatalogSort(true)
	f.SetCreationDate(d.Date)
	f.SetModificationDate(d.Date)
	f.SetTitle(Clean(clip(d.Title)), true)
	f.SetSubject(Clean(clip(d.Subject)), true)
	f.SetCreator("Coilwright", true)
	f.SetLang("en")
	f.SetProducer("Coilwright", true)
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.AddUTF8FontFromBytes(family, "", goregular.TTF)
	f.AddUTF8FontFromBytes(family, "B", gobold.TTF)
	f.SetLineJoinStyle("round")
	for _, p := range d.Pages {
		f.AddPageFormat("P", fpdf.SizeType{Wd: p.W, Ht: p.H})
		f.SetFont(family, "", 10) // bookmarks take their coding from the font
		if p.Name != "" {
			f.Bookmark(Clean(clip(p.Name)), 0, 0)
		}
		pdfItems(f, p.Items)
	}
	if err := f.Output(w); err != nil {
		return fmt.Errorf("writing the PDF %q: %w", Clean(clip(d.Title)), err)
	}
	return nil
}

// PDFBytes is PDF into memory.
func (d *Document) PDFBytes() ([]byte, error) {
	var b bytes.Buffer
	if err := d.PDF(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func pdfItems(f *fpdf.Fpdf, items []Item) {
	for _, it := range items {
		switch it := it.(type) {
		case Path:
			pdfPath(f, it)
		case Text:
			pdfText(f, it)
		case Image:
			pdfImage(f, it)
		case *Group:
			if c := it.Clip; c != nil {
				f.ClipRect(c.X, c.Y, c.W, c.H, false)
			}
			pdfItems(f, it.Items)
			if it.Clip != nil {
				f.ClipEnd()
			}
		}
	}
}

func pdfPath(f *fpdf.Fpdf, p Path) {
	style := ""
	if p.Fill != None {
		f.SetFillColor(p.Fill.rgb())
		style = "F*"
	}
	if p.Pen.Width > 0 {
		f.SetDrawColor(p.Pen.ink().rgb())
		f.SetLineWidth(p.Pen.Width)
		f.SetDashPattern(p.Pen.Dash, 0)
		style = map[string]string{"": "D", "F*": "FD*"}[style]
	}
	if style == "" {
		return
	}
	for _, l := range p.Lines {
		for i, q := range l.Points {
			if i == 0 {
				f.MoveTo(q.X, q.Y)
			} else {
				f.LineTo(q.X, q.Y)
			}
		}
		if l.Closed {
			f.ClosePath()
		}
	}
	f.DrawPath(style)
}

func pdfText(f *fpdf.Fpdf, t Text) {
	s := Clean(clip(t.Text))
	if s == "" {
		return
	}
	style := ""
	if t.Bold {
		style = "B"
	}
	f.SetFont(family, style, t.Size)
	f.SetTextColor(t.ink().rgb())
	x := t.At.X - width(s, t.Size, t.Bold)*float64(t.Anchor)/2
	if t.Turn == 0 {
		f.Text(x, t.At.Y, s)
		return
	}
	f.TransformBegin()
	f.TransformRotate(t.Turn, t.At.X, t.At.Y)
	f.Text(x, t.At.Y, s)
	f.TransformEnd()
}
