package site

import (
	"fmt"
	"slices"

	"coilwright/coil"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/tally"
)

// Recut is what spoiled pieces, and reels that hold less than was stated, do to the
// rest of a run.
type Recut struct {
	Given   []RecutGiven  `json:"given"`
	Moved   []RecutMoved  `json:"moved"`
	Next    []RecutNext   `json:"next" doc:"What each coil has yet to give, in order"`
	Buy     []RecutBuy    `json:"buy"`
	LeftOut []PackLeftOut `json:"left_out"`
	Text    string        `json:"text"`
}

// RecutGiven is a piece that is formed again, or given by another coil, and which.
type RecutGiven struct {
	Piece    string `json:"piece"`
	Coil     string `json:"coil"`
	How      string `json:"how" enum:"tail,moved,stock,buy"`
	Thread   bool   `json:"thread"`
	OtherLot bool   `json:"other_lot"`
	Text     string `json:"text"`
}

// RecutMoved is a piece not yet formed that another coil gives now.
type RecutMoved struct {
	Piece string `json:"piece"`
	From  string `json:"from"`
	To    string `json:"to"`
}

// RecutNext is one coil from here on.
type RecutNext struct {
	Coil   string   `json:"coil"`
	Lot    string   `json:"lot"`
	Pieces []string `json:"pieces"`
	LeftFt float64  `json:"left_ft" doc:"On it now, by the marks"`
	TailFt float64  `json:"tail_ft"`
}

// RecutBuy is coils to be ordered.
type RecutBuy struct {
	Colour   string  `json:"colour"`
	LengthFt float64 `json:"length_ft"`
	Count    int     `json:"count"`
}

// RecutOf works out what the marks of a crew, and further pieces spoiled just now, do
// to the rest of a run r of j, of which p is the pack.
func RecutOf(j *job.Job, r *job.RunResult, p *Pack, marks []tally.Mark, spoiled []string) (Recut, error) {
	s, err := countedOf(KeysOf(j, r), r, marks, spoiled)
	if err != nil {
		return Recut{}, err
	}
	for _, reel := range touched(p, marks) {
		s.Counted.Left[reel.ID] = measure.Length(reel.LeftFt * float64(measure.Foot))
	}
	remedy, err := coil.Recut(r.Input, r.Plan, s)
	if err != nil {
		return Recut{}, err
	}
	return shaped(p, marks, KeysOf(j, r), remedy), nil
}

// countedOf says what stands formed by the marks, and what is to be formed again.
func countedOf(keys Keys, r *job.RunResult, marks []tally.Mark, spoiled []string) (coil.Spoiled, error) {
	s := coil.Spoiled{Counted: &coil.Counted{Formed: map[string]bool{}, Left: map[string]measure.Length{}}}
	var planned []string
	for _, run := range r.Plan.Runs {
		for _, id := range run.Pieces {
			planned = append(planned, keys.Of[id])
		}
	}
	state := tally.Of(planned, marks)
	for _, key := range spoiled {
		if _, ok := state.Pieces[key]; !ok {
			return s, &coil.SpoiledError{Piece: key, Why: "the run forms no such piece; take its key from the pack, after a re-lay from the new one"}
		}
	}
	for _, key := range planned {
		at := state.Pieces[key]
		switch {
		case slices.Contains(spoiled, key) || at.Place == tally.Waiting && at.Spoiled > 0:
			s.Pieces = append(s.Pieces, keys.ID[key])
		case at.Place != tally.Waiting:
			s.Counted.Formed[keys.ID[key]] = true
		}
	}
	for _, m := range slices.Backward(tally.Standing(marks)) {
		if _, ok := state.Pieces[m.Piece]; ok && (m.Kind == tally.Formed || m.Kind == tally.Spoiled) {
			s.Formed = keys.ID[m.Piece]
			break
		}
	}
	return s, nil
}

// touched are the reels of which marks say anything.
func touched(p *Pack, marks []tally.Mark) []Reel {
	reels, _ := Reels(p, marks)
	return slices.DeleteFunc(reels, func(r Reel) bool { return r.UsedFt == 0 && r.From == "marks" })
}

func shaped(p *Pack, marks []tally.Mark, keys Keys, r coil.Remedy) Recut {
	left := map[string]float64{}
	for _, reel := range touched(p, marks) {
		left[reel.ID] = reel.LeftFt
	}
	out := Recut{Given: []RecutGiven{}, Moved: []RecutMoved{}, Next: []RecutNext{}, Buy: []RecutBuy{}, LeftOut: []PackLeftOut{}}
	for _, g := range r.Given {
		out.Given = append(out.Given, RecutGiven{keys.Of[g.Piece], g.Coil, g.How, g.Thread, g.OtherLot, givenText(g, p.named(g.Coil))})
	}
	for _, m := range r.Moved {
		out.Moved = append(out.Moved, RecutMoved{keys.Of[m.Piece], m.From, m.To})
	}
	for _, n := range r.Rest {
		next := RecutNext{Coil: n.ID, Lot: n.Lot, Pieces: []string{}, LeftFt: (n.Used + n.Tail).Feet(), TailFt: n.Tail.Feet()}
		if counted, ok := left[n.ID]; ok {
			next.LeftFt = counted
		}
		for _, id := range n.ToCut {
			next.Pieces = append(next.Pieces, keys.Of[id])
		}
		out.Next = append(out.Next, next)
	}
	for _, b := range r.Buy {
		out.Buy = append(out.Buy, RecutBuy{b.Colour, b.Length.Feet(), b.Count})
	}
	for _, l := range r.LeftOut {
		out.LeftOut = append(out.LeftOut, PackLeftOut{keys.Of[l.ID], l.Why, false})
	}
	out.Text = out.text()
	return out
}

// givenText says where a piece comes from.
func givenText(g coil.Given, name string) string {
	text := map[string]string{
		coil.FromTail: "from what is left on " + name, coil.ByMoving: "from " + name + "; other pieces make room for it",
		coil.FromStock: "from " + name + " of the stock", coil.ByBuying: "from a coil to be bought, " + name,
	}[g.How]
	if g.Thread {
		text += "; it has to be threaded for it"
	}
	if g.OtherLot {
		text += "; ANOTHER LOT than its wall: look at the colours side by side first"
	}
	return text
}

func (r *Recut) text() string {
	switch {
	case len(r.LeftOut) > 0:
		return fmt.Sprintf("%d pieces cannot be given: no coil that is left, and none that the book offers, is long enough. Call the office.", len(r.LeftOut))
	case len(r.Buy) > 0:
		return "A coil has to be bought. Call the office."
	case len(r.Given) == 0:
		return "Nothing has to be formed again."
	case len(r.Moved) == 0:
		return "It comes from what is there; nothing else changes."
	}
	return fmt.Sprintf("It comes from what is there; %d pieces come from another coil than planned.", len(r.Moved))
}
