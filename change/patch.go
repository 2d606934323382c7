package change

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// MostOps bounds one patch.
const MostOps = 2000

// Op is one operation of RFC 6902. InList is ours (RFC 6902 section 4 lets readers
// pass over it): it marks, in a patch that was applied, an entry put into or taken
// out of a list, which moves its neighbours.
type Op struct {
	Op     string          `json:"op"`
	Path   string          `json:"path"`
	From   string          `json:"from,omitempty"`
	Value  json.RawMessage `json:"value,omitempty"`
	InList bool            `json:"in_list,omitempty"`
}

// Patch is operations in order: all of them, or none.
type Patch []Op

// Text is p as JSON, its values as they stand, letter for letter.
func (p Patch) Text() string {
	b := append(make([]byte, 0, 256), '[')
	for i, op := range p {
		if i > 0 {
			b = append(b, ',')
		}
		b = op.append(b)
	}
	return string(append(b, ']'))
}

func (op Op) append(b []byte) []byte {
	b = quoted(append(b, `{"op":`...), op.Op)
	b = quoted(append(b, `,"path":`...), op.Path)
	if op.From != "" {
		b = quoted(append(b, `,"from":`...), op.From)
	}
	if len(op.Value) > 0 {
		b = append(append(b, `,"value":`...), op.Value...)
	}
	if op.InList {
		b = append(b, `,"in_list":true`...)
	}
	return append(b, '}')
}

// The operations.
const (
	Add     = "add"
	Remove  = "remove"
	Replace = "replace"
	Move    = "move"
	Copy    = "copy"
	Test    = "test"
)

// ErrPatch is matched by every error of this package; ErrTest by a test operation
// that failed.
var (
	ErrPatch = errors.New("the change cannot be made")
	ErrTest  = errors.New("the value is not what the change expects")
)

// Error says which operation cannot be done.
type Error struct {
	At         int // index of the operation
	Path       string
	What, Mend string
	cause      error
}

func (e *Error) Error() string {
	return fmt.Sprintf("%v: operation %d, %q: %s; %s", ErrPatch, e.At, e.Path, e.What, e.Mend)
}

// Unwrap makes errors.Is true for ErrPatch and for the cause.
func (e *Error) Unwrap() []error { return []error{ErrPatch, e.cause} }

// Applied is a document after a patch. Done is the patch as it was carried out, in
// add, remove and replace alone, its "-" indexes counted out; Inverse takes it back.
type Applied struct {
	Document      []byte
	Done, Inverse Patch
	asked         Patch // Done with the tests that stood between
}

// Asked is Done with the test operations of the patch in their places: what is laid
// over others' changes, so that what was tested must still hold then.
func (a Applied) Asked() Patch { return a.asked }

// Apply carries out a patch on a document. Errors are *Error.
func Apply(document []byte, p Patch) (Applied, error) {
	if len(p) > MostOps {
		return Applied{}, &Error{Path: "", What: fmt.Sprintf("a change has at most %d operations", MostOps), Mend: "make it in parts"}
	}
	w := &work{root: &node{raw: document}, size: len(document), most: MostBytes}
	for i, op := range p {
		if err := w.do(op); err != nil {
			var e *Error
			if errors.As(err, &e) {
				e.At = i
			}
			return Applied{}, err
		}
	}
	slices.Reverse(w.back)
	done := slices.DeleteFunc(slices.Clone(w.asked), func(o Op) bool { return o.Op == Test })
	return Applied{Document: w.root.append(make([]byte, 0, w.size+spare)), Done: done, Inverse: w.back, asked: w.asked}, nil
}

// Again carries out, on the document that they belong to, patches that Apply gave as
// Done, one after another: the document that the last of them gave, letter for letter.
// Inverses, the last first, lead back in the same way. What was let through once is
// bounded no more.
func Again(document []byte, done ...Patch) ([]byte, error) {
	w := &work{root: &node{raw: document}, size: len(document), most: math.MaxInt}
	for _, p := range done {
		for _, op := range p {
			if err := w.do(op); err != nil {
				return nil, err
			}
		}
	}
	return w.root.append(make([]byte, 0, max(0, w.size)+spare)), nil
}

// spare is the room beside what a patch put in that a document is written out with, for
// names and commas, in bytes.
const spare = 256

// Get gives the text of the value at a place, nil where there is none.
func Get(document []byte, path string) json.RawMessage {
	at, ok := tokens(path)
	if !ok {
		return nil
	}
	w := &work{root: &node{raw: document}}
	n, err := w.find(path, at)
	if err != nil {
		return nil
	}
	return n.text()
}

// work is a patch being carried out; back is the inverse, last operation first.
type work struct {
	root        *node
	asked, back Patch
	size, most  int // bytes of the document as it stands, and at most
}

func (w *work) do(op Op) error {
	if needsValue := op.Op == Add || op.Op == Replace || op.Op == Test; needsValue && !json.Valid(op.Value) {
		return fail(op.Path, "it has no value", "write \"value\"", nil)
	}
	switch op.Op {
	case Add:
		return w.add(op.Path, op.Value)
	case Remove:
		_, err := w.remove(op.Path)
		return err
	case Replace:
		return w.replace(op.Path, op.Value)
	case Copy, Move:
		return w.carry(op)
	case Test:
		return w.test(op)
	}
	return fail(op.Path, fmt.Sprintf("%q is no operation", op.Op), "write add, remove, replace, move, copy or test", nil)
}

