// Package sheet makes the papers of one scheme: a drawing per wall, the run sheet
// for the machine operator, the picture of the coil plan, the piece list for the
// hangers, the story pole, the coil and trim list, as PDF and SVG from one drawing
// model, and the lists as CSV and XLSX. It works nothing out about the house: every
// length that it prints stands in the layout or the run that it is given.
package sheet

import (
	"fmt"
	"math/big"
	"strings"
	"time"

	"coilwright/course"
	"coilwright/draw"
	"coilwright/house"
	"coilwright/job"
	"coilwright/measure"
	"coilwright/scheme"
	"coilwright/steel"
	"coilwright/trim"
)

// Input is what the papers tell. Run and Trim may be empty; the papers then say
// that they are.
type Input struct {
	Title        string
	Units        measure.Units
	InstallTempF *big.Rat // degrees Fahrenheit, nil if unknown
	Date         time.Time
	Revision     string
	Release      string // whether steel may be cut, in words, on every page; empty: nothing is said
	House        *house.House
	Scheme       *scheme.Scheme
	Book         *steel.Book
	Layout       *course.Layout
	Run          Run
	Trim         []TrimLine
	Slitting     []trim.Slitting // of the flat coil that trim is bent from; may be empty
	Tape         *job.TapeAnswer // what is left to measure; nil for no such paper
}

// Run is the machine's order and the coil plan.
type Run struct {
	Setups   []Setup // in run order
	Coils    []Coil
	Buy      []Buy
	LeftOut  []LeftOut
	OnWord   *OnWord
	Cautions []Caution // beside the papers' own
}

// Setup is pieces that are formed without changing the machine, by id, in order.
type Setup struct {
	Panel, Texture, Colour string
	Thickness              measure.Length
	Pieces                 []string
	Minutes                float64
}

// Coil is one reel in the order that it is loaded, and the pieces cut from it.
type Coil struct {
	ID, Lot, Colour    string
	Thickness, Width   measure.Length
	Bought             bool
	Nth                int // of those bought alike, from 1
	Length, Used, Tail measure.Length
	Pieces             []string
}

// Buy is coils to be ordered. Price is text for the whole line, empty if unknown.
type Buy struct {
	Colour                   string
	Thickness, Width, Length measure.Length
	Count                    int
	Price                    string
}

// OnWord is who answers for pieces that are cut though their numbers are not fit to
// cut, and those pieces by id with what is known of them.
type OnWord struct {
	Name   string
	Pieces []OnWordPiece
}

// OnWordPiece is one such piece; Reason may be empty.
type OnWordPiece struct {
	LeftOut
	Name, Reason string
}

// LeftOut is a piece that must not be cut yet, and why.
type LeftOut struct{ Piece, Why string }

// Places of a Caution on the run sheet.
const (
	AtLoad   = "load"
	AtThread = "thread"
	AtJam    = "jam"
)

// Caution is a warning for where somebody is about to do a thing: one of the
// places above, or any other word, which stands at the head of the run sheet.
type Caution struct{ Where, Text string }

// TrimLine is one line of the trim list. From tells what it was counted from.
type TrimLine struct{ What, Quantity, Unit, From string }

// File is one finished paper.
type File struct {
	Name  string
	Bytes []byte
}

// Papers makes all files of the scheme, in the order in which a person would read
// them. Equal inputs give equal bytes.
func Papers(in Input) ([]File, error) {
	if in.House == nil || in.Scheme == nil || in.Book == nil || in.Layout == nil {
		return nil, fmt.Errorf("papers of %q: house, scheme, book and layout are all needed", in.Title)
	}
	s := newSet(in)
	files, err := s.papers()
	if err != nil {
		return nil, err
	}
	lists, err := s.lists()
	if err != nil {
		return nil, err
	}
	return append(files, lists...), nil
}

// set is the papers in the making: the input and what several papers look up.
type set struct {
	Input
	step    measure.Length
	piece   map[string]*course.Piece
	coilOf  map[string]int // piece id to index in Run.Coils
	setupOf map[string]int // piece id to index in Run.Setups
	marks   []zoneMark     // by zone
}

func newSet(in Input) *set {
	s := &set{Input: in, step: in.Book.StepIn(in.Units), piece: map[string]*course.Piece{}, coilOf: map[string]int{}}
	for i := range in.Layout.Pieces {
		s.piece[in.Layout.Pieces[i].ID] = &in.Layout.Pieces[i]
	}
	s.flatBlanks()
	for i, c := range in.Run.Coils {
		for _, id := range c.Pieces {
			s.coilOf[id] = i
		}
	}
	s.setupOf = setups(in.Run)
	s.marks = zoneMarks(in)
	return s
}

// papers draws every paper once and writes it twice: alone, and in the crew's set.
func (s *set) papers() ([]File, error) {
	var files []File
	crew := &draw.Document{}
	add := func(p *paper, name string, drawing bool) error {
		p.finish()
		b, err := p.doc.PDFBytes()
		if err != nil {
			return err
		}
		files = append(files, File{name + ".pdf", b})
		for i, page := range p.doc.Pages {
			crew.Add(page)
			if drawing {
				svg := name + ".svg"
				if i > 0 {
					svg = fmt.Sprintf("%s-part%d.svg", name, i)
				}
				files = append(files, File{svg, page.SVG()})
			}
		}
		return nil
	}
	if err := add(s.firstSheet(), "first-sheet", false); err != nil {
		return nil, err
	}
	for w := range s.House.Walls {
		if err := add(s.wallSheet(w), strings.TrimSuffix(fmt.Sprintf("wall-%02d-%s", w+1, fileWord(s.House.Walls[w].ID)), "-"), true); err != nil {
			return nil, err
		}
	}
	for _, part := range []struct {
		paper   *paper
		name    string
		drawing bool
	}{
		{s.poleSheet(), "story-pole", true},
		{s.runSheet(), "run-sheet", false},
		{s.coilPlan(), "coil-plan", true},
		{s.pieceList(), "piece-list", false},
		{s.coilAndTrim(), "coil-trim", false},
		{s.tapeList(), "tape-list", false},
	} {
		if part.paper == nil {
			continue
		}
		if err := add(part.paper, part.name, part.drawing); err != nil {
			return nil, err
		}
	}
	crew.Title, crew.Subject, crew.Date = s.Title, "all papers of scheme "+s.Scheme.ID, s.Date
	b, err := crew.PDFBytes()
	if err != nil {
		return nil, err
	}
	return append([]File{{"crew-set.pdf", b}}, files...), nil
}

// fileWord makes a file name's part of any text.
func fileWord(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case b.Len() >= 40:
			return strings.Trim(b.String(), "-")
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.Trim(b.String(), "-")
}
