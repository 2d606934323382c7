package main

import (
	"fmt"
	"runtime/debug"
)

type versionCmd struct{ jsonFlag }

// Run says which program this is, as the Go tool stamped it.
func (c versionCmd) Run(w *world) error {
	v := version()
	if c.JSON {
		return writeJSON(w.out, v)
	}
	_, err := fmt.Fprintf(w.out, "%s %s, built with %s\n", v.Program, v.Version, v.Go)
	return err
}

type programVersion struct {
	Program string `json:"program"`
	Version string `json:"version"`
	Go      string `json:"go"`
}

func version() programVersion {
	v := programVersion{Program: "coilwright", Version: "unknown"}
	if b, ok := debug.ReadBuildInfo(); ok {
		v.Go = b.GoVersion
		if b.Main.Version != "" {
			v.Version = b.Main.Version
		}
	}
	return v
}
