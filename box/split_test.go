package box

import (
	"math/rand/v2"
	"testing"

	"coilwright/measure"
)

// The places that a search by halves finds are those of walking on step by step, and
// joints a section apart stand at the first place where all of them may.
func TestPlacesBetweenBars(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	free := func(x measure.Length, bars []span) bool {
		for _, b := range bars {
			if x > b.low && x < b.high {
				return false
			}
		}
		return true
	}
	for range 3000 {
		m := &model{Rules: Rules{Step: 1 + measure.Length(r.IntN(3)), Shortest: 1}, section: 30}
		var bars []span
		for range r.IntN(8) {
			low := measure.Length(r.IntN(120))
			bars = append(bars, span{low, low + measure.Length(r.IntN(12))})
		}
		bars = merged(bars)
		for x := measure.Length(-3); x < 140; x++ {
			low, high := x.FloorTo(m.Step), x.CeilTo(m.Step)
			for !free(low, bars) {
				low -= m.Step
			}
			for !free(high, bars) {
				high += m.Step
			}
			if got := m.below(x, bars); got != low {
				t.Fatalf("below %d, step %d, bars %v: %d, want %d", x, m.Step, bars, got, low)
			}
			if got := m.above(x, bars); got != high {
				t.Fatalf("above %d, step %d, bars %v: %d, want %d", x, m.Step, bars, got, high)
			}
		}
		m.Step = 1
		m.strips = []strip{{length: measure.Length(40 + r.IntN(100))}}
		n := m.fewest(m.strips[0].length) + r.IntN(2)
		for _, down := range [2]bool{false, true} {
			from, to := m.first(0, n)
			a := from + measure.Length(r.IntN(int(max(1, to-from+1))))
			want, by := a, measure.Length(1)
			if down {
				by = -1
			}
			for k := 0; k < n-1 && want >= from && want <= to; k++ {
				if !free(want+measure.Length(k)*m.section, bars) {
					want, k = want+by, -1
				}
			}
			got, ok := m.rigid(0, n, a, down, bars, nil)
			if ok != (want >= from && want <= to) || ok && (len(got) != n-1 || got[0] != want) {
				t.Fatalf("%d pieces from %d, down %v, bars %v: %v %v, want %d of %d to %d", n, a, down, bars, got, ok, want, from, to)
			}
		}
	}
}

// The lightest division is the least over every number of small and large pieces.
func TestLightestOfAllDivisions(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	some := 0
	for range 20_000 {
		m := &model{section: measure.Length(20 + r.IntN(100))}
		m.Rules = Rules{Step: 1, Lap: measure.Length(r.IntN(5)), Shortest: measure.Length(r.IntN(40)), Extra: r.IntN(3)}
		m.strips = []strip{{length: m.section + 1 + measure.Length(r.IntN(400))}}
		m.strips[0].fewest = m.fewest(m.strips[0].length)
		limit := 1 + measure.Length(r.IntN(int(m.section)/2))
		want := measure.Length(-1)
		for n := m.strips[0].fewest; n <= m.most(0); n++ {
			for small := 0; small <= n && (small == 0 || m.Shortest < limit); small++ {
				for large := 0; small+large <= n; large++ {
					if w, ok := m.mixed(m.total(0, n), n, small, large, limit); ok && (want < 0 || w < want) {
						want = w
					}
				}
			}
		}
		if want > 0 {
			some++
		}
		if got := m.lightest(0, limit); got != max(want, 0) {
			t.Fatalf("%+v, limit %d: %d, want %d", m, limit, got, want)
		}
	}
	if some < 1000 {
		t.Errorf("only %d have a division", some)
	}
}
