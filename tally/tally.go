// Package tally counts what is truly formed, hung and spoiled, from marks that
// people make on several phones, some of them days without a network.
//
// A mark is never changed and never lost; what is known of a job is a function of
// the set of marks alone, so that it is the same whatever their order and however
// often one arrives. Marks are put in order by a counter (Lamport 1978), not by the
// phones' clocks, which may be wrong by a day: each mark counts one more than the
// highest that its phone had seen. Equal counts are decided by the mark's id.
package tally

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Kind is what happened.
type Kind string

// The kinds of marks.
const (
	Formed    Kind = "formed"    // a piece came off the machine
	Spoiled   Kind = "spoiled"   // a formed piece, or one on the machine, is scrap
	Hung      Kind = "hung"      // a piece is on the wall
	TakenOff  Kind = "taken-off" // it came off the wall again, whole
	Measured  Kind = "measured"  // a size was found wrong: Note says which, Text what it is
	Covered   Kind = "covered"   // a wall's barrier or flashing has been seen and may be covered
	Checked   Kind = "checked"   // first piece of a set-up: Text is the length measured
	Loaded    Kind = "loaded"    // a coil is on the machine: Piece is the coil's id
	Reel      Kind = "reel"      // what is left on a coil, read from it: Text is the length
	Moved     Kind = "moved"     // what was formed for another place, Text, serves as Piece
	Withdrawn Kind = "withdrawn" // Piece is the id of a mark that was a mistake
)

// Kinds lists all.
var Kinds = [...]Kind{Formed, Spoiled, Hung, TakenOff, Measured, Covered, Checked, Loaded, Reel, Moved, Withdrawn}

// Mark is one thing that somebody saw or did. ID is drawn at random by the phone
// that made it, so that two phones never make the same one.
type Mark struct {
	ID     string `json:"id"`
	Count  int64  `json:"count"`  // one more than the highest that the phone had seen
	Device string `json:"device"` // the phone
	By     string `json:"by"`     // the person's name or initials
	At     string `json:"at"`     // RFC 3339, by the phone's clock, for people to read
	Kind   Kind   `json:"kind"`
	Piece  string `json:"piece"` // piece, coil, wall or mark that it is about
	Text   string `json:"text,omitempty"`
	Note   string `json:"note,omitempty"`
	Photo  string `json:"photo,omitempty"`
	Cut    string `json:"cut,omitempty"` // how the piece is cut, wherever it hangs: what two like pieces share
}

// Limits on what a mark may hold, far above what a person types.
const (
	longestID   = 200
	longestText = 4000
	highest     = 1 << 53 // a count that every program can hold exactly
)

const idLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_."

// ErrMark is wrapped by every error about a mark.
var ErrMark = errors.New("the mark cannot be kept")

// Check says what of a mark cannot be.
func (m Mark) Check() error {
	bad := func(what string) error { return fmt.Errorf("%w: %s", ErrMark, what) }
	switch {
	case m.ID == "" || len(m.ID) > longestID:
		return bad("it has no id, or one that is too long")
	case strings.Trim(m.ID, idLetters) != "":
		return bad("its id holds other letters than A-Z, a-z, 0-9, - _ and .")
	case m.Count < 1 || m.Count >= highest:
		return bad("its count is not a whole number from 1")
	case m.Device == "" || len(m.Device) > longestID:
		return bad("it does not say which phone made it")
	case !slices.Contains(Kinds[:], m.Kind):
		return bad(fmt.Sprintf("%q is no kind of mark", m.Kind))
	case m.Piece == "" || len(m.Piece) > longestID:
		return bad("it does not say what it is about")
	case !utf8.ValidString(m.ID + m.Device + m.By + m.At + m.Piece + m.Text + m.Note + m.Photo + m.Cut):
		return bad("its text is not UTF-8")
	case len(m.Text) > longestText || len(m.Note) > longestText || len(m.By) > longestID || len(m.At) > longestID || len(m.Photo) > longestID || len(m.Cut) > longestID:
		return bad("its text is too long")
	}
	return nil
}

// Compare orders marks: by count, then by id.
func Compare(a, b Mark) int {
	return cmp.Or(cmp.Compare(a.Count, b.Count), cmp.Compare(a.ID, b.ID))
}

// Next is the count that a phone gives to its next mark.
func Next(seen []Mark) int64 {
	n := int64(0)
	for _, m := range seen {
		n = max(n, m.Count)
	}
	return n + 1
}

// Merge joins sets of marks: each once, in order. Of two marks with one id and
// other contents, which only a phone restored from an old copy can make, the greater
// one stands (see Contents), on every phone the same.
func Merge(sets ...[]Mark) []Mark {
	byID := map[string]Mark{}
	for _, set := range sets {
		for _, m := range set {
			if old, ok := byID[m.ID]; !ok || Contents(m, old) > 0 {
				byID[m.ID] = m
			}
		}
	}
	out := make([]Mark, 0, len(byID))
	for _, m := range byID {
		out = append(out, m)
	}
	slices.SortFunc(out, Compare)
	return out
}

// Contents orders marks by all that they say: by count, then field by field in the
// order of Mark, texts by their code points. Only equal marks compare as equal.
func Contents(a, b Mark) int {
	return cmp.Or(
		cmp.Compare(a.Count, b.Count), cmp.Compare(a.Device, b.Device), cmp.Compare(a.By, b.By), cmp.Compare(a.At, b.At), cmp.Compare(a.Kind, b.Kind),
		cmp.Compare(a.Piece, b.Piece), cmp.Compare(a.Text, b.Text), cmp.Compare(a.Note, b.Note), cmp.Compare(a.Photo, b.Photo), cmp.Compare(a.Cut, b.Cut), cmp.Compare(a.ID, b.ID))
}
