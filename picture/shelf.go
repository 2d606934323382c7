package picture

import "sync"

// shelf holds the large slices of one painting, so that the next one need not ask for
// memory again, have it cleared and its pages mapped. What it gives is not cleared.
type shelf struct {
	words  shelfOf[uint64]
	lights shelfOf[glimmer]
	rows   shelfOf[[channels]float64]
}

func newShelves() *sync.Pool { return &sync.Pool{New: func() any { return new(shelf) }} }

// clear takes back all that the shelf gave.
func (s *shelf) clear() {
	s.words.clear()
	s.lights.clear()
	s.rows.clear()
}

// shelfOf is a shelf of slices of one type. It may be used by several goroutines at once.
type shelfOf[T any] struct {
	lock      sync.Mutex
	all, left []T
	taken     int
}

// take gives n of T.
func (s *shelfOf[T]) take(n int) []T {
	s.lock.Lock()
	defer s.lock.Unlock()
	s.taken += n
	if n > len(s.left) {
		return make([]T, n)
	}
	out := s.left[:n:n]
	s.left = s.left[n:]
	return out
}

// clear makes the shelf as large as what was taken.
func (s *shelfOf[T]) clear() {
	if s.taken > len(s.all) {
		s.all = make([]T, s.taken+s.taken/8)
	}
	s.left, s.taken = s.all, 0
}
