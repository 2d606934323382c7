package guillotine_test

import (
	"context"
	"testing"

	"coilwright/guillotine"

	"pgregory.net/rapid"
)

// bin is a strip in the making, for the judges that try everything.
type bin struct{ width, length int64 }

// bruteFill tries every way to leave each piece out, or to put it on a strip that
// was begun, or to begin one with it. It shares nothing with the solver.
func bruteFill(s guillotine.Sheet) int64 {
	var units []guillotine.Piece
	for _, p := range s.Pieces {
		for range p.Count {
			units = append(units, p)
		}
	}
	best := int64(0)
	var try func(i int, bins []bin, value int64)
	try = func(i int, bins []bin, value int64) {
		across := int64(0)
		for _, b := range bins {
			across += b.width
			if b.length > s.Length {
				return
			}
		}
		if across > s.Width {
			return
		}
		if i == len(units) {
			best = max(best, value)
			return
		}
		try(i+1, bins, value)
		p := units[i]
		for k := range bins {
			if s.Exact && bins[k].width != p.Width {
				continue
			}
			was := bins[k]
			bins[k] = bin{max(was.width, p.Width), was.length + p.Length}
			try(i+1, bins, value+p.Value)
			bins[k] = was
		}
		try(i+1, append(bins, bin{p.Width, p.Length}), value+p.Value)
	}
	try(0, nil, 0)
	return best
}

func drawSheet(t *rapid.T) guillotine.Sheet {
	s := guillotine.Sheet{
		Width: rapid.Int64Range(1, 20).Draw(t, "width"), Length: rapid.Int64Range(1, 20).Draw(t, "length"),
		Exact: rapid.Bool().Draw(t, "exact"),
	}
	dearest := rapid.SampledFrom([]int64{3, 50}).Draw(t, "dearest")
	for left := rapid.IntRange(0, 7).Draw(t, "pieces"); left > 0; {
		n := rapid.IntRange(1, left).Draw(t, "count")
		left -= n
		s.Pieces = append(s.Pieces, guillotine.Piece{
			Width: rapid.Int64Range(1, 12).Draw(t, "w"), Length: rapid.Int64Range(1, 12).Draw(t, "l"),
			Value: rapid.Int64Range(0, dearest).Draw(t, "v"), Count: n,
		})
	}
	return s
}

// TestFillAgainstEverything compares with trying everything.
func TestFillAgainstEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSheet(t)
		f, err := guillotine.Fill(context.Background(), s)
		if err != nil {
			t.Fatal(err)
		}
		judgeFilling(t, s, f)
		if want := bruteFill(s); f.Value != want || !f.Optimal {
			t.Fatalf("value %d, optimal %v; trying everything gives %d", f.Value, f.Optimal, want)
		}
	})
}

// TestFillTurned mirrors, scales and reorders the question; the answer follows. A
// wider sheet is never worth less, and what may be ripped never less than what may not.
func TestFillTurned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSheet(t)
		value := func(s guillotine.Sheet) int64 {
			f, err := guillotine.Fill(context.Background(), s)
			if err != nil {
				t.Fatal(err)
			}
			return f.Value
		}
		want := value(s)
		scale := rapid.SampledFrom([]int64{2, 64, 396_875, 25_400_000}).Draw(t, "scale")
		big := s
		big.Width, big.Length, big.Pieces = s.Width*scale, s.Length*scale, nil
		for i := range s.Pieces {
			p := s.Pieces[len(s.Pieces)-1-i]
			p.Width, p.Length = p.Width*scale, p.Length*scale
			big.Pieces = append(big.Pieces, p)
		}
		if got := value(big); got != want {
			t.Errorf("%d times as large, in reverse: value %d, was %d", scale, got, want)
		}
		wider, ripped := s, s
		wider.Width++
		ripped.Exact = false
		if value(wider) < want || value(ripped) < want {
			t.Errorf("a wider sheet gives %d, ripping %d, was %d", value(wider), value(ripped), want)
		}
	})
}

// TestFillAtTheLimit: a work limit that ends early leaves a filling that is one, and a
// bound that is one.
func TestFillAtTheLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSheet(t)
		want := bruteFill(s)
		s.Steps = rapid.Int64Range(1, 30_000).Draw(t, "steps")
		f, err := guillotine.Fill(context.Background(), s)
		if err != nil {
			t.Fatal(err)
		}
		judgeFilling(t, s, f)
		if f.Bound < want || f.Value > want || f.Gap() != f.Bound-f.Value {
			t.Fatalf("value %d, bound %d; the best is %d", f.Value, f.Bound, want)
		}
	})
}
