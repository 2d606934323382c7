package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"coilwright/examples"
	"coilwright/sheet"
)

type demoCmd struct{ jsonFlag }

const demoFile = "demo.json"

// Run writes the demo job into the current folder, never over another file.
func (c demoCmd) Run(w *world) error {
	if err := placeDemo(examples.Demo); err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(w.out, map[string][]string{"files": {demoFile}})
	}
	_, err := fmt.Fprintf(w.out, "%s: an invented house to start from. Next: coilwright check %s\n", demoFile, demoFile)
	return err
}

func placeDemo(demo []byte) error {
	there, err := os.ReadFile(demoFile)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		_, err = sheet.Write(".", []sheet.File{{Name: demoFile, Bytes: demo}})
		return err
	case err != nil:
		return fmt.Errorf("%s is here but cannot be read: %w; move it away", demoFile, err)
	case !bytes.Equal(there, demo):
		return fmt.Errorf("%s is already here and differs from the demo, so it was left as it is: move it away, or go to another folder", demoFile)
	}
	return nil
}
