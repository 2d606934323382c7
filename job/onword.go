package job

import (
	"errors"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"coilwright/coil"
	"coilwright/course"
)

// OnWord is what is cut though its numbers are not fit to cut: who answers, and for
// which pieces.
type OnWord struct {
	Name   string // all who answer
	Pieces []OnWordPiece
}

// OnWordPiece is one such piece: what is known of its numbers, who answers for it, and
// the reason given.
type OnWordPiece struct {
	coil.LeftOut
	Word
}

// Word is the name of who answers for a piece, and the reason given; none is needed.
type Word struct{ Name, Reason string }

// Words gives the word that a piece not fit to cut is cut on; false: on none.
type Words func(wall string, p *course.Piece) (Word, bool)

// onAllOf is one person's word for every piece.
func onAllOf(name string) Words {
	return func(string, *course.Piece) (Word, bool) { return Word{Name: name}, name != "" }
}

func (w *OnWord) add(piece coil.LeftOut, word Word) *OnWord {
	if w == nil {
		w = &OnWord{Name: word.Name}
	}
	if !slices.ContainsFunc(w.Pieces, func(p OnWordPiece) bool { return p.Name == word.Name }) && len(w.Pieces) > 0 {
		w.Name += " and " + word.Name
	}
	w.Pieces = append(w.Pieces, OnWordPiece{piece, word})
	return w
}

// mostName is how long the name of who answers may be, in letters (assumed: a line of
// the run sheet).
const mostName = 60

// ErrNoName is given where pieces are to be cut on the word of nobody.
var ErrNoName = errors.New("give the name of the person who answers for cutting from numbers that are not fit to cut, in one line")

// Answerer reads the name of a person who answers, in one line.
func Answerer(name string) (string, error) {
	clean, err := answerer(name)
	if err == nil && clean == "" {
		err = ErrNoName
	}
	return clean, err
}

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
	Name   string              `json:"name"`
	Pieces []OnWordPieceAnswer `json:"pieces"`
}

// OnWordPieceAnswer is one of them.
type OnWordPieceAnswer struct {
	Piece  string `json:"piece"`
	Why    string `json:"why"`
	Name   string `json:"name"`
	Reason string `json:"reason,omitempty"`
}

func onWordAnswer(w *OnWord) *OnWordAnswer {
	if w == nil {
		return nil
	}
	out := &OnWordAnswer{w.Name, []OnWordPieceAnswer{}}
	for _, p := range w.Pieces {
		out.Pieces = append(out.Pieces, OnWordPieceAnswer{p.ID, p.Why, p.Name, p.Reason})
	}
	return out
}
