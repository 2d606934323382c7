package tally

import "slices"

// Place is where one piece stands on its way.
type Place string

// The places. A piece that was spoiled waits again.
const (
	Waiting Place = "waiting"
	Ready   Place = "ready" // formed, not hung yet
	OnWall  Place = "hung"
)

// PieceState is what is known of one piece. Marks of a piece that the layout no
// longer has stand in Homeless: steel that was formed is never forgotten.
type PieceState struct {
	Place   Place
	Formed  int // how many times it came off the machine
	Spoiled int
	Last    Mark // the mark that put it in its place; zero while it waits untouched
}

// State is what the marks of a job say.
type State struct {
	Pieces    map[string]PieceState
	Homeless  map[string]PieceState
	Loaded    string          // coil that was loaded last
	Reels     map[string]Mark // last reading of what is left, by coil
	Covered   map[string]Mark // walls or places whose barrier has been seen
	Sizes     []Mark          // sizes found wrong
	Checks    []Mark          // first pieces measured
	Withdrawn []string        // marks that were mistakes
}

// Of works out the state of the given pieces from any set of marks.
func Of(pieces []string, marks []Mark) State {
	s := State{Pieces: map[string]PieceState{}, Homeless: map[string]PieceState{}, Reels: map[string]Mark{}, Covered: map[string]Mark{}}
	for _, id := range pieces {
		s.Pieces[id] = PieceState{Place: Waiting}
	}
	all := Merge(marks)
	gone := withdrawn(all)
	for _, m := range all {
		if gone[m.ID] {
			s.Withdrawn = append(s.Withdrawn, m.ID)
			continue
		}
		s.take(m)
	}
	return s
}

// Standing is the marks that count, in order: each once, without those that were
// taken back.
func Standing(marks []Mark) []Mark {
	all := Merge(marks)
	gone := withdrawn(all)
	return slices.DeleteFunc(all, func(m Mark) bool { return gone[m.ID] })
}

// withdrawn finds the marks that were taken back. A withdrawal may itself be
// withdrawn: the last word counts, so later ones are looked at first.
func withdrawn(all []Mark) map[string]bool {
	gone := map[string]bool{}
	for _, m := range slices.Backward(all) {
		if m.Kind == Withdrawn && !gone[m.ID] {
			gone[m.Piece] = true
		}
	}
	return gone
}

func (s *State) take(m Mark) {
	switch m.Kind {
	case Formed, Spoiled, Hung, TakenOff:
		where := s.Pieces
		if _, known := where[m.Piece]; !known {
			where = s.Homeless
		}
		where[m.Piece] = where[m.Piece].after(m)
	case Measured:
		s.Sizes = append(s.Sizes, m)
	case Checked:
		s.Checks = append(s.Checks, m)
	case Covered:
		s.Covered[m.Piece] = m
	case Loaded:
		s.Loaded = m.Piece
	case Reel:
		s.Reels[m.Piece] = m
	}
}

// after is the state after one more mark. Two phones that mark one piece formed
// without knowing of each other have formed it twice; that is for people to see,
// so both count.
func (p PieceState) after(m Mark) PieceState {
	p.Last = m
	switch m.Kind {
	case Formed:
		p.Formed++
		if p.Place != OnWall {
			p.Place = Ready
		}
	case Spoiled:
		p.Spoiled++
		p.Place = Waiting
		if p.Formed > p.Spoiled {
			p.Place = Ready // another of it lies there
		}
	case Hung:
		p.Place = OnWall
	case TakenOff:
		p.Place = Ready
	}
	return p
}

// Counts is a job's progress.
type Counts struct{ Pieces, Formed, Hung, Spoiled int }

// Count sums the state up. Formed counts pieces that exist now, hung ones too.
func (s State) Count() Counts {
	c := Counts{Pieces: len(s.Pieces)}
	for _, p := range s.Pieces {
		c.Spoiled += p.Spoiled
		switch p.Place {
		case OnWall:
			c.Hung++
			c.Formed++
		case Ready:
			c.Formed++
		}
	}
	for _, p := range s.Homeless {
		c.Spoiled += p.Spoiled
	}
	return c
}
