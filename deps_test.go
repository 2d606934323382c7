// Package coilwright_test guards the architecture: which package may import
// which, and why not the others. ARCHITECTURE.md says the same in words.
package coilwright_test

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

const module = "coilwright"

// rule is one line of the architecture.
type rule struct {
	name    string
	may     string // project packages that it may import
	reason  string // why no others
	outside string // third-party modules, each used by this package alone
	touches bool   // it may reach the machine: files, processes, the net
}

// rules stand in the order of the work: measure, draw, choose, lay out, cut, show.
var rules = []rule{
	{name: "measure", reason: "quantities stand alone, so that everything can stand on them"},
	{name: "problem", reason: "a finding is said the same way everywhere, whatever it is about"},
	{name: "cores", reason: "work is shared the same way whatever it is"},
	{name: "document", may: "measure problem", reason: "reads JSON with places; what the fields mean is not its business", touches: true},
	{name: "change", reason: "a change to a document is a value; what the document means is not its business"},
	{name: "plane", may: "measure", reason: "geometry knows no house",
		outside: "github.com/peterstace/simplefeatures"},
	{name: "pack", reason: "cutting and packing are general problems; they know no siding"},
	{name: "guillotine", reason: "slitting and cutting to length is a general problem; it knows no trim"},
	{name: "colour", reason: "colours are numbers under a light; they know no panel"},
	{name: "adjust", reason: "least squares know numbers, not what was measured",
		outside: "gonum.org/v1/gonum golang.org/x/sys"},
	{name: "photo", may: "measure cores adjust", reason: "a camera sees planes and points, not walls of a job",
		outside: "github.com/bep/imagemeta golang.org/x/image"},
	{name: "mask", may: "cores", reason: "a matte by strokes is the same whatever the photo shows"},
	{name: "survey", may: "measure adjust", reason: "readings are adjusted the same way whatever they measure"},
	{name: "hang", may: "measure", reason: "wind, nails and hands are the same for every house"},
	{name: "tally", reason: "marks are merged the same way whatever they are about"},
	{name: "house", may: "measure problem plane", reason: "what was measured is true whatever is hung on it"},
	{name: "steel", may: "measure plane", reason: "a shop's book is the same for every house"},
	{name: "scheme", may: "measure plane", reason: "a choice is made before anything is laid out"},
	{name: "course", may: "measure problem plane house steel scheme", reason: "a layout follows from house, scheme and book alone, not from stock or price"},
	{name: "trim", may: "measure plane pack guillotine house steel scheme course", reason: "trim is counted from the layout, not from its price"},
	{name: "coil", may: "measure pack steel", reason: "a coil plan sees pieces, not walls"},
	{name: "box", may: "measure pack plane house steel course", reason: "the same walls in fixed sections: judged beside the coil plan, never fed by it"},
	{name: "price", may: "measure plane house steel scheme course trim coil", reason: "money follows from what will be cut and hung; it never feeds back",
		outside: "github.com/govalues/decimal github.com/govalues/money"},
	{name: "offer", reason: "what is signed is a document; it works nothing out"},
	{name: "job", may: "colour measure problem document plane guillotine photo survey hang house steel scheme course trim coil price box offer",
		reason: "works a job out in order; whoever shows or keeps it comes after", touches: true},
	{name: "site", may: "measure plane hang tally house steel course coil job",
		reason:  "what a crew takes along and what its marks say; it lays nothing out",
		outside: "github.com/boombuler/barcode"},
	{name: "draw", reason: "a drawing model knows lines and words, not houses",
		outside: "codeberg.org/go-pdf/fpdf golang.org/x/image golang.org/x/text"},
	{name: "picture", may: "measure cores colour photo mask plane house steel scheme course job", reason: "a picture shows the layout; it lays nothing out"},
	{name: "solid", may: "measure colour plane house course job picture", reason: "a body shows the layout; it lays nothing out",
		outside: "github.com/qmuntal/gltf"},
	{name: "sheet", may: "measure problem plane house steel scheme course trim coil price job site draw",
		reason: "papers show what was worked out; they work nothing out", touches: true,
		outside: "github.com/xuri/excelize/v2"},
	{name: "proposal", may: "measure colour photo plane house steel course trim price offer job draw", reason: "the owner's papers show what was worked out; they work nothing out"},
	{name: "store", may: "change", reason: "keeps documents, events and files; what they mean is not its business", touches: true,
		outside: "github.com/uptrace/bun modernc.org/sqlite github.com/jackc/pgx/v5 github.com/pressly/goose/v3 gocloud.dev"},
	{name: "web", reason: "the built page as files; no code of the program", touches: true},
	{name: "examples", reason: "job files as data; no code"},
	{name: "server", may: "colour measure problem document change plane guillotine photo house steel scheme course trim coil price job offer tally site picture solid sheet proposal store web examples",
		reason: "serves what was worked out; it works nothing out", touches: true,
		outside: "github.com/danielgtaylor/huma/v2 github.com/alexedwards/scs/v2 golang.org/x/crypto"},
	{name: "cmd/coilwright", may: "measure problem document photo course trim coil price job offer picture solid sheet proposal store server examples",
		reason: "flags and wiring, nothing else", touches: true,
		outside: "github.com/alecthomas/kong"},
	{name: "opendata", reason: "finds the open data that tests are checked against; the program never reads them", touches: true},
}

