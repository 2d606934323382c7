package job

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"coilwright/document"
	"coilwright/problem"
	"coilwright/steel"
)

// demoName is what findings in the demo book call it.
const demoName = "demo shop book"

// shop reads the shop's book: the demo book, a file, or one in place, with what
// stands beside "use" laid over it.
func (r *reader) shop(v document.Value) {
	before := r.found.Errors()
	book, ok := r.used(v.Peek("use"))
	if !ok || !v.Present() {
		return
	}
	r.book(v.Over(book))
	r.booked = r.found.Errors() == before
	if r.booked {
		r.strays(v)
	}
}

// used opens the book that "use" names; an absent value where it names none.
func (r *reader) used(use document.Value) (document.Value, bool) {
	name := use.ID()
	switch {
	case !use.Present():
		return document.Value{}, true
	case name == "":
		return document.Value{}, false
	}
	file, err := r.bookOf(name)
	if err == nil {
		return r.bookFile(file)
	}
	p := fileProblem(name, err)
	use.Errorf(p.Mend, "the shop's book %s cannot be used: %s: %s", name, p.Where, p.What)
	return document.Value{}, false
}

// bookName is how a job names a saved version of the shop's own book: "book@3".
const bookName = "book@"

// BookName is what a job writes under shop.use for a version of the shop's own book.
func BookName(version int64) string { return bookName + strconv.FormatInt(version, 10) }

// BookVersion reads such a name.
func BookVersion(use string) (int64, bool) {
	text, ok := strings.CutPrefix(use, bookName)
	n, err := strconv.ParseInt(text, 10, 64)
	return n, ok && err == nil && n > 0 && text[0] != '+'
}

// ParseBook reads a shop's book by itself: only what a book holds is set of the job.
// name is what errors call it.
func ParseBook(name string, data []byte) (Job, problem.List) {
	file, err := document.Parse(name, data)
	if err != nil {
		return Job{}, problem.List{fileProblem(name, err)}
	}
	r := &reader{found: &document.Findings{Main: name}}
	v := file.Read(r.found)
	if !v.IsObject() {
		v.Errorf("write an object with panels, prices and rates", "a shop's book is a JSON object")
		return Job{}, r.found.List()
	}
	v.Object(bookFields)
	r.book(v)
	r.strays(v)
	return r.out, r.found.List()
}

func (r *reader) bookFile(f *document.File) (document.Value, bool) {
	v := f.Read(r.found)
	return v, v.Object(bookFields).Present() || r.notABook(v)
}

func (r *reader) notABook(v document.Value) bool {
	if !v.Present() {
		r.found.Add(problem.Problem{Severity: problem.Error, Where: "$.shop.use", What: "the shop's book is null", Mend: "write an object there"})
	}
	return false
}

// demoBook is the demo book's text taken apart, once for all jobs: it never changes,
// and most jobs of a shop that tries the program out rest on it.
var demoBook = sync.OnceValues(func() (*document.File, error) { return document.Parse(demoName, steel.DemoBook) })

func (r *reader) bookOf(name string) (*document.File, error) {
	if name == "demo" {
		return demoBook()
	}
	if r.open == nil {
		return nil, &document.FileError{Name: name, What: "files cannot be opened here",
			Mend: `write "use": "demo", or the book itself in place`, Cause: document.ErrFile}
	}
	data, err := r.open(name)
	if err != nil {
		return nil, err
	}
	return document.Parse(name, data)
}

// strays leaves out stock and mill coils of colours that an override took off the
// list, and warns once for each list.
func (r *reader) strays(shop document.Value) {
	b := &r.out.Book
	known := func(colour string) bool { return slices.Contains(r.colourIDs(), colour) }
	var coils, mills []string
	b.Coils = slices.DeleteFunc(b.Coils, func(c steel.Coil) bool {
		if !known(c.Colour) {
			coils = append(coils, c.ID+" ("+c.Colour+")")
		}
		return !known(c.Colour)
	})
	b.Mill = slices.DeleteFunc(b.Mill, func(m steel.Mill) bool {
		if m.Colour != steel.AnyColour && !known(m.Colour) {
			mills = append(mills, m.Colour)
		}
		return m.Colour != steel.AnyColour && !known(m.Colour)
	})
	warn := func(list string, out []string) {
		if len(out) > 0 {
			shop.Warnf("list the colours, or leave those coils out of the book",
				"%s of the shop's book left out, of colours that are not listed: %s", counted(len(out), list), some(out))
		}
	}
	warn("stock coil", coils)
	warn("mill coil", mills)
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func some(names []string) string {
	if len(names) > 8 {
		return strings.Join(names[:8], ", ") + ", ..."
	}
	return strings.Join(names, ", ")
}
