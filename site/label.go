package site

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Label is one label to print: a code and lines for people, the first the largest.
type Label struct {
	Code  string // the code's text
	Lines []string
}

// Keys are the keys of all pieces and blanks of a pack.
func (p *Pack) Keys() map[string]bool {
	out := map[string]bool{}
	for i := range p.Pieces {
		out[p.Pieces[i].Key] = true
	}
	for _, b := range p.Blanks {
		out[b.Key] = true
	}
	return out
}

// Labels makes a label for each piece that is to be cut, in the machine's order, or for
// each bundle in hanging order; of one wall and one set-up where these are named.
func (p *Pack) Labels(bundles bool, wall, setup string) []Label {
	if bundles {
		return p.bundleLabels(wall, setup)
	}
	byKey := map[string]*PackPiece{}
	for i := range p.Pieces {
		byKey[p.Pieces[i].Key] = &p.Pieces[i]
	}
	var out []Label
	for _, u := range p.Setups {
		for _, reel := range u.Reels {
			for _, key := range reel.Pieces {
				if q := byKey[key]; q != nil && (wall == "" || q.Wall == wall) && (setup == "" || q.Setup == setup) {
					out = append(out, p.pieceLabel(q))
				}
			}
		}
	}
	return out
}

// CoilLabels makes a label for each coil, whose code is its lot, or its id where no lot
// is known yet: the machine's screen takes either.
func (p *Pack) CoilLabels() []Label {
	var out []Label
	for _, c := range p.Coils {
		name, long, _ := strings.Cut(c.Name, ", ")
		lines := []string{name, long, "lot " + cmp.Or(c.Lot, "not known yet"), c.Colour + " · " + c.Width + " · " + c.Thickness}
		out = append(out, Label{cmp.Or(c.Lot, c.ID), slices.DeleteFunc(lines, func(l string) bool { return l == "" })})
	}
	return out
}

// madeOf is a piece's panel, texture and colour, as its set-up has their names.
func (p *Pack) madeOf(q *PackPiece) string {
	for _, u := range p.Setups {
		if u.ID == q.Setup {
			return u.PanelTitle + " · " + cmp.Or(u.Texture, "plain") + " · " + u.ColourTitle
		}
	}
	return q.Panel + " · " + q.Texture + " · " + q.Colour
}

func (p *Pack) pieceLabel(q *PackPiece) Label {
	return Label{CodeText(p.Job, q.Key), []string{
		q.Number, q.Length, fmt.Sprintf("%s · course %d · %s", q.Wall, q.Course, q.Zone), p.madeOf(q),
		fmt.Sprintf("%g lb, %d to carry", q.WeightLb, q.People),
	}}
}

// bundleLabels goes through the pieces in hanging order: a bundle's label stands where
// its first piece hangs, and a piece in no bundle has its own.
func (p *Pack) bundleLabels(wall, setup string) []Label {
	number, bundle := map[string]string{}, map[string]*PackBundle{}
	for i := range p.Pieces {
		number[p.Pieces[i].Key] = p.Pieces[i].Number
	}
	for i := range p.Bundles {
		for _, key := range p.Bundles[i].Pieces {
			bundle[key] = &p.Bundles[i]
		}
	}
	var out []Label
	for i := range p.Pieces {
		q := &p.Pieces[i]
		if q.Setup == "" || wall != "" && q.Wall != wall || setup != "" && q.Setup != setup {
			continue
		}
		switch b := bundle[q.Key]; {
		case b == nil:
			out = append(out, p.pieceLabel(q))
		case b.First == q.Key:
			out = append(out, Label{CodeText(p.Job, b.ID), []string{
				number[b.First] + " to " + number[b.Last], fmt.Sprintf("%d pieces · %s", b.Count, b.Wall), fmt.Sprintf("%g lb, %d to carry", b.WeightLb, b.People),
			}})
		}
	}
	return out
}
