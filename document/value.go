package document

import (
	"fmt"
	"strconv"
	"strings"

	"coilwright/problem"
)

// most is how many findings are kept: after some, the rest is likely to follow
// from them, and no input may cost more than its size.
const most = 100

// Findings collects what is wrong with documents. Main is the name of the file
// that a finding's place lies in unless it says otherwise.
type Findings struct {
	Main   string
	list   problem.List
	errors int
}

// List gives all findings in the order they were found.
func (f *Findings) List() problem.List { return f.list }

// Errors counts the errors so far.
func (f *Findings) Errors() int { return f.errors }

// Add takes a finding from elsewhere.
func (f *Findings) Add(p problem.Problem) {
	if p.Severity == problem.Error {
		f.errors++
	}
	switch {
	case len(f.list) < most:
		f.list = append(f.list, p)
	case len(f.list) == most && p.Severity == problem.Error:
		f.list.Errorf(p.Where, "mend those first", "there are more findings than the %d above", most)
	}
}

// full says that nothing more will be kept.
func (f *Findings) full() bool { return len(f.list) > most }

// Value is one place in a document, or the lack of one. Each typed reader of an
// absent value gives the zero of its type and finds nothing wrong; each that
// meets another type finds that and gives the zero.
type Value struct {
	node  *node
	found *Findings
}

// Read begins reading: what is wrong goes to found.
func (f *File) Read(found *Findings) Value { return Value{f.root, found} }

// Present says whether there is a value, and it is not null.
func (v Value) Present() bool { return v.node != nil && v.node.kind != null }

// IsObject, IsList and IsText tell what stands here.
func (v Value) IsObject() bool { return v.node != nil && v.node.kind == object }

// IsList says whether a list stands here.
func (v Value) IsList() bool { return v.node != nil && v.node.kind == array }

// IsText says whether a text stands here.
func (v Value) IsText() bool { return v.node != nil && v.node.kind == text }

// Name is the member's name in its object, "" elsewhere.
func (v Value) Name() string {
	if v.node == nil {
		return ""
	}
	return v.node.key
}

// Path is the JSON path, such as $.house.walls[2].id.
func (v Value) Path() string {
	if v.node == nil {
		return "$"
	}
	return v.node.path()
}

func (n *node) path() string {
	var steps []string
	for ; n.parent != nil; n = n.parent {
		if n.parent.kind == array {
			steps = append(steps, "["+strconv.Itoa(int(n.index))+"]")
		} else {
			steps = append(steps, step(n.key))
		}
	}
	var b strings.Builder
	b.WriteByte('$')
	for i := len(steps) - 1; i >= 0; i-- {
		b.WriteString(steps[i])
	}
	return b.String()
}

// step writes a name as RFC 9535 does: .name, or ['name'] where it is no word.
func step(name string) string {
	for i, c := range name {
		if c != '_' && (c|0x20 < 'a' || c|0x20 > 'z') && (i == 0 || c < '0' || c > '9') {
			return "['" + strings.NewReplacer(`\`, `\\`, `'`, `\'`).Replace(clip(name)) + "']"
		}
	}
	return "." + clip(name)
}

// Line is file:line:column of the value.
func (v Value) Line() string {
	line, column := v.node.file.position(int(v.node.at))
	return fmt.Sprintf("%s:%d:%d", v.node.file.Name, line, column)
}

// Errorf finds an error at this value; it names file and line beside the path, where the
// document is a file that a person reads and so has a name.
func (v Value) Errorf(mend, format string, args ...any) {
	v.add(problem.Error, mend, fmt.Sprintf(format, args...))
}

// Warnf finds something to warn of at this value.
func (v Value) Warnf(mend, format string, args ...any) {
	v.add(problem.Warning, mend, fmt.Sprintf(format, args...))
}

func (v Value) add(s problem.Severity, mend, what string) {
	if v.found.full() {
		v.found.errors++
		return
	}
	where := v.Path()
	if name := v.node.file.Name; name != v.found.Main {
		where = name + ": " + where
	}
	if v.node.file.Name != "" {
		what += " (" + v.Line() + ")"
	}
	v.found.Add(problem.Problem{Severity: s, Where: where, What: what, Mend: mend})
}

// is checks the type; false for absent values too.
func (v Value) is(k kind) bool {
	if !v.Present() {
		return false
	}
	if v.node.kind == k {
		return true
	}
	v.Errorf("write "+k.String(), "%s stands where %s should", v.node.kind, k)
	return false
}

// JSON gives the value's own text, compact; nil where it is absent. What stands in
// several files (see Over) comes out as one.
func (v Value) JSON() []byte {
	if !v.Present() {
		return nil
	}
	return v.node.json(nil)
}

// Errors counts the errors found so far in the whole reading.
func (v Value) Errors() int { return v.found.Errors() }
