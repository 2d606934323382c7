package change

import (
	"encoding/json"
	"errors"
)

// scanner finds where values begin and end in JSON text. It trusts the text to be
// JSON, as every document and value that comes here was checked to be, and so needs
// not look into what a patch does not reach: on text that is none it ends with an
// error or with a value that is none, never out of bounds.
type scanner struct {
	text []byte
	at   int
}

var errBroken = errors.New("the document is no JSON")

// peek gives the next letter that is no blank, 0 at the end.
func (s *scanner) peek() byte {
	for s.at < len(s.text) {
		switch c := s.text[s.at]; c {
		case ' ', '\t', '\r', '\n':
			s.at++
		default:
			return c
		}
	}
	return 0
}

func (s *scanner) take(c byte) bool {
	if s.peek() != c {
		return false
	}
	s.at++
	return true
}

// name reads a member's name and the colon behind it.
func (s *scanner) name() (m name, err error) {
	if s.peek() != '"' {
		return m, errBroken
	}
	from := s.at
	if !s.quoted() || s.at > len(s.text) {
		return m, errBroken
	}
	m.text = s.text[from+1 : s.at-1]
	m.says = m.text
	if !isPlain(m.text) {
		var says string
		if json.Unmarshal(s.text[from:s.at], &says) != nil {
			return m, errBroken
		}
		m.says = []byte(says)
	}
	if !s.take(':') {
		return m, errBroken
	}
	return m, nil
}

// isPlain says whether a text stands in JSON as it is, between quotation marks.
func isPlain[T string | []byte](s T) bool {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			return false
		}
	}
	return true
}

// quoted passes over a string; s stands on its opening mark.
func (s *scanner) quoted() bool {
	for s.at++; s.at < len(s.text); s.at++ {
		switch s.text[s.at] {
		case '\\':
			s.at++
		case '"':
			s.at++
			return true
		}
	}
	return false
}

// value passes over a value and gives its text.
func (s *scanner) value() ([]byte, bool) {
	c := s.peek()
	from := s.at
	switch c {
	case 0:
		return nil, false
	case '"':
		ok := s.quoted()
		return s.text[from:min(s.at, len(s.text))], ok
	case '{', '[':
		ok := s.nested()
		return s.text[from:s.at], ok
	}
	for s.at < len(s.text) {
		switch s.text[s.at] {
		case ',', ']', '}', ' ', '\t', '\r', '\n':
			return s.text[from:s.at], s.at > from
		}
		s.at++
	}
	return s.text[from:s.at], s.at > from
}

// nested passes over a container.
func (s *scanner) nested() bool {
	depth := 0
	for s.at < len(s.text) {
		switch s.text[s.at] {
		case '"':
			if !s.quoted() {
				return false
			}
			continue
		case '{', '[':
			depth++
		case '}', ']':
			depth--
		}
		s.at++
		if depth == 0 {
			return true
		}
	}
	return false
}
