package box

import (
	"context"
	"slices"

	"coilwright/measure"
	"coilwright/pack"
)

// Lay lays strips in sections of one length by the rules: fewest rules broken, then
// fewest sections, then fewest joints. Errors match ErrRules.
func Lay(strips []Strip, section measure.Length, r Rules) (*Plan, error) {
	if err := r.check(section); err != nil {
		return nil, err
	}
	p := &Plan{Length: section, Optimal: true}
	for _, mine := range groups(strips) {
		m := newModel(strips, mine, section, r)
		bound := m.bound()
		h, whole, all := m.packWhole()
		if bound = max(bound, whole); !all {
			h = m.search(strips, bound)
		}
		p.group(strips, h, bound)
	}
	return p, nil
}

// groups lists the strips of each kind of section, in the order of hanging.
func groups(strips []Strip) [][]int {
	var out [][]int
	at := map[Like]int{}
	for i, s := range strips {
		k, ok := at[s.Like]
		if !ok {
			k = len(out)
			at[s.Like] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	for _, g := range out {
		slices.SortStableFunc(g, func(a, b int) int { return compareStrips(strips[a], strips[b]) })
	}
	return out
}

// search is the best plan of the group, looked at from the front and from behind,
// so that a mirrored house takes as many sections.
func (m *model) search(all []Strip, bound int) *hand {
	h := newSearch(m, bound).run()
	back := m.mirrored(all)
	s := newSearch(back, bound)
	if s.done(h) {
		return h
	}
	if b := s.run(); better(b.rank(false), h.rank(false)) {
		return b.unmirrored(m)
	}
	return h
}

// unmirrored turns a plan for the mirrored strips into one for m.
func (h *hand) unmirrored(m *model) *hand {
	out := newHand(m)
	to := map[int]int{} // place in m by the caller's index
	for k, i := range m.source {
		to[i] = k
	}
	for k := range h.laid {
		l := h.laid[k]
		var at split
		for j := len(l.joints) - 1; j >= 0; j-- {
			at = append(at, h.strips[k].length-l.joints[j]+m.Lap)
		}
		bins := slices.Clone(l.bins)
		slices.Reverse(bins)
		for _, b := range bins {
			for len(out.bins) <= b {
				out.bins = append(out.bins, bin{})
			}
		}
		out.place(to[h.source[k]], at, bins, l.broken)
	}
	return out
}

// wholeSteps bounds the exact solver's work: some hundredths of a second.
const wholeSteps = 20_000_000

// packWhole packs the strips that take one piece each: plain cutting stock, solved
// exactly where the work allows. The bound holds for the whole group, since joined
// strips cannot make room; all says that there are no others.
func (m *model) packWhole() (h *hand, bound int, all bool) {
	h = newHand(m)
	p := pack.Problem{Stocks: []pack.Stock{{Length: int64(m.section / m.Step), Count: -1}}, Steps: wholeSteps}
	var mine []int
	for i, s := range m.strips {
		if s.fewest == 1 {
			mine = append(mine, i)
			p.Items = append(p.Items, pack.Item{Length: int64(s.length / m.Step), Count: 1})
		}
	}
	plan, err := pack.Solve(context.Background(), p)
	if err != nil { // the work ended before any plan
		return h, 0, false
	}
	for _, b := range plan.Bins {
		k := h.fresh()
		for _, q := range b.Pieces {
			h.place(mine[q.Item], nil, []int{k}, 0)
		}
	}
	return h, plan.Bound.Bins, len(mine) == len(m.strips)
}

// group writes a group's plan in hand into p.
func (p *Plan) group(strips []Strip, h *hand, bound int) {
	g := Group{Like: strips[h.source[0]].Like, Strips: len(h.source), Need: h.need(), Sections: h.sections,
		Bare: h.bare(), Bound: bound, Joints: h.joints, FewestJoints: h.fewestJoints()}
	if h.broken > 0 {
		g.Bound, g.FewestJoints = g.Bare, 0
		for i := range h.strips {
			g.FewestJoints += h.strips[i].fewest - 1
		}
	}
	g.Optimal = g.Sections == g.Bound
	for _, b := range h.bins {
		if b.open {
			s := h.sectionOf(b, g.Like, p.Length)
			p.Sections = append(p.Sections, s)
			p.Pieces += len(s.Parts)
			p.Bought += p.Length
			p.Offcut += s.Left
		}
	}
	for i, l := range h.laid {
		if l.broken > 0 {
			p.Compromises = append(p.Compromises, Compromise{h.source[i], [...]Rule{MorePieces, NearCorner, NotApart, TooShort}[l.broken-1]})
		}
	}
	p.Laps += measure.Length(g.Joints) * h.Lap
	p.add(g)
}

func (h *hand) sectionOf(b bin, like Like, length measure.Length) Section {
	s := Section{Like: like, Left: length}
	for _, c := range b.cuts {
		at := h.laid[c.strip].joints
		from := measure.Length(0)
		if c.n > 0 {
			from = at[c.n-1] - h.Lap
		}
		q := Part{Strip: h.source[c.strip], N: c.n, From: from, Length: h.piece(c.strip, at, c.n)}
		s.Left -= q.Length
		s.Parts = append(s.Parts, q)
	}
	return s
}
