package guillotine

import "slices"

// lack is what the lanes of a width hold beyond each of its demands, in cost: of coil as
// wide as the lanes that are missing, and as long.
type lack struct {
	have, next   []float64
	strip        []float64 // [extent*demands+demand]
	most, coming float64   // the most that lanes fall short by, of have and of next
	changes      []change
	ended        []int // how often each demand ended the weighing
}

// change is lanes of an extent, more or less.
type change struct {
	extent int
	lanes  float64
}

// weigh sets up what the lanes of a width hold of its demands.
func (g *walker) weigh(w int) {
	t, l := g.t, &g.lacks[w]
	l.order(t.demands[w])
	all, P := t.demands[w], len(t.setups)
	l.have, l.next = make([]float64, len(all)), make([]float64, len(all))
	l.strip = make([]float64, len(all)*len(t.s.extents))
	area := float64(t.s.extents[len(t.s.extents)-1].cost) * float64(t.s.widths[w]) / float64(t.s.width)
	for i, d := range all {
		one := area / float64(d.unit)
		l.have[i] = -one * float64(d.need)
		for e, v := range d.strip {
			l.strip[e*len(all)+i] = one * float64(v)
		}
		for _, at := range g.shapes {
			l.have[i] += float64(t.setups[at%P][w]) * l.strip[at/P*len(all)+i]
		}
	}
	l.most = 0
	for _, v := range l.have {
		l.most = max(l.most, -v)
	}
	t.s.meter.spend(len(l.strip) + len(all)*len(g.shapes))
}

// short is what all lanes are short of.
func (g *walker) short() (sum float64) {
	for i := range g.lacks {
		sum += g.lacks[i].most
	}
	return sum
}

// passes says whether the lanes are short of no more than most after the moves, and keeps
// then what they hold.
func (g *walker) passes(moves []move, most float64) bool {
	if most < 0 {
		return false
	}
	for w := range g.lacks {
		l := &g.lacks[w]
		l.coming = l.most
		if g.changed(w, moves); len(l.changes) > 0 {
			g.t.s.meter.spend(l.weigh(most) * len(l.changes))
		}
		if most -= l.coming; most < 0 {
			g.t.s.meter.spend(40)
			return false
		}
	}
	g.t.s.meter.spend(60)
	for w := range g.lacks {
		if l := &g.lacks[w]; len(l.changes) > 0 {
			l.have, l.next, l.most = l.next, l.have, l.coming
		}
	}
	return true
}

// changed lists the lanes of a width that moves change.
func (g *walker) changed(w int, moves []move) {
	t, P, l := g.t, len(g.t.setups), &g.lacks[w]
	l.changes = l.changes[:0]
	for _, m := range moves {
		from, to, gone, come := 0, 0, 0, 0
		if m.place != anew {
			from, gone = g.shapes[m.place]/P, t.setups[g.shapes[m.place]%P][w]
		}
		if m.shape != noShape {
			to, come = m.shape/P, t.setups[m.shape%P][w]
		}
		if from == to {
			come, gone = come-gone, 0
		}
		if gone != 0 {
			l.changes = append(l.changes, change{from, -float64(gone)})
		}
		if come != 0 {
			l.changes = append(l.changes, change{to, float64(come)})
		}
	}
}

// weigh works out what the lanes hold after the changes; it ends early where they are
// short of more than most, and says how many demands it looked at.
func (l *lack) weigh(most float64) int {
	D := len(l.have)
	next, worst := l.next[:D], 0.0
	for i, v := range l.have {
		for _, c := range l.changes {
			v += c.lanes * l.strip[c.extent*D+i]
		}
		if next[i] = v; -v > worst {
			if worst = -v; worst > most {
				l.coming = worst
				l.ended[i]++
				return i + 1
			}
		}
	}
	l.coming = worst
	return D
}

// order puts those demands first that have ended the weighing most often.
func (l *lack) order(all []*demand) {
	ended := make(map[*demand]int, len(all))
	for i, n := range l.ended {
		ended[all[i]] = n
	}
	slices.SortStableFunc(all, func(a, b *demand) int { return ended[b] - ended[a] })
	l.ended = l.ended[:0]
	for _, d := range all {
		l.ended = append(l.ended, ended[d])
	}
}
