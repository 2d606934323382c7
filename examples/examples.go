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
