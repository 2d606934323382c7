package main

import (
	"errors"
	"fmt"
	"os"
	"time"

	"coilwright/document"
	"coilwright/job"
	"coilwright/offer"
	"coilwright/price"
	"coilwright/proposal"
	"coilwright/sheet"
)

type offerCmd struct {
	jobArg
	jsonFlag
	Scheme   []string `name:"scheme" placeholder:"ID" help:"Which schemes to offer, first the one that the others are told against; left out: all."`
	Pictures []string `name:"picture" type:"existingfile" placeholder:"FILE" help:"JPEG pictures of the house, in order."`
	Number   string   `help:"The shop's own number of the offer."`
	Out      string   `required:"" placeholder:"DIR" help:"Folder to write the papers into; made if it is missing."`
}

// Run writes the owner's offer and, for the shop alone, its estimate.
func (c offerCmd) Run(w *world) error {
	j, found := job.Read(c.Job)
	if err := found.Err(); err != nil {
		return err
	}
	warn(w.err, found)
	finished := slowly(w.err, "drawing the offer")
	defer finished()
	files, err := c.files(&j)
	if err != nil {
		return notReady(w, err)
	}
	paths, err := sheet.Write(c.Out, files)
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(w.out, map[string][]string{"files": paths})
	}
	_, err = fmt.Fprintf(w.out, "%s: for the owner to read and sign\n%s: for the shop alone, with its costs; every sum is a live formula\n", paths[0], paths[1])
	return err
}

// notReady names each thing that the book lacks on a line of its own.
func notReady(w *world, err error) error {
	var not *job.NotReadyError
	if !errors.As(err, &not) {
		return err
	}
	for _, l := range not.Lacks {
		fmt.Fprintf(w.err, "NO OFFER YET: %s; %s.\n", l.What, l.Mend)
	}
	return errSaid
}

func (c offerCmd) files(j *job.Job) ([]sheet.File, error) {
	ids, err := c.schemes(j)
	if err != nil {
		return nil, err
	}
	in := proposal.Input{Job: j, Date: today(), Number: c.Number}
	in.Until = in.Date.AddDate(0, 0, j.Offer.DaysValid)
	if in.Pictures, err = readPictures(c.Pictures); err != nil {
		return nil, err
	}
	titles, all, err := c.options(&in, ids)
	if err != nil {
		return nil, err
	}
	paper, err := proposal.Offer(in)
	if err != nil {
		return nil, err
	}
	estimate, err := sheet.Estimates(j.Title, in.Date, j.Prices, titles, all)
	return []sheet.File{{Name: "offer.pdf", Bytes: paper}, {Name: "estimate.xlsx", Bytes: estimate}}, err
}

// options freezes the schemes and gives their titles and estimates.
func (c offerCmd) options(in *proposal.Input, ids []string) (titles []string, all []price.Estimate, err error) {
	text, err := document.Load(c.Job)
	if err != nil {
		return nil, nil, err
	}
	complete, err := job.Complete(c.Job, text, job.Beside(c.Job))
	if err != nil {
		return nil, nil, err
	}
	for _, id := range ids {
		o, err := proposal.OptionOf(in.Job, id, job.Frozen{Complete: complete, Kind: offer.First, Until: in.Until.Truncate(time.Second)})
		if err != nil {
			return nil, nil, err
		}
		in.Options = append(in.Options, o)
		titles, all = append(titles, in.Job.Schemes[o.Scheme].Title), append(all, o.Estimate)
	}
	return titles, all, nil
}

// schemes are those asked for, or all.
func (c offerCmd) schemes(j *job.Job) ([]string, error) {
	if len(c.Scheme) == 0 {
		var all []string
		for _, s := range j.Schemes {
			all = append(all, s.ID)
		}
		return all, nil
	}
	for _, id := range c.Scheme {
		if _, err := (schemeFlag{Scheme: id}).choose(*j); err != nil {
			return nil, err
		}
	}
	return c.Scheme, nil
}

// readPictures reads photographs; a file's name is its caption.
func readPictures(files []string) ([]proposal.Picture, error) {
	var out []proposal.Picture
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		p, err := proposal.PictureOf(data, proposal.Caption(name))
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}
