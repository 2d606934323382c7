package box

import (
	"cmp"
	"slices"

	"coilwright/measure"
)

// search improves a plan in hand: it takes the strips of a few sections out, lays
// them anew, and keeps what is no worse (ruin and recreate: Schrimpf et al. 2000,
// from memory). All chance comes from a fixed seed,
// and work is counted, so that the same strips give the same plan everywhere.
type search struct {
	inserter
	bound, fewest int
	limit         int   // of work
	heat          int64 // how much worse gathered remnants may be, in steps squared
	saving        bool  // sections first; else joints
	jointed       []int // strips with joints
	was           []kept
	chosen        []int // buffers of step, as is was
	turned        []int
}

func newSearch(m *model, bound int) *search {
	s := &search{bound: bound, fewest: m.fewestJoints(), limit: m.Work}
	if m.Work == 0 {
		s.limit = UsualWork
	}
	s.hand, s.chance = newHand(m), chance{1}
	s.joint = m.Lap
	for i, t := range m.strips {
		if t.fewest > 1 {
			s.jointed = append(s.jointed, i)
		}
	}
	return s
}

// begin lays all strips once, in the order given.
func (s *search) begin(order []int) {
	s.hand = newHand(s.model)
	for _, i := range order {
		s.insert(i)
	}
}

// orders are those in which a crew might lay strips: short ones first and the
// joined ones from their offcuts, the joined ones first, or as they hang.
func (m *model) orders() [][]int {
	hanging := make([]int, len(m.strips))
	for i := range hanging {
		hanging[i] = i
	}
	whole := func(i int) bool { return m.strips[i].fewest == 1 }
	by := func(f func(a, b int) int) []int {
		out := slices.Clone(hanging)
		slices.SortStableFunc(out, f)
		return out
	}
	longest := func(a, b int) int {
		if !whole(a) {
			return 0 // joined strips stay in the order of hanging
		}
		return cmp.Compare(m.strips[b].length, m.strips[a].length)
	}
	return [][]int{
		by(func(a, b int) int { return cmp.Or(boolean(whole(b))-boolean(whole(a)), longest(a, b)) }),
		by(func(a, b int) int { return cmp.Or(boolean(whole(a))-boolean(whole(b)), longest(a, b)) }),
		hanging,
	}
}

func boolean(b bool) int {
	if b {
		return 1
	}
	return 0
}

// run gives the best plan found.
func (s *search) run() *hand {
	var best *hand
	for _, order := range s.orders() {
		s.begin(order)
		if best == nil || better(s.rank(true), best.rank(true)) {
			best = s.hand
		}
		if s.done(best) || s.work > 10*s.limit {
			break
		}
	}
	s.hand = best
	s.blink = true
	s.improve(true, s.limit)
	s.improve(false, s.limit)
	return s.hand
}

// done says that nothing can be better than h.
func (s *search) done(h *hand) bool {
	return h.broken == 0 && h.sections <= s.bound && h.joints <= s.fewest
}

// improve works until the work is done or nothing is left to gain: sections while
// saving, joints after that. It cools down on the way.
func (s *search) improve(saving bool, work int) {
	s.saving = saving
	whole := int64(s.section / s.Step)
	for until := s.work + work; s.work < until && !s.done(s.hand); {
		if saving && s.broken == 0 && s.sections <= s.bound {
			return
		}
		left := int64(until-s.work) * 1000 / int64(work)
		s.heat = whole * whole / 12 * left / 1000 * int64(s.upTo(1000)) / 1000
		s.wild = s.broken > 0 && s.one(2)
		if !saving { // now a joint costs little, now as much as a section
			s.joint = max(s.Lap, s.section>>s.upTo(6))
		}
		s.step()
		s.slides()
	}
}

// kept is a strip's place before it was taken out.
type kept struct {
	strip  int
	joints split
	bins   []int
	broken int
}

// step takes some strips out, lays them anew, and undoes that if the plan got worse.
func (s *search) step() {
	before := s.rank(s.saving)
	out := s.choose()
	s.work += len(out)
	for n, i := range out {
		if n == len(s.was) {
			s.was = append(s.was, kept{})
		}
		k, l := &s.was[n], &s.laid[i]
		k.strip, k.broken = i, l.broken
		k.joints, k.bins = append(k.joints[:0], l.joints...), append(k.bins[:0], l.bins...)
		s.take(i)
	}
	for _, i := range s.arranged(out) {
		s.insert(i)
	}
	if s.accepts(before, s.rank(s.saving)) {
		return
	}
	for _, i := range out {
		s.take(i)
	}
	for _, k := range s.was[:len(out)] {
		s.place(k.strip, k.joints, k.bins, k.broken)
	}
}

// accepts says whether a plan may take the place of another: no more rules broken,
// sections or joints, and remnants gathered as well as before or, within what heat
// allows, a little worse, so that the search does not stick.
func (s *search) accepts(before, after [4]int64) bool {
	if !better(before, after) {
		return true
	}
	if before[0] != after[0] || before[1] != after[1] {
		return false
	}
	if s.saving {
		return after[2]-before[2] < s.heat
	}
	return before[2] == after[2] && after[3]-before[3] < s.heat
}

// choose picks strips to lay anew: those of a few sections, of which sections with
// much left are likelier, and now and then the neighbours of one.
func (s *search) choose() []int {
	out := s.chosen[:0]
	add := func(i int) {
		if !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	if !s.saving {
		if i, ok := s.dear(); ok {
			add(i)
		}
	}
	for range 1 + s.upTo(4) {
		for _, c := range s.bins[s.pick()].cuts {
			add(c.strip)
		}
	}
	if i := out[s.upTo(len(out))]; s.one(3) {
		for _, j := range s.strips[i].near {
			add(j)
		}
	}
	s.chosen = out
	return out
}

// dear finds a strip with more joints than it needs, trying a few.
func (s *search) dear() (int, bool) {
	for range min(20, len(s.jointed)) {
		if i := s.jointed[s.upTo(len(s.jointed))]; len(s.laid[i].joints) >= s.strips[i].fewest {
			return i, true
		}
	}
	return 0, false
}

// pick chooses an open section, the emptiest of three.
func (s *search) pick() int {
	best := -1
	for tries := 0; tries < 3; {
		k := s.upTo(len(s.bins))
		if !s.bins[k].open {
			continue
		}
		if tries++; best < 0 || s.bins[k].left > s.bins[best].left {
			best = k
		}
	}
	return best
}

// arranged puts strips into an order to lay them in.
func (s *search) arranged(in []int) []int {
	out := append(s.turned[:0], in...)
	s.turned = out
	for k := range out {
		j := s.upTo(k + 1)
		out[k], out[j] = out[j], out[k]
	}
	length := func(i int) measure.Length { return s.strips[i].length }
	switch s.upTo(4) {
	case 0:
		slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(length(b), length(a)) })
	case 1: // whole strips first, the longest of them first
		slices.SortStableFunc(out, func(a, b int) int {
			wa, wb := boolean(s.strips[a].fewest == 1), boolean(s.strips[b].fewest == 1)
			return cmp.Or(wb-wa, wa*cmp.Compare(length(b), length(a)))
		})
	case 2:
		slices.SortStableFunc(out, func(a, b int) int {
			return cmp.Compare(boolean(s.strips[a].fewest == 1), boolean(s.strips[b].fewest == 1))
		})
	}
	return out
}
