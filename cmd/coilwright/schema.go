package main

import "coilwright/job"

type schemaCmd struct{ jsonFlag }

// Run prints the schemas; they are JSON either way.
func (schemaCmd) Run(w *world) error {
	text, err := job.SchemaText()
	if err != nil {
		return err
	}
	_, err = w.out.Write(text)
	return err
}
