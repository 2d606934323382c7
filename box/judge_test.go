package box_test

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"coilwright/box"
	"coilwright/course"
	"coilwright/measure"
	"coilwright/plane"
)

// judge checks a plan against its strips and the rules alone: every strip covered
// from end to end with laps, every section within its length and of one kind,
// every offcut used once, bounds and sums. It shares no code with the package.
func judge(t testing.TB, strips []box.Strip, p *box.Plan, r box.Rules) {
	t.Helper()
	cuts := make([][]box.Part, len(strips))
	var bought, offcut measure.Length
	for k, s := range p.Sections {
		left := p.Length
		for _, q := range s.Parts {
			left -= q.Length
			if q.Length <= 0 || strips[q.Strip].Like != s.Like {
				t.Errorf("section %d gives %v to strip %s of another kind", k, q, strips[q.Strip].ID)
			}
			cuts[q.Strip] = append(cuts[q.Strip], q)
		}
		if left < 0 || left != s.Left || len(s.Parts) == 0 {
			t.Errorf("section %d of %s: %d parts, left %s, says %s", k, p.Length.Text(0), len(s.Parts), left.Text(0), s.Left.Text(0))
		}
		bought, offcut = bought+p.Length, offcut+left
	}
	joints, pieces := 0, 0
	for i, s := range strips {
		slices.SortFunc(cuts[i], func(a, b box.Part) int { return cmp.Compare(a.N, b.N) })
		pieces += len(cuts[i])
		joints += len(cuts[i]) - 1
		judgeStrip(t, s, cuts[i], p, r)
	}
	judgeRules(t, strips, cuts, p, r)
	if pieces != p.Pieces || joints != p.Joints || bought != p.Bought || offcut != p.Offcut || measure.Length(joints)*r.Lap != p.Laps {
		t.Errorf("the sums are %d pieces, %d joints, %s bought, %s left; the plan says %d, %d, %s, %s", pieces, joints,
			bought.Text(0), offcut.Text(0), p.Pieces, p.Joints, p.Bought.Text(0), p.Offcut.Text(0))
	}
	judgeBounds(t, strips, p, r)
}

// judgeStrip walks along a strip: each piece begins a lap before the last one ends.
func judgeStrip(t testing.TB, s box.Strip, cuts []box.Part, p *box.Plan, r box.Rules) {
	t.Helper()
	at := r.Lap
	for n, q := range cuts {
		if q.N != n || q.From != at-r.Lap || q.Length > p.Length || q.Length%r.Step != 0 {
			t.Errorf("strip %s: piece %d is %v; the one before ends at %s", s.ID, n, q, at.Text(0))
			return
		}
		at = q.From + q.Length
	}
	if at != s.Length {
		t.Errorf("strip %s is covered to %s of %s", s.ID, at.Text(0), s.Length.Text(0))
	}
}

// judgeRules looks at every joint, and every pair of joints in neighbouring courses.
func judgeRules(t testing.TB, strips []box.Strip, cuts [][]box.Part, p *box.Plan, r box.Rules) {
	t.Helper()
	may := map[int]bool{}
	for _, c := range p.Compromises {
		may[c.Strip] = true
	}
	for i, s := range strips {
		if may[i] || len(cuts[i]) == 1 {
			continue
		}
		if s.Length <= p.Length.FloorTo(r.Step) || len(cuts[i]) > fewest(s.Length, p.Length.FloorTo(r.Step), r.Lap)+r.Extra {
			t.Errorf("strip %s of %s is in %d pieces", s.ID, s.Length.Text(0), len(cuts[i]))
		}
		for n, q := range cuts[i] {
			if q.Length < r.Shortest {
				t.Errorf("strip %s has a piece of %s", s.ID, q.Length.Text(0))
			}
			for _, c := range s.Corners {
				from, to := s.Start+q.From, s.Start+q.From+r.Lap // the lap at the left end of this piece
				if n > 0 && from < c+r.Clear && to > c-r.Clear {
					t.Errorf("strip %s has a joint from %s to %s, a corner at %s", s.ID, from.Text(0), to.Text(0), c.Text(0))
				}
			}
		}
		for j := range i {
			if !may[j] {
				judgePair(t, s, strips[j], cuts[i], cuts[j], r)
			}
		}
	}
}

