package site

import (
	"slices"
	"strings"

	"coilwright/measure"
	"coilwright/tally"
)

// sizes lists the sizes that crews found wrong, the newest first, each with the change
// of the job that puts it right.
func (w *watch) sizes() []ProgressSize {
	out := []ProgressSize{}
	for _, m := range slices.Backward(w.state.Sizes) {
		out = append(out, w.size(m))
	}
	return out
}

func (w *watch) size(m tally.Mark) ProgressSize {
	out := ProgressSize{Mark: m.ID, Wall: m.Piece, Size: m.Note, Found: m.Text, Open: true, By: m.By, At: m.At}
	text, plusMinus, _ := strings.Cut(m.Text, "+/-")
	found, err := measure.ParseLength(strings.TrimSpace(text))
	if err != nil {
		out.Why = "its text is no length: ask " + m.By + " what was measured"
		return out
	}
	s, ok := w.sizeOf(m.Piece, m.Note)
	if !ok {
		out.Why = "the house has no such size any more: look at the wall"
		return out
	}
	u := w.job.Units
	out.What, out.Was, out.Open = s.What, s.value.Near(u, w.job.Book.StepIn(w.job.Units)), s.value != found
	if len(s.pointers) == 0 {
		out.Why = "more than one number of the house hangs on it: change it where the wall is drawn"
		return out
	}
	out.Patch = s.patch(found, strings.TrimSpace(plusMinus), u)
	return out
}

func (w *watch) sizeOf(wall, id string) (size, bool) {
	for i := range w.job.House.Walls {
		if w.job.House.Walls[i].ID != wall {
			continue
		}
		for _, s := range sizesOf(w.job, i) {
			if s.ID == id {
				return s, true
			}
		}
	}
	return size{}, false
}

// patch puts a size in the job's document, by tape. Without a plus-minus of its own it
// carries none, and steel is not cut from it until somebody states one.
func (s size) patch(found measure.Length, plusMinus string, u measure.Units) []SizePatch {
	v := SizeValue{Length: (found + s.offset).Text(u), Measured: SizeMeasured{By: "tape"}}
	if _, err := measure.ParseLength(plusMinus); err == nil {
		v.Measured.PlusMinus = plusMinus
	}
	var out []SizePatch
	for _, at := range s.pointers {
		out = append(out, SizePatch{"replace", at, v})
	}
	return out
}
