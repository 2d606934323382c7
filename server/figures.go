package server

import (
	"cmp"
	"context"
	"encoding/json"
	"maps"
	"slices"

	"coilwright/change"
	"coilwright/job"
	"coilwright/offer"
	"coilwright/price"
	"coilwright/sheet"
)

// FiguresView is the money side of the book that a job uses.
type FiguresView struct {
	Title    string       `json:"title"`
	Version  int64        `json:"version" doc:"Of the shop's own book, that this job uses; 0: the demo book, or one in place"`
	Newest   int64        `json:"newest" doc:"Newest version of the shop's own book; 0: none was saved"`
	Currency string       `json:"currency"`
	Figures  []FigureView `json:"figures"`
	Lacks    []Lack       `json:"lacks" doc:"What must be there before an offer can be sent"`
	// What a visit starts from.
	Scope        []ScopeView `json:"scope" doc:"The shop's usual work around the panels; a job's own stands in its place"`
	NotIncluded  []string    `json:"not_included" doc:"The shop's usual; a job's own stands in its place"`
	OldCladdings []string    `json:"old_claddings" doc:"What commonly hangs on a house before"`
}

// ScopeView is one line of the work around the panels.
type ScopeView struct {
	What string `json:"what"`
	By   string `json:"by" enum:"shop,owner,utility,authority"`
	Note string `json:"note"`
}

// FigureView is one price or rate.
type FigureView struct {
	Part     string `json:"part" enum:"price,rate"`
	Name     string `json:"name"`
	What     string `json:"what"`
	Unit     string `json:"unit"`
	Value    string `json:"value" doc:"Exact decimal; empty where the book has none"`
	Date     string `json:"date"`
	Supplier string `json:"supplier"`
	Jobs     int    `json:"jobs" doc:"Finished jobs that it was learned from; 0: assumed"`
	Own      bool   `json:"own" doc:"This job's own, laid over the shop's"`
	Optional bool   `json:"optional" doc:"An estimate does without it; its line is there only where it has a figure"`
}

type figuresOut struct{ Body FiguresView }

func (s *Server) registerFigures() {
	const tag, at = "figures", "/api/jobs/{job}/figures"
	handle(s, operation("GET", at, "get-figures", tag, "Prices and rates of the book that a job uses", 404), s.getFigures)
	file := operation("GET", at+"/file", "get-figures-file", tag, "Prices, rates and coils as CSV or XLSX", 404)
	file.Responses = binary("CSV or XLSX")
	handle(s, file, s.figuresFile)
	handle(s, operation("POST", at+"/file", "read-figures-file", tag, "Read prices, rates and coils from CSV or XLSX, as a change to be made", 404, 413), s.readFigures)
	estimate := operation("GET", "/api/jobs/{job}/estimate", "get-estimate-file", tag, "Every scheme priced, as XLSX with live formulas", 404)
	estimate.Responses = binary("XLSX")
	handle(s, estimate, s.estimateFile)
}

