package guillotine

import (
	"context"
	"testing"

	"pgregory.net/rapid"
)

// everySet is the most that n strips of one width are worth when they share their
// pieces, by leaving each piece out or putting it on each strip. It shares nothing
// with the tables.
func everySet(lengths []int, worth []int64, room int, strips []int) int64 {
	if len(lengths) == 0 {
		return 0
	}
	best := everySet(lengths[1:], worth[1:], room, strips)
	for i := range strips {
		if strips[i]+lengths[0] <= room {
			strips[i] += lengths[0]
			best = max(best, worth[0]+everySet(lengths[1:], worth[1:], room, strips))
			strips[i] -= lengths[0]
		}
	}
	return best
}

// TestSharedAgainstEverySet looks into every set of strips of a few pieces: what it
// states is what trying everything gives (to the slack that is not looked for), and
// the strips found hold what they are said to and no piece too often.
func TestSharedAgainstEverySet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Coil{Width: 4, Longest: rapid.Int64Range(6, 20).Draw(t, "longest"), Step: 1}
		for range rapid.IntRange(1, 6).Draw(t, "pieces") {
			c.Pieces = append(c.Pieces, Piece{Width: 1, Length: rapid.Int64Range(1, min(12, c.Longest)).Draw(t, "l"), Count: 1})
		}
		s, err := newSlitter(c)
		if err != nil {
			t.Fatal(err)
		}
		s.meter = newMeter(context.Background(), 0)
		var count []int
		var weight, worth []int64
		var lengths []int
		for _, q := range s.sizes {
			w := rapid.Int64Range(0, 60).Draw(t, "weight")
			count, weight = append(count, q.count), append(weight, w)
			for range q.count {
				lengths, worth = append(lengths, q.length), append(worth, w)
			}
		}
		h := newShared(s.newPrices())
		h.prices(weight, count)
		for e := len(s.extents) - 1; e >= 0; e-- {
			for n := 1; n <= h.p.most[0]; n++ {
				at := n*len(s.extents) + e
				if !h.exact[0][at] {
					h.lookInto(0, n, e)
				}
				want := everySet(lengths, worth, s.extents[e].cells, make([]int, n))
				if got := h.p.value[0][at]; got != want {
					t.Fatalf("%d strips of %d: worth %d, trying everything gives %d", n, s.extents[e].cells, got, want)
				}
				judgeSet(t, s, h.fill[0][at], count, weight, n, s.extents[e].cells, want)
			}
		}
	})
}

func judgeSet(t *rapid.T, s *slitter, strips [][]int, count []int, weight []int64, n, room int, want int64) {
	worth, taken := int64(0), make([]int, len(count))
	for _, strip := range strips {
		along := 0
		for k, m := range strip {
			along += m * s.sizes[k].length
			taken[k] += m
			worth += int64(m) * weight[k]
		}
		if along > room {
			t.Errorf("a strip %d long on %d", along, room)
		}
	}
	for k, m := range taken {
		if m > count[k] {
			t.Errorf("size %d taken %d times of %d", k, m, count[k])
		}
	}
	if len(strips) > n || worth != want {
		t.Errorf("%d strips of %d, worth %d of %d", len(strips), n, worth, want)
	}
}
