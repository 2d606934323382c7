package site

import (
	"fmt"
	"iter"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// Code is a QR code (ISO/IEC 18004, error correction M): Dark by row and column,
// without the quiet zone of four modules that it needs around it.
type Code [][]bool

// CodeOf draws the code of a text: capitals, digits, / and - take the fewest modules.
func CodeOf(text string) (Code, error) {
	mode := qr.Unicode
	if strings.Trim(text, "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:") == "" {
		mode = qr.AlphaNumeric
	}
	img, err := qr.Encode(text, qr.M, mode)
	if err != nil {
		return nil, fmt.Errorf("the code of a label: %w", err)
	}
	b := img.Bounds()
	out := make(Code, b.Dy())
	for y := range out {
		out[y] = make([]bool, b.Dx())
		for x := range out[y] {
			r, _, _, _ := img.At(b.Min.X+x, b.Min.Y+y).RGBA()
			out[y][x] = r < 0x8000
		}
	}
	return out, nil
}

// quiet is the clear border that ISO/IEC 18004 asks for, in modules.
const quiet = 4

// Side is the code's side in modules, with its quiet zone.
func (c Code) Side() int { return len(c) + 2*quiet }

// Run is a run of dark modules in one row, placed within the quiet zone.
type Run struct{ X, Y, Long int }

// Runs gives every run of dark modules, row by row: what a code is drawn of.
func (c Code) Runs() iter.Seq[Run] {
	return func(yield func(Run) bool) {
		for y, row := range c {
			for x := 0; x < len(row); x++ {
				from := x
				for x < len(row) && row[x] {
					x++
				}
				if x > from && !yield(Run{from + quiet, y + quiet, x - from}) {
					return
				}
			}
		}
	}
}

// codePrefix begins the text of every label of a job.
func codePrefix(job string) string { return "CW/" + strings.ToUpper(job) + "/" }

// CodeText is what the code of a piece or a bundle holds.
func CodeText(job, key string) string { return codePrefix(job) + strings.ToUpper(key) }
