package sheet

import (
	"fmt"
	"slices"

	"coilwright/draw"
	"coilwright/measure"
	"coilwright/trim"
)

// What a stretch of a coil is.
type stretchKind int

const (
	scrapStretch stretchKind = iota // lost where the strip is threaded
	pieceStretch
	tailStretch
)

// stretch is a length of a coil, from its free end.
type stretch struct {
	kind     stretchKind
	from, to measure.Length
	name     string // a piece's number
	length   measure.Length
	setup    int // index into Run.Setups, -1 if unknown
}

// stretches lays a coil's pieces out along it, in the order in which they are cut: at
// each change of set-up the threading scrap, for each piece its length and what the
// cut loses.
func (s *set) stretches(c Coil) []stretch {
	var out []stretch
	at, setup := measure.Length(0), -1
	for _, id := range c.Pieces {
		p, ok := s.piece[id]
		if !ok {
			continue
		}
		if u := s.setupOf[id]; len(out) == 0 || u != setup {
			setup = u
			if scrap := s.Book.Machine.ThreadingScrap; scrap > 0 {
				out = append(out, stretch{scrapStretch, at, at + scrap, "", scrap, setup})
				at += scrap
			}
		}
		end := at + p.Length + s.Book.Machine.CutLoss
		out = append(out, stretch{pieceStretch, at, end, p.Number, p.Length, setup})
		at = end
	}
	if c.Length > at {
		out = append(out, stretch{tailStretch, at, c.Length, "", c.Length - at, -1})
	}
	return out
}

// barScale is how much coil stands on one line of the paper.
type barScale struct {
	line measure.Length // of coil, on the full width
	tick measure.Length
}

// Lines of coil plans, in feet and in metres: from one on which a foot is wide to
// one on which the longest reel fits.
func (s *set) barScales() []barScale {
	unit, lines := measure.Foot, []measure.Length{40, 50, 80, 100, 160, 200, 400, 800, 1000, 2000, 5000, 10000, 50000}
	if s.Units == measure.Metric {
		unit, lines = measure.Metre, []measure.Length{12, 15, 25, 30, 50, 60, 120, 250, 300, 600, 1500, 3000, 15000}
	}
	var out []barScale
	for _, n := range lines {
		out = append(out, barScale{n * unit, max(1, n/10) * unit})
	}
	return out
}

// mostBars is the most lines of bars of one paper: some ten pages.
const mostBars = 120

// barScale is the one scale of the whole paper: the most coil on a line at which
// nine of ten pieces hold their number, as long as the paper stays short.
func (s *set) barScale(all [][]stretch, width float64) barScale {
	scales := s.barScales()
	for len(scales) > 1 && s.bars(all, scales[0]) > mostBars {
		scales = scales[1:]
	}
	best := scales[0]
	for _, c := range scales[1:] {
		if s.bars(all, c) < s.bars(all, best) && named(all, c, width) >= 0.9 {
			best = c
		}
	}
	return best
}

// bars counts the lines of bars that coils take; a tail ends with its line.
func (s *set) bars(all [][]stretch, c barScale) int {
	n := 0
	for _, coil := range all {
		n += lineOf(cutEnd(coil), c) + 1
	}
	return n
}

// cutEnd is where the last piece ends.
func cutEnd(coil []stretch) measure.Length {
	end := measure.Length(0)
	for _, t := range coil {
		if t.kind != tailStretch {
			end = t.to
		}
	}
	return end
}

func lineOf(at measure.Length, c barScale) int { return int(max(0, at-1) / c.line) }

// named is the share of pieces wide enough for their number.
func named(all [][]stretch, c barScale, width float64) float64 {
	fit, n := 0, 0
	for _, coil := range all {
		for _, t := range coil {
			if t.kind != pieceStretch {
				continue
			}
			n++
			if along(t.to-t.from, c, width) >= draw.Width(t.name, barType, true)+1 {
				fit++
			}
		}
	}
	if n == 0 {
		return 1
	}
	return float64(fit) / float64(n)
}

// along is a length of coil in millimetres of paper.
func along(l measure.Length, c barScale, width float64) float64 {
	return float64(l) / float64(c.line) * width
}

// coilPlan is the picture of the plan: each coil a bar to scale, wrapped over several
// lines, with its pieces in the order of cutting, threading scrap and tail; then the
// blanks that flat trim is slit from.
func (s *set) coilPlan() *paper {
	p := s.newPaper("Coil plan", cautionTip)
	p.need(0)
	var all [][]stretch
	for _, c := range s.Run.Coils {
		all = append(all, s.stretches(c))
	}
	if len(all) == 0 && !slices.ContainsFunc(s.Slitting, func(q trim.Slitting) bool { return len(q.Blanks) > 0 }) {
		p.para("No coil is planned: nothing is fit to cut yet, or the shop's book has no coil for it. The run sheet and the coil and trim list say why.", normal, false)
		return p
	}
	if len(all) > 0 {
		scale := s.barScale(all, p.width())
		p.para(fmt.Sprintf("Each bar is a coil, cut from the left; one line is %s of coil. Numbers are the pieces of the drawings, below them the length.", s.long(scale.line)), normal, false)
		s.barLegend(p)
		for i, c := range s.Run.Coils {
			s.coilBars(p, c, all[i], scale)
		}
	}
	s.slitPictures(p)
	return p
}

