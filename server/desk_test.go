package server

import (
	"slices"
	"testing"
)

// TestDeskKeepsTwo: of a job that is edited the desk keeps the content and the one
// before; an undo does not throw away what it goes back to.
func TestDeskKeepsTwo(t *testing.T) {
	d := newDesk()
	put := func(key string) { d.put(key, &worked{size: 10, done: map[string]*once{}}) }
	for _, step := range []struct {
		from, to string
		keeps    []string
	}{
		{"a", "b", []string{"a", "b"}},
		{"b", "c", []string{"b", "c"}},
		{"c", "b", []string{"b", "c"}}, // undo
		{"b", "b", []string{"b", "c"}}, // nothing was changed
		{"b", "d", []string{"b", "d"}},
		{"gone", "d", []string{"b", "d"}},
	} {
		if step.from != "gone" {
			put(step.from)
		}
		put(step.to)
		d.moved(step.from, step.to)
		got := slices.Sorted(slices.Values(d.order))
		if !slices.Equal(got, step.keeps) || len(d.items) != len(got) || d.bytes != 10*len(got) {
			t.Errorf("from %s to %s: keeps %v of %d bytes, want %v", step.from, step.to, got, d.bytes, step.keeps)
		}
	}
}
