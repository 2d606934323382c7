package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"

	"coilwright/document"
	"coilwright/job"
	"coilwright/sheet"
)

type bookCmd struct {
	jobArg
	jsonFlag
	Read string `type:"existingfile" placeholder:"FILE" help:"A CSV or XLSX of prices, rates and coils to read; --out is then JSON to lay over the shop's book."`
	Out  string `required:"" placeholder:"FILE" help:"File to write: .csv or .xlsx of the job's prices, rates and coils, or .json with --read."`
}

// Run writes prices and rates, or reads them back.
func (c bookCmd) Run(w *world) error {
	j, found := job.Read(c.Job)
	if err := found.Err(); err != nil {
		return err
	}
	text, err := c.text(&j)
	if err != nil {
		return err
	}
	paths, err := sheet.Write(filepath.Dir(c.Out), []sheet.File{{Name: filepath.Base(c.Out), Bytes: text}})
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(w.out, map[string][]string{"files": paths})
	}
	_, err = fmt.Fprintf(w.out, "%s: %d prices, %d rates, %d coils in the book before\n", paths[0], len(j.Prices.Prices), len(j.Prices.Rates), len(j.Book.Mill))
	return err
}

func (c bookCmd) text(j *job.Job) ([]byte, error) {
	file := sheet.BookFile{Money: j.Prices, Mill: j.Book.Mill, Units: j.Units}
	kind := strings.ToLower(filepath.Ext(c.Out))
	switch {
	case c.Read != "" && kind == ".json":
		return c.readBook(j.Book.ColourIDs())
	case c.Read == "" && kind == ".csv":
		return file.CSV()
	case c.Read == "" && kind == ".xlsx":
		return file.XLSX()
	case c.Read != "":
		return nil, &usageError{"--out of what is read is a .json file"}
	}
	return nil, &usageError{"--out is a .csv or .xlsx file"}
}

func (c bookCmd) readBook(colours []string) ([]byte, error) {
	file, err := document.Load(c.Read)
	if err != nil {
		return nil, err
	}
	over, err := sheet.ReadBook(file, colours)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, over, "", "  "); err != nil {
		return nil, err
	}
	out.WriteByte('\n')
	return out.Bytes(), nil
}
