// Package change is a change to a JSON document as a value: an RFC 6902 patch with
// its inverse, laid over changes that others made meanwhile, or in conflict with
// them at a place that both touched. What the document means is not its business.
//
// Documents keep the order of their members and the text of their numbers, so that
// a length is never rounded by being saved.
package change

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
)

// MostBytes bounds a document: copying cannot let it grow without end.
const MostBytes = 8 << 20

// node is one value of a document, split only where a patch reaches into it: until
// then raw is its text.
type node struct {
	raw   []byte
	split bool
	list  bool
	names []string // members of an object, in their order
	kids  []*node  // their values, or a list's entries
}

var errTwice = errors.New("a name stands twice in one object")

// open splits n into members or entries; it says whether n is a container at all.
func (n *node) open() (bool, error) {
	if n.split {
		return true, nil
	}
	s := scanner{text: n.raw}
	c := s.peek()
	if c != '{' && c != '[' {
		return false, nil
	}
	n.list = c == '['
	if err := n.fill(&s); err != nil {
		n.names, n.kids = nil, nil
		return false, err
	}
	n.split = true
	return true, nil
}

// fill reads the members or entries; s stands on the opening bracket.
func (n *node) fill(s *scanner) error {
	closing := byte('}')
	if n.list {
		closing = ']'
	}
	s.at++
	var block []node // kids are made by the handful
	for s.peek() != closing {
		if len(n.kids) > 0 && !s.take(',') {
			return errBroken
		}
		if !n.list {
			name, err := s.name()
			if err != nil {
				return err
			}
			if slices.Contains(n.names, name) {
				return fmt.Errorf("%w: %q", errTwice, name)
			}
			n.names = append(n.names, name)
		}
		raw, ok := s.value()
		if !ok {
			return errBroken
		}
		if len(block) == cap(block) {
			block = make([]node, 0, max(4, min(64, 2*cap(block))))
		}
		block = append(block, node{raw: raw})
		n.kids = append(n.kids, &block[len(block)-1])
	}
	return nil
}

// append writes n's text.
func (n *node) append(b []byte) []byte {
	if !n.split {
		return append(b, n.raw...)
	}
	opening, closing := byte('{'), byte('}')
	if n.list {
		opening, closing = '[', ']'
	}
	b = append(b, opening)
	for i, k := range n.kids {
		if i > 0 {
			b = append(b, ',')
		}
		if !n.list {
			b = append(quoted(b, n.names[i]), ':')
		}
		b = k.append(b)
	}
	return append(b, closing)
}

func (n *node) text() []byte { return n.append(nil) }

func quoted(b []byte, s string) []byte {
	if isPlain(s) {
		return append(append(append(b, '"'), s...), '"')
	}
	var w bytes.Buffer
	e := json.NewEncoder(&w)
	e.SetEscapeHTML(false)
	e.Encode(s) //nolint:errcheck // a string always encodes
	return append(b, bytes.TrimSpace(w.Bytes())...)
}

// member gives the index of the entry that token names, -1 where there is none.
func (n *node) member(token string) int {
	if n.list {
		if i, ok := index(token); ok && i < len(n.kids) {
			return i
		}
		return -1
	}
	return slices.Index(n.names, token)
}

// put sets a member of an object, at the end where it is new, or inserts into a
// list before entry i.
func (n *node) put(token string, i int, v *node) {
	if n.list {
		n.kids = slices.Insert(n.kids, i, v)
		return
	}
	if i >= 0 {
		n.kids[i] = v
		return
	}
	n.names, n.kids = append(n.names, token), append(n.kids, v)
}

// cut takes entry i out.
func (n *node) cut(i int) {
	n.kids = slices.Delete(n.kids, i, i+1)
	if !n.list {
		n.names = slices.Delete(n.names, i, i+1)
	}
}

// Equal compares two JSON texts as RFC 6902 section 4.6 does: members in any
// order, numbers by value.
func Equal(a, b []byte) bool {
	if bytes.Equal(a, b) {
		return true
	}
	x, y := &node{raw: a}, &node{raw: b}
	xs, errX := x.open()
	ys, errY := y.open()
	switch {
	case errX != nil || errY != nil || xs != ys:
		return false
	case !xs:
		return sameScalar(a, b)
	case x.list != y.list || len(x.kids) != len(y.kids):
		return false
	}
	for i, k := range x.kids {
		j := i
		if !x.list {
			j = y.member(x.names[i])
		}
		if j < 0 || !Equal(k.text(), y.kids[j].text()) {
			return false
		}
	}
	return true
}
