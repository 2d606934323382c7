package guillotine_test

import (
	"math"
	"testing"

	"coilwright/guillotine"

	"pgregory.net/rapid"
)

// drawSeats draws some pieces of one width, and lanes for them.
func drawSeats(t *rapid.T) (lengths, count, rooms []int) {
	length := 0
	for range rapid.IntRange(1, 4).Draw(t, "sizes") {
		length += rapid.IntRange(1, 9).Draw(t, "more")
		lengths = append(lengths, length)
		count = append(count, rapid.IntRange(0, 3).Draw(t, "count"))
	}
	for range rapid.IntRange(1, 4).Draw(t, "lanes") {
		rooms = append(rooms, rapid.IntRange(1, 70).Draw(t, "room"))
	}
	return lengths, count, rooms
}

// canSeat tries every lane for every piece.
func canSeat(lengths, count, rooms []int) bool {
	k := 0
	for k < len(count) && count[k] == 0 {
		k++
	}
	if k == len(count) {
		return true
	}
	count[k]--
	defer func() { count[k]++ }()
	for i := range rooms {
		if rooms[i] < lengths[k] {
			continue
		}
		rooms[i] -= lengths[k]
		ok := canSeat(lengths, count, rooms)
		rooms[i] += lengths[k]
		if ok {
			return true
		}
	}
	return false
}

// TestSeats: pieces find their lanes exactly where trying every lane finds them, each
// piece once and no lane over its room.
func TestSeats(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lengths, count, rooms := drawSeats(t)
		strips, all := guillotine.SeatPieces(lengths, count, rooms)
		if can := canSeat(lengths, count, rooms); can != (strips != nil) || !all {
			t.Fatalf("lanes %v for %v of %v: %v, found %v", rooms, count, lengths, can, strips)
		}
		if strips == nil {
			return
		}
		for i, strip := range strips {
			for k, n := range strip {
				rooms[i] -= n * lengths[k]
				count[k] -= n
			}
			if rooms[i] < 0 {
				t.Fatalf("lane %d is over its room by %d", i, -rooms[i])
			}
		}
		for k, n := range count {
			if n != 0 {
				t.Fatalf("%d of size %d are left", n, k)
			}
		}
	})
}

// TestDualMethod: a row added to a programme that is solved costs by the dual method
// what it costs when all is solved afresh.
func TestDualMethod(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.IntRange(2, 6).Draw(t, "rows")
		var need []int
		for range rows {
			need = append(need, rapid.IntRange(0, 9).Draw(t, "need"))
		}
		if rapid.Bool().Draw(t, "at most") {
			need[rows-1] *= -1
		}
		var cost []float64
		var columns [][]int
		for range rapid.IntRange(1, 12).Draw(t, "columns") {
			cost = append(cost, float64(rapid.IntRange(1, 20).Draw(t, "cost")))
			c := make([]int, rows)
			for i := range c {
				c[i] = rapid.IntRange(0, 3).Draw(t, "holds")
			}
			if need[rows-1] < 0 {
				c[rows-1] *= -1
			}
			columns = append(columns, c)
		}
		dual, primal, ok := guillotine.TwoWays(need, cost, columns)
		if !ok || math.Abs(dual-primal) > 1e-6*(1+primal) {
			t.Fatalf("dual %v, primal %v, ended %v", dual, primal, ok)
		}
	})
}

// TestSeatsSayWhenTheyGiveUp: three odd lengths on an even lane waste one at least, so 20
// lanes with 18 to spare never hold them; but too many strips would have to be tried, and
// then it is not said that all were.
func TestSeatsSayWhenTheyGiveUp(t *testing.T) {
	var lengths, rooms []int
	count := []int{5, 5, 5, 5, 9, 1, 5, 10, 0, 5, 5, 5}
	for i := range count {
		lengths = append(lengths, 101+2*i)
	}
	for range 20 {
		rooms = append(rooms, 336)
	}
	if strips, all := guillotine.SeatPieces(lengths, count, rooms); strips != nil || all {
		t.Errorf("found %v, all tried: %v", strips, all)
	}
}