// barLegend shows how scrap, set-ups and tail are drawn.
func (s *set) barLegend(p *paper) {
	p.need(14)
	p.y += 4.5 // room for the flag
	g := p.page.Layer("rules")
	x := p.left()
	put := func(w float64, text string, item func(r draw.Rect)) {
		item(draw.Rect{X: x, Y: p.y + 0.6, W: w, H: 4})
		g.Add(draw.Text{At: draw.Point{X: x + w + 1.5, Y: p.y + 3.7}, Text: text, Size: small})
		x += w + draw.Width(text, small, false) + 7
	}
	put(6, "threading scrap", func(r draw.Rect) { s.scrapBox(g, r) })
	put(9, "piece", func(r draw.Rect) { g.Add(r.Path(thin, draw.White)) })
	put(9, "piece of the next set-up", func(r draw.Rect) { g.Add(r.Path(thin, otherSetup)) })
	put(9, "tail", func(r draw.Rect) { tailBox(g, r, false) })
	put(3, "set-up begins", func(r draw.Rect) { flag(g, draw.Point{X: r.X + 1, Y: r.Y}, r.H) })
	p.y += 7
}

// Looks of bars.
const (
	barHeight = 9.0
	barType   = 7.0 // points
	flagRoom  = 6.4 // above a bar: set-ups and feet
	noteRoom  = 5.2 // below a bar that has pieces too short for their number
)

var (
	otherSetup = draw.Grey(226)
	broken     = draw.Pen{Width: 0.25, Dash: []float64{1.2, 0.9}}
)

func (s *set) scrapBox(g *draw.Group, r draw.Rect) {
	g.Add(r.Path(thin, draw.White))
	ring := []draw.Point{{X: r.X, Y: r.Y}, {X: r.Right(), Y: r.Y}, {X: r.Right(), Y: r.Bottom()}, {X: r.X, Y: r.Bottom()}}
	g.Add(draw.Hatch([][]draw.Point{ring}, 45, 0.8, draw.Pen{Width: 0.22}), draw.Hatch([][]draw.Point{ring}, 135, 0.8, draw.Pen{Width: 0.22}))
}

// tailBox is what is left on the reel; on tells that it goes on beyond the line.
func tailBox(g *draw.Group, r draw.Rect, on bool) {
	g.Add(r.Path(broken, draw.None))
	if on {
		x, h := r.Right(), r.H
		g.Add(draw.Polyline(medium, draw.Point{X: x - 1, Y: r.Bottom() + 1}, draw.Point{X: x - 1, Y: r.Y + 0.6*h},
			draw.Point{X: x - 2, Y: r.Y + 0.5*h}, draw.Point{X: x, Y: r.Y + 0.45*h}, draw.Point{X: x - 1, Y: r.Y + 0.35*h}, draw.Point{X: x - 1, Y: r.Y - 1}))
	}
}

// flag marks where a set-up begins.
func flag(g *draw.Group, at draw.Point, h float64) {
	g.Add(draw.Polyline(heavy, draw.Point{X: at.X, Y: at.Y - 5.2}, draw.Point{X: at.X, Y: at.Y + h}),
		draw.Polygon(draw.Pen{}, draw.Black, []draw.Point{{X: at.X, Y: at.Y - 5.2}, {X: at.X + 1.8, Y: at.Y - 4.4}, {X: at.X, Y: at.Y - 3.6}}))
}

// coilBars draws one coil: what it is, and its lines.
func (s *set) coilBars(p *paper, c Coil, all []stretch, scale barScale) {
	p.need(14 + flagRoom + barHeight + noteRoom)
	s.barTitle(p, c)
	last := lineOf(cutEnd(all), scale)
	for line := range last + 1 {
		from := measure.Length(line) * scale.line
		b := bar{s: s, p: p, scale: scale, from: from, last: line == last}
		b.draw(all, c.Length)
	}
	p.y += 2
}

func (s *set) barTitle(p *paper, c Coil) {
	title := draw.Fit("COIL "+s.coilName(c), 11, true, p.width()*0.4)
	p.y += 5.5
	g := p.page.Layer("text")
	g.Add(draw.Text{At: draw.Point{X: p.left(), Y: p.y - 0.6}, Text: title, Size: 11, Bold: true})
	x := draw.Width(title, 11, true) + 4
	text := fmt.Sprintf("lot %s · %s · %s · holds %s · taken %s · tail %s", orNone(c.Lot, "-"), orNone(c.Colour, "-"),
		s.strip(c.Thickness, c.Width), s.long(c.Length), s.long(c.Used), s.long(c.Tail))
	g.Add(draw.Text{At: draw.Point{X: p.left() + x, Y: p.y - 0.6}, Text: draw.Fit(text, small, false, p.width()-x), Size: small})
	p.y += 1
}

// setups maps each piece to its set-up.
func setups(r Run) map[string]int {
	out := map[string]int{}
	for i, u := range r.Setups {
		for _, id := range u.Pieces {
			out[id] = i
		}
	}
	return out
}