// forTests are modules that only tests may import, and any test may.
var forTests = []string{
	"pgregory.net/rapid",
	"github.com/rogpeppe/go-internal",
	"github.com/evanphx/json-patch/v5",
	"gonum.org/v1/gonum/mat", // textbook formulas as judges
}

// machine are standard packages that reach beyond the program: the core gives the
// same answer on every machine, so it imports none of them.
var machine = []string{"os", "net", "net/http", "database/sql", "os/exec", "syscall", "math/rand", "math/rand/v2", "log", "log/slog"}

// listed is what go list tells of a package.
type listed struct {
	ImportPath                         string
	Imports, TestImports, XTestImports []string
}

func TestImports(t *testing.T) {
	for _, p := range packages(t) {
		name := strings.TrimPrefix(strings.TrimPrefix(p.ImportPath, module), "/")
		if name == "" || strings.HasPrefix(name, "bench") {
			continue // tests and measurements; nothing can import a test
		}
		at := slices.IndexFunc(rules, func(r rule) bool { return r.name == name })
		if at < 0 {
			t.Errorf("%s has no line in the architecture: add one to deps_test.go and ARCHITECTURE.md", name)
			continue
		}
		for _, own := range strings.Fields(rules[at].may) {
			if !slices.Contains(p.Imports, module+"/"+own) {
				t.Errorf("%s may import %s and does not: take it from its line", name, own)
			}
		}
		for _, imported := range p.Imports {
			if why := forbidden(rules[at], imported); why != "" {
				t.Errorf("%s must not import %s: %s", name, imported, why)
			}
		}
		for _, imported := range slices.Concat(p.TestImports, p.XTestImports) {
			if isOutside(imported) && !within(imported, forTests) && !within(imported, strings.Fields(rules[at].outside)) {
				t.Errorf("tests of %s must not import %s: not among the modules for tests", name, imported)
			}
		}
	}
}

// TestRulesRunForward checks the table itself: a package may import only what
// stands above it, so that the table's order is an order.
func TestRulesRunForward(t *testing.T) {
	var seen []string
	for _, r := range rules {
		for _, m := range strings.Fields(r.may) {
			if !slices.Contains(seen, m) {
				t.Errorf("%s may import %s, which does not stand above it", r.name, m)
			}
		}
		seen = append(seen, r.name)
	}
}

