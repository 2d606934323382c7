package document

import (
	"encoding/json"
	"slices"
)

// Object is an object whose names were checked against those that it may have.
type Object struct {
	Value
	fields []string
}

// Object reads an object that may hold the given fields only; each other name is
// found as an error with the nearest known one.
func (v Value) Object(fields []string) Object {
	if !v.is(object) {
		return Object{Value{nil, v.found}, fields}
	}
	for _, m := range v.node.items {
		if !slices.Contains(fields, m.key) && !v.found.full() {
			Value{m, v.found}.Errorf(knownNames(m.key, fields), "%q is no field of this object", clip(m.key))
		}
	}
	return Object{v, fields}
}

// Get gives the named field, absent where the object has none. Asking for a field
// that Object does not accept is a programmer's mistake.
func (o Object) Get(name string) Value {
	if !slices.Contains(o.fields, name) {
		panic("document: field " + name + " is read but not accepted")
	}
	if o.node == nil {
		return Value{nil, o.found}
	}
	return Value{o.node.member(name), o.found}
}

// Need is Get for a field that must be there.
func (o Object) Need(name string) Value {
	v := o.Get(name)
	if o.node != nil && !v.Present() {
		o.Errorf("add "+name, "the field %q is missing", name)
	}
	return v
}

// Peek gives the named member of an object before its names are checked; absent
// where there is none or v is no object.
func (v Value) Peek(name string) Value {
	if !v.IsObject() {
		return Value{nil, v.found}
	}
	return Value{v.node.member(name), v.found}
}

// Has says whether the field is there and not null.
func (o Object) Has(name string) bool { return o.Get(name).Present() }

// Map gives the members of an object of any names, in order.
func (v Value) Map() []Value {
	if !v.is(object) {
		return nil
	}
	return v.children()
}

// List gives the elements of a list.
func (v Value) List() []Value {
	if !v.is(array) {
		return nil
	}
	return v.children()
}

func (v Value) children() []Value {
	out := make([]Value, len(v.node.items))
	for i, m := range v.node.items {
		out[i] = Value{m, v.found}
	}
	return out
}

// Pair gives the two elements of a list of two; absent ones where it is not.
func (v Value) Pair() (a, b Value) {
	if l := v.Tuple(2); l != nil {
		return l[0], l[1]
	}
	return Value{nil, v.found}, Value{nil, v.found}
}

// Tuple gives the elements of a list of n values, none of them null; nil where it
// is not that.
func (v Value) Tuple(n int) []Value {
	if !v.is(array) {
		return nil
	}
	l := v.children()
	if len(l) != n {
		v.Errorf("write as many as are wanted", "a list of %d stands where %d values are wanted", len(l), n)
		return nil
	}
	for _, w := range l {
		if !w.Present() {
			w.Errorf("write the value", "null stands where a value is wanted")
			return nil
		}
	}
	return l
}

// Over lays the object v over the object base: objects merge name by name, all
// else is replaced, and a null takes away. Values keep the places they came from.
func (v Value) Over(base Value) Value {
	if v.node == nil {
		return base
	}
	if base.node == nil {
		return v
	}
	return Value{overlay(v.node, base.node), v.found}
}

func overlay(top, base *node) *node {
	if top.kind != object || base.kind != object {
		return top
	}
	place := make(map[string]int, len(base.items))
	out := *top
	out.items = append([]*node(nil), base.items...)
	for i, b := range base.items {
		place[b.key] = i
	}
	for _, t := range top.items {
		if i, ok := place[t.key]; ok {
			out.items[i] = overlay(t, out.items[i])
		} else {
			out.items = append(out.items, t)
		}
	}
	return &out
}

func (n *node) json(b []byte) []byte {
	switch n.kind {
	case null:
		return append(b, "null"...)
	case text:
		return append(b, quote(n.text)...)
	case array, object:
		return n.inner(b)
	}
	return append(b, n.text...)
}

// inner writes a list or an object.
func (n *node) inner(b []byte) []byte {
	brackets := "[]"
	if n.kind == object {
		brackets = "{}"
	}
	b = append(b, brackets[0])
	for i, m := range n.items {
		if i > 0 {
			b = append(b, ',')
		}
		if n.kind == object {
			b = append(append(b, quote(m.key)...), ':')
		}
		b = m.json(b)
	}
	return append(b, brackets[1])
}

func quote(s string) []byte {
	q, err := json.Marshal(s)
	if err != nil {
		panic(err) // a string always marshals
	}
	return q
}
