package job

import "coilwright/coil"

// Recut says which coils give spoiled pieces of a run again, and what that does to
// the rest. Pieces are named by id or by the number that stands on them; formed is
// the last piece the machine has formed, empty for the last of the spoiled ones.
func (j *Job) Recut(r *RunResult, spoiled []string, formed string) (coil.Remedy, error) {
	byNumber := map[string]string{}
	for _, p := range r.Layout.Pieces {
		byNumber[p.Number] = p.ID
	}
	id := func(name string) string {
		if id, ok := byNumber[name]; ok {
			return id
		}
		return name
	}
	s := coil.Spoiled{Formed: id(formed)}
	for _, name := range spoiled {
		s.Pieces = append(s.Pieces, id(name))
	}
	return coil.Recut(r.Input, r.Plan, s)
}

// RecutAnswer is `run --spoiled --json`.
type RecutAnswer struct {
	Spoiled  []GivenAnswer   `json:"spoiled"`
	Moved    []MovedAnswer   `json:"moved"`
	Buy      []BuyAnswer     `json:"buy"`
	Bound    BoundAnswer     `json:"bound"`
	Coils    []RestAnswer    `json:"coils"`
	LeftOut  []LeftOutAnswer `json:"left_out"`
	Cautions []Caution       `json:"cautions"`
}

// GivenAnswer is a spoiled piece and the coil that gives it again: from its tail,
// by pieces moved to others, from the stock, or from one to buy. Thread says that
// the coil must be threaded for it, OtherLot that its lot is not the wall's.
type GivenAnswer struct {
	Piece    string `json:"piece"`
	Coil     string `json:"coil"`
	How      string `json:"how"`
	Thread   bool   `json:"thread"`
	OtherLot bool   `json:"other_lot"`
}

// MovedAnswer is a piece not yet formed that another coil gives now.
type MovedAnswer struct {
	Piece string `json:"piece"`
	From  string `json:"from"`
	To    string `json:"to"`
}

// RestAnswer is what a coil has yet to give, in order. Used counts what was formed too.
type RestAnswer struct {
	ID     string   `json:"id"`
	Lot    string   `json:"lot"`
	ToCut  []string `json:"to_cut"`
	UsedFt float64  `json:"used_ft"`
	TailFt float64  `json:"tail_ft"`
}

// RecutAnswer shapes a remedy for other programs.
func (j *Job) RecutAnswer(r coil.Remedy) RecutAnswer {
	a := RecutAnswer{
		Spoiled: []GivenAnswer{}, Moved: []MovedAnswer{}, Buy: []BuyAnswer{}, Coils: []RestAnswer{}, LeftOut: []LeftOutAnswer{},
		Cautions: RunCautions[:], Bound: BoundAnswer{r.Bound.Coils, number(r.Bound.Price), r.Bound.Optimal},
	}
	for _, g := range r.Given {
		a.Spoiled = append(a.Spoiled, GivenAnswer{g.Piece, g.Coil, g.How, g.Thread, g.OtherLot})
	}
	for _, m := range r.Moved {
		a.Moved = append(a.Moved, MovedAnswer(m))
	}
	for _, b := range r.Buy {
		a.Buy = append(a.Buy, BuyAnswer{b.Colour, b.Thickness.Inches(), b.Width.Inches(), b.Length.Feet(), b.Count, number(b.Price)})
	}
	for _, c := range r.Rest {
		a.Coils = append(a.Coils, RestAnswer{c.ID, c.Lot, append([]string{}, c.ToCut...), c.Used.Feet(), c.Tail.Feet()})
	}
	for _, l := range r.LeftOut {
		a.LeftOut = append(a.LeftOut, LeftOutAnswer{l.ID, l.Why})
	}
	return a
}