// TestArchitectureTellsTheSame: ARCHITECTURE.md has these packages in this order, each
// with what it may import, and the modules that go.mod asks for, no others.
func TestArchitectureTellsTheSame(t *testing.T) {
	text, err := os.ReadFile("ARCHITECTURE.md")
	if err != nil {
		t.Fatal(err)
	}
	var told, want, modules []string
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(line, "|")
		switch quoted := quotedIn(cells[min(1, len(cells)-1)]); {
		case len(cells) == 6 && len(quoted) == 1: // of the packages
			told = append(told, quoted[0]+": "+strings.Trim(strings.ReplaceAll(cells[3], ",", ""), " -"))
		case len(cells) == 5: // of the modules
			modules = append(modules, quoted...)
		}
	}
	for _, r := range rules {
		want = append(want, r.name+": "+r.may)
	}
	if want = append(want, "bench: anything"); !slices.Equal(told, want) {
		t.Errorf("ARCHITECTURE.md tells of these packages:\n%s\nwant\n%s", strings.Join(told, "\n"), strings.Join(want, "\n"))
	}
	asked := required(t)
	for _, m := range asked {
		if !within(m, modules) {
			t.Errorf("ARCHITECTURE.md does not name %s, which go.mod asks for", m)
		}
	}
	for _, m := range modules {
		if !slices.ContainsFunc(asked, func(a string) bool { return within(a, []string{m}) }) {
			t.Errorf("ARCHITECTURE.md names %s, which go.mod does not ask for", m)
		}
	}
}

// quotedIn gives the names between back quotes.
func quotedIn(text string) (names []string) {
	for i, part := range strings.Split(text, "`") {
		if i%2 == 1 {
			names = append(names, part)
		}
	}
	return names
}

// required is what go.mod asks for itself: modules, and packages of tools.
func required(t *testing.T) (paths []string) {
	t.Helper()
	out, err := exec.Command("go", "mod", "edit", "-json").Output()
	if err != nil {
		t.Fatalf("go mod edit: %v", err)
	}
	var mod struct {
		Require []struct {
			Path     string
			Indirect bool
		}
		Tool []struct{ Path string }
	}
	if err := json.Unmarshal(out, &mod); err != nil {
		t.Fatal(err)
	}
	for _, r := range mod.Require {
		if !r.Indirect {
			paths = append(paths, r.Path)
		}
	}
	for _, tool := range mod.Tool {
		paths = append(paths, tool.Path)
	}
	return paths
}

// TestForbidden checks the judge: it must be able to say no.
func TestForbidden(t *testing.T) {
	house, draw := find("house"), find("draw")
	for _, c := range []struct {
		r        rule
		imported string
		no       bool
	}{
		{house, "coilwright/plane", false},
		{house, "coilwright/scheme", true},
		{house, "coilwright/bench", true},
		{house, "strings", false},
		{house, "net/http", true},
		{house, "codeberg.org/go-pdf/fpdf", true},
		{draw, "codeberg.org/go-pdf/fpdf", false},
		{house, "pgregory.net/rapid", true},
	} {
		if why := forbidden(c.r, c.imported); (why != "") != c.no {
			t.Errorf("%s importing %s: forbidden %q, want %v", c.r.name, c.imported, why, c.no)
		}
	}
}

func find(name string) rule {
	return rules[slices.IndexFunc(rules, func(r rule) bool { return r.name == name })]
}

// forbidden says why r must not import the package, or nothing where it may.
func forbidden(r rule, imported string) string {
	if own, ok := strings.CutPrefix(imported, module+"/"); ok {
		if slices.Contains(strings.Fields(r.may), own) {
			return ""
		}
		return r.reason
	}
	if isOutside(imported) {
		if within(imported, strings.Fields(r.outside)) {
			return ""
		}
		return "each third-party module is used by the one package that ARCHITECTURE.md names"
	}
	if !r.touches && slices.Contains(machine, imported) {
		return "the core gives the same answer on every machine"
	}
	return ""
}

// isOutside says whether a path is third-party: such paths begin with a domain.
func isOutside(path string) bool {
	first, _, _ := strings.Cut(path, "/")
	return strings.Contains(first, ".")
}

func within(path string, modules []string) bool {
	return slices.ContainsFunc(modules, func(m string) bool {
		return path == m || strings.HasPrefix(path, m+"/")
	})
}

func packages(t *testing.T) []listed {
	t.Helper()
	out, err := exec.Command("go", "list", "-e", "-json=ImportPath,Imports,TestImports,XTestImports", "./...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}
