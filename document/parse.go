// Package document reads JSON strictly and with places: every value knows its
// file, its JSON path and its line, numbers keep their decimal text, and what is
// wrong is collected as problems that name place and mend. It knows no house and
// no job.
package document

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Limits of a document, assumed: far beyond any house, small enough that no input
// costs more than some hundred megabytes and a second.
const (
	MaxSize   = 64 << 20  // bytes
	MaxDepth  = 64        // arrays and objects inside one another
	MaxValues = 2_000_000 // values of all kinds
)

// ErrSyntax is matched by every error of Parse.
var ErrSyntax = errors.New("not a document that can be read")

// SyntaxError says where a text stops being JSON, and the mend. Line and Column
// count from 1, Column in characters; both are 0 where the whole file is meant.
type SyntaxError struct {
	Name         string
	Line, Column int
	What, Mend   string
}

// Place is file:line:column.
func (e *SyntaxError) Place() string {
	if e.Line == 0 {
		return e.Name
	}
	return fmt.Sprintf("%s:%d:%d", e.Name, e.Line, e.Column)
}

func (e *SyntaxError) Error() string {
	return fmt.Sprintf("%s: %s; %s", e.Place(), e.What, e.Mend)
}

// Unwrap makes errors.Is(err, ErrSyntax) true.
func (e *SyntaxError) Unwrap() error { return ErrSyntax }

// kind is what a value is in JSON.
type kind uint8

const (
	null kind = iota
	boolean
	number
	text
	array
	object
)

func (k kind) String() string {
	return [...]string{"null", "true or false", "a number", "a text", "a list", "an object"}[k]
}

// node is one value. Offsets fit in 32 bits since a file is below MaxSize.
type node struct {
	kind    kind
	index   int32 // place in the array that holds it
	at, end int32 // bytes of the file
	file    *File
	parent  *node
	key     string // name in the object that holds it
	text    string // of a number, a text, true or false
	items   []*node
}

// File is one parsed document. It does not change.
type File struct {
	Name   string
	source string
	lines  []int32 // where each line begins
	root   *node
}

// Parse reads one JSON value (RFC 8259) and nothing after it. Two members of one
// name are an error, as are invalid UTF-8 and lone surrogates. A byte order mark
// is skipped. Errors are *SyntaxError and match ErrSyntax.
func Parse(name string, data []byte) (*File, error) {
	if len(data) > MaxSize {
		return nil, tooLarge(name)
	}
	f := &File{Name: name, source: string(data), lines: []int32{0}}
	p := &parser{file: f, src: f.source}
	p.at = len(p.src) - len(strings.TrimPrefix(p.src, "\ufeff"))
	for i := 0; i < len(p.src); i++ {
		if p.src[i] == '\n' {
			f.lines = append(f.lines, int32(i+1))
		}
	}
	root, err := p.document()
	if err != nil {
		return nil, err
	}
	f.root = root
	return f, nil
}

func tooLarge(name string) error {
	return &SyntaxError{Name: name, What: fmt.Sprintf("the file is larger than %d MiB, more than any job needs", MaxSize>>20),
		Mend: "check that it is the file you meant"}
}

// position gives line and column of a byte, from 1.
func (f *File) position(at int) (line, column int) {
	low, high := 0, len(f.lines)
	for high-low > 1 {
		if mid := (low + high) / 2; int(f.lines[mid]) <= at {
			low = mid
		} else {
			high = mid
		}
	}
	return low + 1, utf8.RuneCountInString(f.source[f.lines[low]:at]) + 1
}

// parser walks the text once; at is the next byte.
type parser struct {
	file   *File
	src    string
	at     int
	values int
}

func (p *parser) fail(at int, mend, format string, args ...any) error {
	line, column := p.file.position(min(at, len(p.src)))
	return &SyntaxError{p.file.Name, line, column, fmt.Sprintf(format, args...), mend}
}

