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
	names []name  // members of an object, in their order
	kids  []*node // their values, or a list's entries
}

// name is a member's name as it stands in the text, so that to split an object and to
// write it again changes nothing: text between its quotation marks, and what it says.
type name struct{ text, says []byte }

var errTwice = errors.New("a name stands twice in one object")

// open splits n into members or entries; it says whether n is a container at all. What
// lies on the way to a place below n is split with it, so that its text is read once
// and not again at each step.
func (n *node) open(way ...string) (bool, error) {
	if n.split {
		return true, nil
	}
	s := scanner{text: n.raw}
	if !isOpening(s.peek()) {
		return false, nil
	}
	err := n.fill(&s, way)
	return err == nil, err
}

func isOpening(c byte) bool { return c == '{' || c == '[' }

// fill reads the members or entries; s stands on the opening bracket, and is left
// behind the closing one.
func (n *node) fill(s *scanner, way []string) error {
	closing := byte('}')
	if n.list = s.text[s.at] == '['; n.list {
		closing = ']'
	}
	s.at++
	next := -1 // of a list: the entry that is on the way
	if n.list && len(way) > 0 {
		if i, ok := index(way[0]); ok {
			next = i
		}
	}
	n.kids = make([]*node, 0, 4)
	if !n.list {
		n.names = make([]name, 0, 4)
	}
	var block []node // kids are made by the handful
	for s.peek() != closing {
		if len(n.kids) > 0 && !s.take(',') {
			return n.broken(errBroken)
		}
		if len(block) == cap(block) {
			block = make([]node, 0, max(4, min(64, 2*cap(block))))
		}
		block = append(block, node{})
		kid := &block[len(block)-1]
		var below []string
		if !n.list {
			m, err := s.name()
			if err == nil && n.has(m.says) {
				err = fmt.Errorf("%w: %q", errTwice, m.says)
			}
			if err != nil {
				return n.broken(err)
			}
			n.names = append(n.names, m)
			if len(way) > 0 && string(m.says) == way[0] {
				below = way[1:]
			}
		} else if len(n.kids) == next {
			below = way[1:]
		}
		if err := kid.read(s, below); err != nil {
			return n.broken(err)
		}
		n.kids = append(n.kids, kid)
	}
	s.at++
	n.split = true
	return nil
}

// broken leaves n unsplit.
func (n *node) broken(err error) error {
	n.names, n.kids = nil, nil
	return err
}

// read takes the next value: its text, or where the way goes on below it, split.
func (n *node) read(s *scanner, way []string) error {
	if len(way) > 0 && isOpening(s.peek()) {
		from := s.at
		err := n.fill(s, way)
		n.raw = s.text[from:s.at]
		return err
	}
	raw, ok := s.value()
	if !ok {
		return errBroken
	}
	n.raw = raw
	return nil
}

func (n *node) has(says []byte) bool {
	return slices.ContainsFunc(n.names, func(m name) bool { return bytes.Equal(m.says, says) })
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
			b = append(append(append(b, '"'), n.names[i].text...), '"', ':')
		}
		b = k.append(b)
	}
	return append(b, closing)
}

func (n *node) text() []byte { return n.append(nil) }

func quoted(b []byte, s string) []byte {
	return append(append(append(b, '"'), named(s).text...), '"')
}

// named is a new member's name.
func named(s string) name {
	if isPlain(s) {
		text := []byte(s)
		return name{text, text}
	}
	var w bytes.Buffer
	e := json.NewEncoder(&w)
	e.SetEscapeHTML(false)
	e.Encode(s) //nolint:errcheck // a string always encodes
	text := bytes.TrimSpace(w.Bytes())
	return name{text[1 : len(text)-1], []byte(s)}
}

// member gives the index of the entry that token names, -1 where there is none.
func (n *node) member(token string) int {
	if n.list {
		if i, ok := index(token); ok && i < len(n.kids) {
			return i
		}
		return -1
	}
	return slices.IndexFunc(n.names, func(m name) bool { return string(m.says) == token })
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
	n.names, n.kids = append(n.names, named(token)), append(n.kids, v)
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
			j = y.member(string(x.names[i].says))
		}
		if j < 0 || !Equal(k.text(), y.kids[j].text()) {
			return false
		}
	}
	return true
}
