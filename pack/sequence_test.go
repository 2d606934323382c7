package pack_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"coilwright/pack"
)

// judgeLine re-checks a sequence on its own figures: every piece once, no bin
// over its length, tails as said, and every piece among the first of its class
// that were not yet cut.
func judgeLine(l pack.Line, c pack.Cut) error {
	seen := make([]int, len(l.Pieces))
	window := l.Window
	if window == 0 {
		window = 24
	}
	for b, bin := range c.Bins {
		used, classes := int64(0), map[int]bool{}
		for _, i := range bin {
			waiting := 0
			for j := range i {
				if seen[j] == 0 && l.Pieces[j].Class == l.Pieces[i].Class {
					waiting++
				}
			}
			if waiting >= window {
				return fmt.Errorf("piece %d is cut while %d before it wait", i, waiting)
			}
			seen[i]++
			used += l.Pieces[i].Length
			classes[l.Pieces[i].Class] = true
		}
		used += l.Setup * int64(len(classes))
		if l.Bins[b]-used != c.Tails[b] || c.Tails[b] < 0 {
			return fmt.Errorf("bin %d: %d used of %d, tail %d", b, used, l.Bins[b], c.Tails[b])
		}
	}
	for _, i := range c.Uncut {
		seen[i]++
	}
	if i := slices.IndexFunc(seen, func(n int) bool { return n != 1 }); i >= 0 {
		return fmt.Errorf("piece %d stands %d times", i, seen[i])
	}
	return nil
}

// houseLine is pieces of 1 to 50 ft, in sixteenths of an inch, on coils of 480 to 1000 ft.
func houseLine(r *rand.Rand, n int) pack.Line {
	const ft = 192
	var l pack.Line
	total := int64(0)
	for range n {
		p := pack.LinePiece{Length: ft + r.Int64N(49*ft+1)}
		total += p.Length
		l.Pieces = append(l.Pieces, p)
	}
	for total > -2000*ft {
		b := (480 + r.Int64N(521)) * ft
		total -= b
		l.Bins = append(l.Bins, b)
	}
	return l
}

// TestSequenceEmptiesCoils: of the finished coils, 99 in 100 keep at most a
// sixteenth of an inch, with cutting inside a window of 24.
func TestSequenceEmptiesCoils(t *testing.T) {
	finished, empty := 0, 0
	for seed := range uint64(40) {
		l := houseLine(rand.New(rand.NewPCG(seed, 24)), 400)
		c, err := pack.Sequence(l)
		if err != nil {
			t.Fatal(err)
		}
		if err := judgeLine(l, c); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if len(c.Uncut) > 0 || c.Farthest > 24 {
			t.Errorf("seed %d: %d uncut, farthest %d", seed, len(c.Uncut), c.Farthest)
		}
		for _, tail := range c.Tails[:len(c.Tails)-1] {
			finished++
			if tail <= 1 {
				empty++
			}
		}
	}
	t.Logf("%d of %d finished coils keep at most 1/16 in", empty, finished)
	if empty*100 < finished*99 {
		t.Errorf("only %d of %d finished coils are emptied", empty, finished)
	}
}

// TestSequenceHolds on anything: short bins, classes, set-ups, narrow windows.
func TestSequenceHolds(t *testing.T) {
	for seed := range uint64(3000) {
		r := rand.New(rand.NewPCG(seed, 9))
		l := pack.Line{Setup: r.Int64N(4), Window: r.IntN(25), Slack: r.Int64N(2)}
		for range r.IntN(60) {
			l.Pieces = append(l.Pieces, pack.LinePiece{Length: 1 + r.Int64N(40), Class: r.IntN(3)})
		}
		for range r.IntN(12) {
			l.Bins = append(l.Bins, 1+r.Int64N(150))
		}
		c, err := pack.Sequence(l)
		if err != nil {
			t.Fatal(err)
		}
		if err := judgeLine(l, c); err != nil {
			t.Fatalf("seed %d: %v\n%+v\n%+v", seed, err, l, c)
		}
	}
}

// TestSequenceByHand: 6 and 5 do not fit a 10 together, 6 and 4 fill it; the 5 passed over is first next.
func TestSequenceByHand(t *testing.T) {
	l := pack.Line{Pieces: []pack.LinePiece{{Length: 6}, {Length: 5}, {Length: 4}, {Length: 3}}, Bins: []int64{10, 10}}
	c, err := pack.Sequence(l)
	if err != nil || fmt.Sprint(c.Bins) != "[[0 2] [1 3]]" || fmt.Sprint(c.Tails) != "[0 2]" || c.Farthest != 1 {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestSequenceRefuses(t *testing.T) {
	one := []pack.LinePiece{{Length: 1}}
	for _, c := range []struct {
		l    pack.Line
		want error
	}{
		{pack.Line{Pieces: []pack.LinePiece{{Length: 0}}, Bins: []int64{1}}, pack.ErrLength},
		{pack.Line{Pieces: one, Bins: []int64{-1}}, pack.ErrLength},
		{pack.Line{Pieces: one, Bins: []int64{1}, Setup: -1}, pack.ErrSetup},
		{pack.Line{Pieces: []pack.LinePiece{{Length: 1 << 61}, {Length: 1 << 61}}, Bins: []int64{1}}, pack.ErrOverflow},
	} {
		if _, err := pack.Sequence(c.l); !errors.Is(err, c.want) {
			t.Errorf("%+v: %v, want %v", c.l, err, c.want)
		}
	}
}

func BenchmarkSequenceJob(b *testing.B) {
	l := houseLine(rand.New(rand.NewPCG(1, 24)), 400)
	for b.Loop() {
		if _, err := pack.Sequence(l); err != nil {
			b.Fatal(err)
		}
	}
}
