package main

import (
	"coilwright/job"
	"coilwright/server"
)

type schemaCmd struct {
	jsonFlag
	API bool `name:"api" help:"Print the description of the server's API instead, as OpenAPI 3.1."`
}

// Run prints the schemas; they are JSON either way.
func (c schemaCmd) Run(w *world) error {
	text, err := job.SchemaText()
	if c.API {
		text, err = server.Description(version().Version)
	}
	if err != nil {
		return err
	}
	_, err = w.out.Write(text)
	return err
}
