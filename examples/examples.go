// Package examples holds one job for each kind of house. All places and people
// are invented, but for the two published sample houses fzk-house and
// citygml-house, which nobody lives in.
package examples

import "embed"

// Files holds the jobs, each a *.json by its name.
//
//go:embed *.json
var Files embed.FS

// Demo is the text of alder.json, the job that `coilwright demo` writes.
//
//go:embed alder.json
var Demo []byte

//go:embed templates/*.json
var templates embed.FS

// Kind is a template house: a shape to start from, whose sizes are assumed until
// somebody measures them, so that no steel is cut from them.
type Kind struct{ ID, Title, About string }

// Templates lists the template houses. All are invented.
var Templates = [...]Kind{
	{"ranch", "Ranch", "One storey, long and low, eaves all round."},
	{"gable-end", "Gable end", "One storey under a straight roof: two eave walls, two gables."},
	{"cape", "Cape with dormers", "A storey and a half: two gables, two dormers with cheeks in the front roof."},
	{"two-storey", "Two storeys", "Two full storeys: two high eave walls, two high gables."},
	{"townhouse", "Townhouse", "Between two neighbours: a front and a back, three storeys on a slope."},
}

// Template gives the text of a template house.
func Template(id string) ([]byte, bool) {
	for _, k := range Templates {
		if k.ID == id {
			text, err := templates.ReadFile("templates/" + id + ".json")
			return text, err == nil
		}
	}
	return nil, false
}