func fail(path, what, mend string, cause error) error {
	return &Error{Path: path, What: what, Mend: mend, cause: cause}
}

const openAgain = "open the job again to see what is there"

// find gives the node at a place.
func (w *work) find(path string, at []string) (*node, error) {
	n := w.root
	for i, t := range at {
		ok, err := n.open(at[i:]...)
		if err != nil {
			return nil, fail(path, err.Error(), "mend the document", err)
		}
		k := -1
		if ok {
			k = n.member(t)
		}
		if k < 0 {
			return nil, fail(path, "there is no such place", openAgain, nil)
		}
		n = n.kids[k]
	}
	return n, nil
}

// holder gives the container of a place, the last token and its entry's index.
func (w *work) holder(path string) (n *node, token string, i int, err error) {
	at, ok := tokens(path)
	if !ok || len(at) == 0 {
		return nil, "", -1, fail(path, "this is no place in a document", "write a JSON pointer such as /house/walls/0", nil)
	}
	n, err = w.find(path, at[:len(at)-1])
	if err != nil {
		return nil, "", -1, err
	}
	if ok, err := n.open(); !ok || err != nil {
		return nil, "", -1, fail(path, "what stands there can hold nothing", openAgain, err)
	}
	token = at[len(at)-1]
	return n, token, n.member(token), nil
}

func (w *work) grow(path string, by int) error {
	if w.size += by; w.size > w.most {
		return fail(path, "the document would become too large", "leave something out", nil)
	}
	return nil
}

func (w *work) add(path string, value []byte) error {
	if path == "" {
		return w.replace(path, value)
	}
	n, token, i, err := w.holder(path)
	if err != nil {
		return err
	}
	if !n.list && i >= 0 {
		return w.replace(path, value)
	}
	if n.list {
		if i = len(n.kids); token != "-" {
			at, ok := index(token)
			if !ok || at > i {
				return fail(path, fmt.Sprintf("the list has %d entries", i), openAgain, nil)
			}
			i = at
		}
		path = withLast(path, i)
	}
	if err := w.grow(path, len(value)); err != nil {
		return err
	}
	n.put(token, i, &node{raw: compact(value)})
	w.asked = append(w.asked, Op{Op: Add, Path: path, Value: compact(value), InList: n.list})
	w.back = append(w.back, Op{Op: Remove, Path: path, InList: n.list})
	return nil
}

// withLast replaces the last token of a path by an index.
func withLast(path string, i int) string {
	at := bytes.LastIndexByte([]byte(path), '/')
	return path[:at+1] + strconv.Itoa(i)
}

func compact(text []byte) []byte {
	var b bytes.Buffer
	if json.Compact(&b, text) != nil {
		return text
	}
	return b.Bytes()
}

func (w *work) remove(path string) ([]byte, error) {
	n, _, i, err := w.holder(path)
	if err != nil {
		return nil, err
	}
	if i < 0 {
		return nil, fail(path, "there is no such place", openAgain, nil)
	}
	old := n.kids[i].text()
	n.cut(i)
	w.size -= len(old)
	w.asked = append(w.asked, Op{Op: Remove, Path: path, InList: n.list})
	w.back = append(w.back, Op{Op: Add, Path: path, Value: old, InList: n.list})
	return old, nil
}

func (w *work) replace(path string, value []byte) error {
	at, ok := tokens(path)
	if !ok {
		return fail(path, "this is no place in a document", "write a JSON pointer such as /house/walls/0", nil)
	}
	n, err := w.find(path, at)
	if err != nil {
		return err
	}
	old := n.text()
	if err := w.grow(path, len(value)-len(old)); err != nil {
		return err
	}
	*n = node{raw: compact(value)}
	w.asked = append(w.asked, Op{Op: Replace, Path: path, Value: n.raw})
	w.back = append(w.back, Op{Op: Replace, Path: path, Value: old})
	return nil
}

// carry moves or copies.
func (w *work) carry(op Op) error {
	from, okFrom := tokens(op.From)
	to, okTo := tokens(op.Path)
	if !okFrom || !okTo {
		return fail(op.From, "this is no place in a document", "write a JSON pointer such as /house/walls/0", nil)
	}
	if op.Op == Copy {
		n, err := w.find(op.From, from)
		if err != nil {
			return err
		}
		return w.add(op.Path, n.text())
	}
	if len(from) < len(to) && slices.Equal(from, to[:len(from)]) {
		return fail(op.Path, "a thing cannot be moved into itself", "move it elsewhere", nil)
	}
	value, err := w.remove(op.From)
	if err != nil {
		return err
	}
	return w.add(op.Path, value)
}

func (w *work) test(op Op) error {
	at, ok := tokens(op.Path)
	if !ok {
		return fail(op.Path, "this is no place in a document", "write a JSON pointer such as /house/walls/0", nil)
	}
	n, err := w.find(op.Path, at)
	if err != nil {
		return err
	}
	if !Equal(n.text(), op.Value) {
		return fail(op.Path, ErrTest.Error(), openAgain, ErrTest)
	}
	w.asked = append(w.asked, Op{Op: Test, Path: op.Path, Value: op.Value})
	return nil
}
