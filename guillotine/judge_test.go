package guillotine_test

import "coilwright/guillotine"

// reporter is what the judges need of a test.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
}

// judgeFilling checks a filling on its own figures: strips side by side within the
// sheet, pieces end to end within the strip and no wider than it, no piece taken
// more often than it is on offer, value and bound as stated.
func judgeFilling(t reporter, s guillotine.Sheet, f guillotine.Filling) {
	t.Helper()
	taken := make([]int, len(s.Pieces))
	across, value := int64(0), int64(0)
	for i, strip := range f.Strips {
		across += strip.Width
		along := int64(0)
		for _, c := range strip.Cuts {
			p := s.Pieces[c.Piece]
			if c.Count <= 0 {
				t.Errorf("strip %d: a cut of %d pieces", i, c.Count)
			}
			if p.Width > strip.Width || s.Exact && p.Width != strip.Width {
				t.Errorf("strip %d: a piece %d wide on a strip %d wide", i, p.Width, strip.Width)
			}
			taken[c.Piece] += c.Count
			along += p.Length * int64(c.Count)
			value += p.Value * int64(c.Count)
		}
		if along > s.Length || along != strip.Used {
			t.Errorf("strip %d: %d long, states %d, the sheet has %d", i, along, strip.Used, s.Length)
		}
	}
	if across > s.Width {
		t.Errorf("strips are %d wide together, the sheet %d", across, s.Width)
	}
	for i, n := range taken {
		if n > s.Pieces[i].Count {
			t.Errorf("piece %d taken %d times of %d", i, n, s.Pieces[i].Count)
		}
	}
	if value != f.Value || f.Bound < f.Value || f.Optimal != (f.Bound == f.Value) {
		t.Errorf("worth %d; states %d, bound %d, optimal %v", value, f.Value, f.Bound, f.Optimal)
	}
}
