package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// SVG writes one page as a complete SVG 1.1 file. Texts are real text; each
// carries the length it was laid out with, so that a reader with other fonts
// keeps the layout.
func (p *Page) SVG() []byte {
	w := &svgWriter{prefix: safeID(p.Name), used: map[string]int{}}
	fmt.Fprintf(&w.b, `<?xml version="1.0" encoding="UTF-8"?>`+"\n"+
		`<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" `+
		`font-family="Go, Arial, Helvetica, 'Liberation Sans', sans-serif" stroke-linejoin="round">`+"\n",
		num(p.W), num(p.H), num(p.W), num(p.H))
	fmt.Fprintf(&w.b, "<title>%s</title>\n", escape(p.Name))
	fmt.Fprintf(&w.b, `<rect width="%s" height="%s" fill="#fff"/>`+"\n", num(p.W), num(p.H))
	for _, it := range p.Items {
		w.item(it)
	}
	w.b.WriteString("</svg>\n")
	return w.b.Bytes()
}

type svgWriter struct {
	b      bytes.Buffer
	prefix string
	clips  int
	used   map[string]int
}

// id makes an id of the page and a name, once: a name that comes again is counted.
func (w *svgWriter) id(name string) string {
	id := w.prefix + "-" + safeID(name)
	w.used[id]++
	if n := w.used[id]; n > 1 {
		id = fmt.Sprintf("%s..%d", id, n)
	}
	return id
}

func (w *svgWriter) item(it Item) {
	switch it := it.(type) {
	case Path:
		w.path(it)
	case Text:
		w.text(it)
	case Image:
		w.image(it)
	case *Group:
		w.group(it)
	}
}

func (w *svgWriter) group(g *Group) {
	if g.Clip != nil {
		w.clips++
		c := g.Clip
		fmt.Fprintf(&w.b, `<clipPath id="%s-clip%d"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath>`+"\n",
			w.prefix, w.clips, num(c.X), num(c.Y), num(c.W), num(c.H))
	}
	w.b.WriteString("<g")
	if g.ID != "" {
		fmt.Fprintf(&w.b, ` id="%s"`, w.id(g.ID))
	}
	if g.Clip != nil {
		fmt.Fprintf(&w.b, ` clip-path="url(#%s-clip%d)"`, w.prefix, w.clips)
	}
	w.b.WriteString(">\n")
	if g.Title != "" {
		fmt.Fprintf(&w.b, "<title>%s</title>\n", escape(g.Title))
	}
	for _, it := range g.Items {
		w.item(it)
	}
	w.b.WriteString("</g>\n")
}

func (w *svgWriter) path(p Path) {
	fmt.Fprintf(&w.b, `<path d="%s" fill="%s"`, pathData(p.Lines), svgInk(p.Fill))
	if p.Fill != None && len(p.Lines) > 1 {
		w.b.WriteString(` fill-rule="evenodd"`)
	}
	if p.Pen.Width > 0 {
		fmt.Fprintf(&w.b, ` stroke="%s" stroke-width="%s"`, svgInk(p.Pen.ink()), num(p.Pen.Width))
		if len(p.Pen.Dash) > 0 {
			fmt.Fprintf(&w.b, ` stroke-dasharray="%s"`, nums(p.Pen.Dash))
		}
	}
	w.b.WriteString("/>\n")
}

func pathData(lines []Line) string {
	var b strings.Builder
	for _, l := range lines {
		for i, q := range l.Points {
			if i == 0 {
				b.WriteByte('M')
			} else {
				b.WriteByte('L')
			}
			b.WriteString(num(q.X) + " " + num(q.Y))
		}
		if l.Closed {
			b.WriteByte('Z')
		}
	}
	return b.String()
}

func (w *svgWriter) text(t Text) {
	s := Clean(clip(t.Text))
	if s == "" {
		return
	}
	fmt.Fprintf(&w.b, `<text x="%s" y="%s" font-size="%s"`, num(t.At.X), num(t.At.Y), num(t.Size*pt))
	if t.Bold {
		w.b.WriteString(` font-weight="bold"`)
	}
	if t.Anchor != Start {
		w.b.WriteString(` text-anchor="` + [...]string{"start", "middle", "end"}[t.Anchor] + `"`)
	}
	if t.ink() != Black {
		fmt.Fprintf(&w.b, ` fill="%s"`, svgInk(t.ink()))
	}
	if t.Turn != 0 {
		fmt.Fprintf(&w.b, ` transform="rotate(%s %s %s)"`, num(-t.Turn), num(t.At.X), num(t.At.Y))
	}
	fmt.Fprintf(&w.b, ` textLength="%s" lengthAdjust="spacingAndGlyphs">%s</text>`+"\n",
		num(width(s, t.Size, t.Bold)), escape(s))
}

func svgInk(i Ink) string {
	if i == None {
		return "none"
	}
	return fmt.Sprintf("#%06x", uint32(i)&0xffffff)
}

// num prints to a hundredth of a millimetre, finer than any plotter; what is not
// a number becomes 0 rather than a file that no reader opens.
func num(v float64) string {
	v = math.Round(v*100) / 100
	if math.IsNaN(v) || math.IsInf(v, 0) || v == 0 {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func nums(vs []float64) string {
	out := make([]string, len(vs))
	for i, v := range vs {
		out[i] = num(v)
	}
	return strings.Join(out, " ")
}

func escape(s string) string {
	var b bytes.Buffer
	if err := xml.EscapeText(&b, []byte(Clean(clip(s)))); err != nil {
		return "" // a bytes.Buffer takes every write
	}
	return b.String()
}

const longestID = 100 // bytes of a name that go into an id

// safeID makes an XML name of any text: letters and digits stay, all else is
// written as its number, so that different texts stay different.
func safeID(s string) string {
	var b strings.Builder
	b.WriteByte('d')
	for i, r := range s {
		if i > longestID {
			break
		}
		switch {
		case r >= '0' && r <= '9', r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r == '-':
			b.WriteRune(r)
		default:
			fmt.Fprintf(&b, "_%x.", r)
		}
	}
	return b.String()
}
