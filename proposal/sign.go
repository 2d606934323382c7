package proposal

import (
	"fmt"
	"strings"

	"coilwright/draw"
	"coilwright/offer"
)

// signing is where both sides sign, or have signed.
func (p *paper) signing() error {
	p.section("Agreed")
	if p.in.Signed != nil {
		o := p.in.Options[0]
		p.para("Chosen and signed: "+p.title(o)+", "+money(o.Offer.Currency, o.Offer.Total), sub, true, black)
		p.digest(o)
		p.signatures(p.in.Signed)
		return nil
	}
	p.para("We choose, of the options in this offer:", body, false, black)
	for _, o := range p.in.Options {
		p.need(10)
		p.page.Layer("marks").Add(draw.TickBox(draw.Point{X: left, Y: p.y}, 4.4))
		p.words(left+9, p.y+4, p.title(o), body, true, black)
		p.wordsEnd(p.page.W-right, p.y+4, money(o.Offer.Currency, o.Offer.Total), body, true, black)
		p.y += 8
	}
	p.y += 2
	p.para("Signed on paper or on the owner's page, with the same meaning. Each option is known by the SHA-256 of its text: "+
		"both sides can prove what was signed.", tiny, false, soft)
	for _, o := range p.in.Options {
		p.digest(o)
	}
	p.line("Owner")
	p.line("For " + p.job.Offer.Letterhead.Name)
	return nil
}

func (p *paper) digest(o Option) {
	p.para(p.job.Schemes[o.Scheme].ID+"  "+o.Digest, tiny, false, soft)
}

// line is a place for one signature.
func (p *paper) line(who string) {
	p.need(30)
	p.y += 20
	mid := left + 0.62*(p.page.W-left-right)
	g := p.page.Layer("wash")
	g.Add(draw.Polyline(draw.Pen{Width: 0.3, Ink: black}, draw.Point{X: left, Y: p.y}, draw.Point{X: mid - 6, Y: p.y}),
		draw.Polyline(draw.Pen{Width: 0.3, Ink: black}, draw.Point{X: mid, Y: p.y}, draw.Point{X: p.page.W - right, Y: p.y}))
	p.words(left, p.y+4.5, who+", name and signature", tiny, false, soft)
	p.words(mid, p.y+4.5, "date", tiny, false, soft)
	p.y += 7
}

func (p *paper) signatures(s *Signed) {
	p.signature("Owner", s.Owner)
	if s.Shop != nil {
		p.signature("For "+p.job.Offer.Letterhead.Name, *s.Shop)
		return
	}
	p.line("For " + p.job.Offer.Letterhead.Name)
}

// signature shows a typed name, the drawn one where there is one, and when.
func (p *paper) signature(who string, s offer.Signature) {
	p.need(46)
	p.y += 4
	r := draw.Rect{X: left, Y: p.y, W: 0.6 * (p.page.W - left - right), H: 26}
	g := p.page.Layer("marks")
	g.Add(r.Path(draw.Pen{Width: 0.2, Ink: line}, draw.White))
	if path, ok := drawn(s.Drawn, r.Inset(3)); ok {
		g.Add(path)
	} else {
		p.words(r.X+5, r.Bottom()-8, s.Name, 16, false, black)
	}
	x := r.Right() + 5
	p.words(x, r.Y+5, who, tiny, false, soft)
	p.words(x, r.Y+10, draw.Fit(s.Name, body, true, p.page.W-right-x), body, true, black)
	p.words(x, r.Y+15, s.At.UTC().Format("2 January 2006 15:04 UTC"), tiny, false, soft)
	p.y = r.Bottom() + 2
	p.para("signed the text of SHA-256 "+s.Digest, tiny, false, soft)
}

// mostStrokes bounds a drawn signature: pen strokes of a page, nothing else.
const mostStrokes = 20_000

// drawn reads a signature's path: M x y and L x y in whole or decimal numbers, as
// the page writes it, fitted into r.
func drawn(path string, r draw.Rect) (draw.Path, bool) {
	strokes, err := Strokes(path)
	if err != nil || len(strokes) == 0 {
		return draw.Path{}, false
	}
	var all []draw.Point
	for _, s := range strokes {
		all = append(all, s...)
	}
	b := boundsOf(all)
	fit := r.Within(max(b.W, 1), max(b.H, 1))
	k := fit.W / max(b.W, 1)
	out := draw.Path{Pen: draw.Pen{Width: 0.5, Ink: black}}
	for _, s := range strokes {
		l := draw.Line{}
		for _, q := range s {
			l.Points = append(l.Points, draw.Point{X: fit.X + k*(q.X-b.X), Y: fit.Y + k*(q.Y-b.Y)})
		}
		out.Lines = append(out.Lines, l)
	}
	return out, true
}

// Strokes reads a drawn signature and refuses whatever is none.
func Strokes(path string) ([][]draw.Point, error) {
	var out [][]draw.Point
	words := strings.Fields(path)
	if len(words)%3 != 0 || len(words) > 3*mostStrokes {
		return nil, fmt.Errorf("the drawn signature is no list of strokes")
	}
	for i := 0; i < len(words); i += 3 {
		var q draw.Point
		if _, err := fmt.Sscanf(words[i+1]+" "+words[i+2], "%g %g", &q.X, &q.Y); err != nil || !within(q.X) || !within(q.Y) {
			return nil, fmt.Errorf("the drawn signature has a point at %.20s, %.20s", words[i+1], words[i+2])
		}
		switch {
		case words[i] == "M":
			out = append(out, []draw.Point{q})
		case words[i] == "L" && len(out) > 0:
			out[len(out)-1] = append(out[len(out)-1], q)
		default:
			return nil, fmt.Errorf("the drawn signature has the stroke %.5q", words[i])
		}
	}
	return out, nil
}

// within says whether a coordinate lies on any screen.
func within(x float64) bool { return x >= -100_000 && x <= 100_000 }
