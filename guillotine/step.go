package guillotine

import "slices"

// move puts a shape in the place of a blank. The place may be a new one, and the shape
// none.
type move struct{ place, shape int }

// step tries one move, or two at once: blanks longer or shorter, their lanes others, one
// more blank or one less. It says whether they were made.
func (g *walker) step(heat float64) bool {
	n := len(g.shapes)
	a, b := g.luck.below(n), g.luck.below(n)
	x, y := g.shapes[a], g.shapes[b]
	k := g.luck.below(20)
	switch {
	case k < 5:
		return g.make(heat, move{a, g.longer(x)})
	case k < 8:
		return g.make(heat, move{a, g.other(x)})
	case k < 11:
		return g.make(heat, move{a, g.longer(g.other(x))})
	case a == b:
		return false
	case k < 14:
		return g.make(heat, move{a, g.longer(x)}, move{b, g.longer(y)})
	case k < 17:
		x, y = g.traded(x, y)
		if g.luck.below(2) == 0 {
			x, y = g.longer(x), g.longer(y)
		}
		return g.make(heat, move{a, x}, move{b, y})
	case k < 18:
		P := len(g.t.setups)
		return g.make(heat, move{a, x/P*P + y%P}, move{b, y/P*P + x%P})
	case k < 19:
		return g.make(heat, move{anew, g.other(g.luck.below(len(g.t.s.extents) * len(g.t.setups)))}, move{a, g.longer(x)})
	}
	return g.make(heat, move{b, g.longer(y)}, move{a, noShape})
}

// longer is a shape that is some extents longer, or shorter.
func (g *walker) longer(at int) int {
	P, by := len(g.t.setups), 1+g.luck.below(1+g.luck.below(12))
	if g.luck.below(2) == 0 {
		by = -by
	}
	return min(len(g.t.s.extents)-1, max(0, at/P+by))*P + at%P
}

// other is a shape of the same extent, mostly one that loses little and differs little.
func (g *walker) other(at int) int {
	P := len(g.t.setups)
	if near := g.near[at/P]; len(near) > 1 && g.luck.below(seldom) > 0 {
		far := g.luck.below(4) == 0
		for range draws {
			i := near[g.luck.below(len(near))]
			if i != at%P && (far || apart(g.t.setups[i], g.t.setups[at%P]) <= kinship) {
				return at/P*P + i
			}
		}
	}
	kin := g.kin[at%P]
	if len(kin) == 0 || g.luck.below(4) == 0 {
		return at/P*P + g.luck.below(P)
	}
	return at/P*P + kin[g.luck.below(len(kin))]
}

// make makes moves where what they cost is let pass.
func (g *walker) make(heat float64, moves ...move) bool {
	t, P := g.t, len(g.t.setups)
	cost := int64(0)
	for _, m := range moves {
		if m.place != anew {
			cost -= t.s.extents[g.shapes[m.place]/P].cost
		}
		if m.shape != noShape {
			cost += t.s.extents[m.shape/P].cost
		}
	}
	most := (heat*g.passed[g.luck.below(len(g.passed))]-float64(cost))/perShort + g.short()
	if !g.passes(moves, most) {
		return false
	}
	g.cost += cost
	for _, m := range moves {
		switch {
		case m.place == anew:
			g.shapes = append(g.shapes, m.shape)
		case m.shape == noShape:
			g.shapes = slices.Delete(g.shapes, m.place, m.place+1)
		default:
			g.shapes[m.place] = m.shape
		}
	}
	return true
}

// traded are two shapes of the same extents that differ little: of a few draws the first in
// which no width loses lanes on the whole, or one width one.
func (g *walker) traded(x, y int) (i, j int) {
	P, all := len(g.t.setups), g.t.setups
	for range trades {
		i, j = g.other(x), g.other(y)
		lost := 0
		for w := range all[0] {
			lost += max(0, all[x%P][w]+all[y%P][w]-all[i%P][w]-all[j%P][w])
		}
		if lost <= 1 {
			break
		}
	}
	return i, j
}
