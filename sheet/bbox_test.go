package sheet_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"coilwright/house"
	"coilwright/measure"
)

// word is a word as an independent reader finds it on a page, in points.
type word struct {
	page                   int
	text                   string
	xMin, yMin, xMax, yMax float64
}

// wordsOf reads words and page sizes with pdftotext -bbox.
func wordsOf(t *testing.T, pdf []byte) (words []word, sizes [][2]float64) {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext (poppler-utils) is not installed")
	}
	cmd := exec.Command("pdftotext", "-bbox", "-", "-")
	cmd.Stdin = bytes.NewReader(pdf)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(bytes.NewReader(out))
	d.Strict = false
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return words, sizes
		}
		if err != nil {
			t.Fatal(err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		at := map[string]float64{}
		for _, a := range e.Attr {
			at[a.Name.Local], _ = strconv.ParseFloat(a.Value, 64)
		}
		switch e.Name.Local {
		case "page":
			sizes = append(sizes, [2]float64{at["width"], at["height"]})
		case "word":
			w := word{len(sizes) - 1, "", at["xMin"], at["yMin"], at["xMax"], at["yMax"]}
			if err := d.DecodeElement(&w.text, &e); err != nil {
				t.Fatal(err)
			}
			words = append(words, w)
		}
	}
}

var pieceNumber = regexp.MustCompile(`^\d+-\d+$`)

// overlap says whether two words share more than a hair; a word's box is taller
// than its figures, so a fifth is taken off above and below.
func overlap(a, b word) bool {
	const hair = 0.3
	cut := func(w word) (lo, hi float64) { d := (w.yMax - w.yMin) / 5; return w.yMin + d, w.yMax - d }
	aLo, aHi := cut(a)
	bLo, bHi := cut(b)
	return a.page == b.page && a.xMin+hair < b.xMax && b.xMin+hair < a.xMax && aLo+hair < bHi && bLo+hair < aHi
}

// Piece numbers of drawings stand clear of every other word, and no word of any
// paper leaves its page.
func TestWordsStandClear(t *testing.T) {
	crowded := gable("crowded")
	for i := range 6 {
		crowded.Openings = append(crowded.Openings, house.Opening{
			ID: "L" + strconv.Itoa(i), Kind: house.Light, Outline: rect(measure.Length(i)*9*in+10*ft, 4*ft+measure.Length(i)*in, 6*in, 6*in),
		})
	}
	narrow := house.Wall{ID: "cheek", Outline: rect(0, 0, 14*in, 8*ft)}
	files := papers(t, papersOf(t, measure.Imperial, 40*in, gable("south"), crowded, narrow))
	for name, b := range files {
		if filepath.Ext(name) != ".pdf" {
			continue
		}
		words, sizes := wordsOf(t, b)
		for i, w := range words {
			s := sizes[w.page]
			if w.xMin < 14 || w.yMin < 14 || w.xMax > s[0]-14 || w.yMax > s[1]-14 {
				t.Errorf("%s page %d: %q leaves the page's margin: %+v", name, w.page+1, w.text, w)
			}
			if !strings.HasPrefix(name, "wall") || !pieceNumber.MatchString(w.text) {
				continue
			}
			for j, v := range words {
				if i != j && overlap(w, v) {
					t.Errorf("%s page %d: %q stands on %q", name, w.page+1, w.text, v.text)
				}
			}
		}
	}
}
