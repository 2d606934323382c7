package main

import (
	"fmt"
	"io"
	"io/fs"
	"strings"
	"time"

	"coilwright/examples"
	"coilwright/house"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/trim"
)

// houses slits the flat trim of every scheme of the examples, and fails where one is not
// proven. Walls that are not measured well enough to be cut from are taken as if they
// were, for the measurement alone; such houses carry a star.
func houses(w io.Writer) error {
	names, err := fs.Glob(examples.Files, "*.json")
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "%-24s %6s %7s %7s %9s %9s %7s %6s %10s\n", "flat trim of", "flats", "blanks", "slits", "feet", "bound", "gap %", "waste %", "ms")
	var open []string
	for _, name := range names {
		j, found := job.Read("examples/" + name)
		if found.Fatal() {
			return found.Err()
		}
		for _, s := range j.Schemes {
			proven, err := slitHouse(w, &j, name, s.ID)
			if err != nil {
				return err
			}
			if !proven {
				open = append(open, name+" "+s.ID)
			}
		}
	}
	fmt.Fprintln(w, "* as if measured well enough to cut from")
	if open != nil {
		return fmt.Errorf("not proven: the trim of %s", strings.Join(open, ", "))
	}
	return nil
}

func slitHouse(w io.Writer, j *job.Job, name, scheme string) (proven bool, err error) {
	l, err := j.Layout(scheme, false)
	if err != nil {
		return false, err
	}
	star := ""
	if unfit(j) {
		star = "*"
		j.House = asIfMeasured(j.House)
	}
	start := time.Now()
	plans, err := j.Slit(l)
	took := time.Since(start)
	proven = true
	for _, p := range plans {
		if len(p.Blanks) == 0 {
			return false, fmt.Errorf("%s %s: nothing is slit: %s", name, scheme, p.Note)
		}
		printSlitting(w, fmt.Sprintf("%s %s%s", name, scheme, star), &p, took)
		proven = proven && p.Optimal
	}
	return proven, err
}

func printSlitting(w io.Writer, name string, p *trim.Slitting, took time.Duration) {
	gap := 100 * float64(p.Gap()) / float64(p.Length)
	fmt.Fprintf(w, "%-24s %6d %7d %7d %9.2f %9.2f %7.2f %6.2f %10.0f\n", name, len(p.Flats), len(p.Blanks), p.Slits,
		p.Length.Feet(), p.Bound.Feet(), gap, p.WastePct(), ms(took))
}

// taped is the pedigree of what is fit to cut.
func taped() house.Pedigree { return house.Pedigree{By: house.Tape, PlusMinus: measure.Inch / 16} }

// unfit says that some wall or opening was not taped.
func unfit(j *job.Job) bool {
	for _, w := range j.House.Walls {
		if w.Measured.By.Rank() < house.Source(house.Tape).Rank() {
			return true
		}
		for _, o := range w.Openings {
			if o.Measured.By.Rank() < house.Source(house.Tape).Rank() {
				return true
			}
		}
	}
	return false
}

// asIfMeasured is the house with every size as if taped over the substrate.
func asIfMeasured(h house.House) house.House {
	walls := append([]house.Wall{}, h.Walls...)
	for i := range walls {
		w := &walls[i]
		w.Measured, w.Over, w.Readings = taped(), house.Substrate, nil
		w.Openings = append([]house.Opening{}, w.Openings...)
		for k := range w.Openings {
			w.Openings[k].Measured, w.Openings[k].Readings = taped(), nil
		}
	}
	h.Walls = walls
	return h
}
