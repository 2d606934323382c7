package server

import (
	"context"

	"coilwright/job"
	"coilwright/proposal"
	"coilwright/store"
)

// billAsk asks for the paper of an invoice or of a credit note.
type billAsk struct {
	InvoicePath
	Kind     string `query:"kind" enum:"pdf,xml" default:"pdf"`
	Download bool   `query:"download"`
}

// billPaper is that paper: UBL as it is, or drawn under the letterhead that the job
// was offered with.
func (s *Server) billPaper(ctx context.Context, w store.Who, in *billAsk, name, of string, ubl func(places int) ([]byte, error),
	drawn func(j *job.Job, logo *proposal.Picture, places int) ([]byte, error)) (*fileOut, error) {
	o, err := s.store.Offer(ctx, w.Shop, in.Job, of)
	if err != nil {
		return nil, err
	}
	frozen, err := s.frozenJob(ctx, o)
	if err != nil {
		return nil, err
	}
	places, err := frozen.job.Prices.Places()
	if err != nil {
		return nil, err
	}
	if in.Kind == "xml" {
		text, err := ubl(places)
		if err != nil {
			return nil, err
		}
		out := pdfOut(text, name+".xml", in.Download)
		out.Type = "application/xml"
		return out, nil
	}
	pdf, err := drawn(&frozen.job, s.logoOf(ctx, w.Shop, &frozen.job), places)
	return pdfOut(pdf, name+".pdf", in.Download), err
}
