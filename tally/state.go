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
	Formed  int  // how many times it came off the machine
	Spoiled int  // how many of it are scrap
	Lies    int  // how many of it are whole, the one that hangs counted; none: it waits
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
		where := s.where(m.Piece)
		where[m.Piece] = where[m.Piece].after(m)
	case Moved:
		s.move(m)
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

// where is the piece's own table: with the layout's, or with those that it has no more.
func (s *State) where(piece string) map[string]PieceState {
	if _, known := s.Pieces[piece]; known {
		return s.Pieces
	}
	return s.Homeless
}

// move lets a piece that lies there serve in another place. Of two phones that give
// away the same one only the first gives anything; what hangs is not given away.
func (s *State) move(m Mark) {
	from := s.where(m.Text)
	given := from[m.Text]
	spare := given.Lies
	if given.Place == OnWall {
		spare--
	}
	if spare < 1 || m.Text == m.Piece {
		return
	}
	from[m.Text] = given.lose(m)
	to := s.where(m.Piece)
	to[m.Piece] = to[m.Piece].gain(m)
}

// after is the state after one more mark. Two phones that mark one piece formed
// without knowing of each other have formed it twice; that is for people to see,
// so both count. What is spoiled while none lies there was spoiled on the machine and
// takes nothing away; while one hangs and another lies there, it is the other.
func (p PieceState) after(m Mark) PieceState {
	switch m.Kind {
	case Formed:
		p.Formed++
		return p.gain(m)
	case Spoiled:
		p.Spoiled++
		return p.lose(m)
	case Hung:
		p.Place = OnWall
	case TakenOff:
		p.Place = Ready
	}
	p.Last, p.Lies = m, max(1, p.Lies) // nobody marked that it was formed
	return p
}

func (p PieceState) gain(m Mark) PieceState {
	p.Last = m
	p.Lies++
	if p.Place != OnWall {
		p.Place = Ready
	}
	return p
}

func (p PieceState) lose(m Mark) PieceState {
	p.Last = m
	p.Lies = max(0, p.Lies-1)
	if p.Lies == 0 {
		p.Place = Waiting
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
