package server

import "sync"

// shelf keeps what was made of something, least lately used thrown away first, so
// that all together cost no more than it may hold. What costs more than that alone
// is handed out and not kept. Whoever asks while a thing is being made waits for it.
type shelf[T any] struct {
	most  int // of all costs together
	items int // of things
	cost  func(T) int

	mu    sync.Mutex
	held  map[string]*shelved[T]
	order []string // least lately used first
	total int
}

type shelved[T any] struct {
	once  sync.Once
	value T
	err   error
	cost  int
}

func newShelf[T any](most, items int, cost func(T) int) *shelf[T] {
	return &shelf[T]{most: most, items: items, cost: cost, held: map[string]*shelved[T]{}}
}

// get gives the thing of a key, made by do where it is not held. An error is told to
// all who wait and not kept.
func (s *shelf[T]) get(key string, do func() (T, error)) (T, error) {
	s.mu.Lock()
	it := s.held[key]
	if it == nil {
		it = &shelved[T]{}
		s.held[key] = it
	}
	s.touch(key)
	s.mu.Unlock()
	it.once.Do(func() {
		it.value, it.err = do()
		s.settle(key, it)
	})
	return it.value, it.err
}

// touch makes a key the one lately used.
func (s *shelf[T]) touch(key string) {
	s.forget(key)
	s.order = append(s.order, key)
}

func (s *shelf[T]) forget(key string) {
	for i, k := range s.order {
		if k == key {
			s.order = append(s.order[:i], s.order[i+1:]...)
			return
		}
	}
}

// settle counts a thing just made and makes room.
func (s *shelf[T]) settle(key string, it *shelved[T]) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.held[key] != it {
		return // thrown away while it was made
	}
	if it.err == nil {
		it.cost = s.cost(it.value)
	}
	if it.err != nil || it.cost > s.most {
		delete(s.held, key)
		s.forget(key)
		return
	}
	s.total += it.cost
	for len(s.order) > s.items || s.total > s.most {
		old := s.order[0]
		s.total -= s.held[old].cost
		delete(s.held, old)
		s.order = s.order[1:]
	}
}
