package site

import (
	"encoding/base64"
	"fmt"
	"iter"
	"strings"
	"sync"

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

// Packed is the code's modules as base64, row by row, the first in the highest bit.
func (c Code) Packed() string {
	bits := make([]byte, (len(c)*len(c)+7)/8)
	for y, row := range c {
		for x, dark := range row {
			if at := y*len(c) + x; dark {
				bits[at/8] |= 0x80 >> (at % 8)
			}
		}
	}
	return base64.StdEncoding.EncodeToString(bits)
}

// Quiet is the clear border that ISO/IEC 18004 asks for, in modules.
const Quiet = 4

// Side is the code's side in modules, with its quiet zone.
func (c Code) Side() int { return len(c) + 2*Quiet }

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
				if x > from && !yield(Run{from + Quiet, y + Quiet, x - from}) {
					return
				}
			}
		}
	}
}

// SVG is the code as a drawing with its quiet zone, one unit a module.
func (c Code) SVG(title string) string {
	side := c.Side()
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" shape-rendering="crispEdges"><title>%s</title>`, side, side, escape(title))
	fmt.Fprintf(&b, `<path fill="#fff" d="M0 0h%dv%dH0z"/><path fill="#000" d="`, side, side)
	for r := range c.Runs() {
		fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", r.X, r.Y, r.Long, r.Long)
	}
	b.WriteString(`"/></svg>`)
	return b.String()
}

var escape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;").Replace

// codePrefix begins the text of every label of a job.
func codePrefix(job string) string { return "CW/" + strings.ToUpper(job) + "/" }

// CodeText is what the code of a piece or a bundle holds.
func CodeText(job, key string) string { return codePrefix(job) + strings.ToUpper(key) }

// Codes remembers codes that were drawn: to draw one takes most of a pack's time, and
// after a re-lay nearly all are the same. The zero value is ready, and safe for many.
type Codes struct {
	mu    sync.Mutex
	drawn map[string]drawnCode
}

type drawnCode struct {
	packed string
	size   int
}

// mostCodes bounds what is remembered; then it begins anew.
const mostCodes = 50_000

func (c *Codes) of(text string) (drawnCode, error) {
	c.mu.Lock()
	had, ok := c.drawn[text]
	c.mu.Unlock()
	if ok {
		return had, nil
	}
	code, err := CodeOf(text)
	d := drawnCode{code.Packed(), len(code)}
	if err == nil {
		c.mu.Lock()
		defer c.mu.Unlock()
		if c.drawn == nil || len(c.drawn) >= mostCodes {
			c.drawn = map[string]drawnCode{}
		}
		c.drawn[text] = d
	}
	return d, err
}

// code is the packed code of a key; all keys of a job take codes of one size.
func (m *maker) code(key string) (string, error) {
	d, err := m.codes.of(m.prefix + strings.ToUpper(key))
	m.codeSize = d.size
	return d.packed, err
}
