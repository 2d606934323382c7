package guillotine_test

import (
	"math/big"

	"coilwright/guillotine"
)

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

// judgePlan checks a plan on its own figures: strips of one width side by side within
// the coil, lengths end to end within the blank, blanks no longer than they may be
// and cut to the step, every piece as often as it is wanted, sums and bounds as
// stated.
func judgePlan(t reporter, c guillotine.Coil, p guillotine.Plan) {
	t.Helper()
	taken := make([]int, len(c.Pieces))
	total, slits := int64(0), 0
	for i, b := range p.Blanks {
		across, most := int64(0), int64(0)
		for k, s := range b.Strips {
			across += s.Width
			along := int64(0)
			for _, cut := range s.Cuts {
				q := c.Pieces[cut.Piece]
				if cut.Count <= 0 || q.Width != s.Width {
					t.Errorf("blank %d, strip %d: %d of a piece %d wide on a strip %d wide", i, k, cut.Count, q.Width, s.Width)
				}
				taken[cut.Piece] += cut.Count
				along += q.Length * int64(cut.Count)
			}
			if along != s.Used || along == 0 {
				t.Errorf("blank %d, strip %d: %d long, states %d", i, k, along, s.Used)
			}
			most = max(most, along)
		}
		if across > c.Width || most > b.Length || b.Length > c.Longest {
			t.Errorf("blank %d: %d wide of %d, strips to %d on %d, longest %d", i, across, c.Width, most, b.Length, c.Longest)
		}
		if b.Length != rounded(c, most) {
			t.Errorf("blank %d: %d long for %d, step %d", i, b.Length, most, c.Step)
		}
		slits += len(b.Strips)
		if across == c.Width {
			slits--
		}
		total += b.Length
	}
	for i, n := range taken {
		if n != c.Pieces[i].Count {
			t.Errorf("piece %d cut %d times, wanted %d", i, n, c.Pieces[i].Count)
		}
	}
	if total != p.Length || len(p.Blanks) != p.Count || slits != p.Slits {
		t.Errorf("length %d, blanks %d, slits %d; stated %d, %d, %d", total, len(p.Blanks), slits, p.Length, p.Count, p.Slits)
	}
	if p.Bound > p.Length || p.Optimal != (p.Bound == p.Length) || p.Gap() != p.Length-p.Bound || p.Count < p.BlanksBound {
		t.Errorf("length %d, bound %d, optimal %v, gap %d; blanks %d, bound %d", p.Length, p.Bound, p.Optimal, p.Gap(), p.Count, p.BlanksBound)
	}
	judgeProof(t, c, p)
}

// rounded is the length of a blank whose longest strip is most.
func rounded(c guillotine.Coil, most int64) int64 {
	if c.Step == 0 {
		return most
	}
	return min(c.Longest, (most+c.Step-1)/c.Step*c.Step)
}

// judgeProof adds the weights up and derives the bound from the certificate; what a
// blank may weigh is judged where everything can be tried.
func judgeProof(t reporter, c guillotine.Coil, p guillotine.Plan) {
	t.Helper()
	q, total := p.Proof, int64(0)
	for i, w := range q.Weight {
		total += w * int64(c.Pieces[i].Count)
	}
	if total != q.Total {
		t.Errorf("the pieces weigh %d, the proof states %d", total, q.Total)
	}
	if q.Searched || q.Most == 0 {
		return
	}
	// Bound is the least multiple of the blanks' common step that the proof asks for.
	below := new(big.Rat).Mul(big.NewRat(q.Total, q.Most), big.NewRat(q.Least, 1))
	unit := big.NewRat(p.Bound, 1)
	if unit.Cmp(below) < 0 {
		t.Errorf("bound %d is less than the proof gives: %v", p.Bound, below)
	}
	step := c.Step
	if step == 0 {
		for _, x := range c.Pieces {
			if x.Count > 0 {
				step = gcd(x.Length, step)
			}
		}
	} else {
		step = gcd(step, c.Longest)
	}
	if unit.Sub(unit, big.NewRat(step, 1)).Cmp(below) >= 0 {
		t.Errorf("bound %d is more than the proof gives: %v, step %d", p.Bound, below, step)
	}
}

func gcd(a, b int64) int64 {
	if b == 0 {
		return a
	}
	return gcd(b, a%b)
}