func (s *Server) getFigures(ctx context.Context, in *JobPath) (*figuresOut, error) {
	_, done, err := s.worked(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	own, err := s.ownFigures(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	v := FiguresView{
		Title: done.job.Book.Title, Currency: done.job.Prices.Currency, Figures: []FigureView{}, Lacks: []Lack{},
		Scope: []ScopeView{}, NotIncluded: filled(done.job.Offer.NotIncluded), OldCladdings: price.OldCladdings[:],
	}
	for _, line := range done.job.Offer.Scope {
		v.Scope = append(v.Scope, ScopeView{line.What, cmp.Or(string(line.By), string(offer.ByShop)), line.Note})
	}
	v.add("price", price.PriceKeys, done.job.Prices.Prices, own["prices"])
	v.add("rate", price.RateKeys, done.job.Prices.Rates, own["rates"])
	for _, l := range done.job.Offer.Lacks() {
		v.Lacks = append(v.Lacks, Lack(l))
	}
	if v.Version, v.Newest, err = s.versionsOf(ctx, in.Job); err != nil {
		return nil, err
	}
	return &figuresOut{v}, nil
}

func (v *FiguresView) add(part string, keys []price.Key, figures map[string]price.Figure, own map[string]json.RawMessage) {
	known := map[string]bool{}
	put := func(k price.Key) {
		f := figures[k.Name]
		view := FigureView{Part: part, Name: k.Name, What: k.What, Unit: k.Unit, Date: f.Date, Supplier: f.Supplier, Jobs: f.Jobs, Own: own[k.Name] != nil, Optional: price.Optional(k.Name)}
		if f.Written {
			view.Value = f.Value.String()
		}
		v.Figures = append(v.Figures, view)
		known[k.Name] = true
	}
	for _, k := range keys {
		put(k)
	}
	for _, name := range slices.Sorted(maps.Keys(figures)) {
		if !known[name] {
			put(price.RateKey(name))
		}
	}
}

// ownFigures are those that the job itself lays over the book.
func (s *Server) ownFigures(ctx context.Context, id string) (map[string]map[string]json.RawMessage, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	j, err := s.store.Job(ctx, w.Shop, id)
	if err != nil {
		return nil, err
	}
	var d struct {
		Shop struct {
			Prices, Rates map[string]json.RawMessage
		}
	}
	if json.Unmarshal(j.Document, &d) != nil {
		return map[string]map[string]json.RawMessage{}, nil // its problems are told elsewhere
	}
	out := map[string]map[string]json.RawMessage{}
	if d.Shop.Prices != nil {
		out["prices"] = d.Shop.Prices
	}
	if d.Shop.Rates != nil {
		out["rates"] = d.Shop.Rates
	}
	return out, nil
}

func (s *Server) figuresFile(ctx context.Context, in *struct {
	JobPath
	Kind string `query:"kind" enum:"csv,xlsx" default:"csv"`
},
) (*fileOut, error) {
	_, done, err := s.worked(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	return pricesFile(&done.job, in.Kind)
}

// pricesFile is a book's figures as a file to take along.
func pricesFile(j *job.Job, kind string) (*fileOut, error) {
	file := sheet.BookFile{Money: j.Prices, Mill: j.Book.Mill, Units: j.Units}
	write := file.CSV
	if kind == "xlsx" {
		write = file.XLSX
	}
	text, err := write()
	out := pdfOut(text, "prices."+kind, true)
	out.Type = mediaOf("prices." + kind)
	return out, err
}

type figuresPatch struct {
	Body struct {
		What  string       `json:"what"`
		Patch change.Patch `json:"patch" doc:"To be sent as a change of the job"`
		Count int          `json:"count"`
	}
}

// readFigures turns a file into a change, so that it is looked at, kept and undone
// like any other.
func (s *Server) readFigures(ctx context.Context, in *struct {
	JobPath
	RawBody []byte `contentType:"application/octet-stream" required:"true"`
},
) (*figuresPatch, error) {
	_, done, err := s.worked(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	own, err := s.ownFigures(ctx, in.Job)
	if err != nil {
		return nil, err
	}
	return figuresOver(own, &done.job.Book, in.RawBody, "/shop")
}

func (s *Server) estimateFile(ctx context.Context, in *JobPath) (*fileOut, error) {
	_, done, err := s.worked(ctx, in.Job)
	if err == nil {
		err = done.sound()
	}
	if err != nil {
		return nil, err
	}
	text, err := slow(ctx, done, "estimate file", func() ([]byte, error) {
		var titles []string
		var all []price.Estimate
		for _, sc := range done.job.Schemes {
			e, err := done.job.Price(sc.ID)
			if err != nil {
				return nil, err
			}
			titles, all = append(titles, sc.Title), append(all, e)
		}
		return sheet.Estimates(done.job.Title, s.now(), done.job.Prices, titles, all)
	})
	out := pdfOut(text, "estimate.xlsx", true)
	out.Type = mediaOf("estimate.xlsx")
	return out, err
}