func (p *parser) document() (*node, error) {
	p.space()
	if p.at == len(p.src) {
		return nil, p.fail(p.at, "write a JSON object", "the file is empty")
	}
	root, err := p.value(nil, 0)
	if err != nil {
		return nil, err
	}
	p.space()
	if p.at < len(p.src) {
		return nil, p.fail(p.at, "take away what follows the last closing bracket", "there is more after the end of the document")
	}
	return root, nil
}

func (p *parser) space() {
	for p.at < len(p.src) && strings.IndexByte(" \t\r\n", p.src[p.at]) >= 0 {
		p.at++
	}
}

// next skips space and gives the byte there, 0 at the end.
func (p *parser) next() byte {
	p.space()
	if p.at == len(p.src) {
		return 0
	}
	return p.src[p.at]
}

func (p *parser) value(parent *node, depth int) (*node, error) {
	c := p.next()
	n := &node{file: p.file, parent: parent, at: int32(p.at)}
	if p.values++; p.values > MaxValues {
		return nil, p.fail(p.at, "check that it is the file you meant", "the file holds more than %d values, more than any job needs", MaxValues)
	}
	err := p.fill(n, c, depth)
	n.end = int32(p.at)
	return n, err
}

func (p *parser) fill(n *node, c byte, depth int) (err error) {
	switch {
	case c == '{' || c == '[':
		if depth == MaxDepth {
			return p.fail(p.at, "write it flatter", "lists and objects stand more than %d deep in one another", MaxDepth)
		}
		p.at++
		if c == '{' {
			n.kind = object
			return p.members(n, depth+1)
		}
		n.kind = array
		return p.elements(n, depth+1)
	case c == '"':
		n.kind = text
		n.text, err = p.quoted()
		return err
	case c == '-' || c >= '0' && c <= '9':
		n.kind = number
		n.text, err = p.digits()
		return err
	}
	return p.word(n)
}

// word reads true, false and null.
func (p *parser) word(n *node) error {
	end := p.at
	for end < len(p.src) && end < p.at+20 && (p.src[end]|0x20 >= 'a' && p.src[end]|0x20 <= 'z') {
		end++
	}
	w := p.src[p.at:end]
	switch w {
	case "true", "false":
		n.kind, n.text = boolean, w
	case "null":
		n.kind = null
	case "":
		return p.unexpected("a value")
	default:
		return p.fail(p.at, "write a number, a text in double quotes, a list or an object", "%q is not a JSON value", w)
	}
	p.at = end
	return nil
}

// unexpected is the error for anything that cannot stand here, the end included.
func (p *parser) unexpected(want string) error {
	if p.at >= len(p.src) {
		return p.fail(p.at, "check that the whole file was saved or copied", "the file ends where %s should follow", want)
	}
	r, size := utf8.DecodeRuneInString(p.src[p.at:])
	if r == utf8.RuneError && size == 1 {
		return p.fail(p.at, "save the file as UTF-8", "the file is not UTF-8 text")
	}
	return p.fail(p.at, "write "+want+" here, or look for a missing quote, comma or bracket just before", "%q stands where %s should", r, want)
}

func (p *parser) elements(n *node, depth int) error {
	for first := true; ; first = false {
		done, err := p.between(']', first)
		if done || err != nil {
			return err
		}
		item, err := p.value(n, depth)
		if err != nil {
			return err
		}
		item.index = int32(len(n.items))
		n.items = append(n.items, item)
	}
}

// between reads a comma, or the closing bracket, in front of an element.
func (p *parser) between(closing byte, first bool) (done bool, err error) {
	c := p.next()
	switch {
	case c == closing:
		p.at++
		return true, nil
	case first:
		return false, nil
	case c != ',':
		return false, p.unexpected("a comma or " + string(rune(closing)))
	}
	comma := p.at
	p.at++
	if p.next() == closing {
		return false, p.fail(comma, "take the comma away", "a comma stands before %q", closing)
	}
	return false, nil
}
