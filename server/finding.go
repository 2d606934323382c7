package server

import (
	"regexp"
	"strings"

	"coilwright/job"
	"coilwright/problem"
)

// Finding is a problem with the way to its place, so that a warning on a screen
// leads there. Wall, opening and zone are ids, empty where the place is in none.
type Finding struct {
	problem.Problem
	Pointer string `json:"pointer" doc:"The place as a JSON pointer; empty where it is none in the document"`
	Wall    string `json:"wall"`
	Opening string `json:"opening"`
	Scheme  string `json:"scheme"`
	Zone    string `json:"zone"`
}

// findings gives each problem its way.
func findings(j *job.Job, l problem.List) []Finding {
	out := make([]Finding, len(l))
	for i, p := range l {
		out[i] = Finding{Problem: p, Pointer: pointerOf(p.Where)}
		out[i].name(j)
	}
	return out
}

var pathStep = regexp.MustCompile(`\.([A-Za-z0-9_]+)|\[(\d+)\]|\["([^"\\]*)"\]`)

// pointerOf turns $.house.walls[2].openings[0] into /house/walls/2/openings/0.
func pointerOf(where string) string {
	at := strings.Index(where, "$")
	if at < 0 {
		return ""
	}
	path, _, _ := strings.Cut(where[at+1:], " ")
	var b strings.Builder
	for _, m := range pathStep.FindAllStringSubmatch(path, 12) {
		b.WriteString("/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(m[1]+m[2]+m[3]))
	}
	return b.String()
}

// name finds the ids along the way.
func (f *Finding) name(j *job.Job) {
	steps := strings.Split(strings.TrimPrefix(f.Pointer, "/"), "/")
	for i := 0; i+1 < len(steps); i++ {
		n, ok := number(steps[i+1])
		if !ok {
			continue
		}
		switch w, s := f.wallOf(j), f.schemeOf(j); {
		case steps[i] == "walls" && n < len(j.House.Walls):
			f.Wall = j.House.Walls[n].ID
		case steps[i] == "openings" && w >= 0 && n < len(j.House.Walls[w].Openings):
			f.Opening = j.House.Walls[w].Openings[n].ID
		case steps[i] == "schemes" && n < len(j.Schemes):
			f.Scheme = j.Schemes[n].ID
		case steps[i] == "zones" && s >= 0 && n < len(j.Schemes[s].Zones):
			f.Zone = j.Schemes[s].Zones[n].ID
		}
	}
}

func (f *Finding) wallOf(j *job.Job) int {
	for i, w := range j.House.Walls {
		if f.Wall != "" && w.ID == f.Wall {
			return i
		}
	}
	return -1
}

func (f *Finding) schemeOf(j *job.Job) int {
	for i, s := range j.Schemes {
		if f.Scheme != "" && s.ID == f.Scheme {
			return i
		}
	}
	return -1
}

func number(s string) (n int, ok bool) {
	if s == "" || len(s) > 6 {
		return 0, false
	}
	for _, c := range s {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, true
}
