// Package job is one revision of a job: the file that a person writes, read whole
// and strictly, and what follows from it, worked out in order.
package job

import (
	"encoding/json"
	"errors"
	"math/big"
	"path/filepath"

	"coilwright/document"
	"coilwright/house"
	"coilwright/measure"
	"coilwright/offer"
	"coilwright/price"
	"coilwright/problem"
	"coilwright/scheme"
	"coilwright/steel"
)

// Format is the job file that this program reads.
const Format = "coilwright/job@1"

// Job is a job file as read: defaults filled in, names looked up.
type Job struct {
	Title        string
	Units        measure.Units
	InstallTempF *big.Rat // degrees Fahrenheit
	House        house.House
	Photos       []Photo
	Readings     []Reading // beside those that draw the house
	Schemes      []scheme.Scheme
	Book         steel.Book
	Prices       price.Book
	Offer        offer.Book // what the shop says to an owner
	Site         price.Site
	Wind         Wind // what the wind on the house depends on, as far as stated
	Visit        offer.Visit
	// sizes are the pedigrees of the width and height of each opening that was given
	// by its place and size; the house keeps those of corners only.
	sizes map[owner][2]house.Pedigree
	seen  []sight // what its photos show, after See
}

// Photo is a photo of the house. Raw is its whole entry as read.
type Photo struct {
	ID, File, Mask string
	Raw            json.RawMessage
}

// installTempF is the default of the contract, in degrees Fahrenheit.
const installTempF = 60

// Open gives the bytes of a file that a job names, relative to the job's folder.
type Open func(relative string) ([]byte, error)

// Read reads the job file at path and the shop file that it names. Where the list
// is Fatal the job is not to be worked on.
func Read(path string) (Job, problem.List) {
	data, err := document.Load(path)
	if err != nil {
		return Job{}, problem.List{fileProblem(path, err)}
	}
	return Parse(path, data, Beside(path))
}

// Beside opens files that a job file at path names.
func Beside(path string) Open {
	return func(relative string) ([]byte, error) {
		if !filepath.IsAbs(relative) {
			relative = filepath.Join(filepath.Dir(path), relative)
		}
		return document.Load(relative)
	}
}

// Parse reads a job from its text; name is what errors call it. open serves the
// shop file that the job may name; nil refuses.
func Parse(name string, data []byte, open Open) (Job, problem.List) {
	file, err := document.Parse(name, data)
	if err != nil {
		return Job{}, problem.List{fileProblem(name, err)}
	}
	r := &reader{found: &document.Findings{Main: name}, open: open}
	r.job(file.Read(r.found))
	if found := r.found.List(); !found.Fatal() && r.out.House.Check().Err() == nil {
		r.out.settleAdjusted()
	}
	return r.out, r.found.List()
}

// fileProblem says why a file as a whole cannot be read.
func fileProblem(name string, err error) problem.Problem {
	var (
		bad   *document.SyntaxError
		unmet *document.FileError
	)
	switch {
	case errors.As(err, &bad):
		return problem.Problem{Severity: problem.Error, Where: bad.Place(), What: bad.What, Mend: bad.Mend}
	case errors.As(err, &unmet):
		return problem.Problem{Severity: problem.Error, Where: unmet.Name, What: unmet.What, Mend: unmet.Mend}
	}
	return problem.Problem{Severity: problem.Error, Where: name, What: err.Error(), Mend: "check the file"}
}

// reader is one reading of a job.
type reader struct {
	found *document.Findings
	open  Open
	out   Job
	// lettered and booked say that the walls' ids and the book could be read, so
	// that a name found in neither is wrong by itself.
	lettered, booked bool
}

func (r *reader) job(v document.Value) {
	if !v.IsObject() {
		v.Errorf("write an object with format, house, schemes and shop", "a job is a JSON object")
		return
	}
	if !r.format(v) {
		return
	}
	o := v.Object(jobFields)
	r.out.Title = o.Get("title").Text()
	if o.Get("units").OneOf("system of units", unitNames) == measure.Metric.String() {
		r.out.Units = measure.Metric
	}
	r.out.InstallTempF = o.Get("install_temp_f").Exact(-100, 250)
	if r.out.InstallTempF == nil {
		r.out.InstallTempF = big.NewRat(installTempF, 1)
	}
	r.out.Site, r.out.Visit = site(o.Get("site"))
	r.house(o.Need("house"))
	r.shop(o.Need("shop"))
	r.schemes(o.Need("schemes"))
}

// format stops the reading of another format before its fields are found wrong.
func (r *reader) format(v document.Value) bool {
	f := v.Peek("format")
	if !f.Present() {
		v.Errorf("add \"format\": \""+Format+"\"", "the field \"format\" is missing")
		return false
	}
	before := r.found.Errors()
	name := f.Text()
	if name != Format && r.found.Errors() == before {
		f.Errorf("write \""+Format+"\", or use the program that made this file", "this file is of format %q, this program reads %s", name, Format)
	}
	return name == Format
}
