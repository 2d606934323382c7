package proposal

import (
	"fmt"
	"strings"
	"time"

	"coilwright/colour"
	"coilwright/draw"
	"coilwright/job"
)

// Match is a request to whoever paints the coil: a colour after an owner's chip.
type Match struct {
	Chip   string // what the owner calls it
	Sample colour.Sample
	Near   []Near // stock colours, nearest first
	Notes  []string
	Date   time.Time
}

// Near is one stock colour beside the chip.
type Near struct {
	Title       string
	Linear      colour.Linear
	Off, Chance float64
}

// PhoneWords are what a reading by a phone is worth.
var PhoneWords = []string{
	"Read from a phone's photo: a phone is no spectrophotometer. Its three colour filters are not the eye's, so two surfaces that match in the photo may differ by eye, and two that match in daylight may part under a lamp (metamerism).",
	"Send the chip itself. Let it be measured with a spectrophotometer, matched on the same steel and gloss, and approve a painted sample in daylight beside the house before any coil is ordered.",
}

// heading of the request, the same in text and on paper.
const matchTitle = "Request for a custom colour match"

// labText is L*a*b* to a tenth, which is finer than any phone sees.
func labText(c colour.Lab) string {
	return fmt.Sprintf("L* %.1f, a* %.1f, b* %.1f (D65, 2 degree observer)", c.L, c.A, c.B)
}

func (m Match) name() string {
	if m.Chip == "" {
		return "the owner's chip"
	}
	return m.Chip
}

// facts are the request's lines: what, and its value.
func (m Match) facts(j *job.Job) [][2]string {
	return [][2]string{
		{"House", j.Title}, {"Colour wanted", m.name()}, {"Read as", labText(m.Sample.Lab)},
		{"Uncertain by", fmt.Sprintf("about %.1f in CIEDE2000, one standard deviation", m.Sample.Uncertainty)}, {"Date", dateText(m.Date)},
	}
}

// MatchText is the request as plain text, for a letter.
func MatchText(j *job.Job, m Match) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n%s\n\n", j.Offer.Letterhead.Name, matchTitle)
	for _, f := range m.facts(j) {
		fmt.Fprintf(&b, "%-14s %s\n", f[0]+":", f[1])
	}
	b.WriteString("\nNearest stock colours:\n")
	for _, n := range m.Near {
		fmt.Fprintf(&b, "  %-22s %4.1f off (CIEDE2000), nearest with a chance of %.0f %%\n", n.Title, n.Off, 100*n.Chance)
	}
	b.WriteString("\n")
	for _, p := range append(append([]string{}, PhoneWords...), m.Notes...) {
		b.WriteString(p + "\n\n")
	}
	return b.String()
}

// MatchRequest draws the request on a page.
func MatchRequest(j *job.Job, m Match) ([]byte, error) {
	p := newPaper(j, matchTitle, m.Date, 0)
	p.turn(matchTitle)
	p.letterhead()
	p.y += 12
	p.words(left, p.y+4, matchTitle, head, true, black)
	p.y += 12
	for _, f := range m.facts(j) {
		p.y += 6
		p.words(left, p.y, f[0], body, false, soft)
		p.words(left+34, p.y, draw.Fit(f[1], body, true, p.width()-34), body, true, black)
	}
	p.y += 8
	p.swatches(m)
	p.table([]column{{title: "Stock colour", share: 50}, {title: "Off (CIEDE2000)", share: 25, right: true}, {title: "Chance to be the nearest", share: 25, right: true}}, m.rows())
	p.y += 4
	for _, text := range append(append([]string{}, PhoneWords...), m.Notes...) {
		p.para(text, body, false, black)
	}
	return p.finish()
}

func (m Match) rows() (out [][]string) {
	for _, n := range m.Near {
		out = append(out, []string{n.Title, fmt.Sprintf("%.1f", n.Off), fmt.Sprintf("%.0f %%", 100*n.Chance)})
	}
	return out
}

// swatches draws the chip as it was read beside the nearest stock colours, edge on
// edge. Paper and screen show them only roughly.
func (p *paper) swatches(m Match) {
	const h = 22.0
	p.need(h + 14)
	all := []Near{{Title: "As read", Linear: colour.Show(m.Sample.Lab, colour.D65).Light}}
	all = append(all, m.Near[:min(3, len(m.Near))]...)
	w := p.width() / float64(len(all))
	for i, n := range all {
		r := draw.Rect{X: p.x() + float64(i)*w, Y: p.y, W: w, H: h}
		p.page.Layer("marks").Add(r.Path(draw.Pen{}, ink(n.Linear)))
		p.words(r.X, r.Y+h+4.5, draw.Fit(n.Title, tiny, false, w-2), tiny, false, soft)
	}
	p.y += h + 10
}
