package guillotine

import (
	"cmp"
	"slices"
)

// answer writes the best plan in the caller's terms.
func (s *slitter) answer(c Coil) Plan {
	out := Plan{Length: s.cost * s.unit, Count: len(s.best), Bound: min(s.lower, s.cost) * s.unit}
	out.Optimal = out.Bound == out.Length
	deal := &dealer{}
	for _, q := range s.sizes {
		deal.left = append(deal.left, slices.Clone(q.from))
	}
	for _, b := range s.best {
		out.Blanks = append(out.Blanks, s.blank(c, b, deal))
	}
	slices.SortStableFunc(out.Blanks, func(a, b Blank) int { return cmp.Compare(b.Length, a.Length) })
	for _, b := range out.Blanks {
		out.Slits += b.Slits(c.Width)
	}
	longest := s.extents[len(s.extents)-1].cost
	out.BlanksBound = int((s.cost + longest - 1) / longest)
	if s.proof.searched {
		out.BlanksBound = out.Count
	}
	out.BlanksProven = out.Optimal && out.BlanksBound == out.Count
	out.Proof = s.certificate(c)
	return out
}

// blank writes one load, its widest strips first, each with its longest pieces first.
func (s *slitter) blank(c Coil, b load, deal *dealer) Blank {
	out := Blank{Length: b.extent.cost * s.unit}
	for _, l := range b.lanes {
		strip := Strip{}
		for k := len(s.sizes) - 1; k >= 0; k-- {
			for _, cut := range deal.take(k, l.holds[k]) {
				p := c.Pieces[cut.Piece]
				strip.Width = p.Width
				strip.Used += p.Length * int64(cut.Count)
				strip.Cuts = append(strip.Cuts, cut)
			}
		}
		out.Strips = append(out.Strips, strip)
	}
	slices.SortStableFunc(out.Strips, func(a, b Strip) int {
		return cmp.Or(cmp.Compare(b.Width, a.Width), cmp.Compare(b.Used, a.Used))
	})
	return out
}

// certificate spreads the weights of sizes over the caller's pieces.
func (s *slitter) certificate(c Coil) Proof {
	p := s.proof
	out := Proof{Weight: make([]int64, len(c.Pieces)), Total: p.total, Least: p.cost * s.unit, Most: p.worth, Searched: p.searched || p.branched}
	for k, q := range s.sizes {
		for _, f := range q.from {
			if p.weight != nil {
				out.Weight[f.Piece] = p.weight[k]
			}
		}
	}
	return out
}