func judgePair(t testing.TB, a, b box.Strip, left, right []box.Part, r box.Rules) {
	t.Helper()
	if a.Wall != b.Wall || a.Zone != b.Zone || a.Course-b.Course != 1 && b.Course-a.Course != 1 {
		return
	}
	if min(a.Start+a.Length, b.Start+b.Length) <= max(a.Start, b.Start) {
		return
	}
	for _, q := range left[min(1, len(left)):] {
		for _, s := range right[min(1, len(right)):] {
			if d := a.Start + q.From - b.Start - s.From; d < r.Stagger && d > -r.Stagger {
				t.Errorf("joints of %s and %s are %s apart", a.ID, b.ID, d.Text(0))
			}
		}
	}
}

func fewest(length, section, lap measure.Length) int {
	n := 1
	for covered := section; covered < length; covered += section - lap {
		n++
	}
	return n
}

// judgeBounds works the bare bound out anew and holds the plan to its own word.
func judgeBounds(t testing.TB, strips []box.Strip, p *box.Plan, r box.Rules) {
	t.Helper()
	need := map[box.Like]measure.Length{}
	least := 0
	for _, s := range strips {
		n := fewest(s.Length, p.Length.FloorTo(r.Step), r.Lap)
		need[s.Like] += s.Length + measure.Length(n-1)*r.Lap
		least += n - 1
	}
	bare, sections := 0, 0
	for _, g := range p.Groups {
		usable := p.Length.FloorTo(r.Step)
		n := int((need[g.Like] + usable - 1) / usable)
		if g.Need != need[g.Like] || g.Bare != n || g.Bound < n || g.Sections < g.Bound || g.Optimal != (g.Sections == g.Bound) {
			t.Errorf("group %v: need %s, bare bound %d; it says %+v", g.Like, need[g.Like].Text(0), n, g)
		}
		bare, sections = bare+n, sections+g.Sections
	}
	if bare != p.Bare || sections != len(p.Sections) || p.FewestJoints < least || p.Joints < p.FewestJoints || p.Optimal != (p.Bound == sections) {
		t.Errorf("bare bound %d, %d sections, at least %d joints; the plan says %d, %d, %d of %d, optimal %v",
			bare, sections, least, p.Bare, len(p.Sections), p.FewestJoints, p.Joints, p.Optimal)
	}
}

// judgeWall checks the strips themselves, and the joints once more on the wall: the
// corners of openings by the course's own lines, not as the strips list them.
func judgeWall(t testing.TB, in course.Input, l *course.Layout, strips []box.Strip, p *box.Plan, r box.Rules) {
	t.Helper()
	byID := map[string]course.Piece{}
	for _, q := range l.Pieces {
		if q.Length > 0 {
			byID[q.ID] = q
		}
	}
	if len(byID) != len(strips) {
		t.Errorf("%d pieces, %d strips", len(byID), len(strips))
	}
	may := map[int]bool{}
	for _, c := range p.Compromises {
		may[c.Strip] = true
	}
	for _, s := range p.Sections {
		for _, q := range s.Parts {
			piece := byID[strips[q.Strip].ID]
			if piece.Length != strips[q.Strip].Length || piece.Panel != s.Like.Panel || piece.Colour != s.Like.Colour {
				t.Errorf("strip %s is not its piece", piece.ID)
			}
			if q.N > 0 && !may[q.Strip] {
				judgeJoint(t, in, l, piece, q.From, r)
			}
		}
	}
}

func judgeJoint(t testing.TB, in course.Input, l *course.Layout, p course.Piece, from measure.Length, r box.Rules) {
	t.Helper()
	along := func(q plane.Point) (x, y measure.Length) {
		if p.Vertical {
			return q.Y, q.X
		}
		return q.X, q.Y
	}
	x, y := along(p.At)
	x += from
	low, high := y, y+p.Across() // an upright course's own lines are not the book's: its piece's are near enough
	if !p.Vertical {
		for _, z := range l.Zones {
			if z.Zone == p.Zone && z.Wall == p.Wall {
				low = z.Origin + measure.Length(p.Course-1)*p.Cover
				high = low + p.Cover
			}
		}
	}
	for _, o := range in.House.Walls[p.Wall].Openings {
		for _, c := range o.Outline {
			cx, cy := along(c)
			if cy >= low && cy <= high && x < cx+r.Clear && x+r.Lap > cx-r.Clear {
				t.Errorf("%s: a joint at %s on the wall, a corner of %s at %s", p.ID, x.Text(0), o.ID, fmt.Sprint(cx.Text(0), " ", cy.Text(0)))
			}
		}
	}
}
