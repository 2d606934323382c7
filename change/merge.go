package change

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
)

// Clash is a place that two changes touched: Path as it is called now.
type Clash struct {
	Path  string
	Yours json.RawMessage // nil where you took it away
}

// Over lays a patch that was made for an older document over what others did
// since: the indexes of lists are moved along, and what both did alike is dropped.
// p must be in the form of Applied.Done (test operations may stand in it). Where
// one touches a place that the other touched, or what holds it, that is a clash.
//
// The method is operational transformation of paths (Ellis and Gibbs, 1989): an
// entry put in or taken out of a list moves the entries behind it, and each of two
// concurrent operations is carried over the other, the earlier one first.
func (p Patch) Over(since ...Patch) (Patch, []Clash) {
	mine := parsed(p)
	var clashes []Clash
	for _, theirs := range since {
		for _, b := range parsed(theirs) {
			var found []Clash
			mine, found = overOne(mine, b)
			clashes = append(clashes, found...)
		}
	}
	out := make(Patch, len(mine))
	for i, a := range mine {
		out[i] = a.Op
		out[i].Path = pointer(a.at)
	}
	return out, clashes
}

// overOne carries every operation of mine over b, and b over each of mine on the way.
func overOne(mine []placed, b placed) ([]placed, []Clash) {
	var (
		out     []placed
		clashes []Clash
	)
	for i, a := range mine {
		if alike(a, b) {
			return append(out, mine[i+1:]...), clashes // what is left of b is nothing
		}
		moved, ok := a.after(b, true)
		if !ok {
			clashes = append(clashes, Clash{Path: pointer(moved.at), Yours: a.Value})
		}
		out = append(out, moved)
		if ok && a.Op.Op != Test {
			b, _ = b.after(a, false)
		}
	}
	return out, clashes
}

// placed is an operation with its path split.
type placed struct {
	Op
	at []string
}

func parsed(p Patch) []placed {
	out := make([]placed, len(p))
	for i, op := range p {
		at, _ := tokens(op.Path)
		out[i] = placed{op, at}
	}
	return out
}

// alike says whether both do the same to the same place. Two entries put into a
// list are two entries, however like each other.
func alike(a, b placed) bool {
	if !slices.Equal(a.at, b.at) || a.InList != b.InList || a.Op.Op == Test {
		return false
	}
	if a.Op.Op == Remove || b.Op.Op == Remove {
		return a.Op.Op == b.Op.Op
	}
	return !a.InList && Equal(a.Value, b.Value)
}

// inserts says whether the operation puts an entry between others.
func (a placed) inserts() bool { return a.InList && a.Op.Op == Add }

// after gives a as it must be done once b is done; false where they clash. Where
// both insert at one place, the later of the two comes behind.
func (a placed) after(b placed, later bool) (placed, bool) {
	if b.InList {
		if moved, ok := a.shifted(b, later); !ok {
			return a, false
		} else if moved != nil {
			a.at = moved
		}
	}
	if b.inserts() {
		return a, !(isPrefix(a.at, b.at) && len(a.at) < len(b.at) && !a.inserts()) // a takes away or replaces what b put into
	}
	return a, !a.touches(b)
}

// shifted gives a's path with list indexes moved by b; nil where nothing moves,
// false where b took a's place away.
func (a placed) shifted(b placed, later bool) ([]string, bool) {
	n := len(b.at) - 1
	if len(a.at) <= n || !slices.Equal(a.at[:n], b.at[:n]) {
		return nil, true
	}
	i, okA := index(a.at[n])
	j, okB := index(b.at[n])
	if !okA || !okB {
		return nil, true
	}
	gap := a.inserts() && len(a.at) == n+1
	switch {
	case b.inserts() && (i > j || i == j && (!gap || later)):
		i++
	case b.inserts() || i < j || i == j && gap:
		return nil, true
	case i == j:
		return nil, false
	default:
		i--
	}
	out := slices.Clone(a.at)
	out[n] = strconv.Itoa(i)
	return out, true
}

// touches says whether a and b, which is no insertion, reach into one another.
func (a placed) touches(b placed) bool {
	if b.InList { // an entry taken out, and a is not in it: only what holds it may clash
		return isPrefix(a.at, b.at) && len(a.at) < len(b.at) && !a.inserts()
	}
	if a.inserts() {
		return isPrefix(b.at, a.at) && len(b.at) < len(a.at)
	}
	return isPrefix(a.at, b.at) || isPrefix(b.at, a.at)
}

func isPrefix(short, long []string) bool {
	return len(short) <= len(long) && slices.Equal(short, long[:len(short)])
}

// Within says whether a place is another or lies in it.
func Within(path, holder string) bool {
	return path == holder || strings.HasPrefix(path, holder+"/")
}

// Paths lists the places that a patch touches, each once, in order.
func (p Patch) Paths() []string {
	out := []string{}
	for _, op := range p {
		if !slices.Contains(out, op.Path) {
			out = append(out, op.Path)
		}
	}
	return out
}

// Difference is one place at which two documents differ: Before or After is nil
// where the place is missing.
type Difference struct {
	Path          string
	Before, After json.RawMessage
}

// Between lists where two documents differ, in the order of the later one. Entries
// of lists whose objects carry an "id" are matched by it, others by their index.
func Between(before, after []byte) []Difference {
	var out []Difference
	compare("", &node{raw: before}, &node{raw: after}, &out)
	return out
}

func compare(path string, a, b *node, out *[]Difference) {
	okA, errA := a.open()
	okB, errB := b.open()
	if errA != nil || errB != nil || !okA || !okB || a.list != b.list {
		if !Equal(a.text(), b.text()) {
			*out = append(*out, Difference{path, a.text(), b.text()})
		}
		return
	}
	used := make([]bool, len(a.kids))
	for i, k := range b.kids {
		j := a.partner(b, i)
		if j < 0 || used[j] {
			*out = append(*out, Difference{Path: path + b.step(i), After: k.text()})
			continue
		}
		used[j] = true
		compare(path+b.step(i), a.kids[j], k, out)
	}
	for j, k := range a.kids {
		if !used[j] {
			*out = append(*out, Difference{Path: path + a.step(j), Before: k.text()})
		}
	}
}

func (n *node) step(i int) string {
	if n.list {
		return "/" + strconv.Itoa(i)
	}
	return "/" + escape.Replace(string(n.names[i].says))
}

// partner finds in n the entry that goes with entry i of b.
func (n *node) partner(b *node, i int) int {
	if !b.list {
		return n.member(string(b.names[i].says))
	}
	id := b.kids[i].id()
	if id == "" {
		return n.member(strconv.Itoa(i))
	}
	return slices.IndexFunc(n.kids, func(k *node) bool { return k.id() == id })
}

// id is the text of an object's member "id".
func (n *node) id() string {
	if ok, err := n.open(); !ok || err != nil || n.list {
		return ""
	}
	if i := n.member("id"); i >= 0 {
		return strings.TrimSpace(string(n.kids[i].text()))
	}
	return ""
}
