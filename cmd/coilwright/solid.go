package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"coilwright/solid"
)

type solidCmd struct {
	jobArg
	schemeFlag
	Out string `required:"" short:"o" placeholder:"FILE" help:"glTF 2.0 binary to write, *.glb."`
}

// Run writes the whole house in a scheme as a body.
func (c solidCmd) Run(w *world) error {
	if strings.ToLower(filepath.Ext(c.Out)) != ".glb" {
		return &usageError{fmt.Sprintf("the body is a glTF binary: give -o a name that ends in .glb, not %q", c.Out)}
	}
	j, id, err := c.open(w, c.schemeFlag)
	if err != nil {
		return err
	}
	m, err := solid.Of(j, id)
	if err != nil {
		return err
	}
	file, err := m.GLB()
	if err != nil {
		return err
	}
	if err := writeWhole(c.Out, file); err != nil {
		return err
	}
	for _, n := range m.Notes {
		fmt.Fprintf(w.err, "note: %s\n", n)
	}
	_, err = fmt.Fprintf(w.out, "%s, %d walls\nAn illustration: approve a physical sample.\n", c.Out, len(m.Walls))
	return err
}
