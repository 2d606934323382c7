// Package web is the built page as files of the program.
package web

import (
	"embed"
	"io/fs"
)

// all: takes names that begin with a point or an underscore too, so that the folder
// can stand in the repository though it is built.
//
//go:embed all:dist
var dist embed.FS

// Page gives the built page; false where the program was built without it.
func Page() (fs.FS, bool) {
	page, err := fs.Sub(dist, "dist")
	if err != nil {
		return nil, false
	}
	_, err = fs.Stat(page, "index.html")
	return page, err == nil
}
