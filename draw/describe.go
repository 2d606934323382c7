package draw

import (
	"fmt"
	"strings"
)

// Describe writes the page as plain text, one item a line, for tests that are
// read by people: what stands where, in tenths of a millimetre.
func (p *Page) Describe() string {
	var b strings.Builder
	fmt.Fprintf(&b, "page %q %.1f x %.1f mm\n", p.Name, p.W, p.H)
	describe(&b, p.Items, "  ")
	return b.String()
}

func describe(b *strings.Builder, items []Item, indent string) {
	for _, it := range items {
		switch it := it.(type) {
		case Path:
			fmt.Fprintf(b, "%s%s\n", indent, describePath(it))
		case Text:
			fmt.Fprintf(b, "%stext %.1f,%.1f %gpt%s %q\n", indent, it.At.X, it.At.Y, it.Size, describeStyle(it), it.Text)
		case Image:
			fmt.Fprintf(b, "%simage %.1f,%.1f %.1f x %.1f %q\n", indent, it.At.X, it.At.Y, it.At.W, it.At.H, it.Alt)
		case *Group:
			fmt.Fprintf(b, "%sgroup %q %q\n", indent, it.ID, it.Title)
			describe(b, it.Items, indent+"  ")
		}
	}
}

func describeStyle(t Text) string {
	s := [...]string{"", " middle", " end"}[t.Anchor]
	if t.Bold {
		s += " bold"
	}
	if t.Turn != 0 {
		s += fmt.Sprintf(" turned %g", t.Turn)
	}
	return s
}

func describePath(p Path) string {
	var b strings.Builder
	b.WriteString("path")
	if p.Pen.Width > 0 {
		fmt.Fprintf(&b, " pen %g %s", p.Pen.Width, svgInk(p.Pen.ink()))
	}
	if p.Fill != None {
		b.WriteString(" fill " + svgInk(p.Fill))
	}
	for _, l := range p.Lines {
		b.WriteString(" |")
		for _, q := range l.Points {
			fmt.Fprintf(&b, " %.1f,%.1f", q.X, q.Y)
		}
		if l.Closed {
			b.WriteString(" closed")
		}
	}
	return b.String()
}
