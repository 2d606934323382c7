package job

import (
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"

	"coilwright/coil"
)

// OnWord is who answers for cutting pieces whose numbers are not fit to cut, and
// which pieces those are.
type OnWord struct {
	Name   string
	Pieces []coil.LeftOut // with what is known of their numbers
}

// mostName is how long the name of who answers may be, in letters (assumed: a line of
// the run sheet).
const mostName = 60

// ErrNoName is given where pieces are to be cut on the word of nobody.
var ErrNoName = errors.New("give the name of the person who answers for cutting from numbers that are not fit to cut, in one line")

// answerer reads the name of who answers; "" is nobody, which is fine.
func answerer(name string) (string, error) {
	clean := strings.Join(strings.Fields(name), " ")
	switch {
	case name == "":
		return "", nil
	case clean == "" || utf8.RuneCountInString(clean) > mostName || !utf8.ValidString(clean) || strings.ContainsFunc(clean, func(r rune) bool { return !unicode.IsPrint(r) }) || !strings.ContainsFunc(clean, unicode.IsLetter):
		return "", ErrNoName
	}
	return clean, nil
}

// OnWordAnswer names who answers for the pieces that were not fit to cut.
type OnWordAnswer struct {
	Name   string          `json:"name"`
	Pieces []LeftOutAnswer `json:"pieces"`
}

func onWordAnswer(w *OnWord) *OnWordAnswer {
	if w == nil {
		return nil
	}
	out := &OnWordAnswer{w.Name, []LeftOutAnswer{}}
	for _, p := range w.Pieces {
		out.Pieces = append(out.Pieces, LeftOutAnswer{p.ID, p.Why})
	}
	return out
}
